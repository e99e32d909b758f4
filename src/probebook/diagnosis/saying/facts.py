"""Facts of the sentences about trials, observations, rivals and what speaks against them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.meters import Function
from probebook.words import Facts, Phrase


@dataclass(frozen=True)
class SoundFacts(Facts, group="diagnosis/hypothesis", says=("nothing",)):
    """That nothing is wrong."""


@dataclass(frozen=True)
class FaultsFacts(Facts, group="diagnosis/hypothesis", says=("faults",)):
    """Faults present together, as the appliance's file puts them."""

    titles: tuple[str, ...]


@dataclass(frozen=True)
class ControlsFacts(Facts, group="diagnosis/trial", says=("controls", "controls-resting")):
    """How the controls stand."""

    position: str


@dataclass(frozen=True)
class LookFacts(Facts, group="diagnosis/trial", says=("look",)):
    """A part looked at."""

    title: str
    mark: str


@dataclass(frozen=True)
class WireLookFacts(Facts, group="diagnosis/trial", says=("look-wire",)):
    """A wire looked at."""

    mark: str


@dataclass(frozen=True)
class EnergisedFacts(Facts, group="diagnosis/trial", says=("run", "record")):
    """A trial on the energised appliance."""

    controls: Phrase


@dataclass(frozen=True)
class ReadingFacts(Facts, group="diagnosis/trial", says=("reading",)):
    """What the meter is set to, the probes, and the circumstances."""

    function: Function
    a: str
    b: str
    circumstances: tuple[Phrase, ...]


@dataclass(frozen=True)
class LiftedFacts(Facts, group="diagnosis/trial", says=("lifted",)):
    """Wires that are off."""

    wires: tuple[str, ...]


@dataclass(frozen=True)
class WarmedFacts(Facts, group="diagnosis/trial", says=("warmed", "pushed")):
    """Cut-outs that were warmed until they should operate, or relays pushed in by hand."""

    parts: tuple[str, ...]


@dataclass(frozen=True)
class DriedFacts(Facts, group="diagnosis/trial", says=("dried",)):
    """That the appliance has been dried out."""


@dataclass(frozen=True)
class HowFacts(
    Facts,
    group="diagnosis/how",
    says=(
        "off",
        "weak",
        "normal",
        "too-strong",
        "on-when-it-should-be-off",
        "right",
        "stays-cold",
        "never-reaches-it",
        "too-cool",
        "too-hot",
        "holds",
        "plug-fuse-trips-at-once",
        "plug-fuse-trips-within-minutes",
        "circuit-breaker-trips-at-once",
        "circuit-breaker-trips-within-minutes",
        "residual-current-device-trips-at-once",
        "residual-current-device-trips-within-minutes",
    ),
):
    """How a subject does."""


@dataclass(frozen=True)
class PartSubjectFacts(Facts, group="diagnosis/subject", says=("part",)):
    """A symptom's subject that is a part."""

    title: str


@dataclass(frozen=True)
class PlaceSubjectFacts(Facts, group="diagnosis/subject", says=("heat",)):
    """A symptom's subject that is the heat of a place."""

    place: str


@dataclass(frozen=True)
class SubjectFacts(Facts, group="diagnosis/subject", says=("protection", "temperature")):
    """A symptom's subject that is neither."""


@dataclass(frozen=True)
class BandFacts(Facts, group="diagnosis/band", says=("span", "apart")):
    """Two ends of a band; figures of displays."""

    low: str
    high: str


@dataclass(frozen=True)
class SeenFacts(Facts, group="diagnosis/contrast", says=("look", "look-nothing")):
    """What a look finds, in the words of the appliance's file; empty for nothing."""

    at: str
    seen: str


@dataclass(frozen=True)
class ToldPartFacts(Facts, group="diagnosis/contrast", says=("told-part",)):
    """One thing told that the rival would do otherwise."""

    subject: Phrase
    position: str
    how: Phrase
    would: Phrase


