"""Saying what diagnosis found: facts, sentences, and the explanation of some evidence."""
