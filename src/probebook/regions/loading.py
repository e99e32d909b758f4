"""Regions read from ``scenarios/regions``, with the limits they refer to in ``scenarios/limits.toml``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError, UsageError
from probebook.regions.limits import Band, Rules, load_rules
from probebook.regions.region import (
    Circuit,
    Colours,
    Conductors,
    Devices,
    Emergency,
    Guidance,
    Licence,
    LineConductors,
    Plug,
    Region,
    Supply,
)
from probebook.scenario_layers import file_in, files_in, layers
from probebook.words.nouns import Noun

if TYPE_CHECKING:
    from probebook.regions.region_file import ColourRow, ColoursText, DevicesText, DeviceUse, LinesRow, RegionText

__all__ = [
    "DEFAULT_REGION",
    "OPTIONAL_ROLES",
    "ROLES",
    "check_regions",
    "load_region",
    "read_region",
    "region_ids",
    "wrong_limits",
]

#: The region where none is named.
DEFAULT_REGION = "gb"

#: What a limit is needed for, in every region.
ROLES = (
    "insulation.class-i",
    "insulation.class-ii",
    "insulation.heating-element",
    "insulation.return-to-service",
    "earth.metalwork",
    "earth.in-service",
    "earth.through-lead",
    "earth.return-to-service",
    "leakage.class-ii",
    "leakage.portable",
    "leakage.stationary-motor",
    "leakage.stationary-heating",
    "supply.now",
    "conductor.flexible",
    "conductor.stranded",
)
#: What a region may do without.
OPTIONAL_ROLES = ("supply.before",)


def region_ids(scenarios: Path) -> tuple[str, ...]:
    """Ids of all regions of a scenarios folder, the default first."""
    found = sorted(path.stem for path in files_in(Path(scenarios), "regions"))
    return tuple(sorted(found, key=lambda name: name != DEFAULT_REGION))


def check_regions(named: Sequence[str], scenarios: Path, where: str) -> None:
    """Refuse ids of regions that the folder does not have; :class:`ScenarioError` with the nearest."""
    known = region_ids(scenarios)
    for name in named:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"name some of {', '.join(known)}"
            raise ScenarioError(f"there is no region '{name}'", where=where, remedy=hint)


def load_region(scenarios: Path, region_id: str = DEFAULT_REGION) -> Region:
    """Return a region of the ``scenarios`` folder.

    Raises
    ------
    UsageError
        There is no region of that id.
    ScenarioError
        Its file, or that of the limits, cannot be used; one sentence names the key.
    """
    known = region_ids(scenarios)
    if region_id not in known:
        near = get_close_matches(region_id, known, n=1)
        remedy = f"did you mean '{near[0]}'" if near else f"choose one of {', '.join(known) or 'none: add gb.toml'}"
        raise UsageError(f"there is no region '{region_id}'", where=str(Path(scenarios) / "regions"), remedy=remedy)
    path, limits = file_in(Path(scenarios), f"regions/{region_id}.toml"), Path(scenarios) / "limits.toml"
    read = (path, *(layer / limits.name for layer in layers(Path(scenarios))))
    return _read(path, limits, tuple(each.stat().st_mtime_ns if each.is_file() else 0 for each in read))


@lru_cache(maxsize=16)
def _read(path: Path, limits: Path, stamps: tuple[int, ...]) -> Region:
    """Read a region once for as long as its files stay as they are."""
    del stamps
    return read_region(path, load_rules(limits))


def read_region(path: Path, rules: Rules) -> Region:
    """Return the region of one file; :class:`ScenarioError`."""
    from probebook.regions.region_file import RegionText
    from probebook.textfiles import load_text

    text = load_text(path, RegionText)
    if text.id != path.stem:
        raise ScenarioError(
            f"the id '{text.id}' differs from the file's name", where=f"{path.name}: id", remedy=f'write "{path.stem}"'
        )
    for error in wrong_limits(text, rules):
        raise error.at(path.name)
    return _region(text, rules)


def wrong_limits(text: RegionText, rules: Rules) -> Iterator[ScenarioError]:
    """Yield what is wrong with the limits a region names: unknown role or id, wrong table, no firm ground, missing."""
    from probebook.regions.limits_file import FIRM

    known = (*ROLES, *OPTIONAL_ROLES)
    uses: list[tuple[str, str, str]] = [
        (f'limits."{role}"', role.partition(".")[0], use.limit) for role, use in text.limits.items()
    ]
    uses += [(f"devices.{name}", "device", use.limit) for name, use in _devices(text.devices)]
    for role in text.limits:
        if role not in known:
            near = get_close_matches(role, known, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"the roles are {', '.join(known)}"
            yield ScenarioError(f"'{role}' is not a role of a limit", where=f'limits."{role}"', remedy=hint)
    for where, table, limit_id in uses:
        rows = {row.id: row for row in getattr(rules.file, table, ())}
        if limit_id not in rows:
            near = get_close_matches(limit_id, rows, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"choose one of {', '.join(rows) or 'none'}"
            yield ScenarioError(f"limits.toml has no {table} limit '{limit_id}'", where=where, remedy=hint)
        elif rows[limit_id].status not in FIRM:
            yield ScenarioError(
                f"the limit '{limit_id}' is not confirmed ({rows[limit_id].status}), and nothing may turn on it",
                where=where,
                remedy="name a limit that was read somewhere, and say under 'borrowed' if it is one of elsewhere",
            )
    for role in ROLES:
        if role not in text.limits:
            yield ScenarioError(
                f"the role '{role}' has no limit", where="limits", remedy=f'add "{role}" = {{ limit = "…" }}'
            )


def _devices(devices: DevicesText) -> Iterator[tuple[str, DeviceUse]]:
    for name in ("fuse", "breaker", "residual"):
        use = getattr(devices, name)
        if use is not None:
            yield name, use


def _region(text: RegionText, rules: Rules) -> Region:
    supply = text.supply
    between = supply.between_lines.value if supply.between_lines else 0.0
    return Region(
        id=text.id,
        title=text.title,
        supply=Supply(supply.nominal.value, supply.quoted.value, supply.met.values, supply.frequency.value, between),
        test_volts=supply.insulation_test.value,
        colours=_colours(text.colours),
        devices=_band_devices(text.devices, rules),
        emergency=Emergency(text.emergency.number, text.emergency.also),
        guidance=Guidance(text.guidance.isolation.text, text.guidance.probes.text),
        licences=tuple(Licence(x.work, x.who, x.rule, x.status, x.source, x.note) for x in text.licence),
        rules=rules,
        roles={role: use.limit for role, use in text.limits.items()},
        borrowed=frozenset(role for role, use in text.limits.items() if use.borrowed),
        words={
            key: Noun(f"region.{key}", word.text, plural=word.plural, article=word.article)
            for key, word in text.words.items()
        },
    )


def _colours(text: ColoursText) -> Colours:
    def row(colours: ColourRow) -> Conductors:
        return Conductors(colours.line, colours.neutral, colours.earth)

    def lines(colours: LinesRow) -> LineConductors:
        return LineConductors(colours.lines, colours.neutral)

    inside = text.appliance
    flex, fixed, three = text.flex, text.fixed, text.three_phase
    return Colours(
        row(flex.now),
        row(flex.before),
        row(fixed.now),
        row(fixed.before),
        inside.standard,
        inside.allowed,
        inside.neutral,
        inside.earth,
        inside.lines or (),
        lines(three.now) if three else None,
        lines(three.before) if three else None,
    )


def _band_devices(text: DevicesText, rules: Rules) -> Devices:
    def band(use: DeviceUse) -> Band:
        return rules.device(use.limit)

    circuit = text.plug_circuit
    return Devices(
        plug=Plug(text.plug.standard, text.plug.ratings),
        fuse=band(text.fuse) if text.fuse is not None else None,
        breaker=band(text.breaker),
        residual=band(text.residual),
        plug_circuit=Circuit(circuit.breaker, circuit.residual) if circuit is not None else None,
    )
