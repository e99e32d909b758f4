"""How a job on the bench of a paper stands, as its page is told where a service of a hub has the bench."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from probebook.bench.simulator import Bench, BenchState, Shown
from probebook.workbook.forms.bench_state import Step, told

__all__ = ["standing"]


def standing(bench: Bench, state: BenchState, steps: Sequence[Step], said: Shown, *, answers: int) -> dict[str, Any]:
    """As a workbook's page is told, less the par: what a job ended in is compared with nothing.

    What was done stays done, so a conclusion alone can be taken back (``restarts``).
    """
    is_concluded = state.conclusion is not None
    found = told(bench, state, steps, said, answers=answers, restarts=is_concluded)
    return {**found, "par": "", "spent": {}}
