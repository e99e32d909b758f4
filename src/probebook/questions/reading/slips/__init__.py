"""Slips of reading questions: what each wrong way gives here, and which sentence says so."""
