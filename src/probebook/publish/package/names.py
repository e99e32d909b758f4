"""Identifiers as the standard allows them: a letter or underline first, then letters, digits, dots, hyphens."""

from __future__ import annotations

import hashlib
import re

__all__ = ["IDENTIFIER", "identifier"]

#: What both versions take, in ASCII, so that it is also an NCName and the name of a file anywhere.
IDENTIFIER = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*\Z")
#: Identifiers of more letters than this are cut: the standard asks for no more than 32 where old readers are served.
LONGEST = 32


def identifier(text: str) -> str:
    """The text as an identifier: itself where it is one and short enough, else a likeness and a digest that tell it."""
    if IDENTIFIER.match(text) and len(text) <= LONGEST:
        return text
    digest = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:8]
    plain = re.sub(r"[^A-Za-z0-9_.-]+", "-", text).strip("-.")
    start = plain if plain[:1].isalpha() or plain[:1] == "_" else f"i{plain}"
    return f"{start[: LONGEST - 9]}-{digest}"
