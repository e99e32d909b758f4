"""A bench as a paper carries it: its view and what runs it as one text, small and checked when it is read."""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from typing import Any

from probebook.errors import UsageError

__all__ = ["packed", "unpacked"]

#: More than this (bytes) no bench of ours takes; the largest has 700,000.
LARGEST = 8_000_000
#: The parts: with a table it runs by itself, with a start a service is asked.
TABLE, ASKED = frozenset({"view", "table"}), frozenset({"view", "start"})


def packed(told: dict[str, Any]) -> str:
    """``{"view": …, "table": …}`` or ``{"view": …, "start": …}`` as text; the same bench gives the same text.

    Keys stay in their order: that of the terminals is the order in which readings are looked up.
    """
    plain = json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode()
    return base64.b64encode(zlib.compress(plain, 9)).decode("ascii")


def unpacked(text: object, where: str) -> dict[str, Any]:
    """What was packed; UsageError, one sentence, where it cannot be read."""
    try:
        if not isinstance(text, str):
            raise ValueError
        reader = zlib.decompressobj()
        plain = reader.decompress(base64.b64decode(text, validate=True), LARGEST)
        found = json.loads(plain) if reader.eof else None
    except (ValueError, RecursionError, binascii.Error, zlib.error):
        found = None
    if (
        not isinstance(found, dict)
        or set(found) not in (TABLE, ASKED)
        or not all(isinstance(each, dict) for each in found.values())
    ):
        raise UsageError("the bench of this paper cannot be read", where=where, remedy="take a fresh copy of the paper")
    return found
