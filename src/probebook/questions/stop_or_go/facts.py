"""What a situation is told of: the appliance as its owner calls it, and readings as a tester displays them."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.assumptions import Assumed
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.questions.procedures import SituationFacts
from probebook.regions.facts import region_fields
from probebook.words import Facts, Phrase

__all__ = ["DecisionFacts", "FormFacts", "situation_facts"]


@dataclass(frozen=True)
class DecisionFacts(
    Facts,
    group="questions/stop_or_go/situation",
    says=("title", "prompt", "explanation-go", "explanation-stop", "because"),
):
    """A situation as it was drawn: what is told, what is proposed, the rule, the right next thing and why."""

    story: Phrase
    proposed: Phrase
    because: Phrase
    next: Phrase
    here: Phrase


@dataclass(frozen=True)
class ElsewhereFacts(Facts, group="questions/stop_or_go/situation", says=("elsewhere",)):
    """The rule of a situation, said of what would be right in another one."""

    because: Phrase


@dataclass(frozen=True)
class FormFacts(Facts, group="questions/stop_or_go/form", says=("decision", "go", "stop", "next")):
    """Labels and the two decisions: the same in every situation."""


@dataclass(frozen=True)
class ReadingDraws(Assumed, table="questions.stop-or-go"):
    """Readings that a situation may quote, from the least to the most."""

    insulation_bad: Annotated[tuple[float, ...], "ohm"]
    insulation_good: Annotated[tuple[float, ...], "ohm"]
    earth_bad: Annotated[tuple[float, ...], "ohm"]
    earth_good: Annotated[tuple[float, ...], "ohm"]


def situation_facts(library: Library, appliance: Appliance, rng: random.Random) -> SituationFacts:
    """What the texts of a situation may speak of, with readings drawn anew."""
    tester = library.meter_for("insulation")
    drawn = library.assumptions.get(ReadingDraws)
    return SituationFacts(
        appliance=library.words.noun(kitchen(library.folder, library.words).manner(appliance).thing),
        supply="plug" if appliance.supply.kind == "plug" else "fixed",
        **region_fields(appliance.region, library.words),
        insulation_bad=read(tester, Function.INSULATION, rng.uniform(*drawn.insulation_bad)).display,
        insulation_good=read(tester, Function.INSULATION, rng.uniform(*drawn.insulation_good)).display,
        earth_bad=read(tester, Function.CONTINUITY, rng.uniform(*drawn.earth_bad), nulled=True).display,
        earth_good=read(tester, Function.CONTINUITY, rng.uniform(*drawn.earth_good), nulled=True).display,
    )
