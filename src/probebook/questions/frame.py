"""What every kind of question is built with: the request, fair numbers, slips with their advice.

A builder takes an :class:`Ask`, a library and a random stream and returns a question, or raises :class:`Unfit` when
this draw would make an unfair one (a slip inside the key's band, two slips that give the same answer, a trivial case);
another draw is then taken. Nothing here invents a wrong number: each is what a named slip computes.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip
from probebook.unit_format import format_quantity
from probebook.words import Facts, Phrase

__all__ = [
    "Ask",
    "Builder",
    "Unfit",
    "WrongNumber",
    "WrongOption",
    "advice",
    "choice_field",
    "numeric_slips",
    "option_slips",
    "quantity_field",
    "shuffled",
    "slip_bands",
    "typed",
]


class Unfit(Exception):  # noqa: N818 - not a mistake of anybody's: a draw that is put back
    """A draw makes no fair question; the message says why (for the author of a plan)."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A request for one question, as a plan states it.

    Attributes
    ----------
    id
        Id of the question in its workbook or paper (``q07``).
    kind
        Kind of question.
    seed
        Names the draws; ``seed`` and ``id`` together fix every figure.
    level
        1 (a single step) to 4.
    appliance
        Id of the appliance it is about.
    options
        What else the plan says, by key; each builder names its own.
    case
        The case that the question is about, for the kinds that ask about one.
    """

    id: str
    kind: Kind
    seed: str
    level: int = 1
    appliance: str = "conventional-oven"
    options: Mapping[str, str | float | bool | Sequence[str]] = field(default_factory=dict)
    case: Case | None = None

    def text(self, key: str, default: str = "") -> str:
        """The option as text."""
        return str(self.options.get(key, default))


Builder = Callable[[Ask, Library, random.Random], Question]


@dataclass(frozen=True)
class SlipOpening(Facts, group="questions/shared/slip", says=("opening",)):
    """What was done, where a slip has no sentence with this case's own figures."""

    way: Phrase


@dataclass(frozen=True, slots=True)
class WrongNumber:
    """What a slip computes here: its id, the SI value it gives, and the sentence with this case's own figures."""

    slip: str
    value: float
    here: str = ""
    marks: float = 0.0
    critical: bool = False


@dataclass(frozen=True, slots=True)
class WrongOption:
    """The option that a slip leads to, and the sentence with this case's own figures."""

    slip: str
    option: str
    here: str = ""
    marks: float = 0.0
    critical: bool = False


def typed(value: float, unit: str, digits: int = 4) -> str:
    """A quantity as a good learner would type it; ``OL`` for an open circuit."""
    return "OL" if math.isinf(value) else format_quantity(value, unit, digits)


def advice(library: Library, slip: str, here: str = "") -> str:
    """What a learner reads when the slip is recognised: this case's figures first, then what to do instead."""
    note = library.slips[slip]
    opening = here if here else library.words.say(SlipOpening(Phrase(note.way)), "opening")
    told = opening.lower()
    return " ".join([opening, *(sentence for sentence in note.advice if sentence.lower() not in told)])


def quantity_field(
    key: str,
    label: str,
    unit: str,
    value: float,
    *,
    tolerance: float = 0.01,
    accepted: Band | None = None,
    allow_open: bool = False,
) -> Field:
    """A field for a typed quantity: accepted within ``value`` ± ``tolerance``, or within the band ``accepted``."""
    if math.isinf(value):
        band = Band(value, value)
    else:
        band = accepted or Band(value * (1 - tolerance), value * (1 + tolerance))
    return Field(
        key=key,
        kind=FieldKind.QUANTITY,
        label=label,
        marks=0.0,
        answer=typed(value, unit, 3),
        unit=unit,
        band=band,
        allow_open=allow_open or math.isinf(value),
    )


def slip_bands(target: Field, wrong: Sequence[WrongNumber], tolerance: float = 0.006) -> list[Band]:
    """The bands of typed values that show each slip; Unfit where one meets the key's or another's."""
    if target.band is None:
        raise Unfit(f"the field '{target.key}' has no band")
    taken: list[tuple[str, Band]] = [("the key", target.band)]
    for item in wrong:
        band = (
            Band(item.value, item.value)
            if math.isinf(item.value)
            else Band(item.value * (1 - tolerance), item.value * (1 + tolerance))
        )
        for name, other in taken:
            if band.low <= other.high and other.low <= band.high:
                raise Unfit(f"the slip '{item.slip}' cannot be told from {name}")
        taken.append((f"the slip '{item.slip}'", band))
    return [band for _, band in taken[1:]]


def numeric_slips(
    library: Library, target: Field, wrong: Sequence[WrongNumber], *, tolerance: float = 0.006, least: int = 3
) -> tuple[Slip, ...]:
    """Slips of a quantity, each with the band of typed values that show it.

    Raises
    ------
    Unfit
        A slip's band meets the key's or another slip's, or fewer than ``least`` slips are left.
    """
    slips = [
        Slip(
            slip=item.slip,
            field=target.key,
            response=typed(item.value, target.unit),
            advice=advice(library, item.slip, item.here),
            marks=item.marks,
            band=band,
            critical=item.critical,
        )
        for item, band in zip(wrong, slip_bands(target, wrong, tolerance), strict=True)
    ]
    if len(slips) < least:
        raise Unfit(f"only {len(slips)} slips apply here, {least} are wanted")
    return tuple(slips)


def choice_field(
    key: str,
    label: str,
    options: Sequence[Option],
    answer: str,
    *,
    partial: Sequence[tuple[str, float]] = (),
) -> Field:
    """A field in which one option is right."""
    return Field(
        key=key,
        kind=FieldKind.CHOICE,
        label=label,
        marks=0.0,
        answer=answer,
        options=tuple(options),
        partial=tuple(partial),
    )


def option_slips(library: Library, target: Field, wrong: Sequence[WrongOption]) -> tuple[Slip, ...]:
    """Slips of a choice: the option each leads to, with its advice.

    Raises
    ------
    Unfit
        Two slips lead to one option, or a slip leads to the key.
    """
    seen: set[str] = set()
    slips: list[Slip] = []
    for item in wrong:
        if item.option == target.answer or item.option in seen:
            raise Unfit(f"the slip '{item.slip}' cannot be told from another answer")
        seen.add(item.option)
        slips.append(
            Slip(
                slip=item.slip,
                field=target.key,
                response=item.option,
                advice=advice(library, item.slip, item.here),
                marks=item.marks,
                critical=item.critical,
            )
        )
    return tuple(slips)


def shuffled(options: Sequence[Option], rng: random.Random) -> tuple[Option, ...]:
    """The options in an order that gives nothing away."""
    mixed = list(options)
    rng.shuffle(mixed)
    return tuple(mixed)
