"""Three phases: colours of lines and neutral, the volts stated, and loads whose volts are not what they get."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from probebook.appliances.checks.findings import Finding, Severity
from probebook.appliances.energised_states import working
from probebook.appliances.model import Appliance, PartKind, State

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText, PartText, WireText

__all__ = ["line_colours", "rated_volts", "stated_volts"]


def line_colours(appliance: Appliance, wire: WireText, where: str) -> Iterator[Finding]:
    """On three phases, a wire on the terminal of a live conductor in the colour of another.

    Neutral's colour on the first line is remarked on whatever the supply.
    """
    if not appliance.other_lines:
        return
    colours = appliance.region.colours
    own = dict(zip(appliance.lines, colours.lines, strict=False))
    if appliance.neutral:
        own[appliance.neutral] = colours.neutral
    names = {t: "neutral" if t == appliance.neutral else t.partition(".")[2] for t in own}
    whose = {colour: names[terminal] for terminal, colour in own.items()} | {colours.neutral: "neutral"}
    for terminal, colour in own.items():
        is_told = terminal == appliance.line and wire.colour == colours.neutral
        if terminal in (wire.start, wire.end) and wire.colour != colour and wire.colour in whose and not is_told:
            said = f"{wire.colour}, the colour of {whose[wire.colour]}, is on the terminal of {names[terminal]}"
            yield Finding(Severity.WARNING, f"{where}.colour", said, f'write colour = "{colour}"')


def stated_volts(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A three-phase file whose volts of the supply are not those that a supply of the region may have."""
    if not appliance.other_lines:
        return
    supply, allowed, nominal = appliance.supply, appliance.region.rule("supply.now"), appliance.region.supply
    if allowed.low <= supply.volts <= allowed.high:
        return
    said = f"{text.supply.voltage:g} V is no supply of {appliance.region.id}: voltage is that between two lines"
    remedy = (
        f'write voltage = "{nominal.between_lines:g} V": {nominal.nominal:g} V to neutral is that between two lines'
    )
    yield Finding(Severity.WARNING, "supply.voltage", said, remedy)


def rated_volts(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A load on three phases that in no position gets the volts it is rated for, or in one gets more.

    What counts as those volts is what the region lets a supply differ from its nominal voltage.
    """
    if not appliance.other_lines:
        return
    flow = working(appliance, [State(position.name) for position in appliance.positions])
    for i, item in enumerate(text.part):
        for name, rated in _rated(item, appliance.plate.volts):
            volts = np.nan_to_num(flow.between(*appliance.branches[appliance.branch(name)].ends))
            at = int(volts.argmax())
            gets = float(volts[at])
            if gets <= 0.0 or _is_near(appliance, gets, rated):
                continue
            yield Finding(
                Severity.WARNING,
                f"part[{i + 1}] ({item.mark}).voltage",
                f"'{name}' is rated for {rated:.0f} V, and the most it gets is {gets:.0f} V,"
                f" in position '{appliance.positions[at].name}'",
                _remedy(appliance, gets),
            )


def _is_near(appliance: Appliance, gets: float, volts: float) -> bool:
    """Whether a load gets some volts, as near as the region lets a supply keep to its nominal voltage."""
    allowed, nominal = appliance.region.rule("supply.now"), appliance.region.supply.nominal
    return bool(allowed.low / nominal <= gets / volts <= allowed.high / nominal)


def _rated(item: PartText, plate: float) -> Iterator[tuple[str, float]]:
    """The loads of a part by name, with the volts each is rated for; those of the plate where it does not say."""
    for section in item.sections:
        yield f"{item.mark}.{section.name}", section.voltage or plate
    if item.kind is PartKind.RELAY:
        yield f"{item.mark}.coil", item.voltage or plate
    if item.kind in (PartKind.LAMP, PartKind.MOTOR):
        yield item.mark, item.voltage or plate


def _remedy(appliance: Appliance, gets: float) -> str:
    """What to write, or where to wire it, for the volts that a load gets."""
    between, to_neutral = appliance.supply.between_lines, appliance.supply.volts
    if _is_near(appliance, gets, between):
        return f'write voltage = "{between:g} V", since it lies between two lines (delta), or wire it to neutral'
    if _is_near(appliance, gets, to_neutral):
        return "leave voltage out, since it lies between a line and neutral, or wire it from line to line"
    return "give the loads of a star without neutral one rating, or lead its star point to neutral"
