"""What prompts have in common: parts, wires and positions in words, and the ohms the core finds for them.

The words are short trade English and leave nothing open: which meter, whether its leads are nulled, how the controls
stand, which wire is off. The numbers come from the circuit floor; a part is taken out or changed in the branch table,
never by a formula.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import (
    OHMMETER_VOLTS,
    Appliance,
    Branch,
    BranchKind,
    PartKind,
    State,
    branch_ends,
    branch_ohms,
)
from probebook.cases.library import Library
from probebook.circuit import energise, resistances_for
from probebook.meters import Function, Meter, read
from probebook.questions.frame import Ask, Unfit, WrongNumber, numeric_slips
from probebook.questions.model import Band, Field, Slip
from probebook.unit_format import format_quantity

__all__ = [
    "DEAD",
    "UNPLUGGED",
    "Scene",
    "band_about",
    "contributors",
    "controls_words",
    "diagram",
    "fitting_slips",
    "half_width",
    "lift_words",
    "lifts_that_free",
    "loads",
    "meter_words",
    "name",
    "name_here",
    "ohms",
    "ohms_between",
    "opening",
    "parallel",
    "power_in",
    "ratings_table",
    "sections",
    "watts",
    "wire_words",
]

#: How every measurement of resistance begins, on fixed wiring and on a plug.
DEAD = "The appliance is isolated, locked off and proved dead."
UNPLUGGED = "The appliance is unplugged, its plug in your keeping, and it is proved dead."

LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)


@dataclass(frozen=True, slots=True)
class Scene:
    """Where the probes are and how the appliance stands."""

    appliance: Appliance
    state: State
    probes: tuple[str, str]
    test_volts: float = OHMMETER_VOLTS


# ---------------------------------------------------------------- words


def ohms(value: float, digits: int = 3) -> str:
    """Ohms as a reader sees them, ``OL`` for an open circuit."""
    return "OL" if math.isinf(value) else format_quantity(value, "ohm", digits)


def watts(value: float, digits: int = 4) -> str:
    """Watts without a prefix."""
    return f"{float(f'{value:.{digits}g}'):g} W"


def _short(title: str) -> str:
    """The title without what stands in brackets or after a comma or 'with'."""
    return re.sub(r"\s*\([^)]*\)$|,.*$| with .*$", "", title)


def name(appliance: Appliance, branch: Branch) -> str:
    """A section, load or contact in words with its mark: ``inner circuit of the top element E1``."""
    if branch.kind is BranchKind.WIRE:
        return f"wire {branch.part}"
    part = appliance.part(branch.part)
    title = _short(part.title)
    _, dot, own = branch.name.partition(".")
    if branch.kind is BranchKind.ELEMENT:
        alone = sum(b.kind is BranchKind.ELEMENT and b.part == branch.part for b in appliance.branches) == 1
        if alone:
            return f"{title} {branch.part}"
        return f"{f'‘{own}’ circuit' if len(own) == 1 else f'{own} circuit'} of the {title} {branch.part}"
    if branch.kind is BranchKind.CONTACT and dot:
        return f"‘{own}’ contact of the {title} {branch.part}"
    return f"{title} {branch.part}"


def name_here(appliance: Appliance, branch: Branch) -> str:
    """The name with its two terminals: ``base element E2 (terminals E2.1 and E2.2)``."""
    a, b = (appliance.terminals[i] for i in branch.ends)
    return f"{name(appliance, branch)} (terminals **{a}** and **{b}**)"


def opening(appliance: Appliance) -> str:
    """Which appliance, and that it is dead: the beginning of a prompt about resistance."""
    dead = UNPLUGGED if appliance.supply.kind == "plug" else DEAD
    return f"**{appliance.title[0].upper()}{appliance.title[1:]}.** {dead}"


def wire_words(appliance: Appliance, mark: str) -> str:
    """A wire with its colour and its two ends."""
    wire = appliance.wire(mark)
    return f"wire **{mark}** ({wire.colour}, {wire.start} to {wire.end})"


def lift_words(appliance: Appliance, lifted: Iterable[str], probes: Sequence[str] = ()) -> str:
    """A sentence that says which wires are off, and at which end where a probed terminal is one."""
    marks = sorted(lifted)
    if not marks:
        return "Every wire is on."
    told = []
    for mark in marks:
        wire = appliance.wire(mark)
        at = next((t for t in probes if t in (wire.start, wire.end)), "")
        told.append(f"{wire_words(appliance, mark)} is lifted {f'off {at}' if at else 'at one end'}")
    words = " and ".join(told)
    return f"{words[0].upper()}{words[1:]}; all other wires are on."


def controls_words(appliance: Appliance, state: State) -> str:
    """A sentence or two that say how the controls stand and which contacts are therefore closed."""
    position = appliance.position(state.position)
    closed = [
        b.name
        for b in appliance.branches
        if b.kind is BranchKind.CONTACT and _switches(appliance, b) and b.name in position.closes
    ]
    said = f"The controls stand at **{position.title}**"
    said += f" (switch contacts closed: {', '.join(closed)})." if closed else " (no switch contact closed)."
    cycling = sorted({b.part for b in appliance.branches if b.cycles})
    if cycling:
        calling = [mark for mark in cycling if state.calling and mark not in state.satisfied]
        resting = [mark for mark in cycling if mark not in calling]
        if calling:
            called = [f"{_short(appliance.part(m).title)} {m}" for m in calling]
            said += f" {_list(called, capital=True)} {'calls' if len(called) == 1 else 'call'} for heat (closed)."
        if resting:
            rested = [f"{_short(appliance.part(m).title)} {m}" for m in resting]
            said += f" {_list(rested, capital=True)} {'does' if len(rested) == 1 else 'do'} not call (open)."
    return said


def _switches(appliance: Appliance, branch: Branch) -> bool:
    return appliance.part(branch.part).kind in (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)


def _list(items: Sequence[str], *, capital: bool = False) -> str:
    text = items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
    return f"The {text}" if capital else text


def meter_words(meter: Meter, function: Function, *, nulled: bool) -> str:
    """Which meter, which function, and how its leads stand."""
    dial = {
        Function.OHMS: "on ohms",
        Function.CONTINUITY: "on continuity",
        Function.INSULATION: "on insulation at 500 V",
        Function.AC_VOLTS: "on a.c. volts",
        Function.CLAMP: "on a.c. amperes",
    }[function]
    if not function.through_leads:
        return f"Meter: {meter.title}, {dial}."
    leads = "leads nulled" if nulled else f"leads not nulled ({ohms(meter.lead_ohms)} with the probes together)"
    return f"Meter: {meter.title}, {dial}, {leads}."


def diagram(
    ask: Ask, appliance: Appliance, position: str | None = None, lifted: Iterable[str] = ()
) -> tuple[tuple[str, str], ...]:
    """The wiring diagram as a picture of the question: contacts as they stand at level 1, above it all drawn open.

    None is given with a case, whose page shows it, nor where the plan says ``diagram = "none"`` because the workbook
    shows it already.
    """
    if ask.case is not None or ask.text("diagram") == "none":
        return ()
    drawn = _drawn(_Same(appliance), position if ask.level == 1 else None, frozenset(lifted))
    return ((f"{ask.id}-diagram.svg", drawn.replace(_PREFIX, f"{ask.id}-")),)


_PREFIX = "question-diagram-"


class _Same:
    """Cache key that compares appliances by identity: they are large, frozen and shared."""

    __slots__ = ("appliance",)

    def __init__(self, appliance: Appliance) -> None:
        self.appliance = appliance

    def __hash__(self) -> int:
        return id(self.appliance)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.appliance is self.appliance


@lru_cache(maxsize=256)
def _drawn(key: _Same, position: str | None, lifted: frozenset[str]) -> str:
    from probebook.drawings import schematic

    return schematic(key.appliance, position, lifted=sorted(lifted), id_prefix=_PREFIX)


def ratings_table(appliance: Appliance, branches: Sequence[Branch], cold: Mapping[str, float] | None = None) -> str:
    """The loads as a table: name, terminals, rating, and what each reads by itself cold where ``cold`` says so."""
    head = [
        "part",
        "terminals",
        f"rating at {appliance.plate.volts:g} V",
        *(["by itself, cold"] if cold is not None else []),
    ]
    rows = []
    for branch in branches:
        a, b = (appliance.terminals[i] for i in branch.ends)
        rating = watts(branch.watts) if branch.watts else "–"
        row = [name(appliance, branch), f"{a}, {b}", rating]
        if cold is not None:
            row.append(ohms(cold[branch.name]) if branch.name in cold else "–")
        rows.append(row)
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


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
    table = branch_ohms(appliance, [state], hot=True, test_volts=supply)
    for branch, value in (changes or {}).items():
        table[0, appliance.branch(branch)] = value
    held = {appliance.terminal(appliance.line): supply, appliance.terminal(appliance.neutral): 0.0}
    flow = energise(len(appliance.terminals), branch_ends(appliance), table, held)
    return {b.name: float(flow.watts[0, appliance.branch(b.name)]) for b in loads(appliance)}


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
            numeric_slips(library, target, [*kept, item], least=0)
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
