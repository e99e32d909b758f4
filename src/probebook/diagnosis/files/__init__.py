"""Evidence in text files."""
