"""What trade people type, in an answer and in a file of readings: read alike, or refused for the reason that it has."""

from __future__ import annotations

import math

import pytest

from english import WORDS
from probebook.diagnosis.files.reading import value_shown
from probebook.errors import AnswerError
from probebook.meters import Function
from probebook.questions.marking import read_quantity
from probebook.questions.model import Band, Field, FieldKind

RAISED, SPREAD = "holds a raised or lowered figure", "gives a value and a spread"
#: What is typed; unit and value (SI) of an answer that asks for it, or why it is refused; ohms of a reading in a file
#: of evidence, or why it is refused. A box shows its unit, so that a bare number is in that; a point is always the
#: decimal sign, and a comma before three digits stands for thousands.
TYPED: tuple[tuple[str, str, float | str, float | str], ...] = (
    ("47 meg", "ohm", 47e6, 47e6),
    ("0L", "ohm", math.inf, math.inf),
    ("1k2", "ohm", 1200.0, 1200.0),
    ("1k2 W", "W", 1200.0, "is in watts, but ohms are asked for"),
    ("180 C", "degC", 453.15, "is in degrees Celsius, but ohms are asked for"),
    ("180°", "degC", 453.15, "is in degrees Celsius, but ohms are asked for"),
    ("356 °F", "degC", 453.15, "is in degrees Fahrenheit, but ohms are asked for"),
    ("230 V AC", "V", 230.0, "is in volts, but ohms are asked for"),
    ("47 ohms.", "ohm", 47.0, 47.0),
    ("R = 47 ohm", "ohm", 47.0, 47.0),
    ("47 ± 2", "ohm", SPREAD, SPREAD),
    ("> 200 MΩ", "ohm", math.inf, math.inf),
    ("5½", "ohm", 5.5, 5.5),
    ("47²", "ohm", RAISED, RAISED),
    ("1.200", "ohm", 1.2, 1.2),
    ("1,200", "ohm", 1200.0, 1200.0),
    ("1,2", "ohm", 1.2, 1.2),
    ("47", "ohm", 47.0, 47.0),
)


@pytest.mark.parametrize(("text", "unit", "answer", "reading"), TYPED)
def test_it_is_read_or_refused_for_its_reason(text: str, unit: str, answer: float | str, reading: float | str) -> None:
    """In the box of a question, and as the display of a reading."""
    field = Field("f", FieldKind.QUANTITY, "A label", 1.0, "1", unit, band=Band(0.0, 1.0), allow_open=unit == "ohm")
    for read, wanted in (
        (lambda: read_quantity(field, text), answer),
        (lambda: value_shown(text, Function.OHMS)[0], reading),
    ):
        if isinstance(wanted, str):
            with pytest.raises(AnswerError, match=wanted):
                read()
        else:
            assert read() == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("text", ["180 C", "230 V AC", "1k2 W", "180°"])
def test_a_learner_is_told_what_was_given_in_place_of_what(text: str) -> None:
    """The sentence of a form names both quantities, in the words that travel with a workbook."""
    from probebook.questions.marking import mark
    from probebook.questions.model import Kind, Question

    field = Field("f", FieldKind.QUANTITY, "A label", 1.0, "47 ohm", "ohm", band=Band(46.0, 48.0))
    question = Question("q01", Kind("power"), "power", 1, "A title", "A prompt", (field,), (), "An explanation")
    said = mark(question, {"f": text}, WORDS).message
    assert f'"{text}" is in ' in said
    assert "ohms are asked for" in said
