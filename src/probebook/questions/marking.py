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
from dataclasses import dataclass

from probebook.errors import AnswerError
from probebook.questions.facts import (
    Bare,
    Because,
    Dangerous,
    DangerousBecause,
    PartOfAnswer,
    PartsRight,
    Plain,
    Ticks,
    TooEarly,
    Unread,
)
from probebook.questions.model import Field, FieldKind, FieldMark, Marked, Question, Slip, Standing
from probebook.words import Phrase, Words

__all__ = [
    "BenchMarker", "implied_pairs", "mark", "marks_for_pairs", "marks_for_ticks", "read_quantity", "wrong_quantity",
]  # fmt: skip

#: Marks a BENCH field from what was done on the bench (see ``bench`` of :func:`mark`).
BenchMarker = Callable[[Field, object], FieldMark]


def mark(
    question: Question,
    response: Mapping[str, object],
    words: Words,
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
    words
        The language the learner is told in.
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
    marks = tuple(_mark_field(question, field, answers.get(field.key), words, bench) for field in question.fields)
    standing = _standing(marks, final=final)
    scored = standing not in (Standing.BLANK, Standing.UNREADABLE)
    critical = scored and any(_is_critical(question, found) for found in marks)
    if critical:
        standing = Standing.SLIP
    return Marked(
        marks=round(math.fsum(found.marks for found in marks), 2) if scored and not critical else 0.0,
        out_of=question.marks,
        standing=standing,
        message=_message(question, marks, standing, words, critical=critical),
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


def marks_for_ticks(field: Field, good: int, bad: int) -> float:
    """The marks for so many right and so many wrong ticks: right less wrong, as a share of the right ones there are."""
    return round(field.marks * max(good - bad, 0) / len(field.answer), 2) if field.answer else 0.0


def marks_for_pairs(field: Field, kept: int, pairs: int) -> float:
    """The marks for an order that keeps so many of its implied pairs."""
    return round(field.marks * kept / pairs, 2)


# ---------------------------------------------------------------- one field


@dataclass(frozen=True, slots=True)
class _Part:
    """A field being marked, with its slips and the words to tell it in."""

    field: Field
    slips: tuple[Slip, ...]
    words: Words

    def right(self, why: str = "") -> FieldMark:
        return FieldMark(self.field.key, Standing.RIGHT, self.field.marks, self._because("right", why))

    def partly(self, marks: float, why: str) -> FieldMark:
        return FieldMark(self.field.key, Standing.PARTLY, marks, self._because("partly", why))

    def wrong(self, why: str) -> FieldMark:
        return FieldMark(self.field.key, Standing.WRONG, 0.0, self._because("wrong", why))

    def slipped(self, slip: Slip, marks: float | None = None) -> FieldMark:
        earned = 0.0 if slip.critical else slip.marks if marks is None else marks
        return FieldMark(self.field.key, Standing.SLIP, earned, slip.advice, slip.slip)

    def counted(self, marks: float, message: str) -> FieldMark:
        return FieldMark(self.field.key, Standing.PARTLY if marks else Standing.WRONG, marks, message)

    def unscored(self, standing: Standing, key: str) -> FieldMark:
        return FieldMark(self.field.key, standing, 0.0, self.plain(key))

    def plain(self, key: str) -> str:
        return self.words.say(Plain(), key)

    def _because(self, key: str, why: str) -> str:
        if not why.strip():
            return self.words.say(Bare(), key)
        return self.words.say(Because(Phrase(why)), f"{key}-because").strip()


def _mark_field(question: Question, field: Field, given: object, words: Words, bench: BenchMarker | None) -> FieldMark:
    part = _Part(field, tuple(slip for slip in question.slips if slip.field == field.key), words)
    if field.kind is FieldKind.BENCH:
        return bench(field, given) if bench is not None else part.unscored(Standing.UNREADABLE, "on-the-bench")
    return _MARKERS[field.kind](part, given)


def _mark_quantity(part: _Part, given: object) -> FieldMark:
    field = part.field
    if given is None or (isinstance(given, str) and not given.strip()):
        return part.unscored(Standing.BLANK, "nothing-typed")
    if not isinstance(given, str):
        return part.unscored(Standing.UNREADABLE, "not-readable")
    try:
        value = read_quantity(field, given)
    except AnswerError as error:
        return FieldMark(field.key, Standing.UNREADABLE, 0.0, _unread(field, error, part.words))
    if field.band is not None and field.band.holds(value):
        return part.right()
    matching = [slip for slip in part.slips if slip.band is not None and slip.band.holds(value)]
    if matching:
        return part.slipped(min(matching, key=lambda slip: _distance(slip, value)))
    return FieldMark(field.key, Standing.WRONG, 0.0, part.plain(wrong_quantity(field, value)))


def read_quantity(field: Field, text: str) -> float:
    """The SI value of what was typed in a quantity field; AnswerError when it cannot be read.

    A bare number is in the unit of the field, which stands beside every box it is typed into.
    """
    from probebook.unit_table import find_unit
    from probebook.units import parse

    found = find_unit(field.unit)
    minimum = None if found and found[1].name == "celsius" else 0.0
    return parse(text, field.unit, bare=True, minimum=minimum, allow_infinite=field.allow_open)


def _unread(field: Field, error: AnswerError, words: Words) -> str:
    """Why a typed quantity cannot be read, in one sentence.

    An example of how to write it might happen to be the answer: the sign of the unit takes its place.
    """
    from probebook.unit_table import find_unit

    found = find_unit(field.unit)
    sign = f" ({found[1].symbol})" if found and found[1].symbol else ""
    given = str(words.noun(error.told.get("given", "")))
    wanted = str(words.noun(found[1].words if found else ""))
    return words.say(Unread(error.told.get("shown", ""), Phrase(given), Phrase(wanted), sign), error.reason)


def _distance(slip: Slip, value: float) -> float:
    """How far a value lies from the middle of the slip's band, as a share of that middle."""
    if slip.band is None or math.isinf(value) or math.isinf(slip.band.high):
        return 0.0
    middle = (slip.band.low + slip.band.high) / 2
    return abs(value - middle) / abs(middle) if middle else abs(value)


def wrong_quantity(field: Field, value: float) -> str:
    """Which sentence helps somebody whose figure is neither the key nor a known slip's."""
    if math.isinf(value):
        return "not-open"
    if field.band is not None and math.isinf(field.band.low):
        return "nothing-joins"
    return "check-figures"


def _mark_choice(part: _Part, given: object) -> FieldMark:
    field = part.field
    if given is None or given == "" or given == []:
        return part.unscored(Standing.BLANK, "nothing-chosen")
    why = {option.id: option.why for option in field.options}
    if not isinstance(given, str) or given not in why:
        return part.unscored(Standing.UNREADABLE, "not-readable")
    if given == field.answer:
        return part.right(why[given])
    for slip in part.slips:
        if slip.response == given:
            return part.slipped(slip)
    for option, marks in field.partial:
        if option == given:
            return part.partly(marks, why[given])
    return part.wrong(why[given])


def _mark_choices(part: _Part, given: object) -> FieldMark:
    """Right ticks less wrong ticks, as a share of the right ones; never below zero.

    A slip with a list shows when exactly that list is ticked and sets the marks; one with a single option shows when
    that option is among the ticks and leaves the marks as counted.
    """
    field = part.field
    wanted = frozenset(field.answer)
    if given is None or given == "" or (given == [] and wanted):
        return part.unscored(Standing.BLANK, "nothing-ticked")
    ticked = _ids(given, field)
    if ticked is None:
        return part.unscored(Standing.UNREADABLE, "not-readable")
    chosen = frozenset(ticked)
    if chosen == wanted:
        return part.right()
    good, bad = len(chosen & wanted), len(chosen - wanted)
    marks = marks_for_ticks(field, good, bad)
    for slip in sorted(part.slips, key=lambda slip: not slip.critical):
        if isinstance(slip.response, str) and slip.response in chosen - wanted:
            return part.slipped(slip, marks)
        if isinstance(slip.response, list) and frozenset(slip.response) == chosen:
            return part.slipped(slip)
    return part.counted(marks, part.words.say(Ticks(good, bad, len(wanted - chosen)), "count"))


def _mark_order(part: _Part, given: object) -> FieldMark:
    """Full marks for every order that keeps the pairs; otherwise the share of the implied pairs that is kept.

    A slip's response is a pair [later, earlier], as the mistaken learner has them; its critical or advisory force
    comes with that pair standing in that wrong order. Where several slips show, a critical one is named first, and
    then the one whose two steps stand closest together: that is the swap the learner sees.
    """
    field = part.field
    if given is None or given in ("", []):
        return part.unscored(Standing.BLANK, "nothing-ordered")
    order = _ids(given, field)
    if order is None:
        return part.unscored(Standing.UNREADABLE, "not-readable")
    if len(order) < len(field.options):
        return part.unscored(Standing.UNREADABLE, "steps-missing")
    place = {item: number for number, item in enumerate(order)}
    broken = [pair for pair in field.before if place[pair[0]] > place[pair[1]]]
    if not broken:
        return part.right()
    implied = implied_pairs(field.before)
    kept = sum(place[earlier] < place[later] for earlier, later in implied)
    marks = marks_for_pairs(field, kept, len(implied))
    shown = [
        (not slip.critical, place[slip.response[1]] - place[slip.response[0]], number)
        for number, slip in enumerate(part.slips)
        if place[slip.response[0]] < place[slip.response[1]]
    ]
    if shown:
        return part.slipped(part.slips[min(shown)[2]], marks)
    texts = {option.id: Phrase(option.text.strip().rstrip(".")) for option in field.options}
    earlier, later = min(broken, key=lambda pair: (place[pair[1]], place[pair[0]]))
    return part.counted(marks, part.words.say(TooEarly(texts[earlier], texts[later]), "too-early"))


_MARKERS: dict[FieldKind, Callable[[_Part, object], FieldMark]] = {
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


def _message(
    question: Question, marks: tuple[FieldMark, ...], standing: Standing, words: Words, *, critical: bool
) -> str:
    if critical:
        advice = next(part.message for part in marks if _is_critical(question, part))
        if len(marks) == 1:
            return words.say(DangerousBecause(Phrase(advice)), "critical-because")
        return words.say(Dangerous(), "critical")
    if standing in (Standing.BLANK, Standing.UNREADABLE):
        first = next(part for part in marks if part.standing is standing)
        if len(marks) == 1:
            return first.message
        label = Phrase(question.field(first.key).label.rstrip("?"))
        return words.say(PartOfAnswer(label, Phrase(first.message)), "part")
    if len(marks) == 1:
        return marks[0].message
    right = sum(part.standing is Standing.RIGHT for part in marks)
    found = PartsRight(right, len(marks))
    if right < len(marks):
        return words.say(found, "some-right")
    return words.say(found, "both-right" if right == 2 else "all-right")
