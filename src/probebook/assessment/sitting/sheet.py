"""What page and kernel share of a paper beside its questions: its head, its review, handing in."""

from __future__ import annotations

from typing import Any

import traitlets

from probebook.workbook.forms.model import Component

__all__ = ["SheetModel"]


class SheetModel(Component):
    """One of three parts of a paper.

    Attributes
    ----------
    part
        ``head``, ``review`` or ``hand-in``.
    view
        Words of its buttons, the language, whether the print is large.
    state
        ``left``: seconds; ``runs``: whether time goes on; ``answered``: in words; ``open``: what is not answered yet;
        ``sure``: what is asked before handing in; ``notes``; ``done``: what is said after it.
    """

    entry = "sheet.js"
    sheets = ("form", "sheet")

    part = traitlets.Unicode().tag(sync=True)
    view: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    state: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def reads(self) -> str:
        """What a notebook that is saved says."""
        state = self.state
        lines = {"head": [self.view["words"]["title"], state["answered"]], "review": state["open"]}
        return "\n".join([*lines.get(self.part, []), *(state["done"] if self.part == "hand-in" else [])])
