"""The kind of fault that a reading shows: where it was taken, what a sound part would give, and why it is that kind."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from probebook.appliances import Appliance, Branch, Fault, FaultKind, State, Wire
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "FAULT_KINDS",
    "SIGNS",
    "SignCase",
    "SignFacts",
    "SignKinds",
    "sign_facts",
    "told_broken",
    "told_element",
    "told_leak",
]

#: The kinds of fault, sound last.
SIGNS = ("open", "joint", "short", "leak", "none")
FAULT_KINDS: Mapping[FaultKind, str] = {
    FaultKind.OPEN: "open",
    FaultKind.STUCK_OPEN: "open",
    FaultKind.BROKEN_WIRE: "open",
    FaultKind.HIGH_RESISTANCE: "joint",
    FaultKind.LEAK: "leak",
    FaultKind.DAMP: "leak",
}


@dataclass(frozen=True, slots=True)
class SignCase:
    """A reading, where it was taken, what a sound part would give, and the kind of fault it is."""

    kind: str
    shown: str
    where: Phrase
    sound: Phrase
    why: Phrase
    meter: Phrase


@dataclass(frozen=True)
class SignFacts(Facts, group="questions/reading/sign", says=("title", "prompt", "explanation", "working", "here.kind")):
    """A reading and the kind of fault it shows."""

    opening: Phrase
    meter: Phrase
    shown: str
    where: Phrase
    sound: Phrase
    why: Phrase
    kind: Phrase
    effect: Phrase


@dataclass(frozen=True)
class SignKinds(
    Facts,
    group="questions/reading/sign",
    says=(
        *(f"kind.{kind}" for kind in SIGNS),
        *(f"effect.{kind}" for kind in SIGNS),
        "label-kind",
        "label-effect",
    ),
):
    """What the kinds of fault are called, and how they show in use."""

    rcd: Noun


@dataclass(frozen=True)
class OtherKind(Facts, group="questions/reading/sign", says=("here.effect", "here.effect-none")):
    """A kind of fault that this is not."""

    kind: Phrase


def sign_facts(words: Words, appliance: Appliance, case: SignCase, kinds: SignKinds) -> SignFacts:
    """What is told of a reading and the kind of fault it shows."""
    return SignFacts(
        opening=sw.opening(words, appliance),
        meter=case.meter,
        shown=case.shown,
        where=case.where,
        sound=case.sound,
        why=case.why,
        kind=words.say(kinds, f"kind.{case.kind}"),
        effect=words.say(kinds, f"effect.{case.kind}"),
    )


# ---------------------------------------------------------------- readings


@dataclass(frozen=True)
class MeterOn(Facts, group="questions/reading/sign", says=("meter-ohms", "meter-insulation")):
    """A meter, switched to its function."""

    meter: Noun


@dataclass(frozen=True)
class PlaceFacts(
    Facts,
    group="questions/reading/sign",
    says=("where.alone", "where.leak", "where.ends", "where.ends-position", "where.wire"),
):
    """Where a reading was taken."""

    part: Noun
    a: str
    b: str
    wire: str
    position: Noun
    test_volts: Annotated[float, "V"]


@dataclass(frozen=True)
class SoundFacts(
    Facts,
    group="questions/reading/sign",
    says=(
        "sound.range",
        "sound.about",
        "sound.joint",
        "sound.insulation",
        "why.none",
        "why.short",
        "why.leak",
        "why.ends",
        "why.wire",
        "why.joint",
    ),
):
    """What a sound one reads, and why this reading is of its kind."""

    low: Annotated[float, "ohm"]
    high: Annotated[float, "ohm"]
    cold: Annotated[float, "ohm"]
    joint: Annotated[float, "ohm"]
    shown: str


NOTHING = Noun("", "")


def _sound(branch: Branch, shown: str, joint: float) -> SoundFacts:
    low = branch.cold_ohms * (1 - branch.tolerance)
    return SoundFacts(low, branch.hot_ohms * (1 + branch.tolerance), branch.cold_ohms, joint, shown)


def told_element(words: Words, appliance: Appliance, meter: Meter, branch: Branch, share: float) -> SignCase:
    """An element that reads ``share`` of its own ohms: sound near 1, else bridged inside."""
    kind = "none" if share > 0.9 else "short"
    shown = read(meter, Function.OHMS, branch.cold_ohms * share, nulled=True).display
    facts = _sound(branch, shown, 0.0)
    place = PlaceFacts(sw.name(words, appliance, branch), "", "", "", NOTHING, 0.0)
    return SignCase(
        kind,
        shown,
        words.say(place, "where.alone"),
        words.say(facts, "sound.range"),
        words.say(facts, f"why.{kind}"),
        words.say(MeterOn(words.noun(meter.title)), "meter-ohms"),
    )


def told_leak(words: Words, appliance: Appliance, tester: Meter, fault: Fault, test_volts: float) -> SignCase:
    """A fault that leaks to the metalwork; Unfit where the file gives it no ohms."""
    branch = appliance.branches[appliance.branch(fault.target)]
    change = next((c for c in fault.changes if c.force is not None), None)
    if change is None or change.force is None:
        raise Unfit("this leak has no figure")
    shown = read(tester, Function.INSULATION, change.force).display
    facts = _sound(branch, shown, 0.0)
    place = PlaceFacts(sw.name(words, appliance, branch), "", "", "", NOTHING, test_volts)
    return SignCase(
        "leak",
        shown,
        words.say(place, "where.leak"),
        words.say(facts, "sound.insulation"),
        words.say(facts, "why.leak"),
        words.say(MeterOn(words.noun(tester.title)), "meter-insulation"),
    )


def told_broken(words: Words, appliance: Appliance, meter: Meter, fault: Fault, kind: str, joint: float) -> SignCase:
    """An open part or a joint of high resistance, measured so that nothing else joins the probes; else Unfit.

    A good connection reads less than ``joint`` (ohms).
    """
    wire = next((w for w in appliance.wires if w.mark == fault.target), None)
    if wire is not None:
        return _told_wire(words, appliance, meter, fault, wire, kind, joint)
    branch = appliance.branches[appliance.branch(fault.target)]
    a, b = (appliance.terminals[i] for i in branch.ends)
    position = next((p.name for p in appliance.positions if branch.name in p.closes), appliance.positions[-1].name)
    scene = sc.Scene(appliance, State(position, faults=frozenset((fault.id,))), (a, b))
    lifts = sc.lifts_that_free(scene, branch)
    if not lifts:
        raise Unfit("no single wire frees this part")
    scene = replace(scene, state=replace(scene.state, lifted=frozenset(lifts[:1])))
    value = float(sc.ohms_between(scene)[0])
    if math.isfinite(value):
        raise Unfit("another path is left")
    shown = read(meter, Function.OHMS, value, nulled=True).display
    facts, sound = _sound(branch, shown, joint), _sound_key(branch)
    title = words.noun(appliance.position(position).title)
    place = PlaceFacts(sw.name(words, appliance, branch), a, b, lifts[0], title, 0.0)
    return SignCase(
        kind,
        shown,
        words.say(place, "where.ends-position" if sound == "sound.joint" else "where.ends"),
        words.say(facts, sound),
        words.say(facts, "why.ends"),
        words.say(MeterOn(words.noun(meter.title)), "meter-ohms"),
    )


def _sound_key(branch: Branch) -> str:
    if branch.watts > 0:
        wide = not branch.tolerance or branch.hot_ohms > 1.5 * branch.cold_ohms
        return "sound.about" if wide else "sound.range"
    if branch.cold_ohms > 1.0:
        raise Unfit("a sound one shows OL as well")
    return "sound.joint"


def _told_wire(
    words: Words, appliance: Appliance, meter: Meter, fault: Fault, wire: Wire, kind: str, joint: float
) -> SignCase:
    state = State(appliance.positions[0].name, faults=frozenset((fault.id,)))
    value = float(sc.ohms_between(sc.Scene(appliance, state, (wire.start, wire.end)))[0])
    shown = read(meter, Function.OHMS, value, nulled=True)
    if (kind == "open") is not shown.overload:
        raise Unfit("another path is left beside the wire")
    facts = SoundFacts(0.0, 0.0, 0.0, joint, shown.display)
    place = PlaceFacts(NOTHING, wire.start, wire.end, wire.mark, NOTHING, 0.0)
    return SignCase(
        kind,
        shown.display,
        words.say(place, "where.wire"),
        words.say(facts, "sound.joint"),
        words.say(facts, "why.wire" if kind == "open" else "why.joint"),
        words.say(MeterOn(words.noun(meter.title)), "meter-ohms"),
    )
