"""Marking an answer: what it earns, and the sentence the learner reads.

The question carries its key and its slips, so marking is comparison and needs neither the circuit core nor numpy. Typed
quantities are read by :mod:`probebook.units`, which is loaded at the first one.

Nothing is taken from a learner for what cannot be read: an answer with a blank or unreadable part stands as *blank* or
*unreadable*, earns nothing and is not scored (:attr:`~probebook.questions.model.Marked.scored`). The end of a paper is
different, because nobody can be asked to mend it any more: see ``final`` of :func:`mark`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

from probebook.errors import AnswerError
from probebook.questions.model import Field, FieldKind, FieldMark, Marked, Question, Slip, Standing

__all__ = ["BenchMarker", "implied_pairs", "mark"]

#: Marks a BENCH field from what was done on the bench (see ``bench`` of :func:`mark`).
BenchMarker = Callable[[Field, object], FieldMark]

_NOT_READABLE = "This answer cannot be read; give it again with the form."


def mark(
    question: Question,
    response: Mapping[str, object],
    *,
    final: bool = False,
    bench: BenchMarker | None = None,
) -> Marked:
    """Mark a response.

    Parameters
    ----------
    question
        The question, with its key and slips.
    response
        For each field key, what was given: typed text, an option id or a list of option ids. It may come from a file
        that anybody has edited: whatever it holds, the result is a mark and never an exception. Keys that are not
        fields of the question are ignored.
    final
        Whether this is the last word, as at the end of a paper: a blank or unreadable part then earns nothing and the
        other parts count. Otherwise one such part leaves the whole answer unscored.
    bench
        Marks the fields answered on the virtual bench; without it such a field is unreadable.

    Returns
    -------
    Marked
        ``fields`` in the order of the question. Marks are rounded to a hundredth. A critical slip in any field takes
        the whole question to nought.
    """
    given: object = response
    answers: Mapping[str, object] = given if isinstance(given, Mapping) else {}
    marks = tuple(_mark_field(question, field, answers.get(field.key), bench) for field in question.fields)
    standing = _standing(marks, final=final)
    scored = standing not in (Standing.BLANK, Standing.UNREADABLE)
    critical = scored and any(_is_critical(question, found) for found in marks)
    if critical:
        standing = Standing.SLIP
    return Marked(
        marks=round(sum(found.marks for found in marks), 2) if scored and not critical else 0.0,
        out_of=question.marks,
        standing=standing,
        message=_message(question, marks, standing, critical=critical),
        fields=marks,
        critical=critical,
    )


def implied_pairs(pairs: Iterable[tuple[str, str]]) -> frozenset[tuple[str, str]]:
    """Every (earlier, later) pair that follows from ``pairs``: their transitive closure.

    Marks for an order are counted over these, so that they do not depend on which of several equivalent lists of pairs
    an author wrote.
    """
    after: dict[str, set[str]] = {}
    for earlier, later in pairs:
        after.setdefault(earlier, set()).add(later)
    found: set[tuple[str, str]] = set()
    for start in after:
        reached: set[str] = set()
        waiting = list(after[start])
        while waiting:
            item = waiting.pop()
            if item not in reached:
                reached.add(item)
                waiting.extend(after.get(item, ()))
        found.update((start, item) for item in reached)
    return frozenset(found)


# ---------------------------------------------------------------- one field


def _mark_field(question: Question, field: Field, given: object, bench: BenchMarker | None) -> FieldMark:
    if field.kind is FieldKind.BENCH:
        if bench is not None:
            return bench(field, given)
        return _unscored(field, Standing.UNREADABLE, "This part is answered on the bench.")
    slips = tuple(slip for slip in question.slips if slip.field == field.key)
    return _MARKERS[field.kind](field, slips, given)


def _mark_quantity(field: Field, slips: tuple[Slip, ...], given: object) -> FieldMark:
    if given is None or (isinstance(given, str) and not given.strip()):
        return _unscored(field, Standing.BLANK, "Nothing is typed here yet.")
    if not isinstance(given, str):
        return _unscored(field, Standing.UNREADABLE, _NOT_READABLE)
    try:
        value = read_quantity(field, given)
    except AnswerError as error:
        return _unscored(field, Standing.UNREADABLE, str(error))
    if field.band is not None and field.band.holds(value):
        return _right(field)
    matching = [slip for slip in slips if slip.band is not None and slip.band.holds(value)]
    if matching:
        return _slipped(field, min(matching, key=lambda slip: _distance(slip, value)))
    return FieldMark(field.key, Standing.WRONG, 0.0, _wrong_quantity(field, value))


def read_quantity(field: Field, text: str) -> float:
    """The SI value of what was typed in a quantity field; AnswerError says in one sentence why it cannot be read."""
    from probebook.unit_table import find_unit
    from probebook.units import parse

    found = find_unit(field.unit)
    name = found[1].name if found else ""
    minimum = None if name == "celsius" else 0.0
    try:
        return parse(text, field.unit, bare=name == "ratio", minimum=minimum, allow_infinite=field.allow_open)
    except AnswerError as error:
        # An example of how to write it might happen to be the answer: the sign of the unit takes its place.
        remedy, _, example = (error.remedy or "").partition(", for example")
        sign = f" ({found[1].symbol})" if example and found and found[1].symbol else ""
        message = error.message[:1].upper() + error.message[1:]
        raise AnswerError(message, remedy=f"{remedy}{sign}") from error


def _distance(slip: Slip, value: float) -> float:
    """How far a value lies from the middle of the slip's band, as a share of that middle."""
    if slip.band is None or math.isinf(value) or math.isinf(slip.band.high):
        return 0.0
    middle = (slip.band.low + slip.band.high) / 2
    return abs(value - middle) / abs(middle) if middle else abs(value)


