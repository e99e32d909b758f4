"""The voltage across an open part, or across a sound part behind an open contact."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, State, branch_ohms
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.trace.facts.flow import carrying
from probebook.questions.trace.figures import figures_of
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["OpenPart", "VoltsFacts", "find_open_part", "volts_across", "volts_facts"]


@dataclass(frozen=True)
class VoltsFacts(
    Facts,
    group="questions/trace/volts",
    says=(
        "title",
        "label",
        "prompt",
        "explanation.across",
        "explanation.behind",
        "working",
        "here.fault-left-out",
        "here.volts-shared-across",
        "here.volts-shared-behind",
        "here.wrong-voltage-across",
        "here.wrong-voltage-behind",
        "here.no-volts-across-open",
    ),
):
    """An open part, the part that is asked about, and the supply."""

    appliance: Noun
    controls: Phrase
    opened: Noun
    asked: Noun
    place: Noun
    volts: Annotated[float, "V"]


@dataclass(frozen=True, slots=True, eq=False)
class OpenPart:
    """A part that has gone open in a position, and a load that stops for it."""

    appliance: Appliance
    position: str
    opened: Branch
    load: Branch


def find_open_part(
    appliance: Appliance, positions: Sequence[str], parts: Sequence[Branch], rng: random.Random
) -> OpenPart | None:
    """The first position and part that carries current and stops a section, or is a lamp; None where there is none."""
    figures = figures_of(appliance)
    for position in positions:
        flowing = carrying(appliance, State(position))
        before = sc.power_in(appliance, State(position))
        for part in parts:
            if part.name not in flowing:
                continue
            after = sc.power_in(appliance, State(position), {part.name: math.inf})
            stopped = [
                b for b in sc.sections(appliance) if before[b.name] > figures.warm and after[b.name] < figures.cold
            ]
            if stopped or part.kind is BranchKind.LAMP:
                return OpenPart(appliance, position, part, rng.choice(stopped) if stopped else part)
    return None


def volts_across(found: OpenPart, asked: Branch) -> float:
    """Volts across a part with the open one open, from the energised solution, hot; nan where an end floats."""
    appliance = found.appliance
    supply = appliance.plate.volts

    def table(pulled: frozenset[str]) -> NDArray[np.float64]:
        ohms = branch_ohms(appliance, [State(found.position, opened=pulled)], hot=True, test_volts=supply)
        ohms[0, appliance.branch(found.opened.name)] = math.inf
        return ohms

    flow = sc.energised(appliance, supply, table)
    return float(flow.between(*asked.ends)[0])


def volts_facts(words: Words, found: OpenPart, asked: Branch) -> VoltsFacts:
    """What the sentences are told."""
    appliance = found.appliance
    return VoltsFacts(
        appliance=words.noun(appliance.title),
        controls=sw.controls_words(words, appliance, State(found.position)),
        opened=sw.name(words, appliance, found.opened),
        asked=sw.name(words, appliance, asked),
        place=sw.name_here(words, appliance, asked),
        volts=appliance.plate.volts,
    )
