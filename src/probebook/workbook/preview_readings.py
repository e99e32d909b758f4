"""What the meters show on a healthy appliance, and the tables of it on a preview page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.appliances import OHMMETER_VOLTS, Appliance, Branch, BranchKind, PartKind, State
from probebook.appliances.probing import probe_ohms
from probebook.appliances.working import working
from probebook.cases.words import load_words
from probebook.diagnosis.trials import INSULATION_VOLTS, by_number, joined, rest, wires_at
from probebook.meters import Function, read
from probebook.workbook.markup import safe
from probebook.workbook.preview_page import table

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.meters import Meter

__all__ = ["Healthy", "healthy_readings", "loads_of", "readings_html", "watts_words"]

#: Instruments that healthy readings are shown on, where the library has them.
MULTIMETER, TESTER = "bench-multimeter", "insulation-tester"

LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)


@dataclass(frozen=True, slots=True)
class Healthy:
    """A reading of the healthy appliance: what it is about, the setting, the wires off, the probes, the display."""

    about: str
    position: str
    lifted: tuple[str, ...]
    probes: tuple[str, str]
    function: Function
    ohms: float
    display: str


def healthy_readings(appliance: Appliance, library: Library) -> tuple[Healthy, ...]:
    """What the instruments show on a healthy appliance, isolated and proved dead, leads nulled, thermostats calling.

    Each load across its terminals, alone and as wired; line to neutral in each position; insulation at 500 V of the
    whole and of each load alone; earth continuity to each piece of metalwork.
    """
    still = rest(appliance)
    found: list[Healthy] = []

    def take(
        about: str, position: str, probes: tuple[str, str], function: Function, lifted: Sequence[str] = ()
    ) -> None:
        volts = INSULATION_VOLTS if function is Function.INSULATION else OHMMETER_VOLTS
        state = State(position, lifted=frozenset(lifted))
        ohms = float(probe_ohms(appliance, [state], [probes], test_volts=volts)[0, 0])
        meter = _meter(library, function)
        nulled = meter.can_null and function.through_leads
        shown = read(meter, function, ohms, nulled=nulled)
        found.append(Healthy(about, position, tuple(lifted), probes, function, ohms, shown.display))

    for load in loads_of(appliance):
        a, b = _ends(appliance, load)
        alone = _wires_off(appliance, a, b)
        take(load.name, still, (a, b), Function.OHMS, alone)
        take(load.name, still, (a, b), Function.OHMS)
    for position in appliance.positions:
        take("", position.name, (appliance.line, appliance.neutral), Function.OHMS)
    if appliance.earth:
        take("", still, (appliance.neutral, appliance.earth), Function.INSULATION)
        for position in appliance.positions:
            take("", position.name, (appliance.line, appliance.earth), Function.INSULATION)
    for path in appliance.branches:
        load_name = path.name.partition("~")[0]
        if path.kind is BranchKind.INSULATION and any(b.name == load_name for b in appliance.branches):
            a, b = _ends(appliance, appliance.branches[appliance.branch(load_name)])
            metal = next((end for end in _ends(appliance, path) if end not in (a, b)), "")
            if metal:
                alone = _wires_off(appliance, a, b)
                take(load_name, still, (b, metal), Function.INSULATION, alone)
    for part in appliance.parts:
        if part.kind is PartKind.METALWORK and appliance.earth:
            take(part.mark, still, (appliance.earth, part.terminals[0]), Function.CONTINUITY)
    return tuple(found)


def readings_html(appliance: Appliance, library: Library) -> str:
    """The tables of healthy readings."""
    readings = healthy_readings(appliance, library)
    ohms = [r for r in readings if r.function is Function.OHMS]
    loads = [r for r in ohms if r.about]
    insulation = [r for r in readings if r.function is Function.INSULATION]
    earths = [r for r in readings if r.function is Function.CONTINUITY]
    multimeter, tester = _meter(library, Function.OHMS), _meter(library, Function.INSULATION)
    rated = {load.name: load.watts for load in loads_of(appliance)}
    still = appliance.position(rest(appliance)).title
    parts = [
        table(
            f"Each load across its terminals, controls at {still} ({multimeter.title}, leads nulled)",
            ["Load", "Probes", "#Rating", "Wires off", "#Alone", "#As wired"],
            (
                [
                    safe(load_words(appliance, alone.about)),
                    _pair(alone.probes),
                    watts_words(rated[alone.about]),
                    safe(joined(list(alone.lifted))) if alone.lifted else "–",
                    safe(alone.display),
                    safe(wired.display),
                ]
                for alone, wired in zip(loads[::2], loads[1::2], strict=True)
            ),
        )
    ]
    states = [State(position.name) for position in appliance.positions]
    watts = working(appliance, states).total_watts
    parts.append(
        table(
            f"Line to neutral at the supply terminals, nothing lifted ({multimeter.title}, leads nulled)",
            ["Position", "Probes", "#Shows", "#Draws when warm", "Works"],
            (
                [
                    safe(appliance.position(r.position).title),
                    _pair(r.probes),
                    safe(r.display),
                    f"{drawn:.0f} W" if drawn >= 0.5 else "nothing",
                    safe(_works(appliance, r.position)),
                ]
                for r, drawn in zip([r for r in ohms if not r.about], watts.tolist(), strict=True)
            ),
        )
    )
    if insulation:
        parts.append(
            table(
                f"Insulation at {INSULATION_VOLTS:.0f} V ({tester.title})",
                ["What", "Probes", "Controls", "Wires off", "#Shows"],
                (
                    [
                        safe(_insulated(appliance, r)),
                        _pair(r.probes),
                        safe(appliance.position(r.position).title),
                        safe(joined(list(r.lifted))) if r.lifted else "–",
                        safe(r.display),
                    ]
                    for r in insulation
                ),
            )
        )
    if earths:
        parts.append(
            table(
                f"Earth continuity ({_meter(library, Function.CONTINUITY).title}, leads nulled)",
                ["Metalwork", "Probes", "#Shows"],
                ([safe(appliance.part(r.about).title), _pair(r.probes), safe(r.display)] for r in earths),
            )
        )
    return "\n".join(parts)


def _insulated(appliance: Appliance, reading: Healthy) -> str:
    if reading.about:
        return f"{load_words(appliance, reading.about)} alone"
    return "neutral to earth" if reading.probes[0] == appliance.neutral else "line to earth"


def _works(appliance: Appliance, position: str) -> str:
    heats = appliance.position(position).heats
    return ", ".join(load_words(appliance, name) for name in heats) or "–"


def loads_of(appliance: Appliance) -> list[Branch]:
    """The branches that take power, in the order of the file."""
    return [branch for branch in appliance.branches if branch.kind in LOADS]


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def _wires_off(appliance: Appliance, *terminals: str) -> tuple[str, ...]:
    """The wires to lift for a load by itself, in order of number."""
    return tuple(sorted({mark for terminal in terminals for mark in wires_at(appliance, terminal)}, key=by_number))


def _meter(library: Library, function: Function) -> Meter:
    """The usual instrument for a function, or else the first that has it."""
    wanted = MULTIMETER if function is Function.OHMS else TESTER
    having = {name: meter for name, meter in library.meters.items() if function in meter.functions}
    return having.get(wanted) or library.meter(next(iter(having), wanted))


def watts_words(value: float) -> str:
    """A rating as it is printed; a dash for none."""
    return f"{value:g} W" if value else "–"


def _pair(probes: tuple[str, str]) -> str:
    return f'<span class="keep">{safe(probes[0])} – {safe(probes[1])}</span>'
