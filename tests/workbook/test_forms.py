from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

import ipywidgets as widgets
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workbook_demo import CHOICE, QUANTITY, QUESTIONS, STEPS, TICKS

from english import WORDS
from probebook.questions.marking import mark
from probebook.questions.model import FieldMark, Question, Standing
from probebook.workbook import markup
from probebook.workbook.forms import verdict
from probebook.workbook.forms.form import Form
from probebook.workbook.forms.view import from_response, to_response


def answered(question: Question, response: dict[str, Any], clicks: int = 1) -> Form:
    """A form with a response put in and checked."""
    form = Form(question, WORDS)
    form.set(response)
    for _ in range(clicks):
        form.check()
    return form


def told(form: Form) -> str:
    """Everything the page is told of an answer, as one text."""
    return json.dumps(form.model.verdict, ensure_ascii=False)


def test_a_working_that_only_repeats_is_left_out() -> None:
    """A sum is shown; a working that is the answer, a sentence of the reason or the same order again is not."""
    right = next(option.text for option in CHOICE.fields[0].options if option.id == CHOICE.fields[0].answer)
    assert "Working" in verdict.working_html(QUANTITY, WORDS)
    assert "Working" not in verdict.working_html(replace(CHOICE, working=right), WORDS)
    assert "Working" not in verdict.working_html(replace(CHOICE, working=CHOICE.explanation), WORDS)
    assert "Working" not in verdict.working_html(replace(STEPS, working="1. First this\n2. Then that"), WORDS)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_the_key_given_through_the_model_is_right(question: Question) -> None:
    """For every kind of field, setting the key and pressing the button gives full marks and the word Right."""
    form = answered(question, question.key())
    assert form.marked is not None
    assert (form.marked.standing, form.marked.marks) == (Standing.RIGHT, question.marks)
    assert form.model.verdict["word"] == "Right."
    assert form.response() == question.key()


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_a_form_nobody_has_answered_holds_no_secret(question: Question) -> None:
    """The model of a fresh form holds no option id, field key, slip, explanation or typed key."""
    form = Form(question, WORDS)
    assert form.widget is form.model
    state = json.dumps({name: getattr(form.model, name) for name in ("view", "answer", "state", "verdict")})
    secrets = [field.key for field in question.fields] + [slip.slip for slip in question.slips]
    secrets += [option.id for field in question.fields for option in field.options]
    secrets += [slip.advice for slip in question.slips] + [question.explanation, "46 ohm", "10 A"]
    assert [secret for secret in secrets if secret in state] == []


def test_a_wrong_answer_keeps_the_explanation_closed() -> None:
    """After one wrong attempt nothing of the working is in the model; the second brings it, folded away."""
    form = answered(QUANTITY, {"ohms-key": "100 ohm"})
    assert form.model.state["working"] == ""
    assert QUANTITY.explanation[:20] not in told(form)
    assert "second attempt" in form.model.verdict["next"]
    form.set({"ohms-key": "90 ohm"})
    form.check()
    assert "46 Ω" in form.model.state["working"]
    assert form.model.state["open"] is False
    assert "read the working" in form.model.verdict["next"]


def test_a_right_answer_opens_the_working() -> None:
    """Whoever got it right sees at once why."""
    assert answered(QUANTITY, QUANTITY.key()).model.state["open"] is True


def test_pressing_twice_on_one_answer_is_one_attempt() -> None:
    """The same answer checked again neither uses an attempt nor opens the working."""
    saved: list[Any] = []
    form = Form(QUANTITY, WORDS, save=lambda *given: saved.append(given) or "")  # type: ignore[func-returns-value]
    form.set({"ohms-key": "100 ohm"})
    for _ in range(3):
        form.check()
    assert (form.attempts, len(saved), form.model.state["working"]) == (1, 1, "")


def test_blank_and_rubbish_use_no_attempt() -> None:
    """Nothing typed, and something unreadable, are told as such and leave the attempts alone; only rubbish is saved."""
    saved: list[Any] = []
    form = Form(QUANTITY, WORDS, save=lambda *given: saved.append(given) or "")  # type: ignore[func-returns-value]
    form.check()
    assert "Nothing is typed" in told(form)
    form.set({"ohms-key": "12 parsec"})
    form.check()
    assert "no attempt is used up" in told(form)
    assert (form.attempts, len(saved)) == (0, 1)


