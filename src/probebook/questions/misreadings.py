"""What a person concludes who reads the evidence of a case wrongly in a named way.

Each slip changes the evidence as it changes it in the head of whoever makes it (OL becomes nought, a reading with all
wires on becomes one with a wire off, a reading is left out); what is then the most probable explanation is the answer
that the slip leads to. Nothing is made up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, FaultKind
from probebook.cases.model import Case
from probebook.cases.outlook import load_between
from probebook.cases.words import load_words
from probebook.diagnosis import Complaint, Evidence, Measured, Observation, Posterior, expected, posterior
from probebook.diagnosis.symptoms import NORMAL, PROTECTION, TEMPERATURE
from probebook.diagnosis.trials import place_of, wires_at
from probebook.meters import Function, Meter

__all__ = ["Misreading", "believed", "misreadings"]

#: How many rivals are looked at from the most probable down.
OFFERED = 16
#: Below this a reading counts as 'no resistance', ohms.
NOUGHT = 1.0
#: Faults that break a path or narrow it: what somebody thinks of who leaves the return path out of account.
BREAKS = frozenset((FaultKind.OPEN, FaultKind.BROKEN_WIRE, FaultKind.STUCK_OPEN, FaultKind.HIGH_RESISTANCE))
#: Cold ohms of a part by itself, as shares of its hot ohms by the plate: outside these something lies beside it.
ALONE = (0.85, 1.05)


@dataclass(frozen=True, slots=True)
class Misreading:
    """The faults that a slip leads to, and a sentence with the case's own figures."""

    slip: str
    faults: frozenset[str]
    here: str


@dataclass(frozen=True, slots=True, eq=False)
class _View:
    case: Case
    appliance: Appliance
    meters: tuple[Meter, ...]
    found: Posterior


def believed(appliance: Appliance, evidence: Sequence[Observation], meters: Sequence[Meter]) -> frozenset[str]:
    """The most probable explanation of evidence as somebody takes it."""
    found = posterior(appliance, evidence, tuple(meters), draws=1)
    return found.ranked()[0][0].faults


def misreadings(case: Case, appliance: Appliance, meters: Sequence[Meter], found: Posterior) -> Iterator[Misreading]:
    """The slips that lead astray in this case, the most telling first; each with where it leads."""
    truth = found.hypotheses[found.row(case.truth)].faults
    view = _View(case, appliance, tuple(meters), found)
    for make in _MAKERS:
        for slip in make(view):
            if slip.faults != truth:
                yield slip


def _usual(view: _View) -> Iterator[Misreading]:
    complaint = [o for o in view.case.evidence if isinstance(o, Complaint)]
    ranked = posterior(view.appliance, complaint, view.meters, draws=1).ranked()
    best, share = ranked[0]
    likely = "the commonest cause of such a complaint" if best.faults else "the likeliest by the job card alone"
    yield Misreading(
        "usual-suspect",
        best.faults,
        f"That is {likely} (about {share * 100:.0f} in 100), but the readings do not bear it out.",
    )


def _named(view: _View) -> Iterator[Misreading]:
    told = [s for o in view.case.evidence if isinstance(o, Complaint) for s in o.symptoms]
    for symptom in told:
        if symptom.how == NORMAL or symptom.subject in (PROTECTION, TEMPERATURE):
            continue
        loads = [b for b in view.appliance.branches if b.place == symptom.subject or b.name == symptom.subject]
        faults = [
            f
            for f in view.appliance.faults
            if f.target in {b.name for b in loads} and f.kind in (FaultKind.OPEN, FaultKind.DRIFT, FaultKind.WRONG_PART)
        ]
        if faults:
            worst = max(faults, key=lambda f: (f.likelihood, f.id))
            yield Misreading(
                "symptom-is-cause",
                frozenset((worst.id,)),
                "The customer names what does not work; that is where the fault shows, not where it is.",
            )


def _replaced(case: Case, change: Callable[[int, Measured], Measured | None]) -> list[tuple[int, Measured, Evidence]]:
    """Every reading that a slip changes, with the evidence as it then looks."""
    rows: list[tuple[int, Measured, Evidence]] = []
    for i, item in enumerate(case.evidence):
        if isinstance(item, Measured) and (new := change(i, item)) is not None:
            rows.append((i, item, (*case.evidence[:i], new, *case.evidence[i + 1 :])))
    return rows


