"""Cases: an invented job with a computed fault, the evidence it leaves, and the proof of its key."""
