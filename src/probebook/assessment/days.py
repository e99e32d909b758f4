"""Days as people type them."""

from __future__ import annotations

from datetime import date

from probebook.errors import UsageError

__all__ = ["read_day"]


def read_day(text: str, where: str) -> str:
    """A day as ISO 8601 writes it, 2026-06-12; UsageError, which says ``where`` it was typed, for what is none."""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise UsageError(f"'{text[:40]}' is no day", where=where, remedy="write it as 2026-06-12") from None
