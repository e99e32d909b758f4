"""How questions are answered in a notebook: inputs, verdicts, the bench as a form."""
