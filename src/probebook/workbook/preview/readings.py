"""What the meters show on a healthy appliance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from probebook.appliances import OHMMETER_VOLTS, Appliance, Branch, BranchKind, PartKind, State
from probebook.appliances.probing import probe_ohms
from probebook.diagnosis.places import rest, wires_at
from probebook.diagnosis.trial import by_number
from probebook.errors import UsageError
from probebook.meters import Function, read
from probebook.workbook.preview.parts import loads_of

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.meters import Meter

__all__ = ["Healthy", "healthy_readings", "meter_of"]


@dataclass(frozen=True, slots=True)
class Healthy:
    """A reading of the healthy appliance: what it is about, the setting, the wires off, the probes, the display.

    ``ohms`` is the resistance between the probes.
    """

    about: str
    position: str
    lifted: tuple[str, ...]
    probes: tuple[str, str]
    function: Function
    ohms: float
    display: str


def healthy_readings(appliance: Appliance, library: Library) -> tuple[Healthy, ...]:
    """What the instruments show on a healthy appliance, isolated and proved dead, leads nulled, thermostats calling.

    Each load across its terminals, alone and as wired; line to neutral in each position; insulation, at the test
    voltage of the region, of the whole and of each load alone; earth continuity to each piece of metalwork.
    """
    taken = partial(_taken, appliance, library)
    still = rest(appliance)
    found: list[Healthy] = []
    for load in loads_of(appliance):
        probes = _ends(appliance, load)
        found.append(taken(load.name, still, probes, Function.OHMS, _wires_off(appliance, *probes)))
        found.append(taken(load.name, still, probes, Function.OHMS))
    neutral, earth = appliance.neutral, appliance.earth
    found += [taken("", p.name, pair, Function.OHMS) for pair in appliance.live_pairs for p in appliance.positions]
    if earth:
        found += [taken("", still, (neutral, earth), Function.INSULATION)] if neutral else []
        found += [
            taken("", p.name, (t, earth), Function.INSULATION) for t in appliance.lines for p in appliance.positions
        ]
    found += [taken(n, still, at, Function.INSULATION, off) for n, at, off in _insulated_loads(appliance)]
    if earth:
        metal = [part for part in appliance.parts if part.kind is PartKind.METALWORK]
        found += [taken(part.mark, still, (earth, part.terminals[0]), Function.CONTINUITY) for part in metal]
    return tuple(found)


def _taken(
    appliance: Appliance,
    library: Library,
    about: str,
    position: str,
    probes: tuple[str, str],
    function: Function,
    lifted: Sequence[str] = (),
) -> Healthy:
    volts = appliance.region.test_volts if function is Function.INSULATION else OHMMETER_VOLTS
    state = State(position, lifted=frozenset(lifted))
    ohms = float(probe_ohms(appliance, [state], [probes], test_volts=volts)[0, 0])
    meter = meter_of(library, function)
    nulled = meter.can_null and function.through_leads
    shown = read(meter, function, ohms, nulled=nulled)
    return Healthy(about, position, tuple(lifted), probes, function, ohms, shown.display)


def _insulated_loads(appliance: Appliance) -> Iterator[tuple[str, tuple[str, str], tuple[str, ...]]]:
    """Yield each load that has a path to metalwork: its name, the probes, the wires to lift."""
    names = {branch.name for branch in appliance.branches}
    for path in appliance.branches:
        name = path.name.partition("~")[0]
        if path.kind is BranchKind.INSULATION and name in names and not path.name.endswith("~far"):
            a, b = _ends(appliance, appliance.branches[appliance.branch(name)])
            metal = next((end for end in _ends(appliance, path) if end not in (a, b)), "")
            if metal:
                yield name, (b, metal), _wires_off(appliance, a, b)


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def _wires_off(appliance: Appliance, *terminals: str) -> tuple[str, ...]:
    """The wires to lift for a load by itself, in order of number."""
    return tuple(sorted({mark for terminal in terminals for mark in wires_at(appliance, terminal)}, key=by_number))


def meter_of(library: Library, function: Function) -> Meter:
    """The usual instrument for a function, or else the first that has it; UsageError when none has."""
    role = "bench" if function is Function.OHMS else "insulation"
    having = [meter for meter in library.meters.values() if function in meter.functions]
    for meter in having:
        if meter.role == role:
            return meter
    if not having:
        raise UsageError(f"no meter of {library.folder / 'meters'} has the function '{function}'", remedy="add one")
    return having[0]