def test_an_unscored_answer_does_not_tell_on_the_other_parts() -> None:
    """With one part blank the verdict says nothing about the part that was given."""
    form = answered(TICKS, {"live-key": ["opt-grill", "opt-lamp"]})
    assert "Current" in told(form)
    assert "right" not in told(form).lower()
    assert "Live parts" not in told(form)


def test_a_slip_gets_its_advice_with_a_word_and_a_sign() -> None:
    """A known slip is told in words, with a sign, and its advice in bold where it is bold."""
    said = told(answered(QUANTITY, {"ohms-key": "5 ohm"}))
    assert "known slip" in said
    assert "gives <strong>amps</strong>" in said
    assert "↯" in said


def test_a_dangerous_answer_says_stop() -> None:
    """A critical slip is told as a danger, in words."""
    said = told(answered(CHOICE, {"verdict-key": "opt-dry"}))
    assert "Stop: dangerous" in said
    assert "never made live" in said


@pytest.mark.parametrize("standing", list(Standing))
def test_every_standing_has_a_word_and_a_sign_of_its_own(standing: Standing) -> None:
    """Colour is never the only sign: the words and signs of the six standings are all different."""
    assert len({verdict[0] for verdict in verdict.VERDICTS.values()}) == len(Standing)
    assert len({verdict[1] for verdict in verdict.VERDICTS.values()}) == len(Standing)
    assert standing in verdict.VERDICTS


def test_an_order_counts_once_it_was_moved() -> None:
    """The order that stands at first counts as nothing given, and each button names the step that it moves."""
    form = Form(STEPS, WORDS)
    assert form.response() == {"steps-key": []}
    view = form.model.view["fields"][0]
    assert [up for up, _ in view["moves"]] == [f"Move up: {text}" for text in view["options"]]
    assert [down for _, down in view["moves"]] == [f"Move down: {text}" for text in view["options"]]
    form.model.write([[1, 0, 2, 3]])
    texts = {option.id: option.text for option in STEPS.fields[0].options}
    given = form.response()["steps-key"]
    assert [texts[item] for item in given] == [view["options"][number] for number in (1, 0, 2, 3)]


def test_the_order_shown_first_is_never_right() -> None:
    """Nobody earns marks for pressing the button at once: even options listed in a right order are shown otherwise."""
    field = STEPS.fields[0]
    shown = to_response(field, list(range(len(field.options))))
    assert mark(STEPS, {"steps-key": shown}, WORDS).standing is not Standing.RIGHT


def test_the_hint_beside_the_box_is_no_answer() -> None:
    """The hint and what stands beside the box name the unit's sign and no figure."""
    view = Form(QUANTITY, WORDS).model.view["fields"][0]
    assert view["unit"] == "Ω"
    assert "Ω" in view["hint"]
    assert not re.search(r"\d", view["hint"])
    assert view["label"] == "Resistance of the element"


@pytest.mark.parametrize(
    ("typed", "standing"),
    [
        ("46", Standing.RIGHT),
        ("46.0", Standing.RIGHT),
        (" 46 ohm", Standing.RIGHT),
        ("0.046 kΩ", Standing.RIGHT),
        ("5", Standing.SLIP),
        ("46 kΩ", Standing.WRONG),
        ("46 W", Standing.UNREADABLE),
        ("46 x", Standing.UNREADABLE),
    ],
)
def test_a_bare_number_is_in_the_unit_beside_the_box(typed: str, standing: Standing) -> None:
    """What stands beside the box need not be typed; a unit that is typed counts."""
    form = answered(QUANTITY, {"ohms-key": typed})
    assert form.marked is not None
    assert form.marked.standing is standing


