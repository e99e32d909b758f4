"""Probabilities from readings: unknowns integrated out, and the logic of conflicts to check it by."""
