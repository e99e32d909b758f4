"""Loads side by side between the probes: what they are, what they read together, and what is told of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.meters import Function, Meter
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.questions.model import Band, Field
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "Shown",
    "Sum",
    "SumFacts",
    "ends_of",
    "is_hot",
    "sum_band",
    "sum_facts",
    "sum_of",
    "sum_steps",
]


@dataclass(frozen=True, slots=True)
class Sum:
    """Several loads side by side between the probes, and what a learner is told of them.

    ``cold`` are the ohms of each load by name, ``total`` those between the probes.
    """

    scene: sc.Scene
    paths: tuple[Branch, ...]
    cold: Mapping[str, float]
    total: float

    @property
    def appliance(self) -> Appliance:
        """The appliance that is measured."""
        return self.scene.appliance

    def smallest(self) -> Branch:
        """The path of fewest ohms; the first of equals."""
        return min(self.paths, key=lambda b: self.cold[b.name])


def ends_of(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    """The two terminals of a branch."""
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def sum_of(scene: sc.Scene) -> Sum:
    """What lies between the probes; Unfit unless it is loads side by side."""
    paths = sc.contributors(scene)
    if not paths:
        raise Unfit("nothing joins the probes")
    cold = {b.name: _cold(scene, b) for b in sc.loads(scene.appliance)}
    total = float(sc.ohms_between(scene)[0])
    if not math.isclose(total, sc.parallel(cold[b.name] for b in paths), rel_tol=0.01):
        raise Unfit("the paths between the probes are not simply side by side")
    return Sum(scene, tuple(paths), cold, total)


def _cold(scene: sc.Scene, branch: Branch) -> float:
    faulted = {c.branch for f in scene.state.faults for c in scene.appliance.fault(f).changes}
    if branch.name in faulted or branch.kind is BranchKind.NEON:
        return math.inf
    return branch.cold_ohms


def sum_band(found: Sum, meter: Meter, narrow: float, *, nulled: bool) -> Band:
    """The readings to accept: ``narrow`` (relative) where the ohms are given, else from the making tolerance."""
    if not narrow:
        return sc.band_about(found.scene, meter, Function.OHMS, nulled=nulled)[1]
    leads = meter.leads_in(Function.OHMS, nulled=nulled)
    room = sc.half_width(meter, Function.OHMS, found.total, nulled=nulled) + narrow * found.total
    return Band(max(0.0, found.total - room), found.total + leads + room)


def is_hot(found: Sum, *, given: bool) -> bool:
    """Whether a learner may start from hot ohms, worked out from the ratings of elements."""
    return not given and any(b.kind is BranchKind.ELEMENT for b in found.paths)


# ---------------------------------------------------------------- what is told


@dataclass(frozen=True, slots=True)
class Shown:
    """What the meter shows, and with which leads: its words, their ohms when not nulled, and the field to answer."""

    meter: Phrase
    lead_ohms: float
    field: Field


@dataclass(frozen=True)
class SumFacts(Facts):
    """What every question about loads side by side tells.

    ``worked`` and ``more`` are whole sentences that stand behind another where they apply.
    """

    situation: Phrase
    table: Phrase
    worked: Phrase
    meter: Phrase
    a: str
    b: str
    paths: tuple[Noun, ...]
    total: Annotated[float, "ohm"]
    more: Phrase
    reckoning: Phrase


@dataclass(frozen=True)
class TableHint(Facts, group="questions/reading/sum", says=("work-them-out",)):
    """That ohms which the table leaves out are worked out from the rating."""


@dataclass(frozen=True)
class HotNote(Facts, group="questions/reading/sum", says=("hot",)):
    """The most that is accepted of one who works from the plate."""

    most: Annotated[float, "ohm"]


@dataclass(frozen=True)
class LeadsNote(Facts, group="questions/reading/sum", says=("leads", "reckoning-leads")):
    """The ohms of leads that this meter cannot null, and what it shows with them."""

    lead_ohms: Annotated[float, "ohm"]
    display: str


@dataclass(frozen=True)
class Reckoning(Facts, group="questions/reading/sum", says=("reckoning-one", "reckoning")):
    """The ohms of each path and those of all together."""

    values: tuple[Annotated[float, "ohm"], ...]
    total: Annotated[float, "ohm"]


def sum_facts(words: Words, found: Sum, shown: Shown, *, given: bool) -> SumFacts:
    """What is told of loads side by side, whatever the question; ``given`` says whether each element has its ohms."""
    appliance, scene = found.appliance, found.scene
    listed = [b for b in sc.loads(appliance) if b.kind is not BranchKind.NEON]
    cold = {b.name: b.cold_ohms for b in listed if given or b.kind is not BranchKind.ELEMENT}
    display = str(shown.field.answer)
    leads = LeadsNote(shown.lead_ohms, display)
    band = shown.field.band
    hot = words.say(HotNote(band.high), "hot") if band is not None and is_hot(found, given=given) else ""
    return SumFacts(
        situation=sw.together(
            sw.opening(words, appliance),
            sw.controls_words(words, appliance, scene.state),
            sw.lift_words(words, appliance, scene.state.lifted, scene.probes),
        ),
        table=sw.ratings_table(words, appliance, listed, cold),
        worked=sw.following(words.say(TableHint(), "work-them-out") if len(cold) < len(listed) else ""),
        meter=shown.meter,
        a=scene.probes[0],
        b=scene.probes[1],
        paths=tuple(sw.name(words, appliance, b) for b in found.paths),
        total=found.total,
        more=sw.following(words.say(leads, "leads") if shown.lead_ohms else "", hot),
        reckoning=_reckoning(words, found, leads),
    )


def _reckoning(words: Words, found: Sum, leads: LeadsNote) -> Phrase:
    values = tuple(found.cold[b.name] for b in found.paths)
    line = words.say(Reckoning(values, found.total), "reckoning" if len(values) > 1 else "reckoning-one")
    return Phrase(f"{line}\n{words.say(leads, 'reckoning-leads')}") if leads.lead_ohms else line


def sum_steps(shown: Shown) -> int:
    """Steps of the way: the sum, and the leads where they come on top."""
    return 2 if shown.lead_ohms else 1
