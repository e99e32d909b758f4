"""A next-test question in words: what is known, how the job stands, the suspects, what each test is worth."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.assumptions import Assumed
from probebook.cases.model import Case
from probebook.cases.wording import observation_line
from probebook.diagnosis import (
    Complaint,
    Posterior,
    Setup,
    Trial,
    TrialKind,
    band_words,
    expected,
    model_of,
    title_of,
)
from probebook.diagnosis.evidence import visible
from probebook.diagnosis.places import place_of
from probebook.diagnosis.trial import by_number
from probebook.diagnosis.value import Worth
from probebook.numerics.rounding import rounded_number
from probebook.questions.job_card import job_words, plate_words
from probebook.questions.next_test.facts import (
    CostFacts,
    HeadFacts,
    KnownFacts,
    LineFacts,
    RankFacts,
    RestFacts,
    ShareFacts,
    SightFacts,
    SightsFacts,
    SplitFacts,
    StandsFacts,
    StatesFacts,
    SuspectsFacts,
    WorthFacts,
)
from probebook.words import Phrase, Words

__all__ = ["Choice", "Job", "NextTestGates", "known_words", "ranking", "splits_words", "suspects_words", "why"]


@dataclass(frozen=True)
class NextTestGates(Assumed, table="questions.next-test"):
    """Which suspects are named, what is offered, and from where on a test is worth its minutes."""

    suspects: Annotated[int, "1"]
    named: Annotated[float, "1"]
    unlisted_from: Annotated[int, "1"]
    offered: Annotated[int, "1"]
    slips: Annotated[int, "1"]
    least_bits: Annotated[float, "1"]
    clearly: Annotated[float, "1"]
    middling: Annotated[tuple[float, ...], "1"]
    nothing: Annotated[float, "1"]
    telling: Annotated[float, "1"]
    masked: Annotated[float, "1"]
    settled: Annotated[float, "1"]
    ruled_out: Annotated[float, "1"]
    silent: Annotated[float, "1"]
    usual: Annotated[int, "1"]


@dataclass(frozen=True, slots=True)
class Choice:
    """A test that is offered: its option id, how it reads, what it is worth, its share of the best."""

    id: str
    text: Phrase
    worth: Worth
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A job as it stands: the case and its appliance, what is known, what follows, the words to speak of it."""

    words: Words
    case: Case
    appliance: Appliance
    found: Posterior
    setup: Setup

    @property
    def gates(self) -> NextTestGates:
        """From where on a suspect or a test counts."""
        return self.appliance.assumptions.get(NextTestGates)

    @property
    def suspects(self) -> list[tuple[frozenset[str], float]]:
        """The likeliest hypotheses with their probabilities."""
        return [(h.faults, p) for h, p in self.found.ranked()[: self.gates.suspects] if p >= self.gates.named]

    def title(self, faults: Iterable[str]) -> Phrase:
        """A set of faults in words."""
        return title_of(self.appliance, faults, self.words)

    def band(self, trial: Trial, faults: frozenset[str]) -> Phrase:
        """What the meter would show with these faults."""
        return band_words(expected(self.appliance, trial, faults, self.found.meters), self.words)


# ---------------------------------------------------------------- the question


def known_words(job: Job, *, told_above: bool) -> tuple[Phrase, ...]:
    """The question as it is asked, paragraph by paragraph.

    Parameters
    ----------
    job
        The job.
    told_above
        Whether the case stands above the question, so that only what is known of it is said.
    """
    words = job.words
    seen = [item for item in job.found.evidence if not isinstance(item, Complaint)]
    lines = tuple(
        words.say(LineFacts(number, observation_line(job.appliance, item, words)), "line")
        for number, item in enumerate(seen, start=1)
    )
    last = len(job.found.evidence) - 1
    facts = KnownFacts(last, lines)
    parts: list[Phrase] = []
    if told_above:
        parts.append(words.say(facts, "back-many" if last > 1 else "back-one" if last else "back-none"))
    else:
        parts += [job_words(words, job.case.card), plate_words(words, job.appliance)]
        parts.append(words.say(facts, "so-far" if lines else "nothing"))
    parts.append(_stands(job))
    if job.case.level < job.gates.unlisted_from:
        parts.append(suspects_words(job, shares=False))
    return (*parts, words.say(facts, "which"))


