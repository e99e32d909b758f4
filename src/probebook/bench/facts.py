"""What the sentences of the bench are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "Act",
    "ActConclude",
    "ActDial",
    "ActLook",
    "ActOn",
    "ActOnCover",
    "ActProbe",
    "ActToPosition",
    "Advice",
    "BadEarth",
    "BadInsulation",
    "Concluded",
    "ControlsAt",
    "CoverMoved",
    "CoverOff",
    "Covered",
    "Dial",
    "DialVolts",
    "EarthUnread",
    "Ended",
    "InsulationUnread",
    "LeftOn",
    "Looks",
    "LooksSound",
    "MeterSet",
    "MeterSetLeads",
    "NextMost",
    "NotTogether",
    "NothingToTry",
    "PairTested",
    "PairsWanting",
    "PartsOfGrade",
    "RanAt",
    "ReadingShown",
    "Refused",
    "Seen",
    "Share",
    "SidesUnread",
    "Spent",
    "Stop",
    "StopBecause",
    "StopBridging",
    "StopCover",
    "StopOpen",
    "StopPlain",
    "TerminalCovered",
    "Thin",
    "UnderOne",
    "Unlikely",
    "Unproved",
    "Wanting",
    "WireLifted",
    "WireOff",
    "WireRefitted",
]


@dataclass(frozen=True)
class Act(
    Facts,
    group="bench/act",
    says=(
        "prove",
        "calling",
        "resting",
        "null",
        "dry",
        "energise",
        "watch",
        "run",
        "record",
        "isolate-plug",
        "isolate-fixed",
        "lock-plug",
        "lock-fixed",
        "conclude-nothing",
    ),
):
    """An act that is done to nothing in particular."""


@dataclass(frozen=True)
class ActOn(Facts, group="bench/act", says=("test", "lift", "refit", "bypass", "look-wire")):
    """An act on a pair, a wire or a part, by its mark."""

    what: str


@dataclass(frozen=True)
class ActOnCover(Facts, group="bench/act", says=("cover-off", "cover-on")):
    """An act on a cover."""

    cover: Noun


@dataclass(frozen=True)
class ActToPosition(Facts, group="bench/act", says=("controls",)):
    """The position that the controls are set to."""

    thing: Noun


@dataclass(frozen=True)
class ActDial(Facts, group="bench/act", says=("meter",)):
    """What the dial is set to."""

    dial: Phrase


@dataclass(frozen=True)
class ActProbe(Facts, group="bench/act", says=("probe",)):
    """Two terminals."""

    a: str
    b: str


@dataclass(frozen=True)
class ActLook(Facts, group="bench/act", says=("look-part",)):
    """A part with its mark."""

    part: Noun
    what: str


@dataclass(frozen=True)
class ActConclude(Facts, group="bench/act", says=("conclude",)):
    """The faults concluded."""

    faults: tuple[Noun, ...]


@dataclass(frozen=True)
class Dial(
    Facts,
    group="bench/dial",
    says=("ohms", "continuity", "set-ohms", "set-continuity"),
):
    """A function of the instruments."""


@dataclass(frozen=True)
class DialVolts(Facts, group="bench/dial", says=("insulation", "set-insulation")):
    """A function with its test voltage."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class Seen(
    Facts,
    group="bench/shown",
    says=(
        "plug-out",
        "isolator-off",
        "plug-locked",
        "locked",
        "tester-works",
        "calls",
        "calls-not",
        "supply-on",
        "concluded-nothing",
        "nulled",
        "dried",
    ),
):
    """What is seen where nothing varies."""


@dataclass(frozen=True)
class PairTested(Facts, group="bench/shown", says=("live", "no-voltage")):
    """A pair that was tested for dead."""

    pair: str


@dataclass(frozen=True)
class CoverMoved(Facts, group="bench/shown", says=("cover-is-off", "cover-is-on")):
    """A cover that was moved."""

    cover: Noun


@dataclass(frozen=True)
class WireLifted(Facts, group="bench/shown", says=("wire-off",)):
    """A wire that was taken off at one end."""

    mark: str
    colour: Noun
    start: str
    end: str


