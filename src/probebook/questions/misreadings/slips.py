"""The slips that lead astray in a case, each with the faults it leads to and what is said of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Annotated

from probebook.appliances import Appliance, BranchKind, FaultKind
from probebook.appliances.naming import load_between, load_noun
from probebook.assumptions import Assumed
from probebook.cases.model import Case
from probebook.diagnosis import Complaint, Measured, Posterior, band_words, posterior
from probebook.diagnosis.places import place_of, wires_at
from probebook.diagnosis.symptom_table import NORMAL, PROTECTION, TEMPERATURE
from probebook.meters import Function
from probebook.questions.misreadings.evidence import Misreading, View, believed, changed, stages
from probebook.questions.misreadings.facts import (
    DampFacts,
    ExactFacts,
    LoadFacts,
    NamedFacts,
    ReadingFacts,
    ReturnFacts,
    SoundFacts,
    StageFacts,
    TwoFacts,
    UsualFacts,
)
from probebook.words import Words

__all__ = ["misreadings"]

#: Faults that break a path: what somebody thinks of who leaves the return path out of account.
BREAKS = frozenset((FaultKind.OPEN, FaultKind.BROKEN_WIRE, FaultKind.STUCK_OPEN))


@dataclass(frozen=True)
class Misreadable(Assumed, table="questions.misreadings"):
    """From where on a reading can be misread, and an explanation be held."""

    rivals: Annotated[int, "1"]
    path: Annotated[float, "ohm"]
    rare: Annotated[float, "1"]
    alone_least: Annotated[float, "1"]
    alone_most: Annotated[float, "1"]


def _assumed(view: View) -> Misreadable:
    return view.appliance.assumptions.get(Misreadable)


def misreadings(words: Words, case: Case, appliance: Appliance, found: Posterior) -> Iterator[Misreading]:
    """The slips that lead astray in this case, the most telling first; each with where it leads."""
    truth = found.hypotheses[found.row(case.truth)].faults
    view = View(words, case, appliance, found)
    for make in _MAKERS:
        for slip in make(view):
            if slip.faults != truth:
                yield slip


def _usual(view: View) -> Iterator[Misreading]:
    complaint = [o for o in view.case.evidence if isinstance(o, Complaint)]
    best, share = posterior(view.appliance, complaint, view.meters, draws=1).ranked()[0]
    key = "commonest" if best.faults else "likeliest"
    yield view.says("usual-suspect", best.faults, UsualFacts(share * 100), key)


def _named(view: View) -> Iterator[Misreading]:
    told = [s for o in view.case.evidence if isinstance(o, Complaint) for s in o.symptoms]
    for symptom in told:
        if symptom.how == NORMAL or symptom.subject in (PROTECTION, TEMPERATURE):
            continue
        loads = {b.name for b in view.appliance.branches if symptom.subject in (b.place, b.name)}
        kinds = (FaultKind.OPEN, FaultKind.DRIFT, FaultKind.WRONG_PART)
        faults = [f for f in view.appliance.faults if f.target in loads and f.kind in kinds]
        if faults:
            worst = max(faults, key=lambda f: (f.likelihood, f.id))
            yield view.says("symptom-is-cause", frozenset((worst.id,)), NamedFacts(), "cause")


def _wires_on(view: View) -> Iterator[Misreading]:
    def as_if_off(item: Measured) -> Measured | None:
        trial = item.trial
        if trial.lifted or trial.function is not Function.OHMS or not load_between(view.appliance, *trial.probes):
            return None
        own = wires_at(view.appliance, trial.probes[1]) or wires_at(view.appliance, trial.probes[0])
        return replace(item, trial=replace(trial, lifted=frozenset(own)))

    for i, item, evidence in changed(view.case, as_if_off):
        load = load_noun(view.words, view.appliance, load_between(view.appliance, *item.trial.probes))
        faults = believed(view.appliance, evidence, view.meters)
        yield view.says("parallel-path", faults, LoadFacts(i, item.display, load), "wires-on", i)


def _ol_as_zero(view: View) -> Iterator[Misreading]:
    def as_whole(item: Measured) -> Measured | None:
        sound = view.sound(item)
        if item.trial.function is Function.INSULATION or math.isfinite(item.value) or math.isinf(sound.nominal):
            return None
        return replace(item, value=round(sound.nominal, 1), display="")

    for i, item, evidence in changed(view.case, as_whole):
        faults = believed(view.appliance, evidence, view.meters)
        yield view.says("ol-as-zero", faults, ReadingFacts(i, item.display), "open", i)


def _zero_as_open(view: View) -> Iterator[Misreading]:
    def as_open(item: Measured) -> Measured | None:
        if item.trial.function is Function.OHMS and item.value < _assumed(view).path:
            return replace(item, value=math.inf, display="OL")
        return None

    for i, item, evidence in changed(view.case, as_open):
        faults = believed(view.appliance, evidence, view.meters)
        yield view.says("zero-as-open", faults, ReadingFacts(i, item.display), "whole", i)


def _passed(view: View) -> Iterator[Misreading]:
    def as_it_should_be(item: Measured) -> Measured | None:
        if (
            not math.isfinite(item.value)
            or item.value < _assumed(view).path
            or item.trial.function is not Function.OHMS
        ):
            return None
        sound = view.sound(item)
        if not math.isfinite(sound.nominal) or sound.low <= item.value <= sound.high:
            return None
        return replace(item, value=round(sound.nominal, 1), display="")

    for i, item, evidence in changed(view.case, as_it_should_be):
        faults = believed(view.appliance, evidence, view.meters)
        facts = SoundFacts(i, item.display, band_words(view.sound(item), view.words))
        yield view.says("any-reading-passes", faults, facts, "passed", i)


def _damp(view: View) -> Iterator[Misreading]:
    kinds = {view.appliance.fault(f).kind: f for f in view.case.truth}
    readings = [(i, o) for i, o in enumerate(view.case.evidence) if isinstance(o, Measured)]
    dried = next((i for i, o in readings if o.trial.dried), 0)
    least = view.appliance.region.rule("insulation.return-to-service").low
    bad = [(i, o) for i, o in readings if o.trial.function is Function.INSULATION and o.value < least]
    if not bad or not bad[0][0]:
        return
    low, shown = bad[0]
    for have, slip, other in (
        (FaultKind.DAMP, "damp-condemned", FaultKind.LEAK),
        (FaultKind.LEAK, "leak-passed", FaultKind.DAMP),
    ):
        if have not in kinds:
            continue
        rest = frozenset(view.case.truth) - {kinds[have]}
        here = place_of(view.appliance, view.appliance.fault(kinds[have]))
        options = [f for f in view.appliance.faults if f.kind is other]
        options.sort(key=lambda f: (place_of(view.appliance, f) != here, -f.likelihood, f.id))
        if options:
            facts = DampFacts(low, shown.display, dried)
            yield view.says(slip, rest | {options[0].id}, facts, "low-dried" if dried else "low", low)


def _exact(view: View) -> Iterator[Misreading]:
    appliance = view.appliance
    for i, item in enumerate(view.case.evidence):
        if not isinstance(item, Measured) or not item.trial.lifted or not math.isfinite(item.value):
            continue
        name = load_between(appliance, *item.trial.probes)
        kinds = (FaultKind.DRIFT, FaultKind.WRONG_PART)
        wrong = [f for f in appliance.faults if f.target == name and f.kind in kinds]
        sound = view.sound(item)
        if not wrong or not sound.low <= item.value <= sound.high:
            continue
        branch = appliance.branches[appliance.branch(name)]
        plate = appliance.rated_volts(branch, appliance.plate.volts) ** 2 / branch.watts
        assumed = _assumed(view)
        if not assumed.alone_least * plate <= sound.nominal <= assumed.alone_most * plate:
            continue
        worst = max(wrong, key=lambda f: (f.likelihood, f.id))
        load = load_noun(view.words, appliance, name)
        facts = ExactFacts(i, item.display, plate, band_words(sound, view.words), load)
        yield view.says("exact-match", frozenset((worst.id,)), facts, "plate", i)


def _too_soon(view: View) -> Iterator[Misreading]:
    """What was still possible at some stage, or would be if one reading had not been taken."""
    found, assumed = stages(view.case, view.found), _assumed(view)
    for row in found.order[: assumed.rivals]:
        share, after, without = float(found.share[row]), int(found.after[row]), int(found.without[row])
        key = "without" if without else "after" if after else "complaint"
        facts = StageFacts(without or after, share * 100)
        faults = view.found.hypotheses[row].faults
        yield view.says("one-reading-enough", faults, facts, key if share >= assumed.rare else f"{key}-rare")


def _return_path(view: View) -> Iterator[Misreading]:
    """With everything on the neutral side left out of account: a break there is looked for on the line side."""
    lights = {b.name for b in view.appliance.branches if b.kind in (BranchKind.LAMP, BranchKind.NEON)}
    breaks = {f.id for f in view.appliance.faults if f.kind in BREAKS and f.target not in lights}
    wires, returning = _return_side(view.appliance)
    if not any(f in breaks and view.appliance.fault(f).target in wires for f in view.case.truth):
        return
    for hypothesis, _ in view.found.ranked():
        targets = {view.appliance.fault(f).target for f in hypothesis.faults}
        if hypothesis.faults and hypothesis.faults <= breaks and not targets & (wires | returning):
            yield view.says("one-wire", hypothesis.faults, ReturnFacts(), "left-out")
            return


def _return_side(appliance: Appliance) -> tuple[set[str], set[str]]:
    """The wires in the colour of neutral, and the contacts and fuses that such a wire comes to."""
    wires = [w for w in appliance.wires if w.colour == appliance.region.colours.neutral]
    ends = {appliance.terminal(end) for w in wires for end in (w.start, w.end)}
    passes = (b for b in appliance.branches if b.kind in (BranchKind.CONTACT, BranchKind.FUSE))
    return {w.mark for w in wires}, {b.name for b in passes if ends & set(b.ends)}


def _first_fault(view: View) -> Iterator[Misreading]:
    if len(view.case.truth) > 1:
        for fault in view.case.truth:
            title = view.appliance.fault(fault).title
            yield view.says("first-fault-enough", frozenset((fault,)), TwoFacts(title), "one-of-two")


_Maker = Callable[[View], Iterator[Misreading]]
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
