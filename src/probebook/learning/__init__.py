"""What a learner knows and what suits them next: mastery, choosing, difficulty, coverage."""
