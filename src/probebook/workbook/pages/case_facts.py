"""What the sentences of a case's page are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "CardHeads",
    "CardNumber",
    "CaseHead",
    "CaseHeads",
    "CircuitDrawing",
    "HeatUpDrawing",
    "HowTaken",
    "Instrument",
    "InstrumentLeads",
    "LookedAt",
    "OverloadNote",
    "PartDrawing",
    "PlateHeads",
    "PlateLoad",
    "PlateMaker",
    "PlateRating",
    "Recorded",
    "Reported",
    "TableHeads",
    "TesterUsed",
    "WorkedHead",
]

CASE = "workbook/case"


@dataclass(frozen=True)
class CaseHead(Facts, group=f"{CASE}/page", says=("head",)):
    """Number and appliance of a case."""

    number: int
    appliance: Noun


@dataclass(frozen=True)
class WorkedHead(Facts, group=f"{CASE}/page", says=("worked",)):
    """Appliance of a case that is worked aloud."""

    appliance: Noun


@dataclass(frozen=True)
class CaseHeads(Facts, group=f"{CASE}/page", says=("circuit",)):
    """Headings of plate and circuit."""


@dataclass(frozen=True)
class Recorded(Facts, group=f"{CASE}/page", says=("recorded",)):
    """In which state the readings were taken."""

    how: Phrase


@dataclass(frozen=True)
class HowTaken(Facts, group=f"{CASE}/taken", says=("plug", "fixed", "plug-runs", "fixed-runs")):
    """In which state the readings were taken, and the functional runs where there are any."""


@dataclass(frozen=True)
class CardHeads(Facts, group=f"{CASE}/card", says=("head", "job", "customer", "premises", "reported", "found", "note")):
    """Rows of the job card."""


@dataclass(frozen=True)
class Reported(Facts, group=f"{CASE}/card", says=("quoted",)):
    """What the customer said."""

    words: Phrase


@dataclass(frozen=True)
class CardNumber(Facts, group=f"{CASE}/card", says=("number-and-time",)):
    """Number of a job, and when it was taken."""

    number: str
    time: str


@dataclass(frozen=True)
class PlateHeads(Facts, group=f"{CASE}/plate", says=("head", "maker", "rating")):
    """Rows of the rating plate."""


@dataclass(frozen=True)
class PlateMaker(Facts, group=f"{CASE}/plate", says=("made-by",)):
    """Maker and designation, as the plate has them."""

    maker: str
    designation: str


@dataclass(frozen=True)
class PlateRating(Facts, group=f"{CASE}/plate", says=("rated", "rated-star", "rated-three")):
    """The rating of the whole appliance: of one phase, or of three with neutral or without."""

    volts: Annotated[float, "V"]
    hertz: Annotated[float, "Hz"]
    watts: Annotated[float, "W"]
    protection: Noun


@dataclass(frozen=True)
class PlateLoad(Facts, group=f"{CASE}/plate", says=("load",)):
    """The rating of one load."""

    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class TableHeads(
    Facts,
    group=f"{CASE}/table",
    says=("controls", "wires", "probes", "function", "shows", "run", "device", "nothing"),
):
    """Columns of the table of readings, and what stands in them where nothing was measured."""


@dataclass(frozen=True)
class LookedAt(Facts, group=f"{CASE}/table", says=("look",)):
    """What was looked at, by its mark."""

    at: str


@dataclass(frozen=True)
class Instrument(Facts, group=f"{CASE}/instruments", says=("ohms",)):
    """The meter that ohms were read with."""

    meter: Noun


@dataclass(frozen=True)
class InstrumentLeads(Facts, group=f"{CASE}/instruments", says=("ohms-leads",)):
    """A meter that cannot null its leads, with their resistance."""

    meter: Noun
    leads: Annotated[float, "ohm"]


@dataclass(frozen=True)
class TesterUsed(Facts, group=f"{CASE}/instruments", says=("tester",)):
    """The instrument for insulation and earth continuity."""

    tester: Noun


@dataclass(frozen=True)
class OverloadNote(Facts, group=f"{CASE}/instruments", says=("overload",)):
    """What ``OL`` means."""


@dataclass(frozen=True)
class CircuitDrawing(Facts, group=f"{CASE}/drawing", says=("circuit",)):
    """A circuit diagram and what it shows, in words."""

    appliance: Noun
    description: Phrase


@dataclass(frozen=True)
class PartDrawing(Facts, group=f"{CASE}/drawing", says=("harness", "plate")):
    """A drawing that a table below repeats."""

    appliance: Noun


@dataclass(frozen=True)
class HeatUpDrawing(Facts, group=f"{CASE}/drawing", says=("heat-up",)):
    """A heat-up record in a position."""

    appliance: Noun
    position: Noun
