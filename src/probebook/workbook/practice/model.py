"""What page and kernel share of fresh practice beside the form of the question."""

from __future__ import annotations

from typing import Any

import traitlets

from probebook.workbook.forms.model import Component

__all__ = ["PracticeModel"]


class PracticeModel(Component):
    """The head of the practice cell.

    Attributes
    ----------
    view
        Words of its buttons, and the questions another like which can be made.
    state
        What is being done, what came of it, the case and the question as HTML of ours.
    """

    entry = "practice.js"
    sheets = ("form", "practice", "drawing")

    view: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    state: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
