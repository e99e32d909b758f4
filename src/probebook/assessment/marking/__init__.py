"""Marking: hand-ins judged, marked, told to their learners and to the tutor."""
