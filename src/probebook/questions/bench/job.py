"""The job of a bench question: a bench on which it can be done faultlessly, and what is told of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Annotated

from probebook.assumptions import Assumed
from probebook.bench.grading import grade
from probebook.bench.log import Log, Step, replay
from probebook.bench.simulator import TESTER, Bench, open_bench
from probebook.bench.state import BenchSpec
from probebook.cases.gates import PutBack, check_condemned
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.trial_table import trial_table
from probebook.diagnosis import Complaint, Evidence, Trial, model_of, posterior, title_of
from probebook.diagnosis.candidates import settled
from probebook.diagnosis.evidence import trial_of
from probebook.diagnosis.places import rest
from probebook.diagnosis.saying.contrasts import contrast
from probebook.questions.bench.facts import (
    JobFacts,
    Mending,
    NothingWrong,
    RivalsAnswered,
    SoundRival,
    StepLast,
    StepShown,
    WhatIsWrong,
)
from probebook.questions.bench.solution import solution
from probebook.questions.frame import Unfit
from probebook.questions.job_card import job_words, plate_words
from probebook.words import Phrase, Words

__all__ = ["Job", "job_facts", "solved_job"]


@dataclass(frozen=True)
class Answering(Assumed, table="questions.bench"):
    """So many rivals are answered, each by an observation that the key explains so many times better (``answers``)."""

    answered: Annotated[int, "1"]
    answers: Annotated[float, "1"]


@dataclass(frozen=True, slots=True)
class Job:
    """A bench, acts that earn full marks on it, and the trials in them."""

    bench: Bench
    acts: list[str]
    trials: list[Trial]


def solved_job(case: Case, library: Library, *, steady: bool = False) -> Job:
    """The bench of a case with a faultless job on it; Unfit when the case's investigation earns less or proves less.

    ``steady`` is as in :class:`~probebook.bench.state.BenchSpec`: for a bench that is to run from a table.
    """
    bench = open_bench(replace(_spec(case, 0, 0.0), steady=steady), library)
    everything = [t for o in case.evidence if (t := trial_of(o)) is not None]
    fewest = [t for i in case.proof.observations if (t := trial_of(case.evidence[i])) is not None]
    truth = settled(bench.appliance, case.truth)
    for trials in (fewest, everything):
        acts = solution(bench, trials, truth)
        spent = replay(bench, acts).state
        minutes = max(case.par_minutes - model_of(bench.appliance).assumed.minutes.isolate, spent.work_minutes)
        spec = _spec(case, max(case.par_trials, spent.trials), minutes)
        bench = open_bench(replace(spec, steady=steady), library)
        done = replay(bench, acts)
        if grade(bench, done).marks == bench.grading.whole and _condemns(bench, truth, done.state.evidence):
            return Job(bench, acts, trials)
    raise Unfit("the investigation of this case does not earn full marks on the bench, or leaves another failure")


def _condemns(bench: Bench, truth: frozenset[str], evidence: Evidence) -> bool:
    """Whether the evidence of a job reads each faulty part itself and leaves no other failure of the circuit."""
    try:
        check_condemned(trial_table(bench.appliance, bench.meters), sorted(truth), evidence)
    except PutBack:
        return False
    return True


def _spec(case: Case, trials: int, minutes: float) -> BenchSpec:
    reported = next((o.symptoms for o in case.evidence if isinstance(o, Complaint)), ())
    return BenchSpec(case.appliance, case.meter, case.truth, case.id, reported, trials, minutes)


def job_facts(case: Case, library: Library, bench: Bench, log: Log) -> JobFacts:
    """What is told of a job: the card, the instruments, why the key is right, the investigation."""
    appliance, words = bench.appliance, library.words
    return JobFacts(
        appliance=words.noun(appliance.title),
        rest=words.noun(appliance.position(rest(appliance)).title),
        card=job_words(words, case.card),
        plate=plate_words(words, appliance),
        meter=words.noun(library.meter(case.meter).title),
        tester=words.noun(library.meter_for(TESTER).title),
        parts=_explained(case, bench, log),
        steps=Phrase("\n".join(_step(number, step, words) for number, step in enumerate(log.steps, start=1))),
        tests=log.state.trials,
        minutes=log.state.work_minutes,
    )


def _step(number: int, step: Step, words: Words) -> Phrase:
    if step.act.startswith("conclude"):
        return words.say(StepLast(number, Phrase(step.words)), "last")
    return words.say(StepShown(number, Phrase(step.words), Phrase(step.shown.text)), "shown")


def _explained(case: Case, bench: Bench, log: Log) -> tuple[Phrase, ...]:
    """What is wrong, and which observation of the solution speaks against each rival that offers itself."""
    appliance, words = bench.appliance, bench.words
    truth = settled(appliance, case.truth)
    mends = tuple(words.noun(appliance.fault(f).mend) for f in case.truth if appliance.fault(f).mend)
    first = words.say(WhatIsWrong(title_of(appliance, truth, words)), "wrong") if truth else None
    return (
        first or words.say(NothingWrong(), "nothing"),
        *_answered(case, bench, log, truth),
        *([words.say(Mending(mends), "mend")] if mends else []),
    )


def _answered(case: Case, bench: Bench, log: Log, truth: frozenset[str]) -> list[Phrase]:
    """For each observation that answers rivals, what it would have been and which rivals it speaks against."""
    appliance, words = bench.appliance, bench.words
    figures = appliance.assumptions.get(Answering)
    found = posterior(appliance, log.state.evidence, bench.meters)
    row = found.row(truth)
    groups: dict[int, list[frozenset[str]]] = {}
    plain = [r for r in case.rivals if len(r) <= max(1, len(truth))]
    for rival in plain[: figures.answered]:
        other = found.row(rival)
        ratios = found.log_ratios(row, other).tolist()
        best = max(range(len(ratios)), key=lambda i: (ratios[i], -i))
        if other != row and ratios[best] >= math.log(figures.answers):
            groups.setdefault(best, []).append(found.hypotheses[other].faults)
    said: list[Phrase] = []
    for place, rivals in groups.items():
        against = found.hypotheses[found.row(rivals[0])]
        named = tuple(
            title_of(appliance, faults, words) if faults else words.say(SoundRival(), "sound") for faults in rivals
        )
        told = RivalsAnswered(contrast(appliance, found.evidence[place], found, against, words), named)
        said.append(words.say(told, "against"))
    return said
