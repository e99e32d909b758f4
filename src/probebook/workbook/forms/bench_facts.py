"""What the sentences of the bench's form are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "BenchButtons",
    "BenchHeads",
    "BenchLists",
    "BenchStatus",
    "BenchTitle",
    "BenchWords",
    "CoverButton",
    "CoveredTerminal",
    "IsolatedStatus",
    "ListedPart",
    "ListedTerminal",
    "ListedWire",
    "LogHeads",
    "StatusWords",
    "TestButton",
    "WireAlone",
]

BENCH = "workbook/bench"


@dataclass(frozen=True)
class BenchHeads(
    Facts,
    group=f"{BENCH}/head",
    says=("supply", "covers", "controls", "wires", "look", "meter", "conclude", "display"),
):
    """Headings of the rows, and the name of the display."""


@dataclass(frozen=True)
class BenchTitle(Facts, group=f"{BENCH}/page", says=("title",)):
    """The appliance on the bench."""

    appliance: Noun


@dataclass(frozen=True)
class CurveTitle(Facts, group=f"{BENCH}/page", says=("curve",)):
    """The position that a heat-up record was taken in."""

    position: Noun


@dataclass(frozen=True)
class BenchWords(
    Facts,
    group=f"{BENCH}/page",
    says=(
        "as-built",
        "schematic",
        "drawing",
        "knob",
        "thermostat",
        "try-out",
        "steps",
        "done",
        "minutes",
        "supply-on",
        "supply-off",
        "locked",
        "dead",
        "covers-on",
        "dial",
        "meter-off",
        "waiting",
        "beep",
        "silence",
        "sound",
        "nulled",
        "probes",
        "red",
        "black",
        "red-letter",
        "black-letter",
        "free",
        "take-off",
        "look-letter",
        "lifted",
        "covered",
        "works",
        "works-not",
        "menu",
        "close",
        "keys",
        "stop",
        "stop-next",
        "ended",
        "ended-next",
        "wrong",
        "wrong-hint",
        "log",
        "compared",
        "spent-tests",
        "spent-minutes",
        "yours",
        "par",
        "log-empty",
        "earlier",
        "later",
        "now",
        "looking-back",
        "lists",
        "lists-hint",
        "do",
        "act",
        "slow",
    ),
):
    """Words of the page that draws the bench, of which nothing varies."""


@dataclass(frozen=True)
class BenchButtons(
    Facts,
    group=f"{BENCH}/button",
    says=(
        "isolate",
        "lock",
        "prove",
        "prove-again",
        "energise",
        "calling",
        "resting",
        "watch",
        "run",
        "record",
        "lift",
        "refit",
        "look",
        "bridge",
        "dry",
        "null",
        "read",
        "conclude",
        "restart",
        "restart-hint",
    ),
):
    """Buttons of which nothing varies."""


@dataclass(frozen=True)
class TestButton(Facts, group=f"{BENCH}/button", says=("test",)):
    """A pair to test for dead."""

    pair: str


@dataclass(frozen=True)
class CoverButton(Facts, group=f"{BENCH}/button", says=("cover-off", "cover-on")):
    """A cover to take off or put back."""

    cover: Noun


@dataclass(frozen=True)
class BenchLists(
    Facts,
    group=f"{BENCH}/list",
    says=("probe", "to", "nothing-wrong"),
):
    """Labels of lists, and what stands for no fault."""


@dataclass(frozen=True)
class ListedWire(Facts, group=f"{BENCH}/list", says=("wire-named",)):
    """A wire with its colour and ends."""

    mark: str
    colour: Noun
    start: str
    end: str


@dataclass(frozen=True)
class WireAlone(Facts, group=f"{BENCH}/list", says=("wire-alone",)):
    """A wire by its mark."""

    mark: str


@dataclass(frozen=True)
class ListedPart(Facts, group=f"{BENCH}/list", says=("part-named",)):
    """A part with its mark."""

    mark: str
    part: Noun


@dataclass(frozen=True)
class ListedTerminal(Facts, group=f"{BENCH}/list", says=("terminal",)):
    """A terminal and the part it is on."""

    terminal: str
    part: Noun


@dataclass(frozen=True)
class CoveredTerminal(Facts, group=f"{BENCH}/list", says=("terminal-covered",)):
    """A terminal under a cover."""

    terminal: str
    part: Noun
    cover: Noun


@dataclass(frozen=True)
class LogHeads(Facts, group=f"{BENCH}/log", says=("step", "act", "seen", "minutes")):
    """Headings of the log."""


@dataclass(frozen=True)
class StatusWords(Facts, group=f"{BENCH}/status", says=("locked", "unlocked", "dead", "not-dead", "none")):
    """How the supply stands, and what stands for nothing."""


@dataclass(frozen=True)
class BenchStatus(Facts, group=f"{BENCH}/status", says=("supply-on",)):
    """How the job stands with the supply on."""

    position: Noun
    covers: Phrase
    wires: Phrase
    minutes: Annotated[float, "min"]


@dataclass(frozen=True)
class IsolatedStatus(Facts, group=f"{BENCH}/status", says=("isolated",)):
    """How the job stands with the supply off."""

    supply: Phrase
    dead: Phrase
    position: Noun
    covers: Phrase
    wires: Phrase
    minutes: Annotated[float, "min"]
