"""The question in words: lines of the stock list, the parts in the appliance, what is wrong with the other lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from probebook.appliances import Fault, Part
from probebook.questions.replacement.facts.rating import rating_words
from probebook.questions.replacement.items import Item
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Plain", "ReplacementFacts", "fit_row", "others_words", "right_words", "row_words"]


@dataclass(frozen=True)
class RowFacts(Facts, group="questions/replacement/row", says=("row",)):
    """A line of the stock list: rating first, then fit."""

    code: str
    make: str
    name: Noun
    rating: Phrase
    fixing: Noun
    terminals: Noun
    size: Noun


def row_words(words: Words, item: Item) -> Phrase:
    """A line of the stock list as an option."""
    rating = rating_words(words, item.rating)
    facts = RowFacts(item.code, item.make, item.name, rating, item.fixing, item.terminals, item.size)
    return words.say(facts, "row")


@dataclass(frozen=True)
class Plain(
    Facts,
    group="questions/replacement/line",
    says=("link", "no-part", "no-part-brief", "another-size", "worn-off"),
):
    """Lines that are no part, and cells without a figure."""


# ---------------------------------------------------------------- the question


@dataclass(frozen=True)
class FitFacts(Facts, group="questions/replacement/fit", says=("row",)):
    """A part that is in the appliance: how it is fitted and what can be read on it."""

    name: Noun
    mark: str
    fixing: Noun
    terminals: Noun
    size: Noun
    marking: Phrase


def fit_row(words: Words, item: Item, part: Part, marking: Phrase) -> Phrase:
    """A row of the table of parts in the appliance."""
    return words.say(FitFacts(item.name, part.mark, item.fixing, item.terminals, item.size, marking), "row")


@dataclass(frozen=True)
class ReplacementFacts(
    Facts,
    group="questions/replacement/question",
    says=("title", "label", "prompt", "prompt-part", "explanation", "explanation-fault", "working"),
):
    """The job: what is to be fetched and why, the parts in the appliance, and the lines that are wrong."""

    appliance: Noun
    part: Noun
    plate: Phrase
    fits: Phrase
    key: Phrase
    why: Phrase
    fault: Noun
    others: Phrase


@dataclass(frozen=True)
class OtherFacts(Facts, group="questions/replacement/other", says=("other",)):
    """A wrong line by its code, and why it is wrong."""

    line: Phrase
    why: Phrase


@dataclass(frozen=True)
class KeyFacts(Facts, group="questions/replacement/right", says=("part", "mend", "nothing")):
    """Why the key is right: what is done about the fault where no part is wanted."""

    mend: Noun


def right_words(words: Words, part: Part | None, fault: Fault | None) -> Phrase:
    """Why the right line is right, or no part is wanted."""
    facts = KeyFacts(words.noun(fault.mend) if fault else Noun("", ""))
    return words.say(facts, "part" if part else "mend" if fault else "nothing")


def others_words(words: Words, lines: Iterable[tuple[Phrase, Phrase]]) -> Phrase:
    """The wrong lines, (line, why), as a list."""
    return Phrase("\n".join(words.say(OtherFacts(line, why), "other") for line, why in lines))
