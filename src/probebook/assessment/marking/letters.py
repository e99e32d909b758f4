"""What was typed from an answer sheet as a response: letters stand for options, by their place on paper."""

from __future__ import annotations

import re

from probebook.assessment.letters import letter_of, place_of
from probebook.questions.model import Field, FieldKind, Response

__all__ = ["MistypedError", "response_of"]

#: What may stand between letters, and after one: ``B)``, ``A, C``, ``A > C > B``.
BETWEEN = re.compile(r"[\s,;.:/>()\[\]→-]+")


class MistypedError(Exception):
    """What cannot be taken: the key of the sentence, what was typed, and the last letter that there is."""

    def __init__(self, key: str, given: str, last: str) -> None:
        super().__init__(key)
        self.key, self.given, self.last = key, given, last


def response_of(asked: Field, text: str) -> Response:
    """The response that a cell stands for.

    Parameters
    ----------
    asked
        The field, its options in the order of the paper.
    text
        The cell: a quantity as it was written; one letter; the letters that were ticked; all letters in order.

    Raises
    ------
    MistypedError
        A letter that no option has, one letter twice, several where one is chosen, or not all where all are put in
        order.
    """
    if asked.kind is FieldKind.QUANTITY:
        return text.removeprefix("'").strip()
    last = letter_of(len(asked.options) - 1)
    found = _options(asked, text, last)
    if asked.kind is FieldKind.CHOICE:
        if len(found) != 1:
            raise MistypedError("one-letter", text, last)
        return found[0]
    if len(set(found)) < len(found):
        raise MistypedError("letter-twice", text, last)
    if asked.kind is FieldKind.ORDER:
        if len(found) != len(asked.options):
            raise MistypedError("all-letters", text, last)
        return found
    return [option.id for option in asked.options if option.id in found]


def _options(asked: Field, text: str, last: str) -> list[str]:
    """The ids of the options that the letters stand for; letters may be run together where none has two signs."""
    words = [word for word in BETWEEN.split(text) if word]
    places = len(asked.options)
    letters = [sign for word in words for sign in ([word] if place_of(word, places) is not None else word)]
    found = []
    for letter in letters:
        place = place_of(letter, places)
        if place is None:
            raise MistypedError("no-letter", letter, last)
        found.append(asked.options[place].id)
    return found