def _wires_on(view: _View) -> Iterator[Misreading]:
    def as_if_off(_: int, item: Measured) -> Measured | None:
        trial = item.trial
        if trial.lifted or trial.function is not Function.OHMS or not load_between(view.appliance, *trial.probes):
            return None
        own = wires_at(view.appliance, trial.probes[1]) or wires_at(view.appliance, trial.probes[0])
        return replace(item, trial=replace(trial, lifted=frozenset(own)))

    for i, item, evidence in _replaced(view.case, as_if_off):
        load = load_words(view.appliance, load_between(view.appliance, *item.trial.probes))
        yield Misreading(
            "parallel-path",
            believed(view.appliance, evidence, view.meters),
            f"Reading {i} ({item.display}) was taken across the {load} with all wires on: it is not the {load} alone.",
        )


def _ol_as_zero(view: _View) -> Iterator[Misreading]:
    def as_whole(_: int, item: Measured) -> Measured | None:
        sound = expected(view.appliance, item.trial, (), view.meters, nulled=item.nulled)
        if item.trial.function is Function.INSULATION or math.isfinite(item.value) or math.isinf(sound.nominal):
            return None
        return replace(item, value=round(sound.nominal, 1), display="")

    for i, _item, evidence in _replaced(view.case, as_whole):
        yield Misreading(
            "ol-as-zero", believed(view.appliance, evidence, view.meters), f"Reading {i} is OL: no path there at all."
        )


def _zero_as_open(view: _View) -> Iterator[Misreading]:
    def as_open(_: int, item: Measured) -> Measured | None:
        if item.trial.function is Function.OHMS and item.value < NOUGHT:
            return replace(item, value=math.inf, display="OL")
        return None

    for i, item, evidence in _replaced(view.case, as_open):
        yield Misreading(
            "zero-as-open",
            believed(view.appliance, evidence, view.meters),
            f"Reading {i} ({item.display}) is a good connection.",
        )


def _passed(view: _View) -> Iterator[Misreading]:
    def as_it_should_be(_: int, item: Measured) -> Measured | None:
        if not math.isfinite(item.value) or item.value < NOUGHT or item.trial.function is not Function.OHMS:
            return None
        sound = expected(view.appliance, item.trial, (), view.meters, nulled=item.nulled)
        if not math.isfinite(sound.nominal) or sound.low <= item.value <= sound.high:
            return None
        return replace(item, value=round(sound.nominal, 1), display="")

    for i, item, evidence in _replaced(view.case, as_it_should_be):
        sound = expected(view.appliance, item.trial, (), view.meters, nulled=item.nulled)
        yield Misreading(
            "any-reading-passes",
            believed(view.appliance, evidence, view.meters),
            f"Reading {i} shows {item.display}; a sound appliance shows {sound.text} there.",
        )


def _damp(view: _View) -> Iterator[Misreading]:
    kinds = {view.appliance.fault(f).kind: f for f in view.case.truth}
    dried = [i for i, o in enumerate(view.case.evidence) if isinstance(o, Measured) and o.trial.dried]
    low = next(
        (
            i
            for i, o in enumerate(view.case.evidence)
            if isinstance(o, Measured) and o.trial.function is Function.INSULATION and o.value < 1e6
        ),
        0,
    )
    for have, slip, other in (
        (FaultKind.DAMP, "damp-condemned", FaultKind.LEAK),
        (FaultKind.LEAK, "leak-passed", FaultKind.DAMP),
    ):
        if have not in kinds or not low:
            continue
        rest = frozenset(view.case.truth) - {kinds[have]}
        options = [f for f in view.appliance.faults if f.kind is other]
        here = place_of(view.appliance, view.appliance.fault(kinds[have]))
        options.sort(key=lambda f: (place_of(view.appliance, f) != here, -f.likelihood, f.id))
        shown = view.case.evidence[low]
        if options and isinstance(shown, Measured):
            after = f" and reading {dried[0]} was taken after drying" if dried else ""
            yield Misreading(slip, rest | {options[0].id}, f"Reading {low} shows {shown.display}{after}.")


