"""Pictures of what a learner sees, for a person to look at: ``python tests/browser/screenshots.py FOLDER [WORD …]``.

Every kind of question unanswered, wrong and right; the bench by day, by night, on a telephone, stopped and concluded; a
drawing that is read; the start page; a workbook in JupyterLab. Words after the folder keep to the pictures whose names
begin so. The workbooks are those of the checkout, or of the folder that ``PROBEBOOK_BUILT`` names.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from chromium import CHROMIUM, FLAGS
from page_desk import ROOT, Desk, Hands, desk_on
from playwright.sync_api import sync_playwright

from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.model import FieldKind, Question
from probebook.workbook.forms.view import from_response

PORT = 18877
PHONE: dict[str, Any] = {"viewport": {"width": 375, "height": 800}, "has_touch": True, "is_mobile": True}
WIDE: dict[str, Any] = {"viewport": {"width": 1440, "height": 900}}
NARROW: dict[str, Any] = {"viewport": {"width": 820, "height": 1100}}
NIGHT: dict[str, Any] = WIDE | {"color_scheme": "dark"}


def main(arguments: Sequence[str]) -> None:
    """Take the pictures."""
    target, wanted = Path(arguments[0]), tuple(arguments[1:])
    target.mkdir(parents=True, exist_ok=True)
    built = Path(os.environ.get("PROBEBOOK_BUILT", ROOT))
    with tempfile.TemporaryDirectory() as home, sync_playwright() as player:
        root = Path(home)
        for name in ("workbooks", "answer_keys"):
            shutil.copytree(built / name, root / name, ignore=shutil.ignore_patterns("*.answers.jsonl"))
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        with desk_on(root / "workbooks", root, browser, PORT) as desk:
            for name, take in _pictures(desk):
                if not wanted or name.startswith(wanted):
                    print(name, flush=True)
                    take(target / f"{name}.png")
        browser.close()


def _pictures(desk: Desk) -> Iterator[tuple[str, Callable[[Path], None]]]:
    sheets = {path.stem: read_sheet(path) for path in sorted((desk.folder.parent / "answer_keys").glob("*.json"))}
    met: set[str] = set()
    for book, sheet in sheets.items():
        for question in sheet.questions:
            kind = str(question.kind)
            if question.bench or kind in met or wrong_answer(question) is None:
                continue
            met.add(kind)
            yield f"kind-{kind}", _kind(desk, book, sheet, question)
    bench = next((book, q.id) for book, sheet in sheets.items() for q in sheet.questions if q.bench)
    for name, context in (("light", WIDE), ("dark", NIGHT), ("phone", PHONE)):
        for state in ("begun", "at-work", "stop"):
            yield f"bench-{name}-{state}", _bench(desk, *bench, context, state)
    for name, context in (("light", WIDE), ("dark", NIGHT), ("narrow", NARROW), ("phone", PHONE)):
        yield f"drawing-{name}", _drawing(desk, context)
    for name, context in (("light", WIDE), ("dark", NIGHT), ("phone", PHONE)):
        yield f"start-{name}", _start(desk, context)
        yield f"page-{name}", _top(desk, context)
    yield "drawing-in-lab", _lab(desk)


def wrong_answer(question: Question) -> dict[str, Any] | None:
    """An answer that is a slip; steps are given in the wrong order."""
    right = {field.key: field.answer for field in question.fields}
    steps = next((field for field in question.fields if field.kind is FieldKind.ORDER), None)
    if steps is not None:
        shown = from_response(steps, steps.answer)
        return {steps.key: list(steps.answer)[::-1]} if shown[::-1] != sorted(shown) else None
    slips = sorted(question.slips, key=lambda slip: slip.critical)
    return right | {slips[0].field: slips[0].response} if slips else None


def _kind(desk: Desk, book: str, sheet: Sheet, question: Question) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.open(book, **WIDE)
        hands = Hands(page, question, sheet)
        right = {field.key: field.answer for field in question.fields}
        for state, given in (("open", None), ("wrong", wrong_answer(question)), ("right", right)):
            if given is not None:
                hands.by_mouse(question, given)
                page.locator(f'[data-place="{question.id}"] .pb-verdict:not(.pb-aged)').wait_for()
                page.wait_for_timeout(400)
            clip = _clip(page, question.id)
            page.screenshot(path=str(path.with_stem(f"{path.stem}-{state}")), full_page=True, clip=clip)
        page.context.close()

    return take


def _clip(page: Any, question: str) -> dict[str, float]:
    """From the heading of a question to the end of its form."""
    found: dict[str, float] = page.evaluate(
        """id => {
          const top = document.getElementById(id).getBoundingClientRect().top + scrollY;
          const end = document.querySelector(`[data-place="${id}"]`).getBoundingClientRect().bottom + scrollY;
          const main = document.querySelector("main").getBoundingClientRect();
          return { x: main.left, y: top - 60, width: main.width, height: Math.min(end - top + 70, 2600) };
        }""",
        question,
    )
    return found


def _bench(desk: Desk, book: str, question: str, context: dict[str, Any], state: str) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.open(book, **context)
        place = page.locator(f'[data-place="{question}"]')
        place.locator(".pb-bench").wait_for()
        if state == "at-work":
            for button in place.locator(".pb-step-button").all():
                button.click()
                page.wait_for_timeout(250)
            place.locator(".cover:not(.pb-off) .panel .touch").first.click()
            page.wait_for_timeout(300)
            place.locator(".pb-dial button").first.click()
            page.wait_for_timeout(300)
            for number in (0, 1):
                terminal = place.locator(".pb-svg .terminal:not([aria-hidden])").nth(number)
                terminal.locator(".touch").click()
                page.wait_for_timeout(400)
        elif state == "stop":
            place.locator(".cover:not(.pb-off) .panel .touch").first.click()
            place.locator(".pb-banner.pb-stop").wait_for()
        page.wait_for_timeout(300)
        place.locator(".pb-bench").evaluate("node => node.scrollIntoView({ block: 'start' })")
        page.evaluate("() => scrollBy(0, -90)")
        page.screenshot(path=str(path))
        place.locator(".pb-bench").screenshot(path=str(path.with_stem(f"{path.stem}-whole")))
        desk.rest(page)
        for left in desk.folder.glob(f"{book}.*.json*"):
            left.unlink()

    return take


def _drawing(desk: Desk, context: dict[str, Any]) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.open("04-reading-the-wiring", **context)
        for picture in page.locator("img.pb-drawing").all():
            picture.scroll_into_view_if_needed()
            page.wait_for_timeout(60)
        reader = page.locator(".pb-reader:has(.pb-reader-path)").first
        reader.wait_for()
        reader.screenshot(path=str(path.with_stem(f"{path.stem}-as-drawn")))
        reader.locator(".pb-reader-path button").nth(1).click()
        reader.screenshot(path=str(path.with_stem(f"{path.stem}-path")))
        follow = reader.locator(".pb-reader-path .pb-row").nth(1).locator("button")
        if follow.count() > 1:
            follow.nth(1).click()
            reader.screenshot(path=str(path.with_stem(f"{path.stem}-one")))
        for _ in range(3):
            reader.get_by_role("button", name="Larger").click()
        reader.screenshot(path=str(path.with_stem(f"{path.stem}-larger")))
        page.context.close()

    return take


def _start(desk: Desk, context: dict[str, Any]) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.page(**context)
        page.goto(f"{desk.root}/probebook/?token={desk.token}")
        page.wait_for_timeout(500)
        page.screenshot(path=str(path), full_page=True)
        page.context.close()

    return take


def _top(desk: Desk, context: dict[str, Any]) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.open("03-ohms-and-watts", **context)
        page.screenshot(path=str(path))
        page.context.close()

    return take


def _lab(desk: Desk) -> Callable[[Path], None]:
    def take(path: Path) -> None:
        page = desk.page(**WIDE)
        page.goto(f"{desk.root}/doc/tree/04-reading-the-wiring.ipynb?token={desk.token}")
        page.locator(".pb-form").first.wait_for(timeout=90_000)
        page.locator(".jp-MarkdownOutput h2", has_text="Following the current").scroll_into_view_if_needed()
        page.wait_for_timeout(1500)
        buttons = page.locator(".pb-reader-path button")
        if buttons.count() > 1:
            buttons.nth(1).click()
        page.screenshot(path=str(path))
        page.context.close()

    return take


if __name__ == "__main__":
    main(sys.argv[1:])
