"""Facts about several heating circuits side by side: totals, shares, branch currents."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, State
from probebook.appliances.naming import branch_name
from probebook.questions.power.facts.circuits import circuits_said, ratings, section_of
from probebook.questions.scene import power_in, sections
from probebook.questions.situation_words import controls_words
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "BranchAmpsFacts",
    "ShareFacts",
    "TotalFacts",
    "branch_amps_facts",
    "share_facts",
    "total_facts",
    "watts_left",
]


@dataclass(frozen=True)
class TotalFacts(
    Facts,
    group="questions/power/total",
    says=(
        *("title", "prompt", "explanation", "explanation-resting", "working", "working-ohms", "label.watts"),
        *("here.part-for-whole", "here.watts-like-ohms", "here.amps-for-watts", "here.wrong-voltage"),
        *("here.whole-for-part", "here.all-for-some"),
    ),
):
    """The heating circuits of a position: those that heat, those that rest, and what they take.

    ``terms`` are the watts that are added, ``sums`` the lines that find them from ohms. ``half`` is a circuit that
    rests although another of its part heats (nothing where there is none), ``every`` the watts of all there are.
    """

    appliance: Noun
    controls: Phrase
    table: Phrase
    volts: Annotated[float, "V"]
    other_volts: Annotated[float, "V"]
    heating: tuple[Phrase, ...]
    resting: tuple[Noun, ...]
    sums: tuple[Phrase, ...]
    terms: tuple[Annotated[float, "W"], ...]
    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    least: Noun
    most_watts: Annotated[float, "W"]
    half: Noun
    half_watts: Annotated[float, "W"]
    every: Annotated[float, "W"]


@dataclass(frozen=True)
class ShareFacts(
    Facts,
    group="questions/power/share",
    says=(
        *("title", "prompt", "explanation", "working", "label.share"),
        *("here.lost-for-left", "here.equal-shares", "here.nothing-left", "here.others-take-over"),
        "here.other-way-round",
    ),
):
    """The heat of a position with one of its circuits open."""

    appliance: Noun
    controls: Phrase
    table: Phrase
    part: Noun
    heating: tuple[Phrase, ...]
    terms: tuple[Annotated[float, "W"], ...]
    whole: Annotated[float, "W"]
    lost: Annotated[float, "W"]
    left: Annotated[float, "W"]
    share: Annotated[float, "%"]
    lost_share: Annotated[float, "%"]
    circuits: int
    others: int


@dataclass(frozen=True)
class BranchAmpsFacts(
    Facts,
    group="questions/power/branch-amps",
    says=(
        *("title", "prompt", "explanation", "working", "label.amps", "label.back"),
        *("option.same", "option.less", "option.none"),
        *("here.equal-split", "here.fixed-current", "here.other-part", "here.upside-down"),
        *("here.current-used-up", "here.one-wire"),
    ),
):
    """Two unequal circuits side by side, and what each takes."""

    appliance: Noun
    controls: Phrase
    volts: Annotated[float, "V"]
    first: Noun
    second: Noun
    first_watts: Annotated[float, "W"]
    second_watts: Annotated[float, "W"]
    first_amps: Annotated[float, "A"]
    second_amps: Annotated[float, "A"]
    both: Annotated[float, "A"]


def total_facts(
    words: Words, appliance: Appliance, position: str, on: Mapping[str, float], *, as_ohms: bool
) -> TotalFacts:
    """What the circuits ``on`` (name → rated watts) take together in a position."""
    supply, volts = appliance.region.supply, appliance.plate.volts
    watts = math.fsum(on.values())
    off = [b for b in sections(appliance) if b.name not in on]
    halves = [b for b in off if any(section_of(appliance, name).part == b.part for name in on)]
    least = min(on, key=lambda name: on[name])
    return TotalFacts(
        appliance=words.noun(appliance.title),
        controls=controls_words(words, appliance, State(position)),
        table=ratings(words, appliance, as_ohms=as_ohms),
        volts=volts,
        other_volts=supply.quoted,
        heating=circuits_said(words, appliance, "heats", on),
        resting=tuple(branch_name(words, appliance, b) for b in off),
        sums=circuits_said(words, appliance, "power", on),
        terms=tuple(on.values()),
        watts=watts,
        amps=watts / volts,
        least=branch_name(words, appliance, section_of(appliance, least)),
        most_watts=max(on.values()),
        half=branch_name(words, appliance, halves[0]) if halves else Noun("", ""),
        half_watts=halves[0].watts if halves else 0.0,
        every=math.fsum(b.watts for b in sections(appliance)),
    )


def watts_left(appliance: Appliance, position: str, on: Mapping[str, float], lost: str) -> float:
    """Watts that the core finds in the circuits of a position with one of them open."""
    found = power_in(appliance, State(position), {lost: math.inf})
    return math.fsum(watts for name, watts in found.items() if name in on)


def share_facts(
    words: Words, appliance: Appliance, position: str, on: Mapping[str, float], lost: str, *, as_ohms: bool
) -> ShareFacts:
    """What is left of the heat of a position with ``lost`` open, by the ratings."""
    whole = math.fsum(on.values())
    left = whole - on[lost]
    return ShareFacts(
        appliance=words.noun(appliance.title),
        controls=controls_words(words, appliance, State(position)),
        table=ratings(words, appliance, as_ohms=as_ohms),
        part=branch_name(words, appliance, section_of(appliance, lost)),
        heating=circuits_said(words, appliance, "heats", on),
        terms=tuple(on.values()),
        whole=whole,
        lost=on[lost],
        left=left,
        share=left / whole,
        lost_share=1 - left / whole,
        circuits=len(on),
        others=len(on) - 1,
    )


def branch_amps_facts(
    words: Words, appliance: Appliance, position: str, on: Mapping[str, float], pair: tuple[str, str]
) -> BranchAmpsFacts:
    """The currents of a pair of circuits of a position."""
    volts = appliance.plate.volts
    first, second = (branch_name(words, appliance, section_of(appliance, name)) for name in pair)
    one, two = (on[name] / volts for name in pair)
    return BranchAmpsFacts(
        appliance=words.noun(appliance.title),
        controls=controls_words(words, appliance, State(position)),
        volts=volts,
        first=first,
        second=second,
        first_watts=on[pair[0]],
        second_watts=on[pair[1]],
        first_amps=one,
        second_amps=two,
        both=one + two,
    )
