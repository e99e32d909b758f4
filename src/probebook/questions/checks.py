"""What must be true of a question before it can be marked; each fault in one sentence that names the key."""

from __future__ import annotations

import math
from collections.abc import Iterable

from probebook.errors import ScenarioError
from probebook.questions.marking import implied_pairs
from probebook.questions.model import Band, Field, FieldKind, Question, Slip
from probebook.unit_table import find_unit

__all__ = ["check_question"]


def check_question(question: Question) -> None:
    """Check what marking relies on.

    Raises
    ------
    ScenarioError
        The first fault found, with its key, such as ``fields[0].answer``.
    """
    if not question.fields:
        raise _fault("fields", "a question needs at least one field to answer")
    _unique((field.key for field in question.fields), "fields", "key")
    for number, field in enumerate(question.fields):
        _check_field(field, f"fields[{number}]")
    for number, slip in enumerate(question.slips):
        _check_slip(question, slip, f"slips[{number}]")


def _check_field(field: Field, where: str) -> None:
    if not (math.isfinite(field.marks) and field.marks >= 0):
        raise _fault(f"{where}.marks", "marks are a number from 0 up")
    _unique((option.id for option in field.options), f"{where}.options", "id")
    if field.kind is FieldKind.QUANTITY:
        if find_unit(field.unit) is None:
            raise _fault(f"{where}.unit", f"the unit {field.unit!r} is not known")
        if field.band is None:
            raise _fault(f"{where}.band", "a quantity needs the band of accepted values")
        _check_band(field.band, f"{where}.band")
        if not isinstance(field.answer, str):
            raise _fault(f"{where}.answer", "the answer to a quantity is text")
    elif field.kind is FieldKind.CHOICE:
        _check_choice(field, where)
    elif field.kind is FieldKind.CHOICES:
        _check_ids(field.answer, field, f"{where}.answer")
        if not field.answer:
            raise _fault(f"{where}.answer", "at least one option has to be right")
    elif field.kind is FieldKind.ORDER:
        _check_order(field, where)


def _check_choice(field: Field, where: str) -> None:
    known = {option.id for option in field.options}
    if not isinstance(field.answer, str) or field.answer not in known:
        raise _fault(f"{where}.answer", "the answer is not one of the options")
    for number, (option, marks) in enumerate(field.partial):
        place = f"{where}.partial[{number}]"
        if option not in known or option == field.answer:
            raise _fault(place, "part marks go to an option that is not the answer")
        if not 0 <= marks < field.marks:
            raise _fault(place, "part marks are from 0 to less than the marks of the field")


def _check_order(field: Field, where: str) -> None:
    _check_ids(field.answer, field, f"{where}.answer")
    known = {option.id for option in field.options}
    if len(field.answer) < len(known) or len(known) < 2:
        raise _fault(f"{where}.answer", "one right order of all the options, at least two, is wanted")
    if not field.before:
        raise _fault(f"{where}.before", "an order needs at least one pair that must hold")
    place = {item: number for number, item in enumerate(field.answer)}
    for number, (earlier, later) in enumerate(field.before):
        if earlier not in known or later not in known:
            raise _fault(f"{where}.before[{number}]", "the pair names something that is not an option")
        if place[earlier] >= place[later]:
            raise _fault(f"{where}.before[{number}]", "the answer does not keep this pair")


def _check_slip(question: Question, slip: Slip, where: str) -> None:
    field = next((field for field in question.fields if field.key == slip.field), None)
    if field is None:
        raise _fault(f"{where}.field", f"there is no field {slip.field!r}")
    if not 0 <= slip.marks <= field.marks:
        raise _fault(f"{where}.marks", "a slip earns from 0 to the marks of its field")
    if field.kind is FieldKind.QUANTITY:
        if slip.band is None:
            raise _fault(f"{where}.band", "a slip in a quantity needs the band of values that show it")
        _check_band(slip.band, f"{where}.band")
    elif field.kind is FieldKind.ORDER:
        pair = slip.response
        if not isinstance(pair, list) or len(pair) != 2 or (pair[1], pair[0]) not in implied_pairs(field.before):
            raise _fault(
                f"{where}.response", "a slip in an order is a pair [later, earlier] of the pairs that must hold"
            )
    elif field.kind is FieldKind.CHOICE:
        wrong = {option.id for option in field.options}.difference([field.answer])
        if not isinstance(slip.response, str) or slip.response not in wrong:
            raise _fault(f"{where}.response", "a slip in a choice is one of its wrong options")
    elif field.kind is FieldKind.CHOICES:
        wrong = {option.id for option in field.options}.difference(field.answer)
        if isinstance(slip.response, list):
            _check_ids(slip.response, field, f"{where}.response")
        elif slip.response not in wrong:
            raise _fault(f"{where}.response", "a slip in ticks is a wrong option or a list of options")


def _check_band(band: Band, where: str) -> None:
    if not band.low <= band.high:
        raise _fault(where, "the lowest value is above the highest")


def _check_ids(answer: object, field: Field, where: str) -> None:
    known = {option.id for option in field.options}
    if not isinstance(answer, list) or not known.issuperset(answer) or len(set(answer)) < len(answer):
        raise _fault(where, "a list of different option ids is wanted")


def _unique(names: Iterable[str], where: str, what: str) -> None:
    seen: set[str] = set()
    for number, name in enumerate(names):
        if name in seen:
            raise _fault(f"{where}[{number}].{what}", f"{name!r} is used twice")
        seen.add(name)


def _fault(where: str, message: str) -> ScenarioError:
    return ScenarioError(message, where=where, remedy="mend the question")
