"""What a command says of how far it is: no part of what it has to say, and more of it on a slow machine."""

from __future__ import annotations

import re

PROGRESS = re.compile(r"probebook: [a-z ]+( \d+ of \d+| \.\.\.)( \(.*\))?$")


def without_progress(text: str) -> str:
    """The lines that are none of progress."""
    return "".join(line for line in text.splitlines(keepends=True) if not PROGRESS.match(line.rstrip("\n")))
