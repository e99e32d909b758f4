"""The bench as a table: what would be read and said, worked out beforehand, with no fault and no key in it."""
