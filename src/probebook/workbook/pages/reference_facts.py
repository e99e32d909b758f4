"""What the reference sheet is told: the region's volts and limits, what elements read, the order of isolating."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.words import Facts, Noun, Phrase

__all__ = ["LeastRow", "MostRow", "RuleNamed", "ShareRow", "SheetTexts", "StepLine", "UsualRow", "VoltsRow"]

REFERENCE = "workbook/reference"

SHARES = ("power-input",)
VOLTS = ("supply-now",)
MOST_OHMS = ("earth-metalwork", "earth-through-lead")
LEAST_OHMS = ("insulation-class-i", "insulation-class-ii", "insulation-heating-element")
Seen = Literal["seen", "reported", "borrowed"]
#: What is allowed by way of exception: it holds only where it is a rule, and no other country may borrow it.
CONCESSIONS = ("insulation-heating-element",)
#: Roles of limits that stand on the sheet, as its sentences name them, in their order.
ROLES = (*SHARES, *VOLTS, *MOST_OHMS, *LEAST_OHMS)


@dataclass(frozen=True)
class SheetTexts(
    Facts,
    group=f"{REFERENCE}/sheet",
    says=(
        "head",
        "sums",
        "usual",
        "usual-heads",
        "limits",
        "limits-owner",
        "limit-heads",
        "isolate",
        "fixed",
        "plug",
        "owner-look",
        "cannot",
        "cannot-owner",
        "stop-owner",
    ),
):
    """Headings and paragraphs of the sheet, and what they name of the region."""

    country: Noun
    nominal: Annotated[float, "V"]
    plug: Noun
    electrician: Noun
    emergency: str


@dataclass(frozen=True)
class UsualRow(Facts, group=f"{REFERENCE}/row", says=("usual", "usual-one")):
    """What an element of a rating takes and reads: amperes, ohms hot, least and most of them cold."""

    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    hot: Annotated[float, "ohm"]
    least: Annotated[float, "ohm"]
    most: Annotated[float, "ohm"]


@dataclass(frozen=True)
class RuleNamed(Facts, group=f"{REFERENCE}/limit", says=("rule",)):
    """The rule of a limit, and whether its own text was seen or a report of it, or it is one of elsewhere."""

    rule: Noun
    seen: Seen


@dataclass(frozen=True)
class _Ruled(Facts):
    """The rule of a limit, as it stands beside it."""

    rule: Phrase


@dataclass(frozen=True)
class ShareRow(_Ruled, group=f"{REFERENCE}/limit", says=SHARES):
    """Least and most as parts of the rating."""

    low: Annotated[float, "1"]
    high: Annotated[float, "1"]


@dataclass(frozen=True)
class VoltsRow(_Ruled, group=f"{REFERENCE}/limit", says=VOLTS):
    """Least and most volts."""

    low: Annotated[float, "V"]
    high: Annotated[float, "V"]


@dataclass(frozen=True)
class MostRow(_Ruled, group=f"{REFERENCE}/limit", says=MOST_OHMS):
    """Most ohms of an earth path."""

    high: Annotated[float, "ohm"]


@dataclass(frozen=True)
class LeastRow(_Ruled, group=f"{REFERENCE}/limit", says=LEAST_OHMS):
    """Least ohms of insulation."""

    low: Annotated[float, "ohm"]


@dataclass(frozen=True)
class StepLine(Facts, group=f"{REFERENCE}/row", says=("step",)):
    """A step of a procedure and its place."""

    place: int
    text: str
