"""Every kind of question in a plain page in Chromium: answered by mouse and by keys alone, looked at, measured.

The modules are those a notebook gets, unmodified. The questions are the first of each kind in the marking sheets.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from plain_page import CHROMIUM, Page, plain_page

from english import WORDS
from probebook.questions.codec import read_sheet
from probebook.questions.model import FieldKind, Kind, Question, Standing
from probebook.workbook.forms.form import Form

playwright_api = pytest.importorskip("playwright.sync_api")

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "tests" / "browser_code" / "node_modules" / "axe-core" / "axe.min.js"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


@cache
def questions() -> dict[Kind, Question]:
    """One question of each kind, and for the kinds with several parts one that has them."""
    found: dict[Kind, Question] = {}
    for path in sorted((ROOT / "answer_keys").glob("*.json")):
        for question in read_sheet(path).questions:
            known = found.get(question.kind)
            if known is None or len(known.fields) < len(question.fields):
                found[question.kind] = question
    return found


@pytest.fixture(scope="module", params=["light", "dark"])
def page(request: pytest.FixtureRequest) -> Iterator[Page]:
    """A plain page in a light and in a dark scheme."""
    with (
        playwright_api.sync_playwright() as player,
        plain_page(player, color_scheme=request.param, viewport={"width": 900, "height": 1000}) as page,
    ):
        page.scheme = request.param  # type: ignore[attr-defined]
        yield page


def wrong(question: Question) -> dict[str, Any]:
    """An answer that is readable and wrong in every part."""
    given: dict[str, Any] = {}
    for field in question.fields:
        ids = [option.id for option in field.options]
        if field.kind is FieldKind.QUANTITY:
            given[field.key] = "987.6"
        elif field.kind is FieldKind.CHOICE:
            given[field.key] = next(name for name in ids if name != field.answer)
        elif field.kind is FieldKind.CHOICES:
            given[field.key] = [name for name in ids if name not in field.answer] or list(field.answer[:1])
        else:
            given[field.key] = list(reversed(field.answer))
    return given


def shot(page: Page, kind: Kind, what: str) -> None:
    """Keep a picture where PROBEBOOK_SHOTS names a folder, for a person to look at."""
    if folder := os.environ.get("PROBEBOOK_SHOTS"):
        scheme = page.scheme  # type: ignore[attr-defined]
        page.page.locator("main").screenshot(path=str(Path(folder) / f"{kind}-{what}-{scheme}.png"))


def fits(page: Page) -> bool:
    """Whether nothing of the form runs over its edge."""
    return bool(
        page.page.evaluate(
            """() => document.documentElement.scrollWidth <= document.documentElement.clientWidth
            && [...document.querySelectorAll('.pb-form, .pb-form label, .pb-form button')]
              .every((node) => node.scrollWidth <= node.clientWidth + 1)"""
        )
    )


def focus_is_kept(page: Page) -> bool:
    """Whether the focus is in the form and not on the page."""
    return bool(page.page.evaluate("() => document.activeElement.closest('.pb-form') !== null"))


def wait_for(page: Page, word: str) -> str:
    """The verdict, once its head or what to do next holds a word."""
    page.page.locator(".pb-head, .pb-next-step", has_text=word).first.wait_for()
    return str(page.page.locator(".pb-verdict").inner_text())


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.BENCH])
def test_every_kind_is_answered_by_mouse_and_by_keys(page: Page, kind: Kind) -> None:
    """Wrong by mouse, right by keys alone: the verdict, the mark, what to do next; the focus never leaves the form."""
    question = questions()[kind]
    form = Form(question, WORDS)
    page.show(form)
    shot(page, kind, "unanswered")
    page.page.locator(".pb-check").click()
    wait_for(page, "no attempt is used up")
    page.by_mouse(question, wrong(question))
    said = wait_for(page, "attempt 1")
    assert form.marked is not None
    assert form.marked.standing is not Standing.RIGHT
    assert "Change your answer and check it again." in said
    assert focus_is_kept(page)
    shot(page, kind, "wrong")
    page.page.set_viewport_size({"width": 375, "height": 800})
    assert fits(page)
    shot(page, kind, "wrong-375")
    page.page.set_viewport_size({"width": 900, "height": 1000})
    page.by_keys(question, dict(question.key()))
    wait_for(page, "Right.")
    assert form.marked.marks == question.marks
    assert focus_is_kept(page)
    assert page.page.locator(".pb-working").is_visible()
    shot(page, kind, "right")
    assert page.errors == []


def test_the_conclusion_of_a_bench_is_checked_by_enter(page: Page) -> None:
    """A bench's form is its button and its verdict; the bench itself stands above, a component of its own."""
    question = questions()[Kind.BENCH]
    form = Form(question, WORDS)
    assert form.bench is not None
    form.bench.set(list(question.fields[0].answer))
    page.show(form)
    page.page.locator("#before").focus()
    page.page.keyboard.press("Tab")
    page.page.keyboard.press("Enter")
    wait_for(page, "Right.")
    assert focus_is_kept(page)
    shot(page, Kind.BENCH, "right")


