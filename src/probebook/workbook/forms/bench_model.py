"""What page and kernel share of a bench, whoever has the bench itself."""

from __future__ import annotations

from typing import Any

import traitlets

from probebook.workbook.forms.model import Component

__all__ = ["BenchModel"]


class BenchModel(Component):
    """A bench as a page sees it.

    The page presses ``{"press": "act", "act": …}``, ``{"press": "conclude", "faults": [number, …]}`` (numbers of the
    faults in the order of the view) and ``{"press": "restart"}``.

    Attributes
    ----------
    view
        Drawings, what can be done to what, and words (:func:`probebook.workbook.forms.bench_view.view`).
    curve
        The heat-up record taken last, as a picture (:func:`probebook.workbook.forms.bench_curve.curve_of`); empty
        until one is taken.
    state
        How the job stands (:func:`probebook.workbook.forms.bench_state.told`).
    """

    entry = "bench.js"
    sheets = ("bench", "bench-supply", "bench-meter", "bench-drawing", "bench-end", "bench-curve")

    view: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    curve: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    state: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def reads(self) -> str:
        """What is on the bench, as text."""
        return "\n".join(filter(None, (str(self.view.get("title", "")), str(self.state.get("status", "")))))
