"""Setting: a blueprint and a class turned into papers, each proved, and a sealed key."""
