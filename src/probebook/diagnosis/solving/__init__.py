"""Solving a case as the core would, on an appliance as it stands on the bench."""
