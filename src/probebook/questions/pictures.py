"""Pictures that go with a question: its wiring diagram, and the face of a meter."""

from __future__ import annotations

from collections.abc import Iterable

from probebook.appliances import Appliance
from probebook.memo import memo_by_identity
from probebook.meters import Function
from probebook.questions.frame import Ask
from probebook.words import Words

__all__ = ["diagram", "meter_picture"]

_PREFIX = "question-diagram-"


def diagram(
    words: Words, ask: Ask, appliance: Appliance, position: str | None = None, lifted: Iterable[str] = ()
) -> tuple[tuple[str, str], ...]:
    """The wiring diagram as a picture of the question: contacts as they stand at level 1, above it all drawn open.

    None is given with a case, whose page shows it, nor where the plan says ``diagram = "none"`` because the workbook
    shows it already.
    """
    if ask.case is not None or ask.text("diagram") == "none":
        return ()
    drawn = _drawn(appliance, words, position if ask.level == 1 else None, frozenset(lifted))
    return ((f"{ask.id}-diagram.svg", drawn.replace(_PREFIX, f"{ask.id}-")),)


@memo_by_identity(256, also=1)
def _drawn(appliance: Appliance, words: Words, position: str | None, lifted: frozenset[str]) -> str:
    from probebook.drawings import schematic

    return schematic(words, appliance, position, lifted=sorted(lifted), id_prefix=_PREFIX)


def meter_picture(
    words: Words, name: str, shown: str, function: Function, said: str, leads: tuple[str, str]
) -> tuple[str, str]:
    """The face of a meter as (file name, SVG); what is ``said`` of its function and its leads are written on it."""
    from probebook.drawings import meter_face

    return f"{name}.svg", meter_face(words, shown, function, leads, said=said, id_prefix=f"{name}-")
