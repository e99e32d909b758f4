"""One ``[[fault]]`` table of an appliance file, as tests write it."""

from __future__ import annotations

_FAULT = """
[[fault]]
id = "{id}"
kind = "{kind}"
title = "{id}"
on = "{on}"
likelihood = 1
basis = "invented for this test"
looks = "nothing to see"
hidden = true
mend = "mend it"
{more}
"""


def fault(name: str, kind: str, on: str, more: str = "") -> str:
    """One ``[[fault]]`` table."""
    return _FAULT.format(id=name, kind=kind, on=on, more=more)