@dataclass(frozen=True)
class ToldFacts(Facts, group="diagnosis/contrast", says=("customer", "run")):
    """What was told that the rival would do otherwise."""

    parts: tuple[Phrase, ...]


@dataclass(frozen=True)
class ToldSameFacts(Facts, group="diagnosis/contrast", says=("customer-same", "run-same")):
    """That a rival would do what was told as well."""

    rival: Phrase


@dataclass(frozen=True)
class WhereFacts(Facts, group="diagnosis/contrast", says=("where", "where-off", "where-dried", "where-off-dried")):
    """Where a reading was taken."""

    a: str
    b: str
    wires: tuple[str, ...]


@dataclass(frozen=True)
class SoundLoadFacts(Facts, group="diagnosis/contrast", says=("load-section",)):
    """A circuit of a part that has several."""

    section: str
    title: str


@dataclass(frozen=True)
class SoundReadingFacts(Facts, group="diagnosis/contrast", says=("sound",)):
    """What a sound load would read, and what was shown."""

    thing: str
    band: Phrase
    where: Phrase
    shown: str


@dataclass(frozen=True)
class SoundWholeFacts(Facts, group="diagnosis/contrast", says=("sound-whole",)):
    """What a sound appliance would read, and what was shown."""

    band: Phrase
    where: Phrase
    position: str
    shown: str


@dataclass(frozen=True)
class RivalReadingFacts(Facts, group="diagnosis/contrast", says=("rival",)):
    """What would be shown with a rival, and what was shown."""

    rival: Phrase
    band: Phrase
    where: Phrase
    shown: str


@dataclass(frozen=True)
class NothingAgainstFacts(Facts, group="diagnosis/exclusion", says=("nothing",)):
    """Rivals that nothing speaks against."""

    rivals: tuple[Phrase, ...]


@dataclass(frozen=True)
class TogetherFacts(Facts, group="diagnosis/exclusion", says=("together",)):
    """A rival that no observation speaks against by itself, and how much all of them do together."""

    rival: Phrase
    times: Phrase


@dataclass(frozen=True)
class AgainstFacts(Facts, group="diagnosis/exclusion", says=("excludes", "speaks")):
    """What speaks against a rival, and how much."""

    contrast: Phrase
    rival: Phrase
    times: Phrase


@dataclass(frozen=True)
class TimesFacts(Facts, group="diagnosis/exclusion", says=("few", "about")):
    """How many times better the key explains an observation."""

    factor: Annotated[float, "1"]


@dataclass(frozen=True)
class ManyTimesFacts(Facts, group="diagnosis/exclusion", says=("million",)):
    """That it is more than anybody counts."""


@dataclass(frozen=True)
class ObjectionFacts(
    Facts,
    group="diagnosis/objection",
    says=("live-test", "owner-energises", "owner-opens", "owner-fixed-wiring", "owner-dries", "not-proved"),
):
    """Why a person may not do a trial."""


@dataclass(frozen=True)
class ReadingLineFacts(Facts, group="diagnosis/observation", says=("reading",)):
    """A reading: the trial and the display."""

    trial: Phrase
    shown: str


@dataclass(frozen=True)
class LookLineFacts(Facts, group="diagnosis/observation", says=("look", "look-nothing")):
    """A look and what it found."""

    at: str
    seen: str


@dataclass(frozen=True)
class SymptomLineFacts(Facts, group="diagnosis/observation", says=("symptom",)):
    """One symptom: the names of position and subject, and how it does."""

    position: str
    subject: str
    how: Phrase


@dataclass(frozen=True)
class SymptomsLineFacts(Facts, group="diagnosis/observation", says=("customer", "run")):
    """Symptoms told or shown."""

    symptoms: tuple[Phrase, ...]


@dataclass(frozen=True)
class TripLineFacts(Facts, group="diagnosis/observation", says=("tripped",)):
    """What a protective device did."""

    position: str
    how: Phrase
