"""What is wrong or doubtful in an appliance file, each finding with its place and its remedy.

A file that cannot be built yields its errors and nothing more. One that can is then looked at as a fitter would:
is every terminal wired, every metal part earthed, every position free of shorts and true to what it claims, the plate
in keeping with the elements, and can each fault be found?
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from probebook.appliances.assumed import Checking
from probebook.appliances.checks.figures import residual, thin_wires, tolerances
from probebook.appliances.checks.findings import Finding, Severity
from probebook.appliances.checks.phases import line_colours, rated_volts, stated_volts
from probebook.appliances.checks.relays import idle_relays
from probebook.appliances.distinguishing import HEALTHY, look_alike, untold
from probebook.appliances.energised_states import at_work, working
from probebook.appliances.loading import build_appliance, surroundings
from probebook.appliances.model import Appliance, BranchKind, PartKind, Position, State
from probebook.appliances.protection import Trips, protection
from probebook.appliances.regional import for_region
from probebook.appliances.states import branch_ends, branch_ohms
from probebook.circuit import resistances
from probebook.errors import ScenarioError
from probebook.scenario_layers import whole_data
from probebook.textfiles import data_errors, read_data

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText
    from probebook.regions import Region

__all__ = ["Finding", "Severity", "check_appliance"]

#: How English files say that a fault leaves no mark; only a hint to their author hangs on it.
UNSEEN = "nothing to see"


def check_appliance(path: Path, *, scenarios: Path | None = None, region: Region | None = None) -> list[Finding]:
    """Every finding about an appliance file, gravest first; a sound file has informations at most.

    ``scenarios`` and ``region`` are those of :func:`probebook.appliances.loading.load_appliance`.
    """
    from probebook.appliances.schema import ApplianceText

    path = Path(path)
    try:
        data = whole_data(path)
        errors = data_errors(data, ApplianceText, path.name)
    except ScenarioError as error:
        errors = [error]
    if not errors:
        text = read_data(data, ApplianceText, where=path.name)
        try:
            if text.id != path.stem:
                raise ScenarioError(
                    f"the id '{text.id}' differs from the file's name", where="id", remedy=f'write id = "{path.stem}"'
                )
            around = surroundings(path, scenarios, region)
            text = for_region(text, around.region)
            appliance = build_appliance(text, around)
        except ScenarioError as error:
            errors = [error.at(path.name)]
    if errors:
        return [Finding(Severity.ERROR, e.where or path.name, e.message, e.remedy or "") for e in errors]
    found = [
        Finding(finding.severity, f"{path.name}: {finding.where}", finding.message, finding.remedy)
        for check in _CHECKS
        for finding in check(text, appliance)
    ]
    return sorted(found, key=lambda finding: list(Severity).index(finding.severity))


def _floating(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A terminal that no wire and no other part reaches."""
    owner = {terminal: part.mark for part in appliance.parts for terminal in part.terminals}
    reached = set()
    for branch in appliance.branches:
        if branch.kind is BranchKind.WIRE and not np.isfinite(branch.cold_ohms):
            continue
        for end in branch.ends:
            if owner[appliance.terminals[end]] != branch.part:
                reached.add(appliance.terminals[end])
    for i, item in enumerate(text.part):
        for terminal in appliance.part(item.mark).terminals:
            if terminal not in reached:
                yield Finding(
                    Severity.ERROR,
                    f"part[{i + 1}] ({item.mark})",
                    f"nothing is connected to terminal '{terminal}'",
                    "run a wire to it, or take the tag away",
                )


