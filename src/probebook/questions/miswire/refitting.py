"""Connections as they may be after refitting: a wire on a wrong tag, two wires changed over, an earth bond left off.

A miswiring moves ends of wires; what a meter then shows follows from the circuit with those ends moved. Nothing is
looked up: two miswirings that read alike are found to read alike.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance, PartKind, State, branch_ends, branch_ohms
from probebook.assumptions import Assumed
from probebook.circuit import resistances_for
from probebook.diagnosis.proving import proving_trials
from probebook.meters import Function

__all__ = ["AS_DRAWN", "Check", "Miswiring", "MiswiringFigures", "checks", "miswirings", "ohms_of"]


@dataclass(frozen=True)
class MiswiringFigures(Assumed, table="questions.miswire"):
    """When readings after refitting count as open, as the same and as different.

    Attributes
    ----------
    leakage
        From here up an ohmmeter reads insulation, not a path: it counts as open.
    alike, close, apart
        Differences of two readings in ln: below the first they cannot be told apart for sure, above the last they
        can; a reading that is to agree with the drawing lies within the second.
    least
        Readings below this many ohms are taken as this many when they are compared.
    short
        Line and neutral count as joined by wire alone below this.
    bonds
        Share of questions in which an earth bond is left off.
    """

    leakage: Annotated[float, "ohm"]
    alike: Annotated[float, "1"]
    close: Annotated[float, "1"]
    apart: Annotated[float, "1"]
    least: Annotated[float, "ohm"]
    short: Annotated[float, "ohm"]
    bonds: Annotated[float, "1"]


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


#: Everything as the diagram has it.
AS_DRAWN = Miswiring()


@dataclass(frozen=True, slots=True)
class Check:
    """A reading taken after refitting, appliance dead, every wire on."""

    position: str
    probes: tuple[str, str]
    function: Function = Function.OHMS


def checks(appliance: Appliance) -> list[Check]:
    """What is read after refitting: what proves it safe where it has an earth, then line to neutral in each position.

    The earth path is read on continuity.
    """
    proving = proving_trials(appliance) if appliance.earth else ()
    return [
        *(
            Check(t.position, t.probes, Function.CONTINUITY if t.function.through_leads else t.function)
            for t in proving
        ),
        *(Check(p.name, pair) for pair in appliance.live_pairs for p in appliance.positions),
    ]


def miswirings(appliance: Appliance) -> list[Miswiring]:
    """Every way to put one wire on another tag of the part it belongs to, or to change two over; and each bond off."""
    return list(dict.fromkeys([*_moved(appliance), *_swapped(appliance), *_off(appliance)]))


def _tags(appliance: Appliance) -> Iterator[tuple[str, ...]]:
    """Terminals of each part that has tags to mix up."""
    for part in appliance.parts:
        if part.kind is not PartKind.METALWORK and len(part.terminals) > 2:
            yield part.terminals


def _moved(appliance: Appliance) -> Iterator[Miswiring]:
    for terminals in _tags(appliance):
        for wire, end in _ends_on(appliance, terminals):
            ends = (appliance.wire(wire).start, appliance.wire(wire).end)
            yield from (Miswiring(((wire, end, other),)) for other in terminals if other not in ends)


def _swapped(appliance: Appliance) -> Iterator[Miswiring]:
    for terminals in _tags(appliance):
        for (one, at), (other, there) in itertools.combinations(_ends_on(appliance, terminals), 2):
            if one != other and at != there:
                yield Miswiring(((one, at, there), (other, there, at)))


def _ends_on(appliance: Appliance, terminals: Sequence[str]) -> list[tuple[str, str]]:
    """(wire, terminal) of every end on these terminals, protective conductors left out."""
    return [
        (wire.mark, end)
        for wire in appliance.wires
        if not wire.is_earth
        for end in (wire.start, wire.end)
        if end in terminals
    ]


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
    leakage = appliance.assumptions.get(MiswiringFigures).leakage
    ends = branch_ends(appliance).copy()
    for mark, belongs, now in miswiring.moves:
        row = appliance.branch(mark)
        place = ends[row] == appliance.terminal(belongs)
        ends[row, place] = appliance.terminal(now)
    lifted = frozenset((miswiring.off,)) if miswiring.off else frozenset()
    found: list[float] = []
    for insulation, group in itertools.groupby(wanted, lambda c: c.function is Function.INSULATION):
        rows = list(group)
        states = [State(c.position, lifted=lifted) for c in rows]
        volts = appliance.region.test_volts if insulation else OHMMETER_VOLTS
        ohms = branch_ohms(appliance, states, test_volts=volts, spread=spread)
        pairs = np.array([[appliance.terminal(t) for t in c.probes] for c in rows], dtype=np.intp)
        table = resistances_for(len(appliance.terminals), ends, ohms, pairs)
        ceiling = math.inf if insulation else leakage
        found += [v if (v := float(table[i, i])) < ceiling else math.inf for i in range(len(rows))]
    return found
