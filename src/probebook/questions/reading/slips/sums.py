"""What goes wrong where paths lie side by side, whatever the question about them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.assembling import wrong_numbers
from probebook.questions.frame import WrongNumber
from probebook.questions.reading.facts.sums import Sum
from probebook.words import Facts, Noun, Words

__all__ = ["once_each", "sum_slips"]


@dataclass(frozen=True)
class SumSlips(
    Facts,
    group="questions/reading/sum",
    says=(
        "here.series-for-parallel",
        "here.one-over-n",
        "here.one-over-two",
        "here.part-for-whole",
        "here.all-for-some",
    ),
):
    """The ohms of each path, and what each wrong way makes of them."""

    values: tuple[Annotated[float, "ohm"], ...]
    first: Annotated[float, "ohm"]
    count: int
    series: Annotated[float, "ohm"]
    largest: Noun
    every: Annotated[float, "ohm"]


def sum_slips(words: Words, found: Sum) -> list[WrongNumber]:
    """The slips of a sum of paths, each with its sentence."""
    appliance = found.appliance
    values = tuple(found.cold[b.name] for b in found.paths)
    n = len(values)
    largest = max(found.paths, key=lambda b: found.cold[b.name])
    rest = [b for b in sc.loads(appliance) if math.isfinite(found.cold[b.name]) and b not in found.paths]
    every = sc.parallel([*values, *(found.cold[b.name] for b in rest)])
    wrong = {"series-for-parallel": math.fsum(values), "one-over-n": values[0] / n}
    if n > 2:
        wrong["part-for-whole"] = sc.parallel(v for b, v in zip(found.paths, values, strict=True) if b is not largest)
    if rest:
        wrong["all-for-some"] = every
    facts = SumSlips(values, values[0], n, math.fsum(values), sw.name(words, appliance, largest), every)
    return wrong_numbers(words, facts, wrong, keys={"one-over-n": "here.one-over-two"} if n == 2 else None)


def once_each(slips: Sequence[WrongNumber]) -> list[WrongNumber]:
    """The first of each slip."""
    first: dict[str, WrongNumber] = {}
    for item in slips:
        first.setdefault(item.slip, item)
    return list(first.values())
