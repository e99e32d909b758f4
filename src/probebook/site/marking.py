"""How a question is marked, as a table for a page: what each answer earns and what is then said.

The core marks every option beforehand, and says every sentence; the page looks up what was chosen, compares a number
with the bands, an order with its pairs. What cannot be known before, as the text that somebody typed, is a hole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from probebook.questions.facts import (
    Dangerous,
    DangerousBecause,
    PartOfAnswer,
    PartsRight,
    Plain,
    Ticks,
    TooEarly,
    Unread,
)
from probebook.questions.marking import implied_pairs, mark
from probebook.questions.model import Band, Field, FieldKind, Question, Slip
from probebook.unit_table import find_unit
from probebook.unit_typing import DEGREES
from probebook.units import LEAST_OVER_RANGE, OPEN_WORDS, spelt_units
from probebook.words import Phrase, Words
from probebook.workbook.facts import MarksGiven, NextSteps, Notes, Verdicts
from probebook.workbook.forms.hints import hints
from probebook.workbook.forms.verdict import VERDICTS, spoken, working_html
from probebook.workbook.forms.view import shown_options, view
from probebook.workbook.markup import inline, plain

__all__ = ["marking_words", "question_table"]

#: Numbers that no sentence holds of itself, put where a page is to put its own.
MARKS, ATTEMPTS = 7531, 8642


def marking_words(words: Words) -> dict[str, Any]:
    """What is said of any answer: how it stands, what to do next, what became of it."""
    verdicts = {
        str(standing): {
            "sign": sign,
            "tone": tone,
            "word": str(words.say(Verdicts(), key)),
            "part": str(words.say(Verdicts(), f"part-{key}")),
        }
        for standing, (sign, key, tone) in VERDICTS.items()
    }
    verdicts["critical"] = {"sign": "⚠", "tone": "critical", "word": str(words.say(Verdicts(), "critical")), "part": ""}
    return {
        "verdicts": verdicts,
        "next": {key: str(words.say(NextSteps(), key)) for key in NextSteps.says_},
        "notes": {key: str(words.say(Notes(), key)) for key in ("same-answer", "from-saved")},
        "critical": inline(words.say(Dangerous(), "critical")),
        "decimal": words.language.decimal,
    }


def question_table(question: Question, words: Words) -> dict[str, Any]:
    """A question with all that marks it, as plain JSON data; the field of a bench is left to the bench's own table."""
    asked = [field for field in question.fields if field.kind is not FieldKind.BENCH]
    outs = question.marks
    scored = str(words.say(MarksGiven(float(MARKS), outs, ATTEMPTS), "scored"))
    return {
        "id": question.id,
        "view": view(question, words),
        "marks": outs,
        "score": {
            "open": str(words.say(MarksGiven(0.0, outs, 0), "out-of")),
            "scored": scored.replace(str(MARKS), "{marks}").replace(str(ATTEMPTS), "{attempts}"),
        },
        "fields": [_MAKERS[field.kind](_alone(question, field), field, words) for field in asked],
        "right": [_some_right(right, len(asked), words) for right in range(len(asked) + 1)],
        "hints": [inline(hint) for hint in hints(question, words)],
        "working": working_html(question, words),
    }


def _alone(question: Question, field: Field) -> Question:
    """The question with nothing but one field, and the slips that show there."""
    return replace(question, fields=(field,), slips=tuple(slip for slip in question.slips if slip.field == field.key))


def _some_right(right: int, fields: int, words: Words) -> str:
    facts = PartsRight(right, fields)
    if right < fields:
        return inline(words.say(facts, "some-right"))
    return inline(words.say(facts, "both-right" if right == 2 else "all-right"))


# ---------------------------------------------------------------- what an answer to one field earns


def _outcome(question: Question, response: object, words: Words) -> dict[str, Any]:
    """What the core makes of one answer to a question of one field.

    ``part`` is said where the question has other fields, ``alone`` where it has none.
    """
    field = question.fields[0]
    marked = mark(question, {field.key: response}, words)
    found = marked.fields[0]
    return _told(field, str(found.standing), found.marks, found.message, marked.message, words, marked.critical)


def _told(
    field: Field, standing: str, marks: float, part: str, alone: str, words: Words, critical: bool = False
) -> dict[str, Any]:
    told = {"standing": standing, "marks": marks, "part": spoken(part, words), "alone": spoken(alone, words)}
    if standing in ("blank", "unreadable"):
        label = Phrase(field.label.rstrip("?"))
        told["first"] = inline(words.say(PartOfAnswer(label, Phrase(part)), "part"))
    return {**told, "critical": True} if critical else told


