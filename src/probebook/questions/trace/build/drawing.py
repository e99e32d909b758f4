"""What the forms of trace draw alike: the positions to try, and a field of ticks."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence

from probebook.appliances import Appliance
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Field, FieldKind, Option

__all__ = ["positions", "ticks_field"]


def positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    """Names of the positions to try: the one asked for, or all in a drawn order."""
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def ticks_field(key: str, label: str, options: Sequence[Option], right: Iterable[str], *, marks: float = 2.0) -> Field:
    """A field of ticks; Unfit when nothing would be right."""
    wanted = set(right)
    if not wanted:
        raise Unfit("nothing would be right")
    answer = [option.id for option in options if option.id in wanted]
    return Field(key=key, kind=FieldKind.CHOICES, label=label, marks=marks, answer=answer, options=tuple(options))
