"""The bench of a paper on a hub: a service of the hub has it and is asked act by act; the kernel keeps what was done.

Nothing that tells the fault comes to the kernel before it is read. The service holds a job to what was done on it,
whoever asks: acts are added and a conclusion can be taken back, and where the journal holds less than was done, what
was done stands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from probebook.assessment.sitting.facts import AskedBenchWords
from probebook.assessment.sitting.line import Asker, Job, NoAnswer
from probebook.bench.acts import LONGEST, Verb
from probebook.words import Words
from probebook.workbook.forms.bench_model import BenchModel

__all__ = ["AskedBench"]


class AskedBench(BenchModel):
    """A bench that a service has.

    Parameters
    ----------
    ask
        Asks the service about the job.
    told, is_closed
        Called after each act that was done; whether the paper is handed in.
    words
        The language of the learner.
    view, start
        As the paper carries them.
    """

    def __init__(
        self,
        ask: Asker,
        told: Callable[[], object],
        is_closed: Callable[[], bool],
        words: Words,
        *,
        view: Mapping[str, Any],
        start: Mapping[str, Any],
    ) -> None:
        super().__init__(self._on_press, view=dict(view), state=dict(start))
        self.kept: list[str] = []
        self._ask, self._told, self._is_closed, self._words = ask, told, is_closed, words
        self._answers = 0
        self._over = False

    @property
    def is_ended(self) -> bool:
        """Whether the job has ended, by a conclusion or otherwise."""
        return self._over

    def bring(self, acts: Sequence[str]) -> None:
        """Bring back what the journal holds; it stands until the service says how the job stands."""
        self.kept = list(acts)
        self._over = bool(acts) and acts[-1].startswith(f"{Verb.CONCLUDE} ")

    def attend(self) -> None:
        """Ask how the job stands. Where the journal goes on from there, what it holds is done again."""
        held = list(self.kept)
        self._do(None)
        if not self._is_closed():
            self.put(held)

    def put(self, acts: Sequence[str]) -> None:
        """Do what is in ``acts`` beyond what was done, act by act, until one cannot be done."""
        for act in acts[len(self.kept) :] if list(acts[: len(self.kept)]) == self.kept else ():
            before = len(self.kept)
            self._do({"count": before, "act": act})
            if len(self.kept) == before:
                return

    def _on_press(self, name: str, content: Mapping[str, Any]) -> None:
        self._answers += 1
        doing: dict[str, Any] | None = None
        if name == "act" and isinstance(content.get("act"), str) and len(content["act"]) <= LONGEST:
            doing = {"act": content["act"]}
        elif name == "conclude":
            doing = {"faults": content.get("faults")}
        elif name == "restart":
            doing = {"back": True}
        self._do(None if doing is None or self._is_closed() else {"count": len(self.kept), **doing})

    def _do(self, doing: Mapping[str, Any] | None) -> None:
        """Ask, keep what stands, and only then show it."""
        try:
            job = self._ask(doing)
        except NoAnswer as trouble:
            said = {"text": str(self._words.say(AskedBenchWords(), trouble.key)), "tone": "no"}
            self.state = {**self.state, "answers": self._answers, "said": said}
            return
        self._take(job)

    def _take(self, job: Job) -> None:
        was, self.kept = self.kept, list(job.acts)
        self._over = bool(job.state.get("job", {}).get("over"))
        if self.kept != was:
            self._told()
        self.curve = dict(job.curve)
        self.state = {**job.state, "answers": self._answers}