def _wrong_quantity(field: Field, value: float) -> str:
    if math.isinf(value):
        return "Not an open circuit: look for a path between these two points, and say what it measures."
    if field.band is not None and math.isinf(field.band.low):
        return "Look again whether anything at all joins these two points in this state."
    return "Check which figures you used, the path or the formula, and the prefix (m, k or M)."


def _mark_choice(field: Field, slips: tuple[Slip, ...], given: object) -> FieldMark:
    if given is None or given == "" or given == []:
        return _unscored(field, Standing.BLANK, "Nothing is chosen here yet.")
    why = {option.id: option.why for option in field.options}
    if not isinstance(given, str) or given not in why:
        return _unscored(field, Standing.UNREADABLE, _NOT_READABLE)
    if given == field.answer:
        return _right(field, why[given])
    for slip in slips:
        if slip.response == given:
            return _slipped(field, slip)
    for option, marks in field.partial:
        if option == given:
            return FieldMark(field.key, Standing.PARTLY, marks, f"Some of it. {why[given]}".strip())
    return FieldMark(field.key, Standing.WRONG, 0.0, f"Not this one. {why[given]}".strip())


def _mark_choices(field: Field, slips: tuple[Slip, ...], given: object) -> FieldMark:
    """Right ticks less wrong ticks, as a share of the right ones; never below nought.

    A slip with a list shows when exactly that list is ticked and sets the marks; one with a single option shows when
    that option is among the ticks and leaves the marks as counted.
    """
    wanted = frozenset(field.answer)
    if given is None or given == "" or (given == [] and wanted):
        return _unscored(field, Standing.BLANK, "Nothing is ticked here yet.")
    ticked = _ids(given, field)
    if ticked is None:
        return _unscored(field, Standing.UNREADABLE, _NOT_READABLE)
    chosen = frozenset(ticked)
    if chosen == wanted:
        return _right(field)
    good, bad = len(chosen & wanted), len(chosen - wanted)
    marks = round(field.marks * max(good - bad, 0) / len(wanted), 2) if wanted else 0.0
    for slip in sorted(slips, key=lambda slip: not slip.critical):
        if isinstance(slip.response, str) and slip.response in chosen - wanted:
            return _slipped(field, slip, marks)
        if isinstance(slip.response, list) and frozenset(slip.response) == chosen:
            return _slipped(field, slip)
    message = f"{_count(good, 'right tick')}, {_count(bad, 'wrong tick')}, {len(wanted - chosen)} left out."
    return FieldMark(field.key, Standing.PARTLY if marks else Standing.WRONG, marks, message)


