"""What miswire questions are told: connections, checks, what each shows and what it would show."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.appliances.naming import probes_place
from probebook.meters import Function
from probebook.questions.miswire.refitted import Refitted
from probebook.questions.miswire.refitting import AS_DRAWN, Miswiring
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "ChecksFacts",
    "MiswireFacts",
    "Plain",
    "SoundFacts",
    "against",
    "connection",
    "drawn",
    "miswire_facts",
]


# ---------------------------------------------------------------- connections


@dataclass(frozen=True)
class LeftOff(Facts, group="questions/miswire/connection", says=("left-off",)):
    """An earth bond that was left off, and the terminals it joins."""

    wire: str
    start: str
    end: str


@dataclass(frozen=True)
class Drawn(Facts, group="questions/miswire/connection", says=("as-drawn",)):
    """Every connection as the diagram has it."""


@dataclass(frozen=True)
class Moved(Facts, group="questions/miswire/connection", says=("moved",)):
    """A wire, the terminal it is on, and the terminal it belongs on."""

    wire: str
    now: str
    belongs: str


@dataclass(frozen=True)
class ChangedOver(Facts, group="questions/miswire/connection", says=("changed-over",)):
    """Two wires, each on the other's terminal."""

    wire: str
    other: str
    at: str
    there: str


def connection(words: Words, appliance: Appliance, miswiring: Miswiring) -> Phrase:
    """A miswiring in words."""
    if miswiring.off:
        wire = appliance.wire(miswiring.off)
        return words.say(LeftOff(wire.mark, wire.start, wire.end), "left-off")
    if not miswiring.moves:
        return words.say(Drawn(), "as-drawn")
    if len(miswiring.moves) == 1:
        wire_mark, belongs, now = miswiring.moves[0]
        return words.say(Moved(wire_mark, now, belongs), "moved")
    (one, at, there), (other, _, _) = miswiring.moves
    return words.say(ChangedOver(one, other, at, there), "changed-over")


# ---------------------------------------------------------------- what a check shows


@dataclass(frozen=True)
class DialFacts(Facts, group="questions/miswire/dial", says=("ohms", "continuity", "insulation")):
    """What the meter is set to, and the volts it tests insulation with."""

    test_volts: Annotated[float, "V"]


@dataclass(frozen=True)
class OhmsFacts(
    Facts, group="questions/miswire/shows", says=("ohms", "about", "nearly-zero", "open", "path", "megohms")
):
    """What a check shows of a circuit, in ohms."""

    ohms: Annotated[float, "ohm"]


@dataclass(frozen=True)
class LimitFacts(Facts, group="questions/miswire/shows", says=("insulation", "earth")):
    """The least that insulation, and the most that an earth path, may show."""

    insulation: Annotated[float, "ohm"]
    earth: Annotated[float, "ohm"]


def drawn(words: Words, scene: Refitted, place: int) -> Phrase:
    """What a check shows of the appliance wired as drawn."""
    function, ohms = scene.wanted[place].function, scene.nominal[AS_DRAWN][place]
    if function is Function.OHMS:
        return words.say(OhmsFacts(ohms), "open" if math.isinf(ohms) else "ohms")
    limits = LimitFacts(scene.compared.insulation, scene.appliance.region.rule("earth.metalwork").high)
    return words.say(limits, "insulation" if function is Function.INSULATION else "earth")


def would(words: Words, scene: Refitted, miswiring: Miswiring, place: int) -> Phrase:
    """What a check would show with a miswiring."""
    ohms = scene.nominal[miswiring][place]
    if scene.wanted[place].function is Function.INSULATION:
        key = "path" if ohms < scene.compared.insulation else "megohms"
    elif math.isinf(ohms):
        key = "open"
    else:
        key = "about" if ohms >= ROUNDED_AWAY else "nearly-zero"
    return words.say(OhmsFacts(ohms), key)


#: Below this a figure of one decimal place is nought.
ROUNDED_AWAY = 0.05


@dataclass(frozen=True)
class AgainstFacts(Facts, group="questions/miswire/against", says=("would",)):
    """A check, what it would show with a connection, and what it shows."""

    number: int
    would: Phrase
    shown: str