def test_feedback_never_contradicts_what_stands(page: Page) -> None:
    """When the answer is changed after Check, the verdict says that it is about the one before, until it is checked."""
    question = questions()[Kind.POWER]
    page.show(Form(question, WORDS))
    page.by_mouse(question, wrong(question))
    wait_for(page, "attempt 1")
    earlier = page.page.locator(".pb-earlier")
    assert not earlier.is_visible()
    box = page.page.locator(".pb-box").first
    box.focus()
    page.page.keyboard.press("End")
    page.page.keyboard.type("5")
    playwright_api.expect(earlier).to_contain_text("the one before")
    page.page.keyboard.press("Backspace")
    playwright_api.expect(earlier).to_be_hidden()
    page.page.keyboard.type("5")
    page.page.keyboard.press("Enter")
    wait_for(page, "attempt 2")
    playwright_api.expect(earlier).to_be_hidden()
    playwright_api.expect(box).to_be_focused()


def test_a_draft_is_written_back_and_comes_again(page: Page) -> None:
    """What is typed and not checked is written to the model, one message a pause, and stands in the next drawing."""
    question = questions()[Kind.POWER]
    form = Form(question, WORDS)
    page.show(form)
    page.page.evaluate("() => { window.sent.length = 0; }")
    page.page.locator(".pb-box").first.click()
    page.page.keyboard.type("39.2", delay=20)
    page.page.wait_for_timeout(600)
    sent = page.page.evaluate("() => window.sent")
    assert [message["draft"][0] for message in sent] == ["39.2"]
    form.model.write(sent[0]["draft"])
    page.show(form)
    assert page.page.locator(".pb-box").first.input_value() == "39.2"


def test_where_nobody_marks_the_form_says_so(page: Page) -> None:
    """A button that leads to nothing says within seconds that no verdict came, and the answer stays."""
    question = questions()[Kind.POWER]
    page.show(Form(question, WORDS))
    page.page.evaluate("() => { window.kept = window.pressed; window.pressed = undefined; }")
    page.page.locator(".pb-box").first.fill("1")
    page.page.keyboard.press("Enter")
    playwright_api.expect(page.page.locator(".pb-check")).to_have_text("Marking …")
    playwright_api.expect(page.page.locator(".pb-trouble")).to_contain_text("No verdict has come yet", timeout=9_000)
    playwright_api.expect(page.page.locator(".pb-check")).to_have_text("Check")
    assert page.page.locator(".pb-box").first.input_value() == "1"
    page.page.evaluate("() => { window.pressed = window.kept; }")
    page.page.keyboard.press("Enter")
    page.page.locator(".pb-verdict").wait_for()
    assert page.page.locator(".pb-trouble").inner_text() == ""


