"""A file's supply as records: the terminals at which it comes in, and its volts from line to neutral.

A three-phase file states volts between two lines, as plates do. The nominal pair is the region's (230/400 V): what is
stated has the same ratio to the volts to neutral as the pair has. That pair is rounded; the volts solved between two
lines are those to neutral times the square root of three.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.appliances.model import Part, PartKind, Plate, Supply
from probebook.errors import ScenarioError

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText
    from probebook.regions import Region

__all__ = ["Incoming", "has_lines", "incoming", "plate_of", "supply_of", "to_neutral"]

LINES = ("L1", "L2", "L3")


@dataclass(frozen=True, slots=True)
class Incoming:
    """Names of the terminals at which the supply comes in; neutral and earth are empty where there is none."""

    lines: tuple[str, ...]
    neutral: str
    earth: str


def has_lines(text: ApplianceText) -> bool:
    """Whether a file describes an appliance on three lines."""
    return text.supply.phases == len(LINES)


def to_neutral(text: ApplianceText, region: Region, volts: float) -> float:
    """Volts from line to neutral that go with those a file states; :class:`ScenarioError` without a nominal pair."""
    if not has_lines(text):
        return volts
    if not region.supply.between_lines:
        raise ScenarioError(
            f"region {region.id} has no nominal volts between lines",
            where="supply.phases",
            remedy='add between_lines = { value = "…", status = "…", source = "…" } under [supply] of its file',
        )
    return volts * region.supply.nominal / region.supply.between_lines


def supply_of(text: ApplianceText, region: Region) -> Supply:
    """How the appliance is fed there: as its file says, but for what the region does otherwise.

    ScenarioError where a three-phase plug has a fuse.
    """
    devices, stated = region.devices, text.supply
    if stated.kind == "plug" and has_lines(text) and stated.fuse is not None:
        raise ScenarioError(
            f"a fuse of {stated.fuse:g} A in the plug, and the supply has three phases",
            where="supply.fuse",
            remedy="leave fuse out: three-phase plugs have none",
        )
    circuit = devices.plug_circuit if stated.kind == "plug" and not has_lines(text) else None
    breaker, residual = (circuit.breaker, circuit.residual) if circuit else (stated.breaker, stated.residual)
    return Supply(
        stated.kind,
        to_neutral(text, region, stated.voltage),
        breaker,
        residual,
        (stated.fuse or 0.0) if devices.fuse else 0.0,
        between_lines=stated.voltage if has_lines(text) else 0.0,
    )


def plate_of(text: ApplianceText, region: Region) -> Plate:
    """What the rating plate says."""
    plate = text.plate
    return Plate(
        plate.maker,
        plate.designation,
        to_neutral(text, region, plate.voltage),
        plate.power,
        plate.protection,
        plate.frequency,
        between_lines=plate.voltage if has_lines(text) else 0.0,
    )


def incoming(text: ApplianceText, parts: Sequence[Part]) -> Incoming:
    """Where the supply comes in: at the plug if there is one, else at the first terminal block that has the tags."""
    one, three = _at(parts, ("L", "N")), _at(parts, LINES)
    if has_lines(text) and three is not None:
        return Incoming(tuple(three[tag] for tag in LINES), three.get("N", ""), three.get("E", ""))
    if not has_lines(text) and one is not None:
        return Incoming((one["L"],), one["N"], one.get("E", ""))
    if not has_lines(text) and three is not None:
        raise ScenarioError(
            f"{three[LINES[0]].partition('.')[0]} has terminals for three lines, and the supply has one",
            where="supply.phases",
            remedy="write phases = 3, with the voltage between two lines",
        )
    raise _nowhere(text, parts)


def _at(parts: Sequence[Part], tags: Sequence[str]) -> dict[str, str] | None:
    """Terminals by tag of the first plug, else terminal block, that has all of these tags."""
    for kind in (PartKind.PLUG, PartKind.TERMINAL_BLOCK):
        for part in parts:
            named = {t.split(".")[1]: t for t in part.terminals}
            if part.kind is kind and named.keys() >= set(tags):
                return named
    return None


def _nowhere(text: ApplianceText, parts: Sequence[Part]) -> ScenarioError:
    if not has_lines(text):
        return ScenarioError(
            "there is nowhere for the supply to come in",
            where="part",
            remedy='add a plug or terminal block with tags = ["L", "N", "E"]',
        )
    remedy = 'give it tags = ["L1", "L2", "L3", "N", "E"] (without "N" where all is in delta), or write phases = 1'
    for place, part in enumerate(parts, 1):
        tags = [t.split(".")[1] for t in part.terminals]
        lines = [tag for tag in tags if tag in (*LINES, "L")]
        if part.kind in (PartKind.PLUG, PartKind.TERMINAL_BLOCK) and lines:
            missing = " and ".join(tag for tag in LINES if tag not in tags)
            said = f"the supply has three phases, and {part.mark} has no terminal {missing}"
            return ScenarioError(said, where=f"part[{place}] ({part.mark}).tags", remedy=remedy)
    said = "the supply has three phases, and there is nowhere for L1, L2 and L3 to come in"
    return ScenarioError(said, where="part", remedy='add a terminal block with tags = ["L1", "L2", "L3", "N", "E"]')