def against(words: Words, scene: Refitted, other: Miswiring, place: int | None = None) -> Phrase:
    """The check that speaks against a miswiring: that at ``place``, or the one that tells most plainly."""
    i = scene.speaks(other) if place is None else place
    return words.say(AgainstFacts(i + 1, would(words, scene, other, i), scene.shown[i].display), "would")


# ---------------------------------------------------------------- the question


@dataclass(frozen=True)
class RowFacts(Facts, group="questions/miswire/row", says=("check",)):
    """A row of the table of checks."""

    number: int
    position: Noun
    probes: Phrase
    dial: Phrase
    drawn: Phrase
    shown: str


@dataclass(frozen=True)
class MiswireFacts(
    Facts,
    group="questions/miswire/question",
    says=("title", "label", "prompt", "explanation", "working", "why.right"),
):
    """The appliance with its checks, how it is wired, and the checks in which that shows."""

    appliance: Noun
    rows: Phrase
    connection: Phrase
    checks: tuple[int, ...]
    others: Phrase
    lines: Phrase


@dataclass(frozen=True)
class OtherFacts(Facts, group="questions/miswire/other", says=("other",)):
    """A connection that it is not, and the check that says so."""

    connection: Phrase
    why: Phrase


@dataclass(frozen=True)
class LineFacts(Facts, group="questions/miswire/line", says=("line",)):
    """A check in which the connection shows: as drawn, with the connection, and shown."""

    number: int
    drawn: Phrase
    connection: Phrase
    would: Phrase
    shown: str


@dataclass(frozen=True)
class Plain(Facts, group="questions/miswire/here", says=("one-reading-enough", "short-ignored", "reads-the-drawing")):
    """What is said of a wrong connection before the check that speaks against it."""


def miswire_facts(words: Words, scene: Refitted, others: Iterable[Miswiring]) -> MiswireFacts:
    """What the sentences are told; ``others`` are the wrong connections offered, in order."""
    appliance, amiss = scene.appliance, scene.amiss(scene.key)
    bullets = [
        words.say(OtherFacts(connection(words, appliance, m), why), "other")
        for m, why in ((m, against(words, scene, m)) for m in others)
    ]
    return MiswireFacts(
        appliance=words.noun(appliance.title),
        rows=_rows(words, scene),
        connection=connection(words, appliance, scene.key),
        checks=tuple(i + 1 for i in amiss),
        others=Phrase("\n".join(bullets)),
        lines=Phrase("\n".join(_line(words, scene, i) for i in amiss)),
    )


def _rows(words: Words, scene: Refitted) -> Phrase:
    rows = []
    for i, (check, shown) in enumerate(zip(scene.wanted, scene.shown, strict=True)):
        position = words.noun(scene.appliance.position(check.position).title)
        place = Phrase(probes_place(words, scene.appliance, *check.probes))
        dial = words.say(DialFacts(scene.appliance.region.test_volts), str(check.function))
        facts = RowFacts(i + 1, position, place, dial, drawn(words, scene, i), shown.display)
        rows.append(words.say(facts, "check"))
    return Phrase("\n".join(rows))


def _line(words: Words, scene: Refitted, i: int) -> Phrase:
    said = connection(words, scene.appliance, scene.key)
    facts = LineFacts(i + 1, drawn(words, scene, i), said, would(words, scene, scene.key, i), scene.shown[i].display)
    return words.say(facts, "line")


# ---------------------------------------------------------------- which checks are amiss


@dataclass(frozen=True)
class ChecksFacts(Facts, group="questions/miswire/amiss", says=("label", "here.any-reading-passes")):
    """The part of the question that asks for the checks which are not as they should be."""


@dataclass(frozen=True)
class SoundFacts(Facts, group="questions/miswire/amiss", says=("option", "why.amiss", "why.sound", "here.exact-match")):
    """A check, what it shows of the appliance as drawn, and what it shows."""

    number: int
    drawn: Phrase
    shown: str


def sound_facts(words: Words, scene: Refitted, place: int) -> SoundFacts:
    """What is told of a check as an option."""
    return SoundFacts(place + 1, drawn(words, scene, place), scene.shown[place].display)


def sound_rows(words: Words, scene: Refitted) -> Sequence[SoundFacts]:
    """What is told of every check."""
    return [sound_facts(words, scene, i) for i in range(len(scene.wanted))]
