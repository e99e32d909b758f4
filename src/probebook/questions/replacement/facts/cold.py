"""What a new element should read before it is wired in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, BranchKind, Part
from probebook.appliances.naming import load_noun
from probebook.questions.replacement.ratings import StockFigures
from probebook.words import Facts, Noun, Words

__all__ = ["ColdFacts", "ColdOhms", "cold_facts"]


@dataclass(frozen=True)
class ColdFacts(
    Facts,
    group="questions/replacement/cold",
    says=("label", "here.amps-for-watts", "here.volts-times-ohms", "here.half-voltage"),
):
    """An element of one circuit: what it takes and what it reads before it is wired in.

    ``cold`` and ``hot`` are its ohms; ``low`` and ``high`` bound what it may read on the bench.
    """

    load: Noun
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]
    amps: Annotated[float, "A"]


@dataclass(frozen=True, slots=True)
class ColdOhms:
    """Ohms of an element: cold, hot by the plate, and the bounds of what it may read on the bench."""

    cold: float
    hot: float
    low: float
    high: float


def cold_facts(words: Words, appliance: Appliance, part: Part) -> tuple[ColdFacts, ColdOhms] | None:
    """What an element of one circuit takes and reads; None for a part with none or several."""
    loads = [b for b in appliance.branches if b.part == part.mark and b.kind is BranchKind.ELEMENT]
    if len(loads) != 1:
        return None
    load, volts = loads[0], appliance.plate.volts
    leads = appliance.assumptions.get(StockFigures).lead_ohms
    hot = volts**2 / load.watts
    low = load.cold_ohms * (1 - load.tolerance) - leads
    high = max(load.cold_ohms, hot) * (1 + load.tolerance) + leads
    noun = load_noun(words, appliance, load.name)
    return ColdFacts(noun, load.watts, volts, load.watts / volts), ColdOhms(load.cold_ohms, hot, low, high)