def test_a_hostile_text_stays_text(page: Page) -> None:
    """Labels, options, titles and messages bring no tag that acts, whatever they say."""
    nasty = '<img src=x onerror="window.ran = true"><script>window.ran = true</script><b>x</b>'
    form = Form(questions()[Kind.STOP_OR_GO], WORDS)
    view = json.loads(json.dumps(form.model.view))
    view["title"] = view["fields"][0]["label"] = view["fields"][0]["options"][0] = nasty
    form.model.view = view
    verdict = {
        "tone": "wrong", "sign": nasty, "word": nasty, "message": nasty, "next": nasty, "note": nasty,
        "parts": [{"label": nasty, "sign": "x", "tone": "wrong", "word": nasty, "message": nasty}],
    }  # fmt: skip
    form.model.verdict = verdict
    form.model.state = {**form.model.state, "checked": [], "working": nasty, "open": True}
    page.show(form)
    page.page.wait_for_timeout(300)
    assert page.page.evaluate("() => window.ran") is None
    assert page.page.locator(".pb-form [src], .pb-form script").count() == 0
    assert page.page.locator(".pb-option").first.inner_text() == nasty
    page.errors.clear()


FOCUS = """(node) => {
  const clear = (colour) => colour === 'rgba(0, 0, 0, 0)' || colour === 'transparent';
  const rgb = (colour) => colour.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const light = (colour) => {
    const linear = (v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    const [r, g, b] = rgb(colour).map((v) => linear(v / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  let ground = node.parentElement;
  while (ground && clear(getComputedStyle(ground).backgroundColor)) ground = ground.parentElement;
  const style = getComputedStyle(node);
  const [one, two] = [light(style.outlineColor), light(getComputedStyle(ground).backgroundColor)].sort((a, b) => b - a);
  return { width: parseFloat(style.outlineWidth), kind: style.outlineStyle, contrast: (one + 0.05) / (two + 0.05) };
}"""


def test_the_focus_is_seen_everywhere(page: Page) -> None:
    """At least 2 px and 3:1 against its ground (WCAG 2.2, success criteria 1.4.11 and 2.4.13), on all that takes it."""
    for kind in (Kind.POWER, Kind.STOP_OR_GO, Kind.TRACE, Kind.ORDER):
        question = questions()[kind]
        page.show(Form(question, WORDS))
        page.by_mouse(question, dict(question.key()))
        wait_for(page, "Right.")
        page.page.locator("#before").focus()
        seen = 0
        while True:
            page.page.keyboard.press("Tab")
            active = page.page.evaluate_handle("() => document.activeElement")
            if not active.evaluate("node => node.closest('.pb-form') !== null"):
                break
            seen += 1
            found = active.evaluate(FOCUS)
            assert found["width"] >= 2, (kind, found)
            assert found["kind"] == "solid", (kind, found)
            assert found["contrast"] >= 3, (kind, found)
        assert seen == len(question.fields) + 2, kind  # one Tab stop a field, Check, the working's button


def test_it_is_readable_at_200_per_cent_and_on_a_narrow_page(page: Page) -> None:
    """At 320 pixels, which is 1280 at 400 %, nothing runs over its edge and every target is 24 by 24 (WCAG 2.2)."""
    for question in questions().values():
        if question.bench:
            continue
        page.page.set_viewport_size({"width": 320, "height": 800})
        page.show(Form(question, WORDS))
        assert fits(page), question.kind
        for target in page.page.locator(".pb-form button:visible, .pb-form label:has(input)").all():
            box = target.bounding_box()
            assert box is not None
            assert min(box["height"], box["width"]) >= 24, (question.kind, target.inner_text())
    page.page.set_viewport_size({"width": 900, "height": 1000})


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm install in tests/browser_code")
def test_axe_finds_nothing(page: Page) -> None:
    """axe-core finds nothing on any kind, unanswered, wrong and right."""
    page.page.add_script_tag(content=AXE.read_text("utf-8"))
    for question in questions().values():
        if question.bench:
            continue
        page.show(Form(question, WORDS))
        for response in (None, wrong(question), dict(question.key())):
            if response is not None:
                page.by_mouse(question, response)
                wait_for(page, "attempt")
                page.page.wait_for_timeout(200)
            found = page.page.evaluate("() => axe.run('#place').then((found) => found.violations)")
            told = [(one["id"], one["impact"], one["nodes"][0]["html"]) for one in found]
            assert told == [], question.kind