def test_doubled_option_texts_stay_apart() -> None:
    """Two options with one text can each be chosen."""
    field = CHOICE.fields[0]
    options = tuple(replace(option, text="The same") for option in field.options)
    form = Form(replace(CHOICE, fields=(replace(field, options=options),)), WORDS)
    for option in options:
        form.set({"verdict-key": option.id})
        assert form.response() == {"verdict-key": option.id}


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_an_answer_travels_to_the_page_and_back(question: Question) -> None:
    """What a page holds is plain JSON of texts and numbers, and means the same when it comes back."""
    for field in question.fields:
        held = json.loads(json.dumps(from_response(field, field.answer)))
        assert to_response(field, held) == field.answer


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 9) | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=8,
)


@settings(max_examples=60)
@given(st.lists(JUNK, max_size=4) | JUNK, st.dictionaries(st.text(max_size=5), JUNK, max_size=2) | JUNK)
def test_whatever_a_page_sends_does_no_harm(answer: Any, message: Any) -> None:
    """Junk for an answer or a message raises nothing, and the form can be answered rightly after it."""
    for question in QUESTIONS:
        form = Form(question, WORDS)
        form.model.hear(message)
        form.model.hear({"press": "check", "answer": answer})
        assert form.marked is not None
        form.set(question.key())
        form.check()
        assert form.marked.standing is Standing.RIGHT


def test_a_verdict_says_which_answer_it_is_about() -> None:
    """The page is told what was checked, so that it can say when the answer has been changed since."""
    form = answered(QUANTITY, {"ohms-key": "100 ohm"})
    assert form.model.state["checked"] == ["100 ohm"]
    form.model.write(["46 ohm"])
    assert form.model.state["checked"] != form.model.answer


def test_a_draft_is_kept_and_uses_no_attempt() -> None:
    """What was typed and not checked stays in the model, which a page that is loaded again reads."""
    saved: list[Any] = []
    form = Form(QUANTITY, WORDS, save=lambda *given: saved.append(given) or "")  # type: ignore[func-returns-value]
    form.model.write(["46 oh"])
    assert form.model.get_state()["answer"] == ["46 oh"]
    assert (form.attempts, saved, form.marked) == (0, [], None)


def test_one_model_a_question() -> None:
    """A form opens one comm of its own: no tree of widgets, and a layout that all forms share."""
    before = Form(QUANTITY, WORDS)
    known = set(widgets.widget._instances)
    after = Form(TICKS, WORDS)
    assert set(widgets.widget._instances) - known == {after.model.model_id}
    after.close()
    assert set(widgets.widget._instances) == known
    assert before.model.layout.comm is not None


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
        form = Form(question, WORDS)
        form.restore(response, 1, response)
        form.set(question.key())
        form.check()
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
    for html in (form.model.verdict["message"], markup.block(text), markup.inline(text), markup.safe(text)):
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
    from probebook.questions.model import Field, FieldKind

    class Bench:
        widget = widgets.HTML("bench")
        log = ""

        def watch(self, told: Any) -> None:
            self.told = told

        def get(self) -> str:
            return self.log

        def set(self, response: object) -> None:
            self.log = str(response)

    question = replace(QUANTITY, fields=(Field("b", FieldKind.BENCH, "Bench", 2.0, "log"),), slips=())
    form = Form(
        question,
        WORDS,
        bench=Bench(),
        bench_marker=lambda field, given: FieldMark(field.key, Standing.RIGHT, 2.0, f"Seen: {given}"),
    )
    form.set({"b": "three tests"})
    form.check()
    assert "three tests" in told(form)
    assert form.model.state["changed"] is False
    form.bench.told()  # type: ignore[union-attr]
    assert form.model.state["changed"] is True
    form.check()
    assert form.model.state["changed"] is False


def test_a_saved_notebook_reads_without_a_kernel() -> None:
    """Beside the component a notebook keeps what is asked as plain text."""
    bundle = Form(TICKS, WORDS).model._repr_mimebundle_()
    assert bundle is not None
    text = bundle[0]["text/plain"]
    assert [line.strip() for line in text.splitlines()] == [
        "Live parts", "Base element", TICKS.fields[0].options[1].text, "Oven lamp", "Current",
    ]  # fmt: skip
