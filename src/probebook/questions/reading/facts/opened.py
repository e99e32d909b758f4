"""Open parts: nothing between the probes with the wire off, and the ohms that another path leaves with it on."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Annotated, Any

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, PartKind, State
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.questions.reading.facts.sums import Sum, SumFacts, ends_of
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "OpenFacts",
    "OpenPart",
    "StillJoinedFacts",
    "closes",
    "open_facts",
    "open_part",
    "opening_faults",
    "still_joined_facts",
]

SWITCHES = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
OPENING = (FaultKind.OPEN, FaultKind.BROKEN_WIRE, FaultKind.STUCK_OPEN)


def opening_faults(appliance: Appliance, wanted: str) -> list[tuple[Fault, Branch]]:
    """The faults that open one branch, with that branch; only the one of an id where one is wanted."""
    found = [
        (f, appliance.branches[appliance.branch(f.changes[0].branch)])
        for f in appliance.faults
        if f.kind in OPENING and len(f.changes) == 1 and (not wanted or f.id == wanted)
    ]
    return [(f, b) for f, b in found if b.kind is not BranchKind.NEON]  # reads OL on ohms, sound or not


def closes(appliance: Appliance, branch: Branch, position: str) -> bool:
    """Whether a sound one conducts in a position: of a switch contact that is open there OL says nothing."""
    is_switched = branch.kind is BranchKind.CONTACT and appliance.part(branch.part).kind in SWITCHES
    return not is_switched or branch.name in appliance.position(position).closes


# ---------------------------------------------------------------- every wire on


@dataclass(frozen=True)
class StillJoinedFacts(
    SumFacts,
    group="questions/reading/still-joined",
    says=(
        "title",
        "prompt",
        "explanation",
        "working",
        "here.open-means-ol",
        "here.fault-left-out",
        "here.ol-as-zero",
        "here.parallel-path",
    ),
):
    """An open part whose ends another path still joins."""

    fault: Noun
    part: Noun
    healthy: Annotated[float, "ohm"]
    own: Annotated[float, "ohm"]


def still_joined_facts(words: Words, common: SumFacts, found: Sum, fault: Fault, branch: Branch) -> StillJoinedFacts:
    """What is told of an open part that others bridge; ``healthy`` are the ohms with nothing wrong."""
    sound = replace(found.scene, state=replace(found.scene.state, faults=frozenset()))
    told: dict[str, Any] = {f.name: getattr(common, f.name) for f in fields(common)}
    return StillJoinedFacts(
        **told,
        fault=words.noun(fault.title),
        part=sw.name(words, found.appliance, branch),
        healthy=float(sc.ohms_between(sound)[0]),
        own=branch.cold_ohms,
    )


# ---------------------------------------------------------------- one wire off


@dataclass(frozen=True, slots=True)
class OpenPart:
    """An open part measured so that nothing else joins the probes; ``together`` are the ohms with every wire on."""

    fault: Fault
    branch: Branch
    free: sc.Scene
    together: float


def open_part(appliance: Appliance, fault: Fault, branch: Branch, position: str) -> OpenPart:
    """The open part with as few wires off as leave nothing between the probes; Unfit where one is not enough."""
    scene = sc.Scene(appliance, State(position, faults=frozenset({fault.id})), ends_of(appliance, branch))
    together = float(sc.ohms_between(scene)[0])
    lifted = frozenset[str]()
    if branch.kind is not BranchKind.WIRE or math.isfinite(together):
        frees = sc.lifts_that_free(scene, branch)
        if not frees:
            raise Unfit(f"no single wire frees {branch.name}")
        lifted = frozenset({frees[0]})
    free = replace(scene, state=replace(scene.state, lifted=lifted))
    if math.isfinite(float(sc.ohms_between(free)[0])):
        raise Unfit("something still joins the probes")
    return OpenPart(fault, branch, free, together)


@dataclass(frozen=True)
class OpenFacts(
    Facts,
    group="questions/reading/open",
    says=(
        "title",
        "prompt",
        "prompt-rated",
        "explanation",
        "working",
        "here.ol-as-zero",
        "here.fault-left-out",
        "here.parallel-path",
        "here.lamp-for-element",
        "here.motor-for-element",
        "here.watts-over-volts",
    ),
):
    """An open part by itself."""

    situation: Phrase
    fault: Noun
    meter: Phrase
    a: str
    b: str
    part: Noun
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    sound: Phrase
    together: Annotated[float, "ohm"]
    missed: Phrase


@dataclass(frozen=True)
class SoundFacts(Facts, group="questions/reading/open", says=("sound", "sound-joint", "missed")):
    """What a sound one reads, and what would show through another path."""

    own: Annotated[float, "ohm"]
    joint: Annotated[float, "ohm"]
    together: Annotated[float, "ohm"]


def open_facts(words: Words, case: OpenPart, meter: Phrase, good_joint: float) -> OpenFacts:
    """What is told of an open part by itself; a good connection reads less than ``good_joint``."""
    appliance, branch, free = case.free.appliance, case.branch, case.free
    sound = SoundFacts(branch.cold_ohms, good_joint, case.together)
    return OpenFacts(
        situation=sw.together(
            sw.opening(words, appliance),
            sw.controls_words(words, appliance, free.state),
            sw.lift_words(words, appliance, free.state.lifted, free.probes),
        ),
        fault=words.noun(case.fault.title),
        meter=meter,
        a=free.probes[0],
        b=free.probes[1],
        part=sw.name(words, appliance, branch),
        watts=branch.watts,
        volts=appliance.plate.volts,
        sound=words.say(sound, "sound" if branch.cold_ohms > 1 else "sound-joint"),
        together=case.together,
        missed=sw.following(words.say(sound, "missed") if math.isfinite(case.together) else ""),
    )
