from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

import ipywidgets as widgets
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workbook_demo import CHOICE, QUANTITY, QUESTIONS, STEPS, TICKS

from probebook.questions.marking import mark
from probebook.questions.model import FieldMark, Question, Standing
from probebook.workbook import feedback, markup
from probebook.workbook.forms import Form
from probebook.workbook.inputs import OrderInput, QuantityInput


def answered(question: Question, response: dict[str, Any], clicks: int = 1) -> Form:
    """A form with a response put in and checked."""
    form = Form(question)
    form.set(response)
    for _ in range(clicks):
        form.check.click()
    return form


def below(widget: widgets.Widget) -> list[widgets.Widget]:
    """A widget and all that it holds."""
    found = [widget]
    for child in getattr(widget, "children", ()):
        found += below(child)
    return found


def test_a_working_that_only_repeats_is_left_out() -> None:
    """A sum is shown; a working that is the answer, a sentence of the reason or the same order again is not."""
    right = next(option.text for option in CHOICE.fields[0].options if option.id == CHOICE.fields[0].answer)
    assert "Working" in feedback.working_html(QUANTITY)
    assert "Working" not in feedback.working_html(replace(CHOICE, working=right))
    assert "Working" not in feedback.working_html(replace(CHOICE, working=CHOICE.explanation))
    assert "Working" not in feedback.working_html(replace(STEPS, working="1. First this\n2. Then that"))


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_the_key_given_through_the_widgets_is_right(question: Question) -> None:
    """For every kind of field, setting the key and pressing the button gives full marks and the word Right."""
    form = answered(question, question.key())
    assert form.marked is not None
    assert (form.marked.standing, form.marked.marks) == (Standing.RIGHT, question.marks)
    assert "Right." in form.feedback.value
    assert form.response() == question.key()


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_a_form_nobody_has_answered_holds_no_secret(question: Question) -> None:
    """No widget of a fresh form holds an option id, a field key, a slip, an explanation or a typed key."""
    form = Form(question)
    state = repr([widget.get_state() for widget in below(form.widget)])
    secrets = [field.key for field in question.fields] + [slip.slip for slip in question.slips]
    secrets += [option.id for field in question.fields for option in field.options]
    secrets += [slip.advice for slip in question.slips] + [question.explanation, "46 ohm", "10 A"]
    assert [secret for secret in secrets if secret in state] == []


def test_a_wrong_answer_keeps_the_explanation_closed() -> None:
    """After one wrong attempt the working stays shut; the second opens its button, the press shows it."""
    form = answered(QUANTITY, {"ohms-key": "100 ohm"})
    assert form.show_working.disabled
    assert QUANTITY.explanation[:20] not in form.feedback.value
    form.set({"ohms-key": "90 ohm"})
    form.check.click()
    assert not form.show_working.disabled
    assert form.working.value == ""
    form.show_working.click()
    assert "46 Ω" in form.working.value
    form.show_working.click()
    assert form.working.value == ""


def test_pressing_twice_on_one_answer_is_one_attempt() -> None:
    """The same answer checked again neither uses an attempt nor opens the working."""
    saved: list[Any] = []
    form = Form(QUANTITY, save=lambda *given: saved.append(given) or "")  # type: ignore[func-returns-value]
    form.set({"ohms-key": "100 ohm"})
    for _ in range(3):
        form.check.click()
    assert (form.attempts, len(saved), form.show_working.disabled) == (1, 1, True)


def test_blank_and_rubbish_use_no_attempt() -> None:
    """Nothing typed, and something unreadable, are told as such and leave the attempts alone; only rubbish is saved."""
    saved: list[Any] = []
    form = Form(QUANTITY, save=lambda *given: saved.append(given) or "")  # type: ignore[func-returns-value]
    form.check.click()
    assert "Nothing is typed" in form.feedback.value
    form.set({"ohms-key": "12 parsec"})
    form.check.click()
    assert "No attempt is used up" in form.feedback.value
    assert (form.attempts, len(saved)) == (0, 1)


def test_an_unscored_answer_does_not_tell_on_the_other_parts() -> None:
    """With one part blank the verdict says nothing about the part that was given."""
    form = answered(TICKS, {"live-key": ["opt-grill", "opt-lamp"]})
    assert "Current" in form.feedback.value
    assert "right" not in form.feedback.value.lower()
    assert "Live parts" not in form.feedback.value


def test_a_slip_gets_its_advice_with_a_word_and_a_sign() -> None:
    """A known slip is told in words, with a sign, and its advice in bold where it is bold."""
    html = answered(QUANTITY, {"ohms-key": "5 ohm"}).feedback.value
    assert "known slip" in html
    assert "gives <strong>amps</strong>" in html
    assert "↯" in html


def test_a_dangerous_answer_says_stop() -> None:
    """A critical slip is told as a danger, in words."""
    html = answered(CHOICE, {"verdict-key": "opt-dry"}).feedback.value
    assert "Stop: dangerous" in html
    assert "never made live" in html


