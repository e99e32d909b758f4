"""The benches of a set while it is sat on a hub: each job as it stands, done act by act, told as a page shows it.

While the hub runs, the truth of a bench is here and nowhere else on it. A job is held to what was done on it: acts are
added, and a conclusion can be taken back.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.assessment.model import PaperSet
from probebook.assessment.sitting.standing import standing
from probebook.bench.acts import LONGEST, MOST, Verb, conclude, split
from probebook.bench.simulator import Bench, BenchSpec, Shown, open_bench
from probebook.errors import UsageError
from probebook.hub.joblog import JobLog
from probebook.workbook.forms.bench_curve import curve_of
from probebook.workbook.forms.bench_state import Step, step_of

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["Job", "Jobs", "NotADoing", "NotYours"]

#: More faults than this nobody concludes at once.
MOST_FAULTS = 4
#: More conclusions than these are not taken back, so that the lines of a job are no more than twice the acts of one.
MOST_BACKS = MOST // 2


class NotYours(Exception):  # noqa: N818 - an answer of the service, never shown as an error
    """The learner has no such paper, or it has no such bench."""


class NotADoing(Exception):  # noqa: N818 - the same
    """What was asked for is nothing that can be done on a bench."""


class Job:
    """A job on the bench of one item: how it stands, and what was done."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.acts: list[str] = []
        self._state = self._before = bench.start()
        self._steps: list[Step] = []
        self._said = Shown("")

    def do(self, act: str, keep: Callable[[], None] = lambda: None) -> None:
        """Do an act. One that cannot be done as the job stands changes nothing.

        Parameters
        ----------
        act
            What is to be done.
        keep
            Called once it is known that it is done, before the job stands so: what it raises leaves the job as it was.
        """
        after, said = self.bench.act(self._state, act)
        if said.done:
            step = step_of(self.bench, after, act, said)
            keep()
            self._before, self._state = self._state, after
            self._steps.append(step)
            self.acts.append(act)
        self._said = said

    def take_back(self, keep: Callable[[], None]) -> None:
        """Take a conclusion back, where there is one; ``keep`` as for an act."""
        if self._state.conclusion is None:
            return
        keep()
        self._state = self._before  # a conclusion is the last act of a job
        del self._steps[-1], self.acts[-1]
        self._said = Shown("")

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
        The file of what was done; read at once, and done again when a job is asked for first.

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
        self._held: dict[tuple[str, str], list[str]] = {}
        self._backs: Counter[tuple[str, str]] = Counter()
        for told in self._log.read():
            place = str(told.get("paper")), str(told.get("item"))
            if place not in self._specs:
                raise UsageError(
                    "what was done on the benches is of another set", where=str(log), remedy="name another folder"
                )
            self._hold(place, told)

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
            ``doing`` is nothing of this sort, or more than is done or taken back on any job.
        OSError
            It cannot be written down; the job stands as before.
        """
        job, place = self._of(learner, paper, item), (paper, item)
        act = _act(job.bench, doing)
        line = {"paper": paper, "item": item, **({"back": True} if act is None else {"act": act})}

        def keep() -> None:
            self._log.add(line)
            self._backs[place] += act is None

        if doing["count"] == len(job.acts):
            if self._backs[place] >= MOST_BACKS if act is None else len(job.acts) >= MOST:
                raise NotADoing
            if act is None:
                job.take_back(keep)
            else:
                job.do(act, keep)
        return job.told()

    def _of(self, learner: str, paper: str, item: str) -> Job:
        spec = self._specs.get((paper, item))
        if spec is None or spec[0] != learner:
            raise NotYours
        return self._job((paper, item))

    def _job(self, place: tuple[str, str]) -> Job:
        if place not in self._jobs:
            _, language, text = self._specs[place]
            job = Job(open_bench(BenchSpec.from_json(text), self._library_of(language)))
            for act in self._held.pop(place, ()):
                job.do(act)
            self._jobs[place] = job
        return self._jobs[place]

    def _hold(self, place: tuple[str, str], told: Mapping[str, Any]) -> None:
        """Hold what a line of the file says until the job is asked for; a conclusion that was taken back is let go."""
        held = self._held.setdefault(place, [])
        if told.get("back") is not True:
            held.append(str(told.get("act", "")))
            return
        self._backs[place] += 1
        if held and held[-1].startswith(f"{Verb.CONCLUDE} "):
            held.pop()


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
