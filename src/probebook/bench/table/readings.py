"""What the instruments of a bench show, for every pair of terminals, function and state that a learner can reach.

Readings are sorted into classes of what is shown: one class of what a test with low volts shows (ohms and continuity,
leads nulled and not), one of what an insulation test shows. Where each pair leads is a diagram over the wires that are
off (:mod:`probebook.bench.table.diagram`). The table holds no fault and no circuit, though whoever works through all of
it could infer the fault, as whoever takes every reading could.
"""

from __future__ import annotations

import bisect
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance, State, branch_ends, branch_ohms, earth_limit
from probebook.bench.acts import DIAL
from probebook.bench.simulator import Bench
from probebook.bench.table.diagram import Circuit, Diagram, explore
from probebook.diagnosis import Measured, Trial
from probebook.errors import UsageError
from probebook.meters import Conformity, Function, limits, verdict

__all__ = ["LARGEST", "fits_a_table", "readings_of", "settings"]

FloatArray: TypeAlias = NDArray[np.float64]

#: More wires than these make a table too slow to work out: each may be off while any others are.
LARGEST = 20

#: What is shown at the same ohms, in the order of a class: function, and whether the leads are nulled.
SHOWN: dict[str, tuple[tuple[Function, bool], ...]] = {
    "low": tuple((function, nulled) for function in DIAL if function.through_leads for nulled in (False, True)),
    "high": tuple((function, False) for function in DIAL if not function.through_leads),
}


def fits_a_table(appliance: Appliance) -> bool:
    """Whether the readings of a bench with this appliance can be worked out beforehand."""
    return len(appliance.wires) <= LARGEST


def settings(bench: Bench) -> Iterator[tuple[str, bool, bool]]:
    """Each position of the controls, with the thermostat calling and not, and the appliance as it is and dried."""
    cycles = any(branch.cycles for branch in bench.appliance.branches)
    for position in bench.appliance.positions:
        for calling in (True, False) if cycles else (True,):
            for dried in (False, True):
                yield position.name, calling, dried


@dataclass(slots=True)
class _Classes:
    """Classes of what is shown at some ohms; each display once, with what follows from it."""

    bench: Bench
    name: str
    displays: dict[tuple[Any, ...], int] = field(default_factory=dict)
    found: dict[tuple[int, ...], int] = field(default_factory=dict)
    _seen: list[float] = field(default_factory=list)
    _class: list[int] = field(default_factory=list)

    def of(self, ohms: float) -> int:
        """The class of these ohms. More ohms never show less, so what lies between two of one class is of it too."""
        place = bisect.bisect_left(self._seen, ohms)
        above = self._class[place] if place < len(self._seen) else -1
        if above >= 0 and (self._seen[place] == ohms or (place and self._class[place - 1] == above)):
            return above
        shown = tuple(self._display(function, nulled, ohms) for function, nulled in SHOWN[self.name])
        found = self.found.setdefault(shown, len(self.found))
        self._seen.insert(place, ohms)
        self._class.insert(place, found)
        return found

    def _display(self, function: Function, nulled: bool, ohms: float) -> int:
        item = self.bench.shown_for(Trial(function=function), ohms, nulled=nulled)
        told = (item.display, self.bench.beeps(item), self._judged(item))
        return self.displays.setdefault(told, len(self.displays))

    def _judged(self, item: Measured) -> str:
        """What follows where it is a reading of an earth path, or of insulation to earth: good, bad or neither."""
        appliance, function = self.bench.appliance, item.trial.function
        if function is Function.INSULATION:
            return "bad" if item.value < appliance.region.rule("insulation.return-to-service").low else "good"
        interval = limits(self.bench.meter_for(function), function, item.value, nulled=item.nulled)
        found = verdict(item.value, interval, earth_limit(appliance)).conformity
        return {Conformity.OUTSIDE: "bad", Conformity.CANNOT_TELL: ""}.get(found, "good")


def readings_of(bench: Bench) -> dict[str, Any]:
    """The table of a bench's readings as plain JSON data.

    ``low`` and ``high`` hold ``displays`` (each: text, whether it beeps, what it says of earth or insulation),
    ``classes`` (places in ``displays``, in the order of ``shown``), ``roots`` (for each circuit a root for each pair
    of terminals) and ``settings`` (which circuit a setting of the controls makes). ``nodes`` are flat: wire, on, off.

    Raises
    ------
    UsageError
        The instruments of the bench err anew in every reading: no table holds that.
    """
    if not bench.spec.steady:
        raise UsageError("a table needs instruments that err alike", remedy="set the bench up with steady instruments")
    diagram = Diagram()
    found = {
        "low": _half(bench, "low", OHMMETER_VOLTS, diagram),
        "high": _half(bench, "high", bench.appliance.region.test_volts, diagram),
    }
    nodes = [number for node in diagram.nodes for number in node]
    return {"wires": [wire.mark for wire in bench.appliance.wires], "nodes": nodes, **found}


def _half(bench: Bench, name: str, volts: float, diagram: Diagram) -> dict[str, Any]:
    made, classes = bench.made, _Classes(bench, name)
    places: dict[bytes, int] = {}
    circuits: list[FloatArray] = []
    settled: dict[str, int] = {}
    for position, calling, dried in settings(bench):
        state = State(position, calling, frozenset(), made.faults, frozenset(), dried)
        ohms = branch_ohms(made.appliance, [state], test_volts=volts, spread=made.spread)[0]
        place = places.setdefault(ohms.tobytes(), len(circuits))
        if place == len(circuits):
            circuits.append(ohms)
        settled[f"{position}|{calling:d}|{dried:d}"] = place
    ends = branch_ends(made.appliance)
    circuit = Circuit(len(made.appliance.terminals), ends, np.array(circuits), _wires(bench))
    roots = explore(circuit, classes.of, diagram)
    return {
        "shown": [f"{function.value}{' nulled' if nulled else ''}" for function, nulled in SHOWN[name]],
        "displays": [list(told) for told in classes.displays],
        "classes": [list(places) for places in classes.found],
        "roots": roots,
        "settings": settled,
    }


def _wires(bench: Bench) -> tuple[tuple[int, ...], ...]:
    """The rows of each wire's branches."""
    branches = bench.made.appliance.branches
    return tuple(
        tuple(row for row, branch in enumerate(branches) if branch.part == wire.mark) for wire in bench.appliance.wires
    )
