"""Moderation: the items of a set on a page for a second tutor, what is said of them, and how two markers agree."""
