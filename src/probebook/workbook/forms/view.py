"""What a form is told of its question, and how an answer travels between page and kernel.

The page knows a field by its place and an option by its number in the order shown. Keys, ids, slips, marks and reasons
stay in the kernel: whoever reads everything the page holds learns what is asked, and nothing of the answer.

An answer is a list with one item a field, the field of a bench left out: typed text, the number of an option or None,
or a list of numbers of options.
"""

from __future__ import annotations

from typing import Any, Protocol

from probebook.questions.model import Field, FieldKind, Option, Question, Response
from probebook.unit_table import find_unit
from probebook.words import Phrase, Words
from probebook.workbook import markup
from probebook.workbook.facts import (
    Buttons,
    CheckButton,
    InputHints,
    MarksOut,
    Meanwhile,
    MoveButton,
    MovedTo,
    OpenHint,
    UnitHint,
)
from probebook.workbook.forms.hints import button_words

__all__ = ["Input", "asked", "from_response", "marks_words", "shown_options", "to_response", "view"]

#: More typed text than this (characters) is cut off; no quantity is as long.
LONGEST_TEXT = 200


class Input(Protocol):
    """What a form needs of whatever a field is answered on beside it: the virtual bench.

    An input that has a method ``watch`` is given a function to call whenever what stands in it was changed;
    one that has ``when_ended``, a function to call when the learner has ended the job on it.
    """

    @property
    def widget(self) -> Any:
        """What is shown."""

    def get(self) -> Response:
        """The response as it stands; empty text or an empty list when nothing is given yet."""

    def set(self, response: object) -> None:
        """Show a response; what does not fit the field is left out, and nothing is raised."""


def asked(question: Question) -> tuple[Field, ...]:
    """The fields that the form itself asks for, in order."""
    return tuple(field for field in question.fields if field.kind is not FieldKind.BENCH)


def view(question: Question, words: Words) -> dict[str, Any]:
    """All that a page is told of a question before it is answered, as plain JSON data."""
    fields = asked(question)
    title = markup.plain(question.title)
    said: dict[str, str] = {key: words.say(Buttons(), key) for key in Buttons.says_}
    said |= {key: words.say(Meanwhile(), key) for key in Meanwhile.says_}
    said["hint"] = button_words(words)
    said["check-hint"] = words.say(CheckButton(Phrase(title)), "check-hint")
    return {
        "language": words.source,
        "title": title,
        "fields": [_field(field, words, with_marks=len(question.fields) > 1) for field in fields],
        "words": said,
    }


def _field(field: Field, words: Words, *, with_marks: bool) -> dict[str, Any]:
    found: dict[str, Any] = {"kind": field.kind.value, "label": markup.plain(field.label)}
    if with_marks:
        found["marks"] = marks_words(field.marks, words)
    if field.kind is FieldKind.QUANTITY:
        return {**found, "unit": _sign(field), "hint": _quantity_hint(field, words), "longest": LONGEST_TEXT}
    texts = [markup.plain(option.text) for option in shown_options(field)]
    if field.kind is FieldKind.ORDER:
        moves = [MoveButton(Phrase(text)) for text in texts]
        found["moves"] = [[words.say(move, "move-up"), words.say(move, "move-down")] for move in moves]
        found["places"] = [words.say(MovedTo(place, len(texts)), "moved") for place in range(1, len(texts) + 1)]
        found["hint"] = words.say(InputHints(), "first-on-top")
    elif field.kind is FieldKind.CHOICES:
        found["hint"] = words.say(InputHints(), "tick-all")
    return {**found, "options": texts}


def _sign(field: Field) -> str:
    found = find_unit(field.unit)
    return found[1].symbol if found else ""


def _quantity_hint(field: Field, words: Words) -> str:
    sign = _sign(field)
    hint = words.say(UnitHint(sign), "number-and-unit") if sign else words.say(InputHints(), "number")
    return words.say(OpenHint(hint), "or-open") if field.allow_open else hint


def marks_words(marks: float, words: Words) -> Phrase:
    """Marks in words: "1 mark", "2.5 marks"."""
    return words.say(MarksOut(marks), "marks")


def shown_options(field: Field) -> tuple[Option, ...]:
    """The options as a page shows them; steps to put in order are turned round should they stand in a right order."""
    if field.kind is not FieldKind.ORDER:
        return field.options
    place = {option.id: number for number, option in enumerate(field.options)}
    is_right = all(place[earlier] < place[later] for earlier, later in field.before)
    return field.options[::-1] if is_right else field.options


# ---------------------------------------------------------------- answers


def from_response(field: Field, response: object) -> Any:
    """A response as the page holds it; what does not fit the field is left out."""
    numbers = {option.id: number for number, option in enumerate(shown_options(field))}
    if field.kind is FieldKind.QUANTITY:
        return markup.printable(response)[:LONGEST_TEXT] if isinstance(response, str) else ""
    if field.kind is FieldKind.CHOICE:
        return numbers.get(response) if isinstance(response, str) else None
    given = [item for item in response if isinstance(item, str)] if isinstance(response, list | tuple) else []
    if field.kind is FieldKind.ORDER:
        is_whole = len(given) == len(numbers) and set(given) == set(numbers)
        return [numbers[item] for item in given] if is_whole else []
    return sorted(numbers[item] for item in set(given) if item in numbers)


def to_response(field: Field, given: object) -> Response:
    """What a page holds as a response; whatever else came from there counts as nothing given."""
    shown = [option.id for option in shown_options(field)]
    if field.kind is FieldKind.QUANTITY:
        return given[:LONGEST_TEXT] if isinstance(given, str) else ""
    if field.kind is FieldKind.CHOICE:
        return "".join(_chosen([given], shown))
    chosen = _chosen(given, shown)
    if field.kind is FieldKind.ORDER:
        return chosen if len(chosen) == len(shown) else []
    return [name for name in shown if name in chosen]


def _chosen(given: object, shown: list[str]) -> list[str]:
    """The ids of the options with these numbers, in the order given; none at all unless each is a number of its own."""
    numbers = given if isinstance(given, list | tuple) else ()
    known = [number for number in numbers if type(number) is int and 0 <= number < len(shown)]
    return [shown[number] for number in known] if len(set(known)) == len(numbers) else []
