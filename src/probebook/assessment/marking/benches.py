"""Jobs on benches of a class: the acts of a hand-in done again on the bench that the sealed key sets up.

Acts are data: those that are no acts, or cannot be done as the job then stands, change nothing; a list that holds
anything else, or is longer than any job, is unreadable and earns nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from probebook.bench.log import Step, readable, replay
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.questions.bench.marking import bench_marker
from probebook.questions.model import Question

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.marking import BenchMarker

__all__ = ["Benches"]


class Benches:
    """Sets benches up as they are asked for; ``library_of`` gives the trade in a language."""

    def __init__(self, library_of: Callable[[str], Library]) -> None:
        self._library_of = library_of
        self._opened: dict[tuple[str, str], Bench] = {}

    def marker(self, question: Question, language: str) -> BenchMarker | None:
        """What marks the bench of a question; None where it has none."""
        return bench_marker(question, self._library_of(language), final=True) if question.bench else None

    def steps(self, question: Question, language: str, acts: object) -> tuple[Step, ...]:
        """What was done on the bench of a question, act by act, with what each told; none where nothing was."""
        key = question.bench, language
        if key not in self._opened:
            self._opened[key] = open_bench(BenchSpec.from_json(question.bench), self._library_of(language))
        return replay(self._opened[key], readable(acts) or ()).steps
