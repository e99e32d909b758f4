"""What the sentences of a preview page are told; the text is ``workbook/preview.toml`` of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances.model import PartKind
from probebook.words import Facts, Noun, Phrase

PREVIEW = "workbook/preview"

# ---------------------------------------------------------------- the page, its head and its drawings


@dataclass(frozen=True)
class PageTexts(
    Facts,
    group=f"{PREVIEW}/page",
    says=("circuit", "harness", "parts", "healthy", "faults", "check", "contents", "in-words", "none"),
):
    """Headings of the sections, what a drawing says in words, and the sign for nothing in a cell."""


@dataclass(frozen=True)
class CountFacts(Facts, group=f"{PREVIEW}/lead", says=("counts",)):
    """How much of everything the file holds."""

    parts: int
    wires: int
    positions: int
    faults: int


@dataclass(frozen=True)
class SupplyFacts(Facts, group=f"{PREVIEW}/lead", says=("supply", "supply-fused")):
    """What feeds the appliance."""

    kind: Literal["fixed", "plug"]
    volts: Annotated[float, "V"]
    breaker: Annotated[float, "A"]
    fuse: Annotated[float, "A"]
    residual: Annotated[float, "mA"]


@dataclass(frozen=True)
class WiringFacts(Facts, group=f"{PREVIEW}/lead", says=("wiring", "wiring-before", "wiring-moved")):
    """Conductors of fixed three-phase wiring with their colours, or colours that mean another conductor than before."""

    cores: tuple[Phrase, ...]


@dataclass(frozen=True)
class CoreFacts(Facts, group=f"{PREVIEW}/lead", says=("core",)):
    """A conductor of fixed wiring and its colour."""

    core: Noun
    colour: Noun


@dataclass(frozen=True)
class MovedFacts(Facts, group=f"{PREVIEW}/lead", says=("moved",)):
    """A colour, the conductor that it was for, and the one that it is for now."""

    colour: Noun
    was: Noun
    now: Noun


@dataclass(frozen=True)
class SourceFacts(Facts, group=f"{PREVIEW}/lead", says=("source",)):
    """On whose word the file stands, without a full stop."""

    source: str


@dataclass(frozen=True)
class LeadTexts(Facts, group=f"{PREVIEW}/lead", says=("caution",)):
    """What to know before readings are taken."""


@dataclass(frozen=True)
class CircuitTexts(Facts, group=f"{PREVIEW}/circuit", says=("drawn",)):
    """How the schematics are drawn."""


@dataclass(frozen=True)
class PositionFacts(Facts, group=f"{PREVIEW}/circuit", says=("heading", "caption")):
    """A position, its number, and how many there are."""

    number: int
    positions: int
    position: str


@dataclass(frozen=True)
class HarnessTexts(
    Facts,
    group=f"{PREVIEW}/harness",
    says=("drawing", "caption", "wire", "from", "to", "colour", "area", "length", "note"),
):
    """Caption and heads of the table of wires."""


@dataclass(frozen=True)
class WireFacts(Facts, group=f"{PREVIEW}/harness", says=("colour-cell", "area-cell", "length-cell")):
    """A wire: its colour and letter code, area and length."""

    colour: Noun
    code: str
    area: Annotated[float, "mm2"]
    length: Annotated[float, "m"]


# ---------------------------------------------------------------- parts


@dataclass(frozen=True)
class PartsTexts(
    Facts, group=f"{PREVIEW}/parts", says=("caption", "mark", "part", "kind", "terminals", "behind", "figures")
):
    """Caption and heads of the table of parts."""


@dataclass(frozen=True)
class KindFacts(Facts, group=f"{PREVIEW}/parts", says=("kind-cell",)):
    """What sort of part it is."""

    kind: PartKind


@dataclass(frozen=True)
class LoadsTexts(
    Facts,
    group=f"{PREVIEW}/loads",
    says=("caption-lines", "load", "mark", "heats", "rating", "rated-for", "cold", "at-work", "tolerance"),
):
    """Heads of the table of loads, and its caption where each is rated for volts of its own."""


@dataclass(frozen=True)
class LoadsFacts(Facts, group=f"{PREVIEW}/loads", says=("caption",)):
    """The voltage that ratings are for."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class LoadNotes(Facts, group=f"{PREVIEW}/loads", says=("lamp-note", "motor-note", "neon-note", "coil-note")):
    """What a reader may take wrongly from the ohms of a load."""


@dataclass(frozen=True)
class WattsFacts(Facts, group=f"{PREVIEW}/cells", says=("watts",)):
    """A rating."""

    watts: Annotated[float, "W"]


