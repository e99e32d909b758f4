"""Fresh practice: what to ask next, how it is made, what was asked before."""
