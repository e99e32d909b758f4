"""A circuit in words: what works in a position, and what is in series with what."""
