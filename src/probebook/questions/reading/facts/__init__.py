"""Facts of reading questions: what lies between the probes, and the figures the sentences print."""