@dataclass(frozen=True)
class WireRefitted(Facts, group="bench/shown", says=("wire-on",)):
    """A wire that was put back."""

    mark: str


@dataclass(frozen=True)
class ControlsAt(Facts, group="bench/shown", says=("controls-at",)):
    """Where the controls stand."""

    position: Noun


@dataclass(frozen=True)
class RanAt(Facts, group="bench/shown", says=("ran", "recorded", "watched")):
    """What a run, a record or a look at the lamps showed in a position."""

    position: Noun
    symptoms: Phrase


@dataclass(frozen=True)
class Concluded(Facts, group="bench/shown", says=("concluded",)):
    """The faults concluded."""

    faults: tuple[Noun, ...]


@dataclass(frozen=True)
class MeterSet(Facts, group="bench/shown", says=("meter-set",)):
    """An instrument and what its dial is set to."""

    meter: Noun
    dial: Phrase


@dataclass(frozen=True)
class MeterSetLeads(Facts, group="bench/shown", says=("meter-set-leads",)):
    """The same, with what is shown with the probes together."""

    meter: Noun
    dial: Phrase
    leads: str


@dataclass(frozen=True)
class ReadingShown(Facts, group="bench/shown", says=("reading", "reading-beeps", "reading-silent")):
    """A reading between two terminals."""

    a: str
    b: str
    display: str


@dataclass(frozen=True)
class LooksSound(Facts, group="bench/shown", says=("looks-sound",)):
    """A part or wire at which there is nothing to see."""

    mark: str


@dataclass(frozen=True)
class Looks(Facts, group="bench/shown", says=("looks",)):
    """What a look at a part or wire shows."""

    mark: str
    looks: Phrase


@dataclass(frozen=True)
class Refused(
    Facts,
    group="bench/refused",
    says=(
        "over",
        "no-act",
        "isolated",
        "locked",
        "not-isolated",
        "no-pair",
        "no-cover",
        "cover-on",
        "no-wire",
        "wire-on",
        "no-position",
        "thermostat",
        "supply-on",
        "supply-off",
        "no-bridge",
        "no-fault",
        "no-function",
        "no-null",
        "two-terminals",
        "no-meter",
        "no-look",
        "not-now",
        "not-calling",
    ),
):
    """What cannot be done."""


@dataclass(frozen=True)
class Covered(Facts, group="bench/refused", says=("wire-covered", "part-covered")):
    """A wire or part under a cover."""

    mark: str


@dataclass(frozen=True)
class TerminalCovered(Facts, group="bench/refused", says=("terminal-covered",)):
    """A terminal and the cover over it."""

    terminal: str
    cover: Noun


@dataclass(frozen=True)
class NothingToTry(Facts, group="bench/refused", says=("nothing-to-try", "no-lamp")):
    """A position in which nothing can be tried out, or no lamp is to be seen."""

    position: Noun


@dataclass(frozen=True)
class Stop(Facts, group="bench/stop", says=("stop",)):
    """The mistake that ends the job."""

    what: Phrase


@dataclass(frozen=True)
class StopPlain(Facts, group="bench/stop", says=("earth-off", "live")):
    """Mistakes of which nothing varies."""


@dataclass(frozen=True)
class StopCover(Facts, group="bench/stop", says=("taking-cover-off",)):
    """A cover taken off, and what is wanting."""

    cover: Noun
    why: Phrase


@dataclass(frozen=True)
class StopBecause(Facts, group="bench/stop", says=("taking-wire-off", "unproved", "suspect", "not-dead")):
    """What is wanting."""

    why: Phrase


@dataclass(frozen=True)
class StopOpen(Facts, group="bench/stop", says=("open",)):
    """Covers and wires that are off."""

    off: tuple[Phrase, ...]


@dataclass(frozen=True)
class CoverOff(Facts, group="bench/stop", says=("cover",)):
    """A cover that is off."""

    cover: Noun


@dataclass(frozen=True)
class WireOff(Facts, group="bench/stop", says=("wire",)):
    """A wire that is off."""

    mark: str