def _mark_order(field: Field, slips: tuple[Slip, ...], given: object) -> FieldMark:
    """Full marks for every order that keeps the pairs; otherwise the share of the implied pairs that is kept.

    A slip's response is a pair [later, earlier], as the mistaken learner has them; its critical or advisory force
    comes with that pair standing in that wrong order. Where several slips show, a critical one is named first, and
    then the one whose two steps stand closest together: that is the swap the learner sees.
    """
    if given is None or given in ("", []):
        return _unscored(field, Standing.BLANK, "Nothing is put in order here yet.")
    order = _ids(given, field)
    if order is None:
        return _unscored(field, Standing.UNREADABLE, _NOT_READABLE)
    if len(order) < len(field.options):
        return _unscored(field, Standing.UNREADABLE, "Some of the steps are missing; put every one in its place.")
    place = {item: number for number, item in enumerate(order)}
    broken = [pair for pair in field.before if place[pair[0]] > place[pair[1]]]
    if not broken:
        return _right(field)
    implied = implied_pairs(field.before)
    kept = sum(place[earlier] < place[later] for earlier, later in implied)
    marks = round(field.marks * kept / len(implied), 2)
    shown = [
        (not slip.critical, place[slip.response[1]] - place[slip.response[0]], number)
        for number, slip in enumerate(slips)
        if place[slip.response[0]] < place[slip.response[1]]
    ]
    if shown:
        return _slipped(field, slips[min(shown)[2]], marks)
    texts = {option.id: option.text.strip().rstrip(".") for option in field.options}
    earlier, later = min(broken, key=lambda pair: (place[pair[1]], place[pair[0]]))
    message = f"‘{texts[earlier]}’ has to come before ‘{texts[later]}’."
    return FieldMark(field.key, Standing.PARTLY if marks else Standing.WRONG, marks, message)


_MARKERS: dict[FieldKind, Callable[[Field, tuple[Slip, ...], object], FieldMark]] = {
    FieldKind.QUANTITY: _mark_quantity,
    FieldKind.CHOICE: _mark_choice,
    FieldKind.CHOICES: _mark_choices,
    FieldKind.ORDER: _mark_order,
}


def _ids(given: object, field: Field) -> list[str] | None:
    """The option ids given, or None when they are not a list of different options of the field."""
    if not isinstance(given, (list, tuple)) or not all(isinstance(item, str) for item in given):
        return None
    known = {option.id for option in field.options}
    return list(given) if len(set(given)) == len(given) and known.issuperset(given) else None


def _right(field: Field, why: str = "") -> FieldMark:
    return FieldMark(field.key, Standing.RIGHT, field.marks, f"Right. {why}".strip())


def _slipped(field: Field, slip: Slip, marks: float | None = None) -> FieldMark:
    earned = 0.0 if slip.critical else slip.marks if marks is None else marks
    return FieldMark(field.key, Standing.SLIP, earned, slip.advice, slip.slip)


def _unscored(field: Field, standing: Standing, message: str) -> FieldMark:
    return FieldMark(field.key, standing, 0.0, message)


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


# ---------------------------------------------------------------- the whole question


def _is_critical(question: Question, found: FieldMark) -> bool:
    return found.standing is Standing.SLIP and any(
        slip.critical and slip.slip == found.slip and slip.field == found.key for slip in question.slips
    )


def _standing(marks: tuple[FieldMark, ...], *, final: bool) -> Standing:
    found = [part.standing for part in marks]
    readable = [part for part in found if part not in (Standing.BLANK, Standing.UNREADABLE)]
    if len(readable) < len(found) and not (final and readable):
        return Standing.UNREADABLE if Standing.UNREADABLE in found else Standing.BLANK
    if all(part is Standing.RIGHT for part in found):
        return Standing.RIGHT
    if Standing.RIGHT in found or Standing.PARTLY in found:
        return Standing.PARTLY
    return Standing.SLIP if Standing.SLIP in found else Standing.WRONG


def _message(question: Question, marks: tuple[FieldMark, ...], standing: Standing, *, critical: bool) -> str:
    if critical:
        advice = next(part.message for part in marks if _is_critical(question, part))
        verdict = "This mistake is dangerous, so the question earns nothing."
        return f"{verdict} {advice}" if len(marks) == 1 else verdict
    if standing in (Standing.BLANK, Standing.UNREADABLE):
        first = next(part for part in marks if part.standing is standing)
        where = f"{question.field(first.key).label.rstrip('?')}: " if len(marks) > 1 else ""
        return f"{where}{first.message}"
    if len(marks) == 1:
        return marks[0].message
    right = sum(part.standing is Standing.RIGHT for part in marks)
    if right == len(marks):
        return "Both parts are right." if right == 2 else f"All {right} parts are right."
    return f"{right} of {len(marks)} parts {'is' if right == 1 else 'are'} right."