@dataclass(frozen=True)
class VoltsFacts(Facts, group=f"{PREVIEW}/cells", says=("volts",)):
    """Volts that a rating is for."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class OhmsFacts(Facts, group=f"{PREVIEW}/cells", says=("ohms",)):
    """A resistance."""

    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class ToleranceFacts(Facts, group=f"{PREVIEW}/cells", says=("tolerance",)):
    """A tolerance."""

    percent: Annotated[float, "%"]


@dataclass(frozen=True)
class CellTexts(Facts, group=f"{PREVIEW}/cells", says=("open",)):
    """What stands in a cell in place of a resistance without end."""


@dataclass(frozen=True)
class AmpsFigure(Facts, group=f"{PREVIEW}/figures", says=("rating",)):
    """A current of a part."""

    value: Annotated[float, "A"]


@dataclass(frozen=True)
class VoltsFigure(Facts, group=f"{PREVIEW}/figures", says=("pulls-in",)):
    """Volts of a part."""

    value: Annotated[float, "V"]


@dataclass(frozen=True)
class CelsiusFigure(Facts, group=f"{PREVIEW}/figures", says=("minimum", "maximum", "opens-at", "closes-at", "working")):
    """A temperature of a part."""

    value: Annotated[float, "degC"]


@dataclass(frozen=True)
class KelvinFigure(Facts, group=f"{PREVIEW}/figures", says=("differential",)):
    """A difference of temperature."""

    value: Annotated[float, "K"]


@dataclass(frozen=True)
class PercentFigure(Facts, group=f"{PREVIEW}/figures", says=("tolerance",)):
    """A tolerance of a part."""

    value: Annotated[float, "%"]


@dataclass(frozen=True)
class NounFigure(Facts, group=f"{PREVIEW}/figures", says=("reset", "senses")):
    """What is not a number: how it is reset, what it senses."""

    value: Noun


@dataclass(frozen=True)
class TextFigure(Facts, group=f"{PREVIEW}/figures", says=("alloy",)):
    """An id of another file."""

    value: str


# ---------------------------------------------------------------- faults


@dataclass(frozen=True)
class FaultsTexts(
    Facts,
    group=f"{PREVIEW}/faults",
    says=("caption", "fault", "changes", "looks", "likelihood", "mending", "no-change", "dried"),
):
    """Caption and heads of the table of faults, and two changes that need no figure."""


@dataclass(frozen=True)
class ShareFacts(Facts, group=f"{PREVIEW}/faults", says=("share",)):
    """A fault's part of all calls."""

    share: float


@dataclass(frozen=True)
class BasisFacts(Facts, group=f"{PREVIEW}/faults", says=("basis", "basis-unless", "basis-of")):
    """On whose word likelihoods stand, and the faults this is said of."""

    basis: str
    faults: tuple[str, ...]


@dataclass(frozen=True)
class OffsetFacts(Facts, group=f"{PREVIEW}/faults", says=("offset",)):
    """A thermostat that opens above or below its setting."""

    part: str
    kelvins: Annotated[float, "K"]
    side: Literal["above", "below"]


@dataclass(frozen=True)
class LowSupplyFacts(Facts, group=f"{PREVIEW}/faults", says=("supply", "supply-lines")):
    """A supply at another voltage: from line to neutral, or between two lines of three."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class StopsFacts(Facts, group=f"{PREVIEW}/faults", says=("stops", "left-at")):
    """A motor that stands, or a position that the controls were left at."""

    what: str


@dataclass(frozen=True)
class BranchFacts(Facts, group=f"{PREVIEW}/branch", says=("plain", "to-metal", "on-tag")):
    """A branch by its name; a path to metalwork, or a wire moved to another tag, by its two ends."""

    one: str
    other: str


@dataclass(frozen=True)
class ChangeFacts(Facts, group=f"{PREVIEW}/change", says=("whole",)):
    """What a fault does to one branch."""

    branch: Phrase
    changes: tuple[Phrase, ...]


@dataclass(frozen=True)
class ChangeTexts(Facts, group=f"{PREVIEW}/change", says=("open", "joined", "as-it-was", "open-at-work")):
    """Changes that need no figure."""


@dataclass(frozen=True)
class ChangeOhms(Facts, group=f"{PREVIEW}/change", says=("closed", "forced", "at-work", "more")):
    """A change told by a resistance."""

    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class ChangeFactor(Facts, group=f"{PREVIEW}/change", says=("factor",)):
    """A change told by a factor."""

    factor: float


@dataclass(frozen=True)
class CheckTexts(Facts, group=f"{PREVIEW}/check", says=("sound",)):
    """A file in which nothing was found."""


@dataclass(frozen=True)
class FindingFacts(Facts, group=f"{PREVIEW}/check", says=("severity",)):
    """How much a finding matters."""

    severity: Literal["error", "warning", "information"]


# ---------------------------------------------------------------- healthy readings


@dataclass(frozen=True)
class ReadingHeads(
    Facts,
    group=f"{PREVIEW}/readings",
    says=("load", "probes", "rating", "wires-off", "alone", "as-wired", "position", "shows", "draws", "works", "what",
          "controls", "metalwork", "nothing-drawn", "neutral-to-earth", "line-to-earth"),
):  # fmt: skip
    """Heads of the tables of readings, and cells that need no figure."""


@dataclass(frozen=True)
class LoadsRead(Facts, group=f"{PREVIEW}/readings", says=("loads",)):
    """Caption: each load across its terminals."""

    position: str
    meter: Noun


@dataclass(frozen=True)
class MeterUsed(Facts, group=f"{PREVIEW}/readings", says=("whole", "whole-lines", "earths")):
    """Caption: line to neutral, between any two live conductors, or earth continuity, by an instrument."""

    meter: Noun


@dataclass(frozen=True)
class InsulationRead(Facts, group=f"{PREVIEW}/readings", says=("insulation",)):
    """Caption: insulation at a voltage."""

    volts: Annotated[float, "V"]
    meter: Noun


@dataclass(frozen=True)
class WiresOff(Facts, group=f"{PREVIEW}/readings", says=("wires",)):
    """The wires that were taken off."""

    wires: tuple[str, ...]


@dataclass(frozen=True)
class Drawn(Facts, group=f"{PREVIEW}/readings", says=("watts-drawn",)):
    """What is drawn from the supply."""

    watts: Annotated[float, "W"]


@dataclass(frozen=True)
class Working(Facts, group=f"{PREVIEW}/readings", says=("working",)):
    """The loads that work."""

    loads: tuple[Noun, ...]


@dataclass(frozen=True)
class LoadAlone(Facts, group=f"{PREVIEW}/readings", says=("load-alone",)):
    """A load by itself."""

    load: Noun
