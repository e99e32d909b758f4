"""What a page needs to read a drawing with: the path of the current, its arrows, and where the drawing is folded."""
