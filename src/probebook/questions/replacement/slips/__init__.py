"""Wrong lines of the stock list, and wrong ohms of a new element: each what a named slip leads to."""
