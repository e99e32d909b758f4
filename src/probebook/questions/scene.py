"""A measurement as the core sees it: probes, state, and the ohms, paths and watts found there; slips told apart.

The numbers come from the circuit floor; a part is taken out or changed in the branch table, never by a formula. What a
prompt says of it stands in :mod:`probebook.questions.situation_words`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import (
    OHMMETER_VOLTS,
    Appliance,
    Branch,
    BranchKind,
    State,
    branch_ends,
    branch_ohms,
)
from probebook.appliances.model import LOADS
from probebook.appliances.relays import TableOf, settled
from probebook.appliances.supply.incoming import held_terminals
from probebook.cases.library import Library
from probebook.circuit import Energised, energise, resistances_for
from probebook.meters import Function, Meter, read
from probebook.questions.frame import Unfit, WrongNumber, numeric_slips, slip_bands
from probebook.questions.model import Band, Field, Slip

__all__ = [
    "Scene",
    "band_about",
    "contributors",
    "energised",
    "fitting_slips",
    "half_width",
    "lifts_that_free",
    "loads",
    "ohms_between",
    "parallel",
    "power_in",
    "sections",
]


@dataclass(frozen=True, slots=True)
class Scene:
    """Where the probes are and how the appliance stands."""

    appliance: Appliance
    state: State
    probes: tuple[str, str]
    test_volts: float = OHMMETER_VOLTS


# ---------------------------------------------------------------- the core's numbers


def sections(appliance: Appliance) -> list[Branch]:
    """The element sections."""
    return [b for b in appliance.branches if b.kind is BranchKind.ELEMENT]


def loads(appliance: Appliance) -> list[Branch]:
    """Everything that does something when energised: sections, lamps, motors, neons."""
    return [b for b in appliance.branches if b.kind in LOADS]


def ohms_between(
    scene: Scene,
    changes: Sequence[Mapping[str, float]] = ({},),
    *,
    spread: NDArray[np.float64] | None = None,
    joined: Sequence[tuple[str, str]] = (),
) -> NDArray[np.float64]:
    """Ohms between the probes with branches set to given ohms, one value for each mapping in ``changes``.

    ``spread`` is as in :func:`~probebook.appliances.branch_ohms`; ``joined`` are terminals clipped together.
    """
    appliance = scene.appliance
    base = branch_ohms(appliance, [scene.state], test_volts=scene.test_volts, spread=spread)
    table = np.repeat(base, len(changes), axis=0)
    for row, change in enumerate(changes):
        for branch, value in change.items():
            table[row, appliance.branch(branch)] = value
    ends = branch_ends(appliance)
    if joined:
        extra = np.array([[appliance.terminal(a), appliance.terminal(b)] for a, b in joined], dtype=np.intp)
        ends = np.concatenate([ends, extra])
        table = np.concatenate([table, np.zeros((len(table), len(extra)))], axis=1)
    pair = np.array([[appliance.terminal(t) for t in scene.probes]], dtype=np.intp)
    return np.asarray(resistances_for(len(appliance.terminals), ends, table, pair)[:, 0], dtype=np.float64)


def contributors(scene: Scene) -> list[Branch]:
    """The loads that matter to the reading: taking one away changes it by more than half a per cent."""
    wanted = loads(scene.appliance)
    found = ohms_between(scene, [{}, *({b.name: math.inf} for b in wanted)])
    whole = found[0]
    if math.isinf(whole):
        return []
    return [b for b, without in zip(wanted, found[1:], strict=True) if without > whole * 1.005]


def power_in(
    appliance: Appliance, state: State, changes: Mapping[str, float] | None = None, volts: float | None = None
) -> dict[str, float]:
    """Watts of every load, hot, at rated voltage (or ``volts``), with branches set to given ohms."""
    supply = appliance.plate.volts if volts is None else volts

    def table(pulled: frozenset[str]) -> NDArray[np.float64]:
        here = replace(state, opened=state.opened | pulled)
        ohms = branch_ohms(appliance, [here], hot=True, test_volts=supply)
        for branch, value in (changes or {}).items():
            ohms[0, appliance.branch(branch)] = value
        return ohms

    flow = energised(appliance, supply, table)
    return {b.name: float(flow.watts[0, appliance.branch(b.name)]) for b in loads(appliance)}


def energised(appliance: Appliance, volts: float, table: TableOf) -> Energised:
    """What flows with each line at ``volts`` and neutral at nothing, the relays as they come to stand.

    Parameters
    ----------
    appliance, volts
        What is switched on, and at how many volts.
    table
        Ohms of every branch, ``(..., m)``, with a set of relays pulled in and of feeds live.
    """
    held = held_terminals(appliance, volts)
    if appliance.earth:
        del held[appliance.terminal(appliance.earth)]
    return energise(len(appliance.terminals), branch_ends(appliance), settled(appliance, held, table), held)


def parallel(values: Iterable[float]) -> float:
    """Ohms of paths side by side."""
    siemens = math.fsum(1.0 / v for v in values)
    return 1.0 / siemens if siemens > 0 else math.inf


def lifts_that_free(scene: Scene, branch: Branch) -> list[str]:
    """Wires of which lifting one leaves the branch alone between its own terminals, within half a per cent."""
    appliance = scene.appliance
    ends = set(branch.ends)
    near = [w.mark for w in appliance.wires if ends & {appliance.terminal(w.start), appliance.terminal(w.end)}]
    alone = _own_ohms(scene, branch)
    found = []
    for mark in near:
        state = replace(scene.state, lifted=scene.state.lifted | {mark})
        value = float(ohms_between(replace(scene, state=state))[0])
        if math.isclose(value, alone, rel_tol=0.005) or value == alone:
            found.append(mark)
    return found


def _own_ohms(scene: Scene, branch: Branch) -> float:
    table = branch_ohms(scene.appliance, [scene.state], test_volts=scene.test_volts)
    return float(table[0, scene.appliance.branch(branch.name)])


def half_width(meter: Meter, function: Function, value: float, *, nulled: bool) -> float:
    """How far the display may lie from a true value: accuracy, nulling and the last digit together."""
    if math.isinf(value):
        return 0.0
    shown = read(meter, function, value, nulled=nulled)
    if shown.overload:
        return 0.0
    used = next(r for r in meter.ranges_of(function) if math.isclose(r.resolution, shown.resolution, rel_tol=1e-6))
    return used.accuracy(shown.value) + meter.null_residual(function, nulled=nulled) + shown.resolution / 2


def band_about(
    scene: Scene, meter: Meter, function: Function, *, nulled: bool, joined: Sequence[tuple[str, str]] = ()
) -> tuple[float, Band]:
    """The reading expected, and the band to accept: making tolerance, cold or hot ohms, and the meter's limits.

    A learner who works from the plate (V² ÷ W, hot) and one who works from cold ohms are both within it.
    """
    appliance = scene.appliance
    m = len(appliance.branches)
    least, most = np.ones(m), np.ones(m)
    for i, branch in enumerate(appliance.branches):
        if branch.kind is BranchKind.ELEMENT:
            least[i] = 1 - branch.tolerance
            most[i] = (branch.hot_ohms / branch.cold_ohms) * (1 + branch.tolerance)
    middle = float(ohms_between(scene, joined=joined)[0])
    if math.isinf(middle):
        return middle, Band(middle, middle)
    low = float(ohms_between(scene, spread=least, joined=joined)[0])
    high = float(ohms_between(scene, spread=most, joined=joined)[0])
    leads = meter.leads_in(function, nulled=nulled)
    return middle, Band(
        max(0.0, low + leads - half_width(meter, function, low, nulled=nulled)),
        high + leads + half_width(meter, function, high, nulled=nulled),
    )


# ---------------------------------------------------------------- slips that can be told apart


def fitting_slips(
    library: Library,
    target: Field,
    wrong: Sequence[WrongNumber],
    *,
    needed: Sequence[str] = (),
    least: int = 3,
    widest: float = 0.03,
) -> tuple[Slip, ...]:
    """The slips that can be told from the key and from each other, each with a band as wide as that allows.

    A slip that cannot be told apart is left out, unless it is one of ``needed``: the point of the question. ``widest``
    is the relative width tried first; wider where a learner may start from hot or from cold ohms.

    Raises
    ------
    Unfit
        A needed slip cannot be told apart, or fewer than ``least`` are left.
    """
    kept: list[WrongNumber] = []
    for item in sorted(wrong, key=lambda w: w.slip not in needed):
        if not item.value >= 0:
            continue
        try:
            slip_bands(target, [*kept, item])
        except Unfit:
            if item.slip in needed:
                raise
            continue
        kept.append(item)
    missing = set(needed) - {item.slip for item in kept}
    if missing:
        raise Unfit(f"the slip '{min(missing)}' does not arise here")
    order = {id(item): number for number, item in enumerate(wrong)}
    kept.sort(key=lambda item: order[id(item)])
    for tolerance in (widest, 0.03, 0.015, 0.006):
        try:
            return numeric_slips(library, target, kept, tolerance=tolerance, least=least)
        except Unfit:
            if tolerance == 0.006:
                raise
    raise AssertionError("unreachable")