def _colours(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A colour that the standard does not have, and those of earth and neutral where they do not belong."""
    colours = appliance.region.colours
    kinds = {part.mark: part.kind for part in appliance.parts}
    for i, item in enumerate(text.wire):
        where = f"wire[{i + 1}] ({item.mark})"
        if item.colour not in colours.appliance and not item.note:
            yield Finding(
                Severity.ERROR,
                f"{where}.colour",
                f"'{item.colour}' is not a conductor colour of {colours.standard}",
                f"write one of: {', '.join(colours.appliance)}; or add a note that says why",
            )
        ends = [end.split(".") for end in (item.start, item.end)]
        earthy = [kinds[mark] is PartKind.METALWORK or tag == "E" for mark, tag in ends]
        if item.colour == colours.earth and not all(earthy):
            yield Finding(
                Severity.ERROR,
                f"{where}.colour",
                f"{colours.flex.earth} is for the protective conductor alone; an end of this wire is no earth point",
                "choose another colour, or run it to an E tag or to metalwork",
            )
        if all(earthy) and item.colour != colours.earth:
            yield Finding(
                Severity.ERROR,
                f"{where}.colour",
                f"a protective conductor is {colours.flex.earth}, not {item.colour}",
                f'write colour = "{colours.earth}"',
            )
        if appliance.line in (item.start, item.end) and item.colour == colours.neutral:
            yield Finding(
                Severity.WARNING,
                f"{where}.colour",
                f"{colours.neutral}, the neutral's colour, is on the line terminal",
                f"write {colours.appliance[0]}",
            )
        yield from line_colours(appliance, item, where)


def _shorts(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A position that joins line to neutral, to earth or to another line."""
    states = [State(position.name) for position in appliance.positions]
    ohms = resistances(len(appliance.terminals), branch_ends(appliance), branch_ohms(appliance, states))
    short_ohms = appliance.assumptions.get(Checking).short_ohms
    names = {appliance.neutral: "neutral", appliance.earth: "earth"}
    to_earth = [(line, appliance.earth) for line in appliance.lines if appliance.earth]
    for i, item in enumerate(text.position):
        for a, b in (*appliance.live_pairs, *to_earth):
            if ohms[i, appliance.terminal(a), appliance.terminal(b)] < short_ohms:
                line = a.partition(".")[2] if appliance.other_lines else "line"
                yield Finding(
                    Severity.ERROR,
                    f"position[{i + 1}] ({item.name})",
                    f"this position shorts {line} to {names.get(b) or b.partition('.')[2]}",
                    "mend the contacts it closes, or the wiring behind them",
                )


def _is_warm(appliance: Appliance, position: Position) -> bool:
    """Whether a position heats anything, so that a limiter's hot contact is made in it."""
    return any(appliance.branches[appliance.branch(name)].place for name in position.heats)


def _works(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A position whose ``works`` is not what the energised circuit does."""
    states = [State(position.name) for position in appliance.positions]
    flows = {hot: working(appliance, states, hot=hot) for hot in (False, True)}
    works_part = appliance.assumptions.get(Checking).works_part
    for i, position in enumerate(appliance.positions):
        on = at_work(appliance, flows[_is_warm(appliance, position)], i, works_part)
        said = set(text.position[i].works)
        where = f"position[{i + 1}] ({position.name}).works"
        for name in sorted(said - on):
            yield Finding(
                Severity.ERROR, where, f"'{name}' is said to work but gets no power", "mend the wiring, or take it out"
            )
        for name in sorted(on - said):
            yield Finding(Severity.ERROR, where, f"'{name}' gets power but is not said to work", "add it to works")


def _earthing(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """Class I metalwork that earth does not reach."""
    if appliance.plate.protection != "class I":
        return
    if not appliance.earth:
        yield Finding(Severity.ERROR, "part", "a class I appliance has no earth terminal", 'add the tag "E"')
        return
    limit = appliance.region.rule("earth.metalwork")
    first = State(appliance.positions[0].name)
    ohms = resistances(len(appliance.terminals), branch_ends(appliance), branch_ohms(appliance, [first]))[0]
    earth = appliance.terminal(appliance.earth)
    for i, item in enumerate(text.part):
        if item.kind is not PartKind.METALWORK:
            continue
        for terminal in appliance.part(item.mark).terminals:
            if ohms[earth, appliance.terminal(terminal)] > limit.high:
                yield Finding(
                    Severity.ERROR,
                    f"part[{i + 1}] ({item.mark})",
                    f"earth does not reach '{terminal}' within {limit.high:g} Ω ({limit.rule})",
                    f"bond it with a {appliance.region.colours.flex.earth} wire",
                )


def _plate(_text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A plate that the biggest position does not bear out; a supply that a healthy appliance trips; much leakage."""
    plate = appliance.plate
    states = [State(position.name) for position in appliance.positions]
    flow = working(appliance, states, volts=plate.volts)
    most = float(flow.total_watts.max())
    allowed = appliance.region.rule("power-input", watts=plate.watts)
    if not allowed.low <= most <= allowed.high:
        yield Finding(
            Severity.ERROR,
            "plate.power",
            f"the plate says {plate.watts:g} W, but the biggest position draws {most:.0f} W, outside the"
            f" {allowed.low:.0f} to {allowed.high:.0f} W that {allowed.rule} allows",
            "mend the plate or the ratings of the parts",
        )
    leak = float(np.abs(flow.residual_amps).max())
    limit = appliance.region.rule("leakage.stationary-heating", watts=plate.watts)
    if leak > limit.high:
        yield Finding(
            Severity.WARNING,
            "part",
            f"the healthy appliance leaks {1e3 * leak:.2f} mA, more than the {1e3 * limit.high:.2f} mA of {limit.rule}",
            "give the elements better insulation",
        )
    for position, trips in zip(appliance.positions, protection(appliance, states), strict=True):
        for trip in trips:
            if trip.trips is not Trips.NEVER:
                yield Finding(
                    Severity.ERROR,
                    "supply",
                    f"the healthy appliance trips its {trip.device} {trip.trips} in position '{position.name}'",
                    "choose a rating that carries the appliance",
                )


def _controls(text: ApplianceText, _appliance: Appliance) -> Iterator[Finding]:
    """A thermostat range that cannot be reached, or that a cut-out at the same place cuts short."""
    hottest = max((p.working for p in text.part if p.working is not None), default=float("inf"))
    for i, item in enumerate(text.part):
        if item.kind is not PartKind.THERMOSTAT or item.range is None:
            continue
        where = f"part[{i + 1}] ({item.mark}).range"
        low, high = item.range
        if not low < high:
            yield Finding(Severity.ERROR, where, "the range runs backwards", "write the lower temperature first")
        elif item.differential is not None and item.differential >= high - low:
            yield Finding(Severity.ERROR, where, "the differential is wider than the range", "narrow the differential")
        if high >= hottest:
            yield Finding(
                Severity.ERROR,
                where,
                "the top of the range is hotter than any element gets and can never be reached",
                "lower the top of the range",
            )
        for other in text.part:
            if other.opens_at is None or not item.senses or other.senses != item.senses:
                continue
            if other.opens_at <= high:
                yield Finding(
                    Severity.ERROR,
                    where,
                    f"the top of the range can never be reached, because cut-out {other.mark} opens below it",
                    "lower the top of the range or choose a hotter cut-out",
                )


def _faults(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """Too few faults, and faults that nothing tells apart."""
    fewest = appliance.assumptions.get(Checking).fewest_faults
    if len(appliance.faults) < fewest:
        message = f"faults described: {len(appliance.faults)}"
        yield Finding(Severity.WARNING, "fault", message, f"describe {fewest} or more")
    place: Mapping[str, str] = {f.id: f"fault[{i + 1}] ({f.id})" for i, f in enumerate(text.fault)}
    for fault in text.fault:
        if fault.looks.lower().startswith(UNSEEN) and not fault.hidden:
            message = "this is taken for something to see"
            yield Finding(Severity.WARNING, f"{place[fault.id]}.looks", message, "write hidden = true")
    for one, other in untold(appliance):
        name, rest = (other, one) if one == HEALTHY else (one, other)
        if look_alike(appliance, one, other):
            message = f"no obtainable observation tells '{name}' from '{rest}'"
        else:
            message = f"only what is seen tells '{name}' from '{rest}'; no reading does"
        yield Finding(Severity.INFORMATION, place[name], message)


_CHECKS: tuple[Callable[[ApplianceText, Appliance], Iterator[Finding]], ...] = (
    _floating,
    _colours,
    _shorts,
    _works,
    _earthing,
    _plate,
    _controls,
    idle_relays,
    stated_volts,
    rated_volts,
    residual,
    tolerances,
    thin_wires,
    _faults,
)
