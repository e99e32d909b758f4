"""The bench of a paper in a page: it runs there from its table, and the kernel keeps what was done.

The kernel has no bench and knows nothing of what an act leads to. It holds what was done to its word: acts are added,
and a conclusion can be taken back; whatever else a page sends is not kept, and the page is told what stands.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import traitlets

from probebook.bench.acts import LONGEST, MOST, Verb, split
from probebook.workbook.forms.model import Component

__all__ = ["PaperBench"]


class PaperBench(Component):
    """A bench that runs in the page.

    Attributes
    ----------
    view, table
        What the bench is drawn from, and what would be read on it (:mod:`probebook.bench.table`).
    acts
        What was done, in order; the page adds to it.
    over
        Whether the page says that the job has ended.
    """

    folder = "table"
    entry = "paper-bench.js"
    sheets = ("bench", "bench-supply", "bench-meter", "bench-drawing", "bench-end", "bench-curve")

    view: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    table: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    acts: traitlets.List[Any] = traitlets.List().tag(sync=True, echo_update=False)
    over = traitlets.Bool().tag(sync=True, echo_update=False)

    def __init__(self, told: Callable[[], object], is_closed: Callable[[], bool], **traits: Any) -> None:
        super().__init__(_unheard, **traits)
        self.kept: list[str] = []
        self._told, self._is_closed = told, is_closed
        self.observe(lambda _: self._take(), "acts")

    @property
    def is_ended(self) -> bool:
        """Whether the job has ended, by a conclusion or otherwise."""
        return self.over or _concludes(self.kept)

    def bring(self, acts: Sequence[str]) -> None:
        """Bring back what was kept."""
        self.kept = list(acts)
        self.acts = list(acts)

    def attend(self) -> None:
        """Nobody is asked how the job stands: it runs in the page."""

    def put(self, acts: Sequence[str]) -> None:
        """Put acts in place of those that stand, as a page does."""
        self.acts = list(acts)

    def reads(self) -> str:
        """What is on the bench, as text."""
        return str(self.view.get("title", ""))

    def _take(self) -> None:
        if self.acts == self.kept:
            return
        if self._is_closed() or not _follows(self.acts, self.kept):
            self.acts = list(self.kept)
            return
        self.kept = list(self.acts)
        self._told()


def _unheard(name: str, content: dict[str, Any]) -> None:
    """The page of a paper presses nothing on the bench: it writes what was done."""


def _follows(acts: Sequence[Any], kept: Sequence[str]) -> bool:
    """Whether acts go on from those that are kept, a conclusion among them taken back or not."""
    if len(acts) > MOST or not all(isinstance(act, str) and len(act) <= LONGEST and split(act) for act in acts):
        return False
    before = list(kept[:-1]) if _concludes(kept) else list(kept)
    return list(acts[: len(before)]) == before and (len(acts) >= len(kept) or _concludes(kept))


def _concludes(acts: Sequence[str]) -> bool:
    return bool(acts) and acts[-1].startswith(f"{Verb.CONCLUDE} ")
