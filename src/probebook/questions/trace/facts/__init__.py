"""What trace questions are told: where current flows, and the figures and names of each form."""
