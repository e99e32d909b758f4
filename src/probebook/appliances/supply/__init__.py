"""The supply of an appliance: where it comes in, what it holds there, and what flows in its conductors."""
