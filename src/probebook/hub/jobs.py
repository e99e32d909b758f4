"""The benches of a set while it is sat on a hub: each job as it stands, done act by act, told as a page shows it.

The truth of a bench is here and nowhere else on the hub. A job is held to what was done on it: acts are added, and a
conclusion can be taken back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.assessment.model import PaperSet
from probebook.assessment.sitting.standing import standing
from probebook.bench.acts import LONGEST, MOST, conclude, split
from probebook.bench.simulator import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.errors import UsageError
from probebook.hub.joblog import JobLog
from probebook.workbook.forms.bench_curve import curve_of
from probebook.workbook.forms.bench_state import Step, step_of

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["Job", "Jobs", "NotADoing", "NotYours"]

#: More faults than this nobody concludes at once.
MOST_FAULTS = 4


class NotYours(Exception):  # noqa: N818 - an answer of the service, never shown as an error
    """The learner has no such paper, or it has no such bench."""


class NotADoing(Exception):  # noqa: N818 - the same
    """What was asked for is nothing that can be done on a bench."""


class Job:
    """A job on the bench of one item: how it stands, and what was done."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.acts: list[str] = []
        self._begin()

    def _begin(self) -> None:
        self._state: BenchState = self.bench.start()
        self._steps: list[Step] = []
        self._said = Shown("")

    def do(self, act: str) -> bool:
        """Do an act; whether it was done. One that cannot be done as the job stands changes nothing."""
        after, said = self.bench.act(self._state, act)
        self._said = said
        if said.done:
            self._state = after
            self._steps.append(step_of(self.bench, after, act, said))
            self.acts.append(act)
        return said.done

    def take_back(self) -> bool:
        """Take a conclusion back; whether there was one."""
        if self._state.conclusion is None:
            return False
        acts, self.acts = self.acts[:-1], []
        self._begin()
        for act in acts:
            self.do(act)
        self._said = Shown("")
        return True

    def told(self) -> dict[str, Any]:
        """How the job stands, as plain JSON data for the page of the paper."""
        state = standing(self.bench, self._state, self._steps, self._said, answers=0)
        return {"acts": list(self.acts), "state": state, "curve": curve_of(self.bench, self._steps)}


class Jobs:
    """All jobs of a set.

    Parameters
    ----------
    papers
        What the sealed key holds; of it only the set-ups of the benches are kept.
    library_of
        The trade in a language.
    log
        The file of what was done; read at once.

    Raises
    ------
    UsageError
        The file cannot be read, or is of another set.
    """

    def __init__(self, papers: PaperSet, library_of: Callable[[str], Library], log: Path) -> None:
        self._library_of = library_of
        self._specs: dict[tuple[str, str], tuple[str, str, str]] = {
            (paper.id, item.id): (paper.learner.id, paper.learner.language, item.question.bench)
            for paper in papers.papers
            for item in paper.items
            if item.question.bench
        }
        self._jobs: dict[tuple[str, str], Job] = {}
        self._log = JobLog(log)
        for told in self._log.read():
            place = str(told.get("paper")), str(told.get("item"))
            if place not in self._specs:
                raise UsageError(
                    "what was done on the benches is of another set", where=str(log), remedy="name another folder"
                )
            self._redo(self._job(place), told)

    def told(self, learner: str, paper: str, item: str) -> dict[str, Any]:
        """How a job of this learner stands; NotYours where it is none of theirs."""
        return self._of(learner, paper, item).told()

    def do(self, learner: str, paper: str, item: str, doing: Mapping[str, Any]) -> dict[str, Any]:
        """Do something on the bench of this learner, and tell how the job stands.

        Parameters
        ----------
        learner, paper, item
            Who asks, and of which job.
        doing
            ``count``: how many acts the asker knows of (where it is another number nothing is done); and one of
            ``act``: text, ``faults``: their numbers in the order of the appliance's file, ``back``: true.

        Raises
        ------
        NotYours
            It is none of theirs.
        NotADoing
            ``doing`` is nothing of this sort, or the job has more acts than any job has.
        """
        job = self._of(learner, paper, item)
        act = _act(job.bench, doing)
        if doing["count"] == len(job.acts):
            if len(job.acts) >= MOST:
                raise NotADoing
            if job.take_back() if act is None else job.do(act):
                line = {"back": True} if act is None else {"act": act}
                self._log.add({"paper": paper, "item": item, **line})
        return job.told()

    def _of(self, learner: str, paper: str, item: str) -> Job:
        spec = self._specs.get((paper, item))
        if spec is None or spec[0] != learner:
            raise NotYours
        return self._job((paper, item))

    def _job(self, place: tuple[str, str]) -> Job:
        if place not in self._jobs:
            _, language, text = self._specs[place]
            self._jobs[place] = Job(open_bench(BenchSpec.from_json(text), self._library_of(language)))
        return self._jobs[place]

    @staticmethod
    def _redo(job: Job, told: Mapping[str, Any]) -> None:
        if told.get("back") is True:
            job.take_back()
        else:
            job.do(str(told.get("act", "")))


def _act(bench: Bench, doing: Mapping[str, Any]) -> str | None:
    """The act that is asked for; None where a conclusion is to be taken back."""
    known = {"count", *({"act", "faults", "back"} & doing.keys())}
    if set(doing) != known or len(known) != 2 or type(doing["count"]) is not int:
        raise NotADoing
    if "back" in doing:
        if doing["back"] is not True:
            raise NotADoing
        return None
    act = doing["act"] if "act" in doing else _conclusion(bench, doing["faults"])
    if not isinstance(act, str) or len(act) > LONGEST or split(act) is None:
        raise NotADoing
    return act


def _conclusion(bench: Bench, numbers: object) -> str:
    faults = bench.appliance.faults
    if not isinstance(numbers, list) or len(numbers) > MOST_FAULTS:
        raise NotADoing
    if not all(type(number) is int and 0 <= number < len(faults) for number in numbers):
        raise NotADoing
    return conclude({faults[number].id for number in numbers})
