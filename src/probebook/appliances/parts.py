"""How each kind of part, as the file describes it, becomes terminals and branches.

One function a kind, all of one shape: the part's text and what the appliance is made for in, a :class:`Part` and its
branches (ends still names) out. A key that a kind needs and the file lacks is named, with an example.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, TypeVar

from probebook.appliances.alloys import Alloy, temperature_factor
from probebook.appliances.assumed import Making
from probebook.appliances.model import Branch, BranchKind, Part, PartKind
from probebook.errors import ScenarioError, near_name

if TYPE_CHECKING:
    from probebook.appliances.schema import PartText, SectionText

T = TypeVar("T")

#: 0 °C in kelvins.
KELVIN = 273.15

Ends = tuple[str, str]


@dataclass(frozen=True, slots=True)
class BranchDraft:
    """A branch whose ends are still terminal names."""

    name: str
    kind: BranchKind
    ends: Ends
    part: str
    cold_ohms: float
    hot_ohms: float
    watts: float = 0.0
    tolerance: float = 0.0
    place: str = ""
    strikes_at: float = 0.0
    cycles: bool = False
    pulls_in: float = 0.0

    def build(self, index: Mapping[str, int]) -> Branch:
        """The branch between terminal indices; :class:`ScenarioError` when an end does not exist."""
        for end in self.ends:
            if end not in index:
                raise unknown_terminal(end, index)
        if self.ends[0] == self.ends[1]:
            raise ScenarioError(
                f"'{self.name}' begins and ends at '{self.ends[0]}'", remedy="name two different terminals"
            )
        return Branch(
            name=self.name,
            kind=self.kind,
            ends=(index[self.ends[0]], index[self.ends[1]]),
            cold_ohms=self.cold_ohms,
            hot_ohms=self.hot_ohms,
            part=self.part,
            watts=self.watts,
            tolerance=self.tolerance,
            place=self.place,
            strikes_at=self.strikes_at,
            cycles=self.cycles,
            pulls_in=self.pulls_in,
        )


@dataclass(frozen=True, slots=True)
class Rating:
    """What parts are made for: the plate's volts, the alloy tables of elements, and what their files leave open.

    The ``volts`` are those from line to neutral; a part of a three-phase appliance may name its own.
    """

    volts: float
    alloys: Mapping[str, Alloy]
    made: Making

    def volts_of(self, item: PartText | SectionText) -> float:
        """What a part or a section is rated for, V; :class:`ScenarioError` where that is nothing."""
        return self.volts if item.voltage is None else _positive(item.voltage, "voltage", 'voltage = "400 V"')


Built = tuple[Part, list[BranchDraft]]


def unknown_terminal(name: str, known: Mapping[str, int]) -> ScenarioError:
    """The error for a terminal that no part has."""
    near = near_name(name, known)
    hint = f"did you mean '{near}'" if near else "name a terminal as part.tag, for example E1.1"
    return ScenarioError(f"there is no terminal '{name}'", remedy=hint)


def _need(value: T | None, key: str, example: str) -> T:
    if value is None or value in ((), ""):
        raise ScenarioError(f"the key '{key}' is missing", remedy=f"add for example {key} = {example}")
    return value


def _full(mark: str, ends: Ends) -> Ends:
    a, b = (tag if "." in tag else f"{mark}.{tag}" for tag in ends)
    return a, b


def _part(item: PartText, branches: list[BranchDraft], **facts: float | str) -> Built:
    if item.senses:
        facts["senses"] = item.senses
    own = [f"{item.mark}.{tag}" for tag in item.tags]
    own += [end for b in branches for end in b.ends if end.startswith(f"{item.mark}.")]
    part = Part(
        mark=item.mark,
        kind=item.kind,
        title=item.title,
        terminals=tuple(dict.fromkeys(own)),
        branches=tuple(b.name for b in branches),
        cover=item.cover,
        facts=tuple(sorted(facts.items())),
        at=item.at,
        turn=item.turn,
        short=item.short or item.title,
    )
    return part, branches


def _insulation(item: PartText, name: str, end: str, section: SectionText | None = None) -> list[BranchDraft]:
    """The path from a live part to the metalwork it is mounted on; none when it is not mounted on metal.

    Leakage is spread along a part; it is drawn at its first end, the line end, where it drives most current to earth.
    What is stated of the whole part is shared out evenly: its sections, side by side, come to that.
    """
    if not item.mounted_on:
        return []
    if section is not None and section.insulation is None and section.insulation_hot is not None:
        raise ScenarioError(
            "a section has insulation_hot and no insulation of its own", remedy="write both, or leave both to the part"
        )
    if section is not None and section.insulation is not None:
        ohms, warm, share = section.insulation, section.insulation_hot, 1
    else:
        ohms, warm = _need(item.insulation, "insulation", '"400 Mohm"'), item.insulation_hot
        share = len(item.sections) if section is not None and item.insulation_of == "part" else 1
    ohms, hot = share * ohms, share * (ohms if warm is None else warm)
    return [
        BranchDraft(f"{name}~{item.mounted_on}", BranchKind.INSULATION, (end, item.mounted_on), item.mark, ohms, hot)
    ]


def _positive(value: float, what: str, example: str) -> float:
    if not value > 0:
        raise ScenarioError(f"{what} must be more than nothing", remedy=f"write for example {example}")
    return value


def _plain(item: PartText, rating: Rating) -> Built:
    del rating
    _need(item.tags, "tags", '["L", "N", "E"]')
    return _part(item, [])


def _factor(alloys: Mapping[str, Alloy], alloy: str, celsius: float) -> float:
    if alloy not in alloys:
        near = get_close_matches(alloy, alloys, n=1)
        hint = f"did you mean '{near[0]}'" if near else f"name one of: {', '.join(sorted(alloys))}"
        raise ScenarioError(f"there is no alloy table '{alloy}'", where="alloy", remedy=hint)
    try:
        return temperature_factor(alloys[alloy], celsius)
    except ScenarioError as error:
        raise error.at("working") from None


def _element(item: PartText, rating: Rating) -> Built:
    example = '[{ name = "heater", between = ["1", "2"], power = "1 kW", place = "base" }]'
    sections = _need(item.sections, "sections", example)
    alloy = _need(item.alloy, "alloy", '"nicr-80-20"')
    working = _need(item.working, "working", '"700 degC"')
    tolerance = rating.made.element_tolerance if item.tolerance is None else item.tolerance
    factor = _factor(rating.alloys, alloy, working - KELVIN)
    branches: list[BranchDraft] = []
    for section in sections:
        name, ends = f"{item.mark}.{section.name}", _full(item.mark, section.between)
        watts = _positive(section.power, f"the rating of section '{section.name}'", 'power = "1 kW"')
        hot = rating.volts_of(section) ** 2 / watts
        branches.append(
            BranchDraft(
                name,
                BranchKind.ELEMENT,
                ends,
                item.mark,
                cold_ohms=hot / factor,
                hot_ohms=hot,
                watts=watts,
                tolerance=tolerance,
                place=section.place,
            )
        )
        branches += _insulation(item, name, ends[0], section)
    return _part(item, branches, alloy=alloy, working=working, tolerance=tolerance)


def _contact(
    item: PartText, name: str, ends: Ends, made: Making, *, cycles: bool = False, rests: str = "closed"
) -> BranchDraft:
    cold = made.contact_ohms if rests == "closed" else math.inf
    return BranchDraft(
        name,
        BranchKind.CONTACT,
        _full(item.mark, ends),
        item.mark,
        cold_ohms=cold,
        hot_ohms=made.contact_ohms,
        cycles=cycles,
    )


def _contacts(item: PartText, made: Making, *, cycles: bool = False) -> list[BranchDraft]:
    """The contacts listed, or the single one ``between`` two tags, which goes by the mark of the part."""
    if not item.contacts:
        return [_contact(item, item.mark, _need(item.between, "between", '["1", "2"]'), made, cycles=cycles)]
    return [
        _contact(
            item,
            f"{item.mark}.{contact.name}",
            contact.between,
            made,
            cycles=cycles if contact.cycles is None else contact.cycles,
            rests=contact.rests,
        )
        for contact in item.contacts
    ]


def _thermostat(item: PartText, rating: Rating) -> Built:
    low, high = _need(item.range, "range", '["50 degC", "250 degC"]')
    differential = _need(item.differential, "differential", '"9 K"')
    return _part(item, _contacts(item, rating.made, cycles=True), minimum=low, maximum=high, differential=differential)


def _cut_out(item: PartText, rating: Rating) -> Built:
    opens_at = _need(item.opens_at, "opens_at", '"150 degC"')
    facts: dict[str, float | str] = {"opens_at": opens_at, "reset": _need(item.reset, "reset", '"self"')}
    if item.closes_at is not None:
        if item.closes_at >= opens_at:
            raise ScenarioError("a cut-out closes again below the temperature it opens at", where="closes_at")
        facts["closes_at"] = item.closes_at
    return _part(item, _contacts(item, rating.made), **facts)


def _regulator(item: PartText, rating: Rating) -> Built:
    return _part(item, _contacts(item, rating.made, cycles=True))


def _selector(item: PartText, rating: Rating) -> Built:
    _need(item.contacts, "contacts", '[{ name = "a", between = ["1", "2"] }]')
    return _part(item, _contacts(item, rating.made))


def _load(item: PartText, kind: BranchKind, cold: float, hot: float, watts: float, strikes_at: float = 0.0) -> Built:
    ends = _full(item.mark, _need(item.between, "between", '["1", "2"]'))
    branch = BranchDraft(item.mark, kind, ends, item.mark, cold, hot, watts, strikes_at=strikes_at)
    return _part(item, [branch, *_insulation(item, item.mark, ends[0])])


def _lamp(item: PartText, rating: Rating) -> Built:
    watts = _positive(_need(item.power, "power", '"25 W"'), "the lamp's rating", 'power = "25 W"')
    ratio = _positive(_need(item.hot_to_cold, "hot_to_cold", "12"), "hot_to_cold", "hot_to_cold = 12")
    volts = rating.volts_of(item)
    return _load(item, BranchKind.LAMP, volts**2 / watts / ratio, volts**2 / watts, watts)


def _motor(item: PartText, rating: Rating) -> Built:
    watts = _positive(_need(item.power, "power", '"28 W"'), "the motor's rating", 'power = "28 W"')
    winding = _need(item.winding, "winding", '"95 ohm"')
    return _load(item, BranchKind.MOTOR, winding, rating.volts_of(item) ** 2 / watts, watts)


def _neon(item: PartText, rating: Rating) -> Built:
    del rating
    ohms = _need(item.resistor, "resistor", '"220 kohm"')
    return _load(item, BranchKind.NEON, ohms, ohms, 0.0, _need(item.strikes_at, "strikes_at", '"70 V"'))


def _fuse(item: PartText, rating: Rating) -> Built:
    ohms = rating.made.contact_ohms if item.resistance is None else item.resistance
    amps = _need(item.rating, "rating", '"13 A"')
    ends = _full(item.mark, _need(item.between, "between", '["1", "2"]'))
    return _part(item, [BranchDraft(item.mark, BranchKind.FUSE, ends, item.mark, ohms, ohms)], rating=amps)


def _relay(item: PartText, rating: Rating) -> Built:
    """A coil and the contacts it works; one pulled in draws its rated power, more ohms than its winding has."""
    ends = _full(item.mark, _need(item.coil, "coil", '["A1", "A2"]'))
    watts = _positive(_need(item.power, "power", '"4 W"'), "the coil's rating", 'power = "4 W"')
    winding = _positive(_need(item.winding, "winding", '"1.8 kohm"'), "the winding", 'winding = "1.8 kohm"')
    volts = _positive(_need(item.pulls_in, "pulls_in", '"180 V"'), "pulls_in", 'pulls_in = "180 V"')
    example = '[{ name = "a", between = ["1", "2"], rests = "open" }]'
    _need(item.contacts, "contacts", example)
    hot = rating.volts_of(item) ** 2 / watts
    coil = BranchDraft(f"{item.mark}.coil", BranchKind.COIL, ends, item.mark, winding, hot, pulls_in=volts)
    return _part(item, [coil, *_contacts(item, rating.made)], pulls_in=volts)


def _feed(item: PartText, rating: Rating) -> Built:
    """A terminal of a second supply: from the line of the first by the meter's time switch, joined to nothing dead."""
    ends = _need(item.between, "between", '["X1.L", "L"]')
    return _part(item, [_contact(item, item.mark, ends, rating.made, rests="open")])


_KINDS: Mapping[PartKind, Callable[[PartText, Rating], Built]] = {
    PartKind.TERMINAL_BLOCK: _plain,
    PartKind.PLUG: _plain,
    PartKind.METALWORK: _plain,
    PartKind.ELEMENT: _element,
    PartKind.THERMOSTAT: _thermostat,
    PartKind.CUT_OUT: _cut_out,
    PartKind.SELECTOR: _selector,
    PartKind.SWITCH: _selector,
    PartKind.REGULATOR: _regulator,
    PartKind.MOTOR: _motor,
    PartKind.LAMP: _lamp,
    PartKind.NEON: _neon,
    PartKind.FUSE: _fuse,
    PartKind.RELAY: _relay,
    PartKind.FEED: _feed,
}


def build_part(item: PartText, rating: Rating) -> Built:
    """The part and its branches; :class:`ScenarioError` (without a place) naming the key that is missing or wrong."""
    return _KINDS[item.kind](item, rating)
