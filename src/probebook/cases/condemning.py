"""What condemns: a reading of the part itself, and whatever else is needed until no other failure fits.

Diagnosis weighs the faults that a file lists. Here every single way in which the circuit can fail is held against the
evidence (:mod:`probebook.physical`), which shares nothing with it: what is issued, both agree on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from probebook.appliances import Appliance, BranchKind, Fault, FaultKind
from probebook.cases.trial_table import TrialTable
from probebook.diagnosis import Evidence, Measured, Observation
from probebook.diagnosis.effort import minutes
from probebook.diagnosis.inference import LEAKS
from probebook.diagnosis.off_list import read_of, reads_of, seen_in_use, told_of_use
from probebook.diagnosis.places import metalwork, rest, wires_at
from probebook.diagnosis.trial import Trial, reading
from probebook.meters import Function, Meter
from probebook.numerics.choosing import smallest_of
from probebook.physical import Failure, InUse, Mode, Read, fitting, reads_itself, ruled_out, same_as

__all__ = ["condemned", "dried_places", "evidence_here", "own_columns", "own_places", "unlisted", "unread"]

#: A failure that fits, and the faults that are present with it.
Left = tuple[Failure, tuple[Fault, ...]]


def evidence_here(
    appliance: Appliance, evidence: Sequence[Observation], meters: Sequence[Meter]
) -> tuple[list[Read], list[InUse], list[InUse]]:
    """What was read, seen in use and complained of, in the terms of the floor of physical failures."""
    return reads_of(appliance, evidence, meters), seen_in_use(evidence), told_of_use(evidence)


def unlisted(
    appliance: Appliance, truth: Sequence[str], evidence: Sequence[Observation], meters: Sequence[Meter]
) -> list[Left]:
    """Every single failure that fits all readings and runs beside the faults of the key, and what it is present with.

    With two faults each is proved with the other present, and both against any one failure.
    """
    faults = [appliance.fault(f) for f in truth]
    circuit = [f for f in faults if f.changes]
    hidden = [f for f in faults if not f.changes and f.kind is not FaultKind.USER_SETTING]
    asked: list[tuple[tuple[Fault, ...], frozenset[tuple[Mode, str]]]] = []
    if len(faults) < 2:
        asked = [((), same_as(appliance, faults))]
    else:
        asked = [((), frozenset())]
        asked += [(tuple(g for g in faults if g is not f), same_as(appliance, [f])) for f in faults]
    reads, ran, told = evidence_here(appliance, evidence, meters)
    found: list[Left] = []
    for given, same in asked:
        fit = fitting(appliance, reads, ran, told, given)
        fit = tuple(f for f in fit if f.what not in same)
        if not circuit and not hidden:
            fit = tuple(f for f in fit if f.mode is not Mode.NONE)
        found += [(f, given) for f in fit]
    return found


def own_branches(appliance: Appliance, fault: Fault) -> list[tuple[str, bool]]:
    """Branches of which a fault has to be read itself, and whether each is welded.

    No meter reads a neon. Of a motor that is seized the winding is read, which has to be good.
    """
    if fault.kind is FaultKind.MISPLACED_WIRE:
        return [(fault.changes[-1].branch, False)]
    if fault.stops:
        return [(b.name, False) for b in appliance.branches if b.part == fault.stops and b.kind is BranchKind.MOTOR]
    kinds = {b.name: b.kind for b in appliance.branches}
    read = [c.branch for c in fault.changes if kinds[c.branch] is not BranchKind.NEON]
    return [(branch, fault.kind is FaultKind.STUCK_CLOSED) for branch in read]


def _is_own(appliance: Appliance, trial: Trial, branch: str, *, welded: bool) -> bool:
    return not trial.dried and reads_itself(appliance, read_of(appliance, trial), branch, welded=welded)


def own_columns(view: TrialTable, fault: Fault) -> frozenset[int]:
    """Readings of the table that are of the very part (or wire, or contact) of a fault."""
    wanted = own_branches(view.appliance, fault)
    return frozenset(
        column
        for column, trial in enumerate(view.trials[: view.readings])
        if wanted and all(_is_own(view.appliance, trial, branch, welded=welded) for branch, welded in wanted)
    )


def own_places(appliance: Appliance, truth: Sequence[str], evidence: Sequence[Observation]) -> dict[str, int]:
    """Place of the first reading of each branch of which the key has to be read itself; -1 where there is none."""
    found: dict[str, int] = {}
    for name in truth:
        for branch, welded in own_branches(appliance, appliance.fault(name)):
            places = (
                i
                for i, o in enumerate(evidence)
                if isinstance(o, Measured) and _is_own(appliance, o.trial, branch, welded=welded)
            )
            found[branch] = next(places, -1)
    return found


def dried_places(appliance: Appliance, truth: Sequence[str], evidence: Sequence[Observation]) -> dict[str, int]:
    """Place of a reading after drying out of each branch of the key that leaks or is damp; -1 where there is none.

    What is low may be damp or cracked: only a second reading, dried, tells (common practice, no published source).
    """
    found: dict[str, int] = {}
    for fault in (appliance.fault(name) for name in truth):
        for branch, welded in own_branches(appliance, fault) if fault.kind in LEAKS else ():
            places = (
                i
                for i, o in enumerate(evidence)
                if isinstance(o, Measured)
                and o.trial.dried
                and _is_own(appliance, replace(o.trial, dried=False), branch, welded=welded)
            )
            found[branch] = next(places, -1)
    return found


def unread(appliance: Appliance, truth: Sequence[str], evidence: Sequence[Observation]) -> list[tuple[str, bool]]:
    """Branches of the key of which no reading is in the evidence, and whether each is welded."""
    read = own_places(appliance, truth, evidence)
    wanted = [own for name in truth for own in own_branches(appliance, appliance.fault(name))]
    return [(branch, welded) for branch, welded in wanted if read[branch] < 0]


def _own_trial(view: TrialTable, branch: str, *, welded: bool) -> Trial | None:
    """The quickest reading of a branch itself; None where it cannot be read."""
    trials = [*view.trials[: view.readings], *_made_for(view.appliance, branch)]
    fit = [t for t in trials if _is_own(view.appliance, t, branch, welded=welded)]
    return smallest_of(fit, lambda t: minutes(view.model, t), lambda t: t.key) if fit else None


def _made_for(appliance: Appliance, branch: str) -> list[Trial]:
    """Readings of a branch itself that the table may not have: across it, with the wires of one end or of both off."""
    a, b = (appliance.terminals[t] for t in appliance.branches[appliance.branch(branch)].ends)
    section = branch.split("~", maxsplit=1)[0]
    still = rest(appliance)
    if section != branch:
        own = [appliance.terminals[t] for t in appliance.branches[appliance.branch(section)].ends]
        off = frozenset(w for t in own for w in wires_at(appliance, t))
        return [reading(still, own[-1], b, Function.INSULATION, lifted=off)]
    if {a, b} <= {*metalwork(appliance), appliance.earth}:
        return [reading(still, a, b, Function.CONTINUITY)]
    offs = [(), *(wires_at(appliance, t) for t in (a, b))]
    return [reading(still, a, b, lifted=off) for off in offs]


def _dried_too(appliance: Appliance, truth: Sequence[str], evidence: Evidence) -> list[Trial]:
    """What has to be read once more after drying out."""
    places, dried = own_places(appliance, truth, evidence), dried_places(appliance, truth, evidence)
    low = [evidence[places[branch]] for branch, place in dried.items() if place < 0]
    return list(dict.fromkeys(replace(o.trial, dried=True) for o in low if isinstance(o, Measured)))


def parting(
    view: TrialTable, left: Sequence[Left], evidence: Evidence, takes: Callable[[Sequence[Trial]], list[Measured]]
) -> Trial | None:
    """The reading, all wires on, that rules out most of the failures left; None where none rules out any."""
    appliance = view.appliance
    done = {o.trial for o in evidence if isinstance(o, Measured)}
    trials = [t for t in view.trials[: view.readings] if not (t.lifted or t.dried or t in done)]
    reads = reads_of(appliance, takes(trials), view.meters)
    out = np.zeros(len(trials))
    for given in dict.fromkeys(g for _, g in left):
        out += ruled_out(appliance, [f for f, g in left if g == given], reads, given).sum(axis=1)
    if not len(out) or out.max() <= 0.0:
        return None
    best = [t for t, count in zip(trials, out.tolist(), strict=True) if count == out.max()]
    return smallest_of(best, lambda t: minutes(view.model, t), lambda t: t.key)


def condemned(
    view: TrialTable,
    truth: Sequence[str],
    evidence: Evidence,
    takes: Callable[[Sequence[Trial]], list[Measured]],
    most: int,
) -> tuple[Observation, ...] | None:
    """What has to be read beside the evidence until the key alone is left: its own parts last.

    ``takes`` gives what trials show; ``most`` is how many readings may be added beside those of the parts themselves.
    None where that is not enough: another failure fits, or a part cannot be read.
    """
    parts: list[Trial] = []
    for branch, welded in unread(view.appliance, truth, evidence):
        trial = _own_trial(view, branch, welded=welded)
        if trial is None:
            return None
        if trial not in parts:
            parts.append(trial)
    own = takes(parts)
    own += takes(_dried_too(view.appliance, truth, (*evidence, *own)))
    between: tuple[Observation, ...] = ()
    while left := unlisted(view.appliance, truth, (*evidence, *between, *own), view.meters):
        trial = parting(view, left, (*evidence, *between, *own), takes) if len(between) < most else None
        if trial is None:
            return None
        between = (*between, *takes([trial]))
    return (*between, *own)
