"""Wrong ways of working with ohms, watts and amperes: what each comes to in a case."""
