"""A line of the stock list that a slip leads to."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.questions.replacement.facts.question import row_words
from probebook.questions.replacement.items import Item
from probebook.words import Phrase, Words

__all__ = ["LINK", "NONE", "Line", "line_of"]

#: Id of the line that is no part but a bridge, and of the one that nothing is fetched.
LINK, NONE = "link-wire", "no-part"


@dataclass(frozen=True, slots=True)
class Line:
    """A wrong line: the slip that leads to it, its text, why it is wrong, and whether it is dangerous."""

    slip: str
    id: str
    text: Phrase
    why: Phrase
    critical: bool = False


def line_of(words: Words, slip: str, item: Item, why: Phrase) -> Line:
    """A line for an item of the stock list."""
    return Line(slip, item.code, row_words(words, item), why)
