"""Facts of the sentences in a job record, a complaint and the heading of a job card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.meters import Function
from probebook.words import Facts, Noun, Phrase


@dataclass(frozen=True)
class ControlsFacts(Facts, group="cases/controls", says=("whole",)):
    """How the controls stood: the position, and what else was so."""

    parts: tuple[str, ...]


@dataclass(frozen=True)
class RestingFacts(Facts, group="cases/controls", says=("resting",)):
    """That the thermostat did not call."""


@dataclass(frozen=True)
class WarmedFacts(Facts, group="cases/controls", says=("warmed", "pushed")):
    """Cut-outs that had been warmed."""

    parts: tuple[str, ...]


@dataclass(frozen=True)
class WiresOffFacts(Facts, group="cases/wires", says=("off", "off-dried")):
    """Wires that were off."""

    wires: tuple[str, ...]


@dataclass(frozen=True)
class NoWiresFacts(Facts, group="cases/wires", says=("none", "none-dried")):
    """That no wire was off."""


@dataclass(frozen=True)
class InsulationFacts(Facts, group="cases/meter", says=("insulation",)):
    """The test voltage of an insulation test."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class DialFacts(Facts, group="cases/meter", says=("nulled", "not-nulled")):
    """What the meter was set to."""

    function: Function


@dataclass(frozen=True)
class SymptomFacts(
    Facts, group="cases/symptom", says=("off", "weak", "normal", "too-strong", "on-when-it-should-be-off")
):
    """Something that does as the name of the sentence says."""

    subject: Noun


@dataclass(frozen=True)
class TemperatureFacts(
    Facts, group="cases/temperature", says=("right", "stays-cold", "never-reaches-it", "too-cool", "too-hot")
):
    """How the temperature does."""


@dataclass(frozen=True)
class HoldsFacts(Facts, group="cases/protection", says=("holds",)):
    """That nothing trips."""


@dataclass(frozen=True)
class TripsFacts(Facts, group="cases/protection", says=("trips",)):
    """What trips, and when."""

    how: Phrase


@dataclass(frozen=True)
class ShownFacts(Facts, group="cases/shown", says=("run",)):
    """Everything a run showed."""

    symptoms: tuple[Phrase, ...]


@dataclass(frozen=True)
class ReadingLineFacts(Facts, group="cases/line", says=("reading",)):
    """A reading: function, probes, circumstances and display."""

    function: Function
    a: str
    b: str
    circumstances: tuple[Phrase, ...]
    display: str


@dataclass(frozen=True)
class LiftedFacts(Facts, group="cases/line", says=("lifted",)):
    """Wires that were off."""

    wires: tuple[str, ...]


@dataclass(frozen=True)
class PlainLineFacts(Facts, group="cases/line", says=("dried", "customer")):
    """What needs no fact."""


@dataclass(frozen=True)
class LookLineFacts(Facts, group="cases/line", says=("look",)):
    """A look and what it found, in the words of the appliance's file."""

    at: str
    seen: str


@dataclass(frozen=True)
class EmptyLookFacts(Facts, group="cases/line", says=("look-nothing",)):
    """A look that found nothing."""

    at: str


@dataclass(frozen=True)
class RunLineFacts(Facts, group="cases/line", says=("run",)):
    """A run and what it showed."""

    position: str
    shown: Phrase


@dataclass(frozen=True)
class TripLineFacts(Facts, group="cases/line", says=("tripped",)):
    """What a protective device did."""

    position: str
    how: Phrase


@dataclass(frozen=True)
class AmissFacts(Facts, group="cases/complaint", says=("amiss",)):
    """What is amiss in one position, as clauses."""

    lead: Phrase
    amiss: tuple[str, ...]


@dataclass(frozen=True)
class WellFacts(Facts, group="cases/complaint", says=("well",)):
    """What is well in one position, as clauses."""

    lead: Phrase
    well: tuple[str, ...]


@dataclass(frozen=True)
class BothFacts(Facts, group="cases/complaint", says=("both",)):
    """What is amiss and what is well in one position, as clauses."""

    lead: Phrase
    amiss: tuple[str, ...]
    well: tuple[str, ...]


@dataclass(frozen=True)
class LeadsFacts(Facts, group="cases/complaint", says=("leads",)):
    """How a person names positions, to open a sentence."""

    leads: tuple[str, ...]


@dataclass(frozen=True)
class SinceFacts(Facts, group="cases/complaint", says=("since",)):
    """Since when."""

    since: str


@dataclass(frozen=True)
class CustomerFacts(Facts, group="cases/visit", says=("customer",)):
    """The names of a customer."""

    given: str
    family: str


@dataclass(frozen=True)
class TimeFacts(Facts, group="cases/visit", says=("time",)):
    """Day and time of a visit."""

    day: str
    hour: int
    minutes: str


@dataclass(frozen=True)
class VagueFacts(Facts):
    """What a sentence of ``kitchen.toml`` may say of the appliance."""

    thing: Noun
