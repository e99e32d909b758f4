"""The virtual bench: acts, what they do to an appliance, what is seen and read; no question and no Jupyter in it."""