def _exact(view: _View) -> Iterator[Misreading]:
    for i, item in enumerate(view.case.evidence):
        if not isinstance(item, Measured) or not item.trial.lifted or not math.isfinite(item.value):
            continue
        name = load_between(view.appliance, *item.trial.probes)
        wrong = [
            f for f in view.appliance.faults if f.target == name and f.kind in (FaultKind.DRIFT, FaultKind.WRONG_PART)
        ]
        sound = expected(view.appliance, item.trial, (), view.meters, nulled=item.nulled)
        if not wrong or not sound.low <= item.value <= sound.high:
            continue
        branch = view.appliance.branches[view.appliance.branch(name)]
        plate = view.appliance.plate.volts**2 / branch.watts
        if not ALONE[0] * plate <= sound.nominal <= ALONE[1] * plate:
            continue
        yield Misreading(
            "exact-match",
            frozenset((max(wrong, key=lambda f: (f.likelihood, f.id)).id,)),
            f"Reading {i} shows {item.display} where the plate gives {plate:.1f} Ω hot; {sound.text} is what a sound "
            f"{load_words(view.appliance, name)} reads cold.",
        )


def _too_soon(view: _View) -> Iterator[Misreading]:
    """What was still possible at some stage, or would be if one reading had not been taken."""
    prior = np.log([h.prior for h in view.found.hypotheses])
    last = len(view.case.evidence) - 1
    stages = _shares(prior[:, None] + np.cumsum(view.found.by_observation, axis=1))[:, :last]
    everything = prior + view.found.by_observation.sum(axis=1)
    without = _shares(everything[:, None] - view.found.by_observation)[:, 1:]
    # Only the reading that speaks most against a rival is said to have ruled it out.
    against = view.found.by_observation[view.found.row(view.case.truth)] - view.found.by_observation
    without = np.where(np.arange(last) + 1 == np.argmax(against, axis=1)[:, None], without, 0.0)
    chance = np.concatenate([stages, without], axis=1)
    single = np.array([len(h.faults) <= 1 for h in view.found.hypotheses])
    for row in np.argsort(-chance.max(axis=1) - single, kind="stable")[: 2 * OFFERED]:
        best = int(np.argmax(chance[row]))
        share = float(chance[row, best])
        many = f"about {share * 100:.0f} in 100" if share >= 0.015 else "though rarely met"
        if best >= last:
            here = f"Without reading {best - last + 1} that would still be possible ({many})."
        elif best == 0:
            here = f"On the complaint alone that was possible ({many}); the readings rule it out."
        else:
            here = f"After reading {best} that was still possible ({many}); what follows rules it out."
        yield Misreading("one-reading-enough", view.found.hypotheses[row].faults, here)


def _shares(score: NDArray[np.float64]) -> NDArray[np.float64]:
    share = np.exp(score - score.max(axis=0))
    return np.asarray(share / share.sum(axis=0))


def _return_path(view: _View) -> Iterator[Misreading]:
    """With everything on the neutral side left out of account."""
    blue = {w.mark for w in view.appliance.wires if w.colour == "blue"}
    neutral = {f.id for f in view.appliance.faults if f.target in blue}
    if not neutral & set(view.case.truth):
        return
    for hypothesis, _ in view.found.ranked():
        kinds = {view.appliance.fault(f).kind for f in hypothesis.faults}
        if kinds and kinds <= BREAKS and not hypothesis.faults & neutral:
            yield Misreading("one-wire", hypothesis.faults, "The break is in the return path, which this leaves out.")
            return


def _first_fault(view: _View) -> Iterator[Misreading]:
    if len(view.case.truth) > 1:
        for fault in view.case.truth:
            yield Misreading(
                "first-fault-enough",
                frozenset((fault,)),
                f"That is one of two faults: {view.appliance.fault(fault).title} does not explain the other readings.",
            )


_Maker = Callable[[_View], Iterator[Misreading]]
_MAKERS: tuple[_Maker, ...] = (
    _first_fault,
    _damp,
    _return_path,
    _wires_on,
    _named,
    _usual,
    _passed,
    _ol_as_zero,
    _zero_as_open,
    _exact,
    _too_soon,
)
