"""What the forms of trace draw alike: the positions to try, and a field of ticks."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions.assembling import marked
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Field, FieldKind, Option

__all__ = ["positions", "ticks_field"]


def positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    """Names of the positions to try: the one asked for, or all in a drawn order."""
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def ticks_field(
    ask: Ask, library: Library, labelled: tuple[str, str], options: Sequence[Option], right: Iterable[str]
) -> Field:
    """A field of ticks with its key and label, already with its marks; Unfit when nothing would be right."""
    wanted = set(right)
    if not wanted:
        raise Unfit("nothing would be right")
    answer = [option.id for option in options if option.id in wanted]
    key, label = labelled
    field = Field(key, FieldKind.CHOICES, label, 0.0, answer, options=tuple(options))
    return marked(library.assumptions, ask.kind, ask.level, (field,))[0]
