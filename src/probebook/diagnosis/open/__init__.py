"""Diagnosis in the open world: every physical way to fail is a hypothesis, listed in a file or not.

A file lists the faults that are met, how likely, how they look and how they are mended. The circuit can fail in more
ways; these are generated from it (:mod:`.ways`), predicted in closed form (:mod:`.predicting`) and weighed beside the
listed ones (:mod:`.weighing`).
"""
