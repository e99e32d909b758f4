"""Read an appliance file into an :class:`~probebook.appliances.model.Appliance`.

Reading is strict: whatever cannot be built into a circuit is refused with one sentence that names file, key and
remedy. What can be built but is doubtful (a floating terminal, a position that shorts the supply) is the business of
:mod:`probebook.appliances.checking`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.appliances.alloys import Alloy, load_alloys
from probebook.appliances.assumed import Making
from probebook.appliances.faults import FaultDraft, far_path, fault_effect, misplaced_name
from probebook.appliances.model import (
    LOADS,
    Appliance,
    Branch,
    BranchKind,
    Fault,
    FaultKind,
    Part,
    PartKind,
    Position,
    Wire,
)
from probebook.appliances.parts import BranchDraft, Rating, build_part
from probebook.appliances.regional import for_region
from probebook.appliances.relays import refuse_unsettled
from probebook.appliances.states import SWITCHING
from probebook.appliances.supply.phases import has_lines, incoming, plate_of, supply_of, to_neutral
from probebook.assumptions import Assumptions, load_assumptions
from probebook.errors import ScenarioError
from probebook.regions import Region, load_region
from probebook.scenario_layers import file_in, files_in, whole_data

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText, FaultText, WireText
    from probebook.words import Words

#: Cross-section whose row of the conductor table the resistivity of copper is taken from, m².
TYPICAL_AREA = 1.5e-6


def load_appliance(
    path: Path, words: Words | None = None, *, scenarios: Path | None = None, region: Region | None = None
) -> Appliance:
    """Read one appliance file; :class:`ScenarioError`, one sentence naming file, key and remedy.

    Parameters
    ----------
    path
        The file.
    words
        The language of its prose; as the file has it without.
    scenarios
        The folder of alloy tables and regions; the one whose ``appliances`` the file lies in without.
    region
        Where the appliance stands; in the default region without.
    """
    from probebook.appliances.schema import ApplianceText
    from probebook.textfiles import load_data

    path = Path(path)
    text = load_data(whole_data(path), path, ApplianceText, words)
    with _at(path.name):
        if text.id != path.stem:
            raise ScenarioError(
                f"the id '{text.id}' differs from the file's name", where="id", remedy=f'write id = "{path.stem}"'
            )
        around = surroundings(path, scenarios, region)
        return build_appliance(for_region(text, around.region), around)


@dataclass(frozen=True)
class Surroundings:
    """What an appliance file is read with: alloy tables, the region it stands in, assumptions of the trade."""

    alloys: Mapping[str, Alloy]
    region: Region
    assumptions: Assumptions


def surroundings(path: Path, scenarios: Path | None, region: Region | None) -> Surroundings:
    """What the file ``path`` is read with; parameters as of :func:`load_appliance`."""
    folder = Path(scenarios) if scenarios is not None else path.resolve().parent.parent
    if not file_in(folder, "alloys.toml").is_file():
        raise ScenarioError(
            "there is no alloys.toml beside this file's folder", remedy="name the scenarios folder it belongs to"
        )
    return Surroundings(_tables(folder / "alloys.toml"), region or load_region(folder), load_assumptions(folder))


@lru_cache(maxsize=8)
def _tables(path: Path) -> dict[str, Alloy]:
    return load_alloys(path)


def load_appliances(
    folder: Path, words: Words | None = None, *, scenarios: Path | None = None, region: Region | None = None
) -> dict[str, Appliance]:
    """Every appliance in ``folder/appliances``, by id, in order of file name; as :func:`load_appliance` reads them."""
    paths = files_in(folder, "appliances")
    return {a.id: a for a in (load_appliance(p, words, scenarios=scenarios, region=region) for p in paths)}


def build_appliance(text: ApplianceText, around: Surroundings) -> Appliance:
    """Turn a validated file into records; :class:`ScenarioError` with the key path when they do not fit together."""
    _unique("part", "mark", [p.mark for p in text.part] + [w.mark for w in text.wire])
    _unique("position", "name", [p.name for p in text.position])
    _unique("fault", "id", [f.id for f in text.fault])
    parts, drafts = _parts(text, around)
    if has_lines(text):
        incoming(text, parts)  # before the wires: each would only say that it finds no terminal
    terminals = tuple(t for part in parts for t in part.terminals)
    index = {name: i for i, name in enumerate(terminals)}
    branches: list[Branch] = []
    for where, draft in drafts:
        with _at(where):
            branches.append(draft.build(index))
    wires: list[Wire] = []
    # To nine figures: the last bit of a limit depends on the unit it was written in, and no circuit shall.
    ohm_metres = float(f"{around.region.rule('conductor.flexible', area=TYPICAL_AREA).high * TYPICAL_AREA:.9g}")
    for i, item in enumerate(text.wire):
        with _at(f"wire[{i + 1}] ({item.mark})"):
            wire, draft = _wire(item, ohm_metres)
            branches.append(draft.build(index))
            wires.append(wire)
    for i, fault in enumerate(text.fault):
        if fault.kind is FaultKind.MISPLACED_WIRE:
            with _at(f"fault[{i + 1}] ({fault.id})"):
                moved = _misplaced(fault, wires)
                if all(b.name != moved.name for b in branches):
                    branches.append(moved.build(index))
    branches += _far_paths(text, branches)
    _unique("part", "path name", [b.name for b in branches])
    by_name = {b.name: b for b in branches}
    supply = incoming(text, parts)
    appliance = Appliance(
        id=text.id,
        title=text.title,
        source=text.source,
        plate=plate_of(text, around.region),
        supply=supply_of(text, around.region),
        terminals=terminals,
        parts=tuple(parts),
        wires=tuple(wires),
        positions=_positions(text, by_name),
        branches=tuple(branches),
        faults=_faults(text, by_name, around.region),
        line=supply.lines[0],
        neutral=supply.neutral,
        earth=supply.earth,
        other_lines=supply.lines[1:],
        heat=tuple(sorted(text.heat.model_dump(exclude_unset=True).items())),
        covers=tuple(sorted(text.access.items())),
        region=around.region,
        assumptions=around.assumptions,
    )
    refuse_unsettled(appliance)
    return appliance


@contextmanager
def _at(where: str) -> Iterator[None]:
    """Put a place in front of whatever goes wrong inside."""
    try:
        yield
    except ScenarioError as error:
        raise error.at(where) from None


def _unique(table: str, key: str, names: Sequence[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise ScenarioError(
                f"the {key} '{name}' is used twice", where=table, remedy=f"give each {table} a {key} of its own"
            )
        seen.add(name)


def _parts(text: ApplianceText, around: Surroundings) -> tuple[list[Part], list[tuple[str, BranchDraft]]]:
    parts: list[Part] = []
    drafts: list[tuple[str, BranchDraft]] = []
    rating = Rating(to_neutral(text, around.region, text.plate.voltage), around.alloys, around.assumptions.get(Making))
    for i, item in enumerate(text.part):
        where = f"part[{i + 1}] ({item.mark})"
        with _at(where):
            _unique("part", "tag", item.tags)
            part, found = build_part(item, rating)
            if part.cover and part.cover not in text.access:
                raise ScenarioError(
                    f"the cover '{part.cover}' has no minutes in [access]",
                    where="cover",
                    remedy=f'add "{part.cover}" = "4 min" under [access]',
                )
        parts.append(part)
        drafts += [(where, draft) for draft in found]
    return parts, drafts


def _wire(item: WireText, ohm_metres: float) -> tuple[Wire, BranchDraft]:
    if item.area <= 0 or item.length <= 0:
        raise ScenarioError("area and length must be more than nothing", remedy='write for example area = "1.5 mm2"')
    ohms = ohm_metres * item.length / item.area
    wire = Wire(item.mark, item.start, item.end, item.colour, item.area, item.length, item.note)
    return wire, BranchDraft(item.mark, BranchKind.WIRE, (item.start, item.end), item.mark, ohms, ohms)


def _misplaced(fault: FaultText, wires: Sequence[Wire]) -> BranchDraft:
    wire = next((w for w in wires if w.mark == fault.on), None)
    if wire is None:
        raise ScenarioError(f"there is no wire '{fault.on}'", where="on", remedy="name the wire that is misplaced")
    if not fault.end or not fault.to:
        raise ScenarioError(
            "a misplaced wire needs the keys 'end' and 'to'", remedy='write for example end = "to", to = "S1.2"'
        )
    if fault.to == (wire.start if fault.end == "from" else wire.end):
        raise ScenarioError(
            f"wire {wire.mark} has this end at '{fault.to}' as it should be",
            where="to",
            remedy="name the terminal that it was put on by mistake",
        )
    ends = (fault.to, wire.end) if fault.end == "from" else (wire.start, fault.to)
    name = misplaced_name(_draft(fault))
    return BranchDraft(name, BranchKind.WIRE, ends, wire.mark, math.inf, math.inf)


def _far_paths(text: ApplianceText, branches: Sequence[Branch]) -> list[Branch]:
    """Paths to metalwork from the second ends of sections that leak at a point along them; open while sound."""
    by_name = {b.name: b for b in branches}
    found: dict[str, Branch] = {}
    for fault in text.fault:
        section = by_name.get(fault.on)
        path = next((b for b in branches if b.name.startswith(f"{fault.on}~")), None)
        if fault.along and section is not None and path is not None:
            name, ends = far_path(path.name), (section.ends[1], path.ends[1])
            found[name] = replace(path, name=name, ends=ends, cold_ohms=math.inf, hot_ohms=math.inf)
    return list(found.values())


def _positions(text: ApplianceText, branches: Mapping[str, Branch]) -> tuple[Position, ...]:
    switching = {p.mark for p in text.part if p.kind in (*SWITCHING, PartKind.FEED)}
    contacts = {b.name for b in branches.values() if b.kind is BranchKind.CONTACT and b.part in switching}
    loads = {b.name for b in branches.values() if b.kind in LOADS}
    found: list[Position] = []
    for i, item in enumerate(text.position):
        with _at(f"position[{i + 1}] ({item.name})"):
            _known("closes", item.closes, contacts, "contact of a selector or switch")
            _known("works", item.works, loads, "load")
        found.append(Position(item.name, item.title, frozenset(item.closes), item.works, item.duty))
    if not found:
        raise ScenarioError("there is no position", where="position", remedy='add a [[position]], for example "off"')
    return tuple(found)


def _known(key: str, names: Sequence[str], known: set[str], what: str) -> None:
    for name in names:
        if name not in known:
            near = get_close_matches(name, sorted(known), n=1)
            choices = ", ".join(sorted(known)) or "none there yet"
            hint = f"did you mean '{near[0]}'" if near else f"name one of: {choices}"
            raise ScenarioError(f"'{name}' is not a {what}", where=key, remedy=hint)


def _draft(fault: FaultText) -> FaultDraft:
    def figure(value: float | None) -> float:
        return math.nan if value is None else value

    return FaultDraft(
        kind=fault.kind,
        on=fault.on,
        ohms=figure(fault.ohms),
        ohms_hot=figure(fault.ohms_hot),
        factor=figure(fault.factor),
        power=figure(fault.power),
        volts=figure(fault.volts),
        offset=figure(fault.offset),
        along=figure(fault.along),
        to=fault.to,
        end=fault.end,
    )


def _faults(text: ApplianceText, branches: Mapping[str, Branch], region: Region) -> tuple[Fault, ...]:
    found: list[Fault] = []
    for i, item in enumerate(text.fault):
        with _at(f"fault[{i + 1}] ({item.id})"):
            effect = fault_effect(_draft(item), branches)
            if item.setting:
                _known("setting", [item.setting], {p.name for p in text.position}, "position")
        found.append(
            Fault(
                id=item.id,
                kind=item.kind,
                title=item.title,
                target=item.on,
                likelihood=item.likelihood,
                basis=item.basis,
                looks=item.looks,
                hidden=item.hidden,
                mend=item.mend,
                changes=effect.changes,
                offset=effect.offset,
                volts=to_neutral(text, region, effect.volts),
                stops=effect.stops,
                recovers=effect.recovers,
                setting=item.setting,
                fit=item.fit,
            )
        )
    return tuple(found)


__all__ = ["Surroundings", "build_appliance", "load_appliance", "load_appliances", "surroundings"]
