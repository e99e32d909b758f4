"""Facts about sections one after the other: in a position that joins them so, or after a mistake that does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, State
from probebook.appliances.naming import branch_name
from probebook.questions.power.assumed import PowerDraws
from probebook.questions.power.facts.circuits import circuits_said, ratings, section_of
from probebook.questions.scene import power_in, sections
from probebook.questions.situation_words import controls_words
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["SeriesFacts", "joined_in_series", "series_facts"]


@dataclass(frozen=True)
class SeriesFacts(
    Facts,
    group="questions/power/series",
    says=(
        *("title", "prompt", "prompt-mistake", "explanation", "working", "working-ratings", "label.watts"),
        *("here.parallel-for-series", "here.even-volts", "here.part-for-whole", "here.amps-for-watts"),
        "here.volts-times-ohms",
    ),
):
    """Sections one after the other across a supply.

    ``terms`` are the ohms that are added, ``sums`` the lines that find them from ratings; ``even_volts`` what each
    section would have if all were equal. ``controls`` say the position, where one joins them.
    """

    appliance: Noun
    controls: Phrase
    table: Phrase
    parts: tuple[Noun, ...]
    volts: Annotated[float, "V"]
    sums: tuple[Phrase, ...]
    terms: tuple[Annotated[float, "ohm"], ...]
    ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    amps: Annotated[float, "A"]
    side_by_side: Annotated[float, "W"]
    even_volts: Annotated[float, "V"]
    heaviest: Noun
    heaviest_watts: Annotated[float, "W"]


def joined_in_series(appliance: Appliance, position: str) -> list[str]:
    """Sections that carry one current below their ratings in a position; empty where it joins none so."""
    found, draws = power_in(appliance, State(position)), appliance.assumptions.get(PowerDraws)
    on = {b.name: found[b.name] for b in sections(appliance) if found[b.name] > draws.carries}
    low = [n for n, w in on.items() if w < draws.works * section_of(appliance, n).watts]
    if len(low) < 2 or len(low) != len(on):
        return []
    amps = {math.sqrt(on[n] / section_of(appliance, n).hot_ohms) for n in low}
    return low if max(amps) - min(amps) < draws.one_current * max(amps) else []


def series_facts(
    words: Words, appliance: Appliance, names: Sequence[str], position: str, *, as_ohms: bool
) -> SeriesFacts:
    """Sections one after the other; the core finds their watts in a ``position``, Ohm's law where that is empty."""
    volts = appliance.plate.volts
    chosen = [section_of(appliance, name) for name in names]
    ohms = math.fsum(b.hot_ohms for b in chosen)
    controls, watts = Phrase(""), volts**2 / ohms
    if position:
        controls = controls_words(words, appliance, State(position))
        found = power_in(appliance, State(position))
        watts = math.fsum(found[name] for name in names)
    heaviest = max(chosen, key=lambda b: b.watts)
    side_by_side = math.fsum(b.watts for b in chosen)
    return SeriesFacts(
        appliance=words.noun(appliance.title),
        controls=controls,
        table=ratings(words, appliance, as_ohms=as_ohms),
        parts=tuple(branch_name(words, appliance, b) for b in chosen),
        volts=volts,
        sums=circuits_said(words, appliance, "resistance", list(names)),
        terms=tuple(b.hot_ohms for b in chosen),
        ohms=ohms,
        watts=watts,
        amps=volts / ohms,
        side_by_side=side_by_side,
        even_volts=volts / len(chosen),
        heaviest=branch_name(words, appliance, heaviest),
        heaviest_watts=heaviest.watts,
    )
