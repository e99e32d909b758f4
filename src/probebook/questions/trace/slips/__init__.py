"""Wrong ways of tracing: which ticks or volts each leads to, and which sentence says so."""
