"""What the marks of a class say: of the items, of the paper, of the model of difficulty, and of who needs what."""
