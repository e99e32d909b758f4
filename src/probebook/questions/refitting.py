"""Connections as they may be after refitting: a wire on a wrong tag, two wires changed over, an earth bond left off.

A miswiring moves ends of wires; what a meter then shows follows from the circuit with those ends moved. Nothing is
looked up: two miswirings that read alike are found to read alike.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance, PartKind, State, branch_ends, branch_ohms
from probebook.circuit import resistances_for
from probebook.diagnosis.trials import INSULATION_VOLTS, rest
from probebook.meters import Function

__all__ = ["AS_DRAWN", "Check", "Miswiring", "alike", "checks", "differ", "miswirings", "ohms_of", "said"]


@dataclass(frozen=True, slots=True)
class Miswiring:
    """Ends of wires that are not where the diagram has them.

    Attributes
    ----------
    moves
        Wire, the terminal where an end belongs, the terminal where it is; empty for none.
    off
        Mark of a wire that was left off; empty for none.
    """

    moves: tuple[tuple[str, str, str], ...] = ()
    off: str = ""

    @property
    def key(self) -> str:
        """An id made of wires and tags."""
        words = [f"{wire}-{belongs}-{now}" for wire, belongs, now in self.moves]
        return ("+".join(words) or (f"{self.off}-off" if self.off else "as-drawn")).lower().replace(".", "-")


#: From here up an ohmmeter reads insulation, not a path: it counts as open.
LEAKAGE = 1e7
#: Everything as the diagram has it.
AS_DRAWN = Miswiring()


@dataclass(frozen=True, slots=True)
class Check:
    """A reading taken after refitting, appliance dead, every wire on."""

    position: str
    probes: tuple[str, str]
    function: Function = Function.OHMS


def checks(appliance: Appliance) -> list[Check]:
    """What is read after refitting: earth, insulation, then line to neutral in every position."""
    still = rest(appliance)
    found: list[Check] = []
    if appliance.earth:
        found += [
            Check(still, (appliance.earth, t), Function.CONTINUITY)
            for p in appliance.parts
            if p.kind is PartKind.METALWORK
            for t in p.terminals
        ]
        most = max(appliance.positions, key=lambda p: (len(p.heats), p.name)).name
        found.append(Check(still, (appliance.neutral, appliance.earth), Function.INSULATION))
        found.append(Check(most, (appliance.line, appliance.earth), Function.INSULATION))
    found += [Check(p.name, (appliance.line, appliance.neutral)) for p in appliance.positions]
    return found


def miswirings(appliance: Appliance) -> list[Miswiring]:
    """Every way to put one wire on another tag of the part it belongs to, or to change two over; and each bond off."""
    return list(dict.fromkeys([*_moved(appliance), *_swapped(appliance), *_off(appliance)]))


def _tags(appliance: Appliance) -> Iterator[tuple[str, tuple[str, ...]]]:
    for part in appliance.parts:
        if part.kind is not PartKind.METALWORK and len(part.terminals) > 2:
            yield part.mark, part.terminals


def _moved(appliance: Appliance) -> Iterator[Miswiring]:
    for _, terminals in _tags(appliance):
        for wire in appliance.wires:
            if wire.is_earth:
                continue
            for end in (wire.start, wire.end):
                if end in terminals:
                    yield from (
                        Miswiring(((wire.mark, end, other),))
                        for other in terminals
                        if other not in (wire.start, wire.end)
                    )


def _swapped(appliance: Appliance) -> Iterator[Miswiring]:
    for _, terminals in _tags(appliance):
        here = [
            (wire.mark, end)
            for wire in appliance.wires
            if not wire.is_earth
            for end in (wire.start, wire.end)
            if end in terminals
        ]
        for (one, at), (other, there) in itertools.combinations(here, 2):
            if one != other and at != there:
                yield Miswiring(((one, at, there), (other, there, at)))


def _off(appliance: Appliance) -> Iterator[Miswiring]:
    for wire in appliance.wires:
        if wire.is_earth:
            yield Miswiring(off=wire.mark)


def ohms_of(
    appliance: Appliance,
    miswiring: Miswiring,
    wanted: Sequence[Check],
    spread: NDArray[np.float64] | None = None,
) -> list[float]:
    """Ohms at the probe tips in each check, ``inf`` where an ohmmeter finds nothing but insulation.

    ``spread`` is as in :func:`~probebook.appliances.branch_ohms`.
    """
    ends = branch_ends(appliance).copy()
    for mark, belongs, now in miswiring.moves:
        row = appliance.branch(mark)
        place = ends[row] == appliance.terminal(belongs)
        ends[row, place] = appliance.terminal(now)
    found: list[float] = []
    for volts, group in itertools.groupby(
        wanted, lambda c: INSULATION_VOLTS if c.function is Function.INSULATION else OHMMETER_VOLTS
    ):
        rows = list(group)
        lifted = frozenset((miswiring.off,)) if miswiring.off else frozenset()
        states = [State(c.position, lifted=lifted) for c in rows]
        ohms = branch_ohms(appliance, states, test_volts=volts, spread=spread)
        pairs = np.array([[appliance.terminal(t) for t in c.probes] for c in rows], dtype=np.intp)
        table = resistances_for(len(appliance.terminals), ends, ohms, pairs)
        ceiling = math.inf if volts > OHMMETER_VOLTS else LEAKAGE
        found += [v if (v := float(table[i, i])) < ceiling else math.inf for i in range(len(rows))]
    return found


def said(appliance: Appliance, miswiring: Miswiring) -> str:
    """The miswiring in words."""
    if miswiring.off:
        wire = appliance.wire(miswiring.off)
        return f"earth bond {wire.mark} ({wire.start} to {wire.end}) left off"
    if not miswiring.moves:
        return "every connection is as drawn"
    if len(miswiring.moves) == 1:
        wire_mark, belongs, now = miswiring.moves[0]
        return f"wire {wire_mark} on {now} in place of {belongs}"
    (one, at, there), (other, _, _) = miswiring.moves
    return f"wires {one} and {other} changed over at {at} and {there}"


def alike(one: float, other: float, function: Function, *, within: float = 0.16) -> bool:
    """Whether two values cannot be told apart for sure: ``within`` this in ln, tolerance and meter allowed for."""
    if function is Function.INSULATION:
        return (one < 1e6) == (other < 1e6)
    if math.isinf(one) or math.isinf(other):
        return math.isinf(one) == math.isinf(other)
    return abs(math.log(max(one, 1.0) / max(other, 1.0))) < within


def differ(one: float, other: float, function: Function) -> bool:
    """Whether two values can be told apart for sure: the band between this and :func:`alike` is not used."""
    if function is Function.INSULATION:
        return (one < 1e6) != (other < 1e6)
    if math.isinf(one) or math.isinf(other):
        return math.isinf(one) != math.isinf(other)
    return abs(math.log(max(one, 1.0) / max(other, 1.0))) > 0.22