@dataclass(frozen=True)
class StopBridging(Facts, group="bench/stop", says=("bridging",)):
    """A protective part that is bridged."""

    part: Noun


@dataclass(frozen=True)
class Wanting(
    Facts, group="bench/wanting", says=("supply-on", "not-locked", "not-proved-first", "not-tested", "prove-once")
):
    """The step of isolating and proving dead that is wanting."""


@dataclass(frozen=True)
class PairsWanting(Facts, group="bench/wanting", says=("pairs",)):
    """Pairs that were not tested."""

    pairs: tuple[str, ...]


@dataclass(frozen=True)
class BadEarth(Facts, group="bench/unproved", says=("bad-earth",)):
    """An earth reading out of bounds."""

    a: str
    display: str


@dataclass(frozen=True)
class BadInsulation(Facts, group="bench/unproved", says=("bad-insulation",)):
    """An insulation reading out of bounds."""

    a: str
    b: str
    display: str


@dataclass(frozen=True)
class EarthUnread(Facts, group="bench/unproved", says=("no-earth",)):
    """Metalwork to which the earth has not been shown to be good, and the most that is allowed."""

    places: tuple[str, ...]
    most: Annotated[float, "ohm"]


@dataclass(frozen=True)
class InsulationUnread(Facts, group="bench/unproved", says=("no-insulation",)):
    """Insulation has not been read."""


@dataclass(frozen=True)
class SidesUnread(Facts, group="bench/unproved", says=("no-insulation-of",)):
    """What insulation has not been read of on three lines: lines, then neutral, then loads, by their names."""

    sides: tuple[str, ...]


@dataclass(frozen=True)
class PartsOfGrade(Facts, group="bench/grade", says=("parts",)):
    """Marks of the four parts of a job, each with the most it can earn."""

    safety: Annotated[float, "1"]
    safety_most: Annotated[float, "1"]
    support: Annotated[float, "1"]
    support_most: Annotated[float, "1"]
    economy: Annotated[float, "1"]
    economy_most: Annotated[float, "1"]
    conclusion: Annotated[float, "1"]
    conclusion_most: Annotated[float, "1"]


@dataclass(frozen=True)
class Ended(Facts, group="bench/grade", says=("ended",)):
    """The step that ended a job, from 1, its act in words, and the mistake."""

    step: int
    act: Phrase
    what: Phrase


@dataclass(frozen=True)
class LeftOn(Facts, group="bench/grade", says=("left-on",)):
    """A faulty appliance was left with its supply on."""


@dataclass(frozen=True)
class Unproved(Facts, group="bench/grade", says=("unproved",)):
    """A conclusion without a proof of dead."""


@dataclass(frozen=True)
class NotTogether(Facts, group="bench/grade", says=("not-together",)):
    """Two faults that exclude each other."""


@dataclass(frozen=True)
class Spent(Facts, group="bench/grade", says=("spent",)):
    """Tests and working minutes of a job, and those of the par."""

    tests: int
    minutes: Annotated[float, "min"]
    par_tests: int
    par_minutes: Annotated[float, "min"]


@dataclass(frozen=True)
class Thin(Facts, group="bench/grade", says=("thin-one", "thin", "other-fits")):
    """How likely a conclusion is from the learner's own readings."""

    likely: Phrase


@dataclass(frozen=True)
class Unlikely(Facts, group="bench/grade", says=("unlikely",)):
    """How likely a wrong conclusion is, and the observation that speaks against it."""

    likely: Phrase
    contrast: Phrase


@dataclass(frozen=True)
class UnderOne(Facts, group="bench/grade", says=("under-one",)):
    """Less than one in a hundred."""


@dataclass(frozen=True)
class Share(Facts, group="bench/grade", says=("percent",)):
    """A probability."""

    share: Annotated[float, "1"]


@dataclass(frozen=True)
class Advice(Facts, group="bench/advice", says=("misfit", "settled", "nothing")):
    """What is said of a job where no test is to be named."""


@dataclass(frozen=True)
class NextMost(Facts, group="bench/advice", says=("next", "next-dead")):
    """The test that tells most now."""

    trial: Phrase
