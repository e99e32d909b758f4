"""Assessment: a blueprint turned into papers, sat, marked, and looked back on."""
