"""Wrong reasons for a verdict: which apply in a case, and which slip each of them shows."""
