"""The path of the current on a drawing: what flows, arrows, and what a page is told of it."""