@pytest.mark.parametrize("standing", list(Standing))
def test_every_standing_has_a_word_and_a_sign_of_its_own(standing: Standing) -> None:
    """Colour is never the only sign: the words and signs of the six standings are all different."""
    assert len({verdict[0] for verdict in feedback._VERDICTS.values()}) == len(Standing)
    assert len({verdict[1] for verdict in feedback._VERDICTS.values()}) == len(Standing)
    assert standing in feedback._VERDICTS


def test_steps_move_by_their_buttons() -> None:
    """Up and Down exchange neighbours, the ends have no further button, and a touched order counts as given."""
    steps = STEPS.fields[0]
    given = OrderInput(steps)
    assert given.get() == []
    first = list(given.order)
    given.downs[0].click()
    assert given.get() == [first[1], first[0], *first[2:]]
    given.ups[3].click()
    assert given.get() == [first[1], first[0], first[3], first[2]]
    assert (given.ups[0].disabled, given.downs[-1].disabled) == (True, True)
    given.move(0, -1)
    assert given.get() == [first[1], first[0], first[3], first[2]]
    assert [re.sub(r"<[^>]+>", "", place.value)[:2] for place in given.places] == ["1.", "2.", "3.", "4."]


def test_the_order_shown_first_is_never_right() -> None:
    """Nobody earns marks for pressing the button at once: even options listed in a right order are shown otherwise."""
    given = OrderInput(STEPS.fields[0])
    assert mark(STEPS, {"steps-key": given.order}).standing is not Standing.RIGHT


def test_the_hint_in_the_box_is_no_answer() -> None:
    """The hint names the unit's sign and no figure, and the label is tied to the box."""
    box = QuantityInput(QUANTITY.fields[0]).box
    assert "Ω" in box.placeholder
    assert not re.search(r"\d", box.placeholder)
    assert box.description.startswith("Resistance of the element")


def test_doubled_option_texts_stay_apart() -> None:
    """Two options with one text can each be chosen."""
    from dataclasses import replace

    field = CHOICE.fields[0]
    options = tuple(replace(option, text="The same") for option in field.options)
    form = Form(replace(CHOICE, fields=(replace(field, options=options),)))
    for option in options:
        form.set({"verdict-key": option.id})
        assert form.response() == {"verdict-key": option.id}


@settings(max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from(["ohms-key", "verdict-key", "live-key", "steps-key", "amps-key"]),
        st.none()
        | st.text()
        | st.integers()
        | st.lists(st.text() | st.integers())
        | st.dictionaries(st.text(), st.text()),
    )
)
def test_any_saved_response_can_be_put_back(response: dict[str, Any]) -> None:
    """Whatever a journal holds, restoring it raises nothing and leaves a form that can be answered rightly."""
    for question in QUESTIONS:
        form = Form(question)
        form.restore(response, 1, response)
        form.set(question.key())
        form.check.click()
        assert form.marked is not None
        assert form.marked.standing is Standing.RIGHT


class Tags(HTMLParser):
    """The tags and attributes of a piece of HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        """Note a tag and its attributes."""
        self.found.add(tag)
        self.found.update(name for name, _ in attrs)


NASTY = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "[go](javascript:alert(1))",
    "![x](http://192.0.2.1/x.png)",
    "<http://192.0.2.1>",
    "\"'><b onclick=x>",
    "`<i>`",
]


@pytest.mark.parametrize("text", NASTY)
def test_no_text_brings_a_tag_a_link_or_a_picture_along(text: str) -> None:
    """Typed text, labels and explanations are escaped, read by the standard library's HTML parser."""
    form = answered(QUANTITY, {"ohms-key": text})
    for html in (form.feedback.value, markup.block(text), markup.inline(text), markup.safe(text)):
        tags = Tags()
        tags.feed(html)
        assert not tags.found & {"script", "img", "a", "b", "i", "src", "href", "onclick", "onerror"}


def test_markdown_of_an_explanation_is_shown() -> None:
    """Paragraphs, bold, code, lists and tables come out as such (CommonMark and its table extension)."""
    html = markup.block("One **two** `three`\n\n- a\n- b\n\n| x | y |\n|---|---|\n| 1 | 2 |")
    for tag in ("<p>", "<strong>", "<code>", "<ul>", "<table>", "<td>1</td>"):
        assert tag in html


def test_a_bench_part_comes_from_the_bench() -> None:
    """A field answered on the bench takes its input and its marker from whoever runs the bench."""
    from dataclasses import replace

    from probebook.questions.model import Field, FieldKind

    class Bench:
        widget = widgets.HTML("bench")
        log = ""

        def get(self) -> str:
            return self.log

        def set(self, response: object) -> None:
            self.log = str(response)

    question = replace(QUANTITY, fields=(Field("b", FieldKind.BENCH, "Bench", 2.0, "log"),), slips=())
    form = Form(
        question,
        bench=Bench(),
        bench_marker=lambda field, given: FieldMark(field.key, Standing.RIGHT, 2.0, f"Seen: {given}"),
    )
    form.set({"b": "three tests"})
    form.check.click()
    assert "three tests" in form.feedback.value
