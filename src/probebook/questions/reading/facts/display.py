"""The display itself: a prefix beside the figure, and ranges set by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance
from probebook.meters import Function, Meter, Range
from probebook.meters.display import format_count, format_overload
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "DisplayCase",
    "DisplayFacts",
    "RangeCase",
    "RangeFacts",
    "display_facts",
    "range_case",
    "range_facts",
]

PREFIXES: Mapping[str, Literal["kilo", "mega"]] = {"k": "kilo", "M": "mega"}
FACTORS = {"kilo": 1e3, "mega": 1e6}


# ---------------------------------------------------------------- prefixes


@dataclass(frozen=True, slots=True)
class DisplayCase:
    """A display with a prefix: the text, the ohms it stands for, and the part it was taken across (insulation: none).

    ``ends`` are what the two leads touch.
    """

    meter: Meter
    shown: str
    value: float
    part: Noun | None
    ends: tuple[str, str]
    test_volts: float


@dataclass(frozen=True)
class DisplayFacts(
    Facts,
    group="questions/reading/display",
    says=(
        "title",
        "prompt-ohms",
        "prompt-insulation",
        "explanation-kilo",
        "explanation-mega",
        "working",
        "label",
        "dial-ohms",
        "dial-insulation",
        "here.prefix-lost",
        "here.prefix-swapped",
        "here.point-misplaced",
    ),
):
    """A display, its figure and its unit, and the ohms it stands for."""

    opening: Phrase
    meter: Noun
    part: Noun
    test_volts: Annotated[float, "V"]
    shown: str
    number: str
    unit: str
    prefix: Literal["kilo", "mega"]
    factor: float
    value: Annotated[float, "ohm"]


@dataclass(frozen=True)
class LeadEnds(Facts, group="questions/reading/display", says=("lead.supply", "lead.metalwork")):
    """What the leads of an insulation tester touch, as the picture names it."""


def display_facts(words: Words, appliance: Appliance, case: DisplayCase) -> DisplayFacts:
    """What is told of a display with a prefix; Unfit where it bears none."""
    number, unit = case.shown.split(" ")
    prefix = PREFIXES.get(unit[0])
    if prefix is None:
        raise Unfit("the display bears no prefix")
    return DisplayFacts(
        opening=sw.opening(words, appliance),
        meter=words.noun(case.meter.title),
        part=case.part or Noun("", ""),
        test_volts=case.test_volts,
        shown=case.shown,
        number=number,
        unit=unit,
        prefix=prefix,
        factor=FACTORS[prefix],
        value=case.value,
    )


# ---------------------------------------------------------------- ranges


@dataclass(frozen=True, slots=True)
class RangeCase:
    """A known resistor on a range set by hand; ``fits`` is the lowest range that holds it.

    ``shows`` are the displays to choose from by option, each another text; ``right`` is that of the range set.
    """

    meter: Meter
    value: float
    used: Range
    fits: Range
    shows: Mapping[str, str]

    @property
    def over(self) -> bool:
        """Whether the range set cannot show it."""
        return self.value > self.used.full_scale

    @property
    def step(self) -> str:
        """What to do next: ``right``, ``up`` or ``down``."""
        return "right" if self.used is self.fits else "up" if self.over else "down"


def range_case(meter: Meter, used: Range, value: float) -> RangeCase:
    """What the range shows of a resistor and what else it might be thought to; Unfit where that tells too little."""
    if value < 3 * used.resolution:
        raise Unfit("this range shows next to nothing of it")
    fits = next(r for r in meter.ranges_of(Function.OHMS) if value <= r.full_scale)
    over = value > used.full_scale
    shows = {
        "right": format_overload(Function.OHMS, used) if over else _display(used, value),
        "raw": f"{value:g} {_unit(used)}",
        "over": "OL",
        "zero": format_count(Function.OHMS, used, 0),
    }
    if not over and used is not fits:
        shows["fine"] = _display(fits, value)
    distinct: dict[str, str] = {}
    for key, text in shows.items():
        if text not in distinct.values():
            distinct[key] = text
    if len(distinct) < 3:
        raise Unfit("too few different displays")
    return RangeCase(meter, value, used, fits, distinct)


def _display(one: Range, value: float) -> str:
    return format_count(Function.OHMS, one, round(value / one.resolution))


def _unit(one: Range) -> str:
    return format_count(Function.OHMS, one, 1).split(" ")[1]


def _scale(one: Range) -> str:
    """A range as its dial or display names it: ``1.999 kΩ``."""
    return format_count(Function.OHMS, one, round(one.full_scale / one.resolution))


@dataclass(frozen=True)
class RangeFacts(
    Facts,
    group="questions/reading/range",
    says=(
        "title",
        "prompt",
        "explanation-over",
        "explanation-fits",
        "explanation-coarse",
        "working",
        "label-shows",
        "label-then",
        "then.right",
        "then.up",
        "then.down",
        "then.broken",
        "because-over",
        "because",
        "here.raw-ohms",
        "here.raw-kilo",
        "here.raw-mega",
        "here.over",
        "here.zero",
        "here.fine",
    ),
):
    """A known resistor, the range set by hand and the one that fits, with what each shows."""

    meter: Noun
    value: Annotated[float, "ohm"]
    scale: str
    step: Annotated[float, "ohm"]
    right: str
    raw: str
    fitting: str
    fine: str


def range_facts(words: Words, case: RangeCase) -> RangeFacts:
    """What is told of a range set by hand."""
    return RangeFacts(
        meter=words.noun(case.meter.title),
        value=case.value,
        scale=_scale(case.used),
        step=case.used.resolution,
        right=case.shows["right"],
        raw=f"{case.value:g} {_unit(case.used)}",
        fitting=_scale(case.fits),
        fine=_display(case.fits, case.value),
    )
