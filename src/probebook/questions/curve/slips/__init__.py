"""Slips of curve questions: what each wrong way reads, or concludes."""
