"""Sound parts: one alone with a wire off, one with others beside it, the whole appliance from line to neutral."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Annotated, Any

from probebook.appliances import Appliance, Branch, BranchKind, State
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.questions.model import Band
from probebook.questions.reading.facts.sums import Sum, SumFacts, ends_of, sum_of
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "AcrossFacts",
    "Alone",
    "BesideFacts",
    "SupplyFacts",
    "across_facts",
    "beside_facts",
    "beside_one",
    "still_waits",
    "supply_facts",
]


# ---------------------------------------------------------------- one part, one wire off


@dataclass(frozen=True, slots=True)
class Alone:
    """A part with one wire off: where it is measured, and what lies beside it while the wire is on.

    ``together`` are the ohms with the wire on; ``waits`` says whether they would mislead.
    """

    branch: Branch
    scene: sc.Scene
    lifted: str
    together: float
    beside: tuple[Branch, ...]
    waits: bool

    @property
    def free(self) -> sc.Scene:
        """The scene with the wire off."""
        return replace(self.scene, state=replace(self.scene.state, lifted=frozenset({self.lifted})))

    @property
    def siblings(self) -> list[Branch]:
        """All circuits of the same element."""
        return [b for b in sc.sections(self.scene.appliance) if b.part == self.branch.part]


@dataclass(frozen=True)
class AcrossFacts(
    Facts,
    group="questions/reading/across",
    says=(
        "title",
        "prompt",
        "explanation",
        "working",
        "here.lifted-is-open",
        "here.watts-over-volts",
        "here.upside-down",
        "here.wrong-voltage",
        "here.whole-for-part",
    ),
):
    """A part with one wire off."""

    situation: Phrase
    meter: Phrase
    a: str
    b: str
    part: Noun
    mark: str
    wire: str
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    other_volts: Annotated[float, "V"]
    amps: Annotated[float, "A"]
    hot: Annotated[float, "ohm"]
    cold: Annotated[float, "ohm"]
    tolerance: float
    least: Annotated[float, "ohm"]
    most: Annotated[float, "ohm"]
    whole: Annotated[float, "ohm"]
    trap: Phrase


@dataclass(frozen=True)
class TrapFacts(Facts, group="questions/reading/across", says=("trap", "here.parallel-path")):
    """What would show with the wire on, and what lies beside."""

    wire: str
    together: Annotated[float, "ohm"]
    beside: tuple[Noun, ...]


def across_facts(
    words: Words, alone: Alone, meter: Phrase, band: Band, other_volts: float
) -> tuple[AcrossFacts, TrapFacts]:
    """What is told of a part with one wire off, and of what waits beside it."""
    appliance, branch, free = alone.scene.appliance, alone.branch, alone.free
    volts = appliance.plate.volts
    trap = TrapFacts(alone.lifted, alone.together, tuple(sw.name(words, appliance, b) for b in alone.beside))
    facts = AcrossFacts(
        situation=sw.together(
            sw.opening(words, appliance),
            sw.controls_words(words, appliance, alone.scene.state),
            sw.lift_words(words, appliance, free.state.lifted, free.probes),
        ),
        meter=meter,
        a=free.probes[0],
        b=free.probes[1],
        part=sw.name(words, appliance, branch),
        mark=branch.part,
        wire=alone.lifted,
        watts=branch.watts,
        volts=volts,
        other_volts=other_volts,
        amps=branch.watts / volts,
        hot=volts**2 / branch.watts,
        cold=branch.cold_ohms,
        tolerance=branch.tolerance,
        least=band.low,
        most=band.high,
        whole=sc.parallel(b.cold_ohms for b in alone.siblings),
        trap=sw.following(words.say(trap, "trap") if alone.waits else ""),
    )
    return facts, trap


# ---------------------------------------------------------------- a part with another beside it


@dataclass(frozen=True)
class BesideFacts(
    SumFacts,
    group="questions/reading/parallel",
    says=("title", "prompt", "explanation", "explanation-two", "working", "here.parallel-path", "here.ol-as-zero"),
):
    """A part with every wire on: itself, and what it reads alone."""

    part: Noun
    own: Annotated[float, "ohm"]


def beside_one(
    appliance: Appliance, parts: Sequence[Branch], positions: Sequence[str], share: float
) -> tuple[Sum, Branch]:
    """The first position and part in which another path lies beside the part; Unfit where there is none.

    The path must bring the reading under ``share`` of the part's own ohms.
    """
    for position in positions:
        for branch in parts:
            scene = sc.Scene(appliance, State(position), ends_of(appliance, branch))
            if len(sc.contributors(scene)) < 2:
                continue
            try:
                found = sum_of(scene)
            except Unfit:
                continue
            if branch in found.paths and found.total < share * found.cold[branch.name]:
                return found, branch
    raise Unfit(f"the {appliance.title} has no position in which another path lies beside such a part")


def beside_facts(words: Words, common: SumFacts, found: Sum, branch: Branch) -> BesideFacts:
    """What is told of a part with others beside it."""
    part = sw.name(words, found.appliance, branch)
    return BesideFacts(**_told(common), part=part, own=found.cold[branch.name])


def _told(common: SumFacts) -> dict[str, Any]:
    return {f.name: getattr(common, f.name) for f in fields(common)}


# ---------------------------------------------------------------- line to neutral


@dataclass(frozen=True)
class SupplyFacts(
    SumFacts,
    group="questions/reading/supply",
    says=(
        "title",
        "prompt",
        "prompt-plug",
        "explanation",
        "working",
        "here.part-for-whole",
        "here.contact-ignored",
    ),
):
    """The whole appliance from line to neutral: its path of fewest ohms, and what would read with heat called for."""

    smallest: Noun
    own: Annotated[float, "ohm"]
    calling: Annotated[float, "ohm"]
    left_out: Phrase


@dataclass(frozen=True)
class LeftOutFacts(Facts, group="questions/reading/supply", says=("left-out.neon", "left-out.behind-open")):
    """What does not count."""


def supply_facts(words: Words, common: SumFacts, found: Sum) -> SupplyFacts:
    """What is told of the whole appliance; ``calling`` are the ohms with the thermostats calling."""
    scene, smallest = found.scene, found.smallest()
    heated = replace(scene, state=replace(scene.state, calling=True))
    every = sc.loads(found.appliance)
    neon = any(b.kind is BranchKind.NEON for b in every)
    behind = any(b.kind is not BranchKind.NEON and b not in found.paths for b in every)
    return SupplyFacts(
        **_told(common),
        smallest=sw.name(words, found.appliance, smallest),
        own=found.cold[smallest.name],
        calling=found.total if scene.state.calling else float(sc.ohms_between(heated)[0]),
        left_out=sw.following(
            words.say(LeftOutFacts(), "left-out.neon") if neon else "",
            words.say(LeftOutFacts(), "left-out.behind-open") if behind else "",
        ),
    )


def still_waits(together: float, alone: float, beside: Sequence[Branch], share: float) -> bool:
    """Whether a parallel path would mislead: there is one, and it changes the reading by more than ``share``."""
    return bool(beside) and not math.isclose(together, alone, rel_tol=share)