def _slipped(field: Field, slip: Slip, words: Words) -> dict[str, Any]:
    said = str(words.say(DangerousBecause(Phrase(slip.advice)), "critical-because")) if slip.critical else slip.advice
    marks = 0.0 if slip.critical else slip.marks
    return _told(field, "slip", marks, slip.advice, said, words, slip.critical)


def _field(field: Field) -> dict[str, Any]:
    shown = [option.id for option in shown_options(field)]
    return {"kind": field.kind.value, "key": field.key, "label": plain(field.label), "marks": field.marks, "ids": shown}


def _choice(question: Question, field: Field, words: Words) -> dict[str, Any]:
    ids = [option.id for option in shown_options(field)]
    return {
        **_field(field),
        "blank": _outcome(question, "", words),
        "outcomes": [_outcome(question, each, words) for each in ids],
    }


def _choices(question: Question, field: Field, words: Words) -> dict[str, Any]:
    wanted, count = len(field.answer), len(field.options)
    counts = {
        f"{good} {bad}": str(words.say(Ticks(good, bad, wanted - good), "count"))
        for good in range(wanted + 1)
        for bad in range(count - wanted + 1)
    }
    slips = sorted(question.slips, key=lambda slip: not slip.critical)
    return {
        **_field(field),
        "blank": _outcome(question, "", words),
        "right": _outcome(question, list(field.answer), words),
        "wanted": list(field.answer),
        "counts": {key: _told(field, "wrong", 0.0, said, said, words) for key, said in counts.items()},
        "slips": [{"shows": slip.response, "outcome": _slipped(field, slip, words)} for slip in slips],
    }


def _order(question: Question, field: Field, words: Words) -> dict[str, Any]:
    texts = {option.id: Phrase(option.text.strip().rstrip(".")) for option in field.options}
    early = {
        f"{earlier}>{later}": str(words.say(TooEarly(texts[earlier], texts[later]), "too-early"))
        for earlier, later in field.before
    }
    return {
        **_field(field),
        "blank": _outcome(question, "", words),
        "right": _outcome(question, list(field.answer), words),
        "before": [list(pair) for pair in field.before],
        "implied": sorted(list(pair) for pair in implied_pairs(field.before)),
        "slips": [
            {"later": slip.response[0], "earlier": slip.response[1], "outcome": _slipped(field, slip, words)}
            for slip in question.slips
        ],
        "early": {pair: _told(field, "wrong", 0.0, said, said, words) for pair, said in early.items()},
    }


def _quantity(question: Question, field: Field, words: Words) -> dict[str, Any]:
    assert field.band is not None
    wrong = {
        key: _told(field, "wrong", 0.0, str(words.say(Plain(), key)), str(words.say(Plain(), key)), words)
        for key in ("not-open", "nothing-joins", "check-figures")
    }
    found = find_unit(field.unit)
    return {
        **_field(field),
        "blank": _outcome(question, "", words),
        "band": _band(field.band),
        "right": _outcome(question, field.answer, words),
        "slips": [
            {"band": _band(slip.band), "outcome": _slipped(field, slip, words)}
            for slip in question.slips
            if slip.band is not None
        ],
        "wrong": wrong,
        "unread": _unread(field, words),
        "reads": {
            "unit": found[1].name if found else "",
            "prefix": found[0] if found else "",
            "prefixes": bool(found and found[1].takes_prefix),
            "units": spelt_units(field.unit),
            "degrees": DEGREES,
            "open": field.allow_open,
            "opens": sorted(OPEN_WORDS),
            "beyond": LEAST_OVER_RANGE,
            "least": None if found and found[1].name == "celsius" else 0.0,
        },
    }


def _band(band: Band) -> list[float | None]:
    """The ends of a band; None for one that only an open circuit meets."""
    return [None if math.isinf(end) else end for end in (band.low, band.high)]


def _unread(field: Field, words: Words) -> dict[str, dict[str, Any]]:
    """Why a typed quantity cannot be read, by reason, with holes for what was typed and for what it is."""
    found = find_unit(field.unit)
    sign = f" ({found[1].symbol})" if found and found[1].symbol else ""
    wanted = Phrase(str(words.noun(found[1].words if found else "")))
    facts = Unread("{shown}", Phrase("{given}"), wanted, sign)
    said = {reason: str(words.say(facts, reason)) for reason in Unread.says_}
    return {reason: _told(field, "unreadable", 0.0, text, text, words) for reason, text in said.items()}


_MAKERS: Mapping[FieldKind, Callable[[Question, Field, Words], dict[str, Any]]] = {
    FieldKind.CHOICE: _choice,
    FieldKind.CHOICES: _choices,
    FieldKind.ORDER: _order,
    FieldKind.QUANTITY: _quantity,
}
