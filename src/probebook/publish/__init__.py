"""Questions for a room without computers, and for other programs: printed papers."""