def _stands(job: Job) -> Phrase:
    """How the job stands, and what takes time."""
    words, appliance, setup = job.words, job.appliance, job.setup
    work = model_of(appliance).assumed.minutes
    facts = StandsFacts(
        covers=tuple(words.noun(cover) for cover in sorted(setup.uncovered)),
        wires=tuple(sorted(setup.lifted, key=by_number)),
    )
    keys = (
        "dead-plug" if appliance.supply.kind == "plug" else "dead-fixed",
        "covers-off" if facts.covers else "covers-on",
        "wires-off" if facts.wires else "wires-on",
    )
    costs = [
        words.say(CostFacts(str(words.noun(cover)), seconds / 60), "cost-cover")
        for cover, seconds in appliance.covers
        if cover not in setup.uncovered
    ]
    for key, minutes in (("wire", work.lift), ("controls", work.set_controls), ("reading", work.probe)):
        costs.append(words.say(CostFacts("", minutes), f"cost-{key}"))
    return words.say(StatesFacts(tuple(words.say(facts, key) for key in keys), tuple(costs)), "whole")


def suspects_words(job: Job, *, shares: bool) -> Phrase:
    """What is still possible, with its share where ``shares``."""
    names = [job.title(faults) for faults, _ in job.suspects]
    if shares:
        told = zip(names, job.suspects, strict=True)
        names = [job.words.say(ShareFacts(name, share), "share") for name, (_, share) in told]
        rest = 1.0 - math.fsum(share for _, share in job.suspects)
        if rounded_number(rest) >= job.gates.named:
            names.append(job.words.say(RestFacts(rest), "rest"))
    return job.words.say(SuspectsFacts(tuple(names)), "listed")


# ---------------------------------------------------------------- the tests on offer


def why(job: Job, choice: Choice) -> Phrase:
    """What is said of a test on offer."""
    worth = choice.worth
    key, shown = "best" if choice.id == "best" else "share", Phrase("")
    if choice.id != "best" and worth.bits < job.gates.nothing:
        bands = _bands(job, worth.trial)
        key, shown = ("nothing-same", bands[0]) if len(set(bands)) == 1 else ("nothing", shown)
    return job.words.say(WorthFacts(worth.bits, worth.minutes, choice.share, shown), key)


def _bands(job: Job, trial: Trial) -> list[Phrase]:
    """What a reading would show with each suspect, likeliest first; empty for other tests."""
    return [job.band(trial, faults) for faults, _ in job.suspects] if trial.kind is TrialKind.METER else []


def splits_words(job: Job, best: Worth) -> Phrase:
    """How the best test parts the suspects."""
    if best.trial.kind is TrialKind.LOOK:
        return _sights_words(job, best.trial.at)
    groups: dict[Phrase, list[Phrase]] = {}
    for (faults, _), shown in zip(job.suspects, _bands(job, best.trial), strict=False):
        groups.setdefault(shown, []).append(job.title(faults))
    if not groups:
        return job.words.say(SplitFacts((), Phrase("")), "all")
    said = [job.words.say(SplitFacts(tuple(names), shown), "reading") for shown, names in groups.items()]
    return Phrase(" ".join(said))


def _sights_words(job: Job, mark: str) -> Phrase:
    """What there would be to see at a part or wire, with which of the suspects."""
    seen: dict[Phrase, str] = {}
    for faults, _ in job.suspects:
        here = [job.appliance.fault(f) for f in sorted(faults)]
        for fault in here:
            if place_of(job.appliance, fault) == mark and visible(fault):
                seen[job.title(faults)] = visible(fault)
    told = tuple(job.words.say(SightFacts(name, what), "sight") for name, what in seen.items())
    return job.words.say(SightsFacts(told), "sights") if told else job.words.say(SplitFacts((), Phrase("")), "burnt")


def ranking(job: Job, choices: Iterable[Choice]) -> Phrase:
    """The tests offered as a table, best first."""
    rows = [
        RankFacts(c.text, c.worth.bits, c.worth.minutes, c.worth.rate, c.share)
        for c in sorted(choices, key=lambda c: (-rounded_number(c.share), c.id))
    ]
    return Phrase("\n".join([job.words.say(HeadFacts(), "head"), *(job.words.say(row, "row") for row in rows)]))
