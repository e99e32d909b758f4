"""Ways of choosing the next test badly, each computed for the job as it stands."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import BranchKind, FaultKind, PartKind
from probebook.appliances.naming import load_between, load_noun
from probebook.diagnosis import Complaint, Measured, TrialKind, posterior
from probebook.diagnosis.trial import by_number
from probebook.diagnosis.value import Worth
from probebook.meters import Function
from probebook.numerics.choosing import largest, largest_of
from probebook.questions.next_test.telling import Job
from probebook.words import Facts, Noun, Phrase

__all__ = ["Misstep", "missteps"]

#: Tests tried until one is found that shows the same for every suspect.
TRIED = 40


@dataclass(frozen=True)
class LiveFacts(Facts, group="questions/next_test/live", says=("option", "here")):
    """The load that most of the suspicion falls on."""

    load: Noun


@dataclass(frozen=True)
class BypassFacts(Facts, group="questions/next_test/bypass", says=("option", "here")):
    """A cut-out and its mark."""

    title: Noun
    mark: str


@dataclass(frozen=True)
class UntestedFacts(Facts, group="questions/next_test/untested", says=("option", "here")):
    """The position that works most."""

    position: Noun


@dataclass(frozen=True)
class ParallelFacts(Facts, group="questions/next_test/parallel", says=("here",)):
    """Bits that a part tells with every wire on, and with some off."""

    plain: float
    better: float
    off: tuple[str, ...]


@dataclass(frozen=True)
class SameFacts(Facts, group="questions/next_test/same", says=("here",)):
    """What a meter shows whichever of the suspects it is."""

    shown: Phrase


@dataclass(frozen=True)
class BeeperFacts(Facts, group="questions/next_test/beeper", says=("option", "here")):
    """A load between its terminals, its ohms, and those at which the beeper falls silent."""

    load: Noun
    a: str
    b: str
    ohms: Annotated[float, "ohm"]
    beeper: Annotated[float, "ohm"]


@dataclass(frozen=True)
class UsualFacts(Facts, group="questions/next_test/usual", says=("option", "ruled-out-by", "ruled-out", "unlikely")):
    """The usual fault, what is fitted for it, how likely it is, and the reading that rules it out."""

    fault: Phrase
    mend: str
    likely: float
    reading: int


@dataclass(frozen=True, slots=True)
class Misstep:
    """A bad choice: its slip, what is said of it, its words where it is no listed test, its worth where it is one."""

    slip: str
    here: Phrase
    text: Phrase | None = None
    worth: Worth | None = None
    critical: bool = False


def missteps(job: Job, ranking: Sequence[Worth], rng: random.Random, *, is_proved: bool) -> list[Misstep]:
    """Bad choices, one for each slip: those that are dangerous in random order, then the others."""
    dangerous = list(_dangerous(job, is_proved=is_proved))
    rng.shuffle(dangerous)
    others = (
        _in_parallel(job, ranking, rng),
        _telling_nothing(job, ranking, rng),
        _listening(job),
        _swapping(job),
    )
    return [*dangerous, *(m for m in others if m is not None)]


def _suspected_load(job: Job) -> str:
    """The element that most of the suspicion falls on; the first of the appliance when none does."""
    weight = dict.fromkeys((b.name for b in job.appliance.branches if b.kind is BranchKind.ELEMENT), 0.0)
    for fault, probability in job.found.marginals().items():
        target = job.appliance.fault(fault).target
        if target in weight:
            weight[target] += probability
    return largest_of(weight, weight.__getitem__)


def _option(job: Job, slip: str, facts: Facts, *, critical: bool = False) -> Misstep:
    return Misstep(slip, job.words.say(facts, "here"), job.words.say(facts, "option"), critical=critical)


def _dangerous(job: Job, *, is_proved: bool) -> Iterator[Misstep]:
    words, appliance = job.words, job.appliance
    yield _option(job, "live-ohms", LiveFacts(load_noun(words, appliance, _suspected_load(job))), critical=True)
    cut_out = next((p for p in appliance.parts if p.kind is PartKind.CUT_OUT), None)
    if cut_out:
        yield _option(job, "bypass", BypassFacts(words.noun(cut_out.title), cut_out.mark), critical=True)
    if not is_proved:
        working = max(appliance.positions, key=lambda p: (len(p.heats), p.name))
        yield _option(job, "untested-return", UntestedFacts(words.noun(working.title)), critical=True)


def _in_parallel(job: Job, ranking: Sequence[Worth], rng: random.Random) -> Misstep | None:
    """A load read with its wires on, that would tell far more with one of them off."""
    gates = job.gates
    fitting: list[tuple[Worth, Worth]] = []
    for plain in ranking:
        trial = plain.trial
        if trial.kind is not TrialKind.METER or trial.function is not Function.OHMS or trial.lifted:
            continue
        if not load_between(job.appliance, *trial.probes):
            continue
        freed = [w for w in ranking if w.trial.probes == trial.probes and w.trial.lifted and w.bits >= gates.telling]
        better = largest_of(freed, lambda w: w.bits) if freed else None
        if better is not None and plain.bits < gates.masked * better.bits:
            fitting.append((plain, better))
    if not fitting:
        return None
    plain, better = rng.choice(fitting)
    facts = ParallelFacts(plain.bits, better.bits, tuple(sorted(better.trial.lifted, key=by_number)))
    return Misstep("parallel-path", job.words.say(facts, "here"), worth=plain)


def _telling_nothing(job: Job, ranking: Sequence[Worth], rng: random.Random) -> Misstep | None:
    """A reading that would be the same whichever of the suspects it is."""
    fitting = [
        w
        for w in ranking
        if w.bits < job.gates.nothing
        and w.trial.kind is TrialKind.METER
        and w.trial.function is Function.OHMS
        and not w.trial.dried
        and w.trial.calling
    ]
    suspects = [faults for faults, _ in job.suspects]
    rng.shuffle(fitting)
    fitting.sort(key=lambda w: not (load_between(job.appliance, *w.trial.probes) or w.trial.lifted))
    for worth in fitting[:TRIED]:
        shown = {job.band(worth.trial, faults) for faults in suspects}
        if len(shown) == 1:
            return Misstep("rules-out-nothing", job.words.say(SameFacts(shown.pop()), "here"), worth=worth)
    return None


def _listening(job: Job) -> Misstep | None:
    """The beeper across an element that it stays silent on, sound or open."""
    meter = next((m for m in job.found.meters if Function.CONTINUITY in m.functions), None)
    name = _suspected_load(job)
    branch = job.appliance.branches[job.appliance.branch(name)]
    if meter is None or meter.beeper_ohms is None or branch.cold_ohms < job.gates.silent * meter.beeper_ohms:
        return None
    a, b = (job.appliance.terminals[e] for e in branch.ends)
    load = load_noun(job.words, job.appliance, name)
    return _option(job, "beeper-silence", BeeperFacts(load, a, b, branch.cold_ohms, meter.beeper_ohms))


def _swapping(job: Job) -> Misstep | None:
    """Fitting what usually fails with such a complaint, untested."""
    gates = job.gates
    heard = [o for o in job.found.evidence if isinstance(o, Complaint)]
    before = posterior(job.appliance, heard, job.found.meters, draws=1)
    replaced = (FaultKind.OPEN, FaultKind.STUCK_OPEN, FaultKind.STUCK_CLOSED, FaultKind.DRIFT)
    for hypothesis, _ in before.ranked()[: gates.usual]:
        faults = sorted(hypothesis.faults)
        if len(faults) != 1 or job.appliance.fault(faults[0]).kind not in replaced:
            continue
        likely = job.found.probability_of(faults)
        if likely > gates.settled:
            return None
        reading = _ruled_out_by(job, hypothesis.faults) if likely < gates.ruled_out else 0
        fault = job.appliance.fault(faults[0])
        facts = UsualFacts(job.title(faults), fault.fit or fault.mend, likely, reading)
        key = "unlikely" if likely >= gates.ruled_out else "ruled-out-by" if reading else "ruled-out"
        return Misstep("usual-suspect", job.words.say(facts, key), job.words.say(facts, "option"))
    return None


def _ruled_out_by(job: Job, faults: frozenset[str]) -> int:
    """Number of the reading that speaks most against these faults; 0 where something else does."""
    found = job.found
    most = largest(found.log_ratios(found.likeliest, found.row(faults)))
    return most if isinstance(found.evidence[most], Measured) else 0
