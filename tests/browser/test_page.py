from __future__ import annotations

import shutil
import sys
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "page"))
import journals
from chromium import CHROMIUM, FLAGS
from lab_desk import serving, surroundings, workbook_files
from page_desk import AXE, LIVE, OURS, PATIENCE, ROOT, WALK, Desk, Hands, axe_findings, command, desk_on

from probebook.page.frame import version
from probebook.questions.codec import read_sheet
from probebook.questions.model import FieldKind, Kind, Question
from probebook.workbook.forms.view import from_response
from probebook.workbook.journal import read_journal

playwright_api = pytest.importorskip("playwright.sync_api")
expect = playwright_api.expect

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


def wrong_answer(question: Question) -> dict[str, Any] | None:
    """An answer that is a slip, if it can be one that is not dangerous; steps are given in the wrong order."""
    right = {field.key: field.answer for field in question.fields}
    steps = next((field for field in question.fields if field.kind is FieldKind.ORDER), None)
    if steps is not None:
        shown = from_response(steps, steps.answer)
        return {steps.key: list(steps.answer)[::-1]} if shown[::-1] != sorted(shown) else None
    slips = sorted(question.slips, key=lambda slip: slip.critical)
    return right | {slips[0].field: slips[0].response} if slips else None


#: The label of every field that says its marks, as it is read.
MARKED = """nodes => nodes.filter((node) => node.dataset.marks)
  .map((node) => (node.textContent + node.dataset.marks).replace(/\\s/g, ""))"""
#: The first cell of every numbered row, as it is read.
NUMBERED = """nodes => nodes.map((node) => (node.dataset.row + node.textContent).replace(/\\s/g, ""))"""
BOOKS = sorted(path.stem for path in (ROOT / "workbooks").glob("*.ipynb"))
SHEETS = {name: read_sheet(ROOT / "answer_keys" / f"{name}.json") for name in BOOKS}
#: A question of each kind, with the workbook it stands in; the bench has tests of its own.
OF_KIND: dict[Kind, tuple[str, Question]] = {}
for _name, _sheet in SHEETS.items():
    for _question in _sheet.questions:
        if not _question.bench and wrong_answer(_question):
            OF_KIND.setdefault(_question.kind, (_name, _question))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium."""
    with playwright_api.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, dict[str, str]]:
    """A short workbook as it is built now: its name, and its files by path."""
    return workbook_files(tmp_path_factory.mktemp("plan"))


@pytest.fixture(scope="module")
def desk(short: tuple[str, dict[str, str]], browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """All workbooks, and a short one as it is built now, as ``probebook open`` serves them."""
    root = tmp_path_factory.mktemp("desk")
    for name in ("workbooks", "answer_keys"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("*.answers.jsonl"))
    lay_out(root, short)
    with desk_on(root / "workbooks", tmp_path_factory.mktemp("home"), browser, 18870) as desk:
        yield desk


def lay_out(root: Path, short: tuple[str, dict[str, str]]) -> None:
    """Write the short workbook and its key."""
    for name, text in short[1].items():
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")


# ---------------------------------------------------------------- opening


def test_every_workbook_opens(desk: Desk) -> None:
    """Text, headings, drawings and all forms of the fifteen are there, with no error and no request off the machine."""
    assert len(BOOKS) == 15
    for name in BOOKS:
        sheet = SHEETS[name]
        page = desk.open(name)
        expect(page.locator("[data-place] .pb-form")).to_have_count(len(sheet.questions), timeout=40_000)
        benches = sum(bool(question.bench) for question in sheet.questions)
        expect(page.locator("[data-place] .pb-bench")).to_have_count(benches)
        assert [node.get_attribute("data-place") for node in page.locator(".pb-ask").all()] == [
            question.id for question in sheet.questions
        ], name
        assert page.locator(".pb-listed").count() == len(sheet.questions), name
        levels = page.eval_on_selector_all("h1, h2, h3, h4", "nodes => nodes.map((node) => Number(node.tagName[1]))")
        assert levels[0] == 1, name
        assert levels.count(1) == 1, name
        assert all(after <= before + 1 for before, after in pairwise(levels)), (name, levels)
        broken = "nodes => nodes.filter((node) => node.src && node.complete && !node.naturalWidth).length"
        assert page.eval_on_selector_all("img", broken) == 0, name
        shown = page.locator("body").inner_text()
        for word in ("book.ask", "Kernel", "open_workbook", "data:image"):
            assert word not in shown, (name, word)
        desk.rest(page)
    assert desk.troubles == []
    hosts = {urlsplit(url).netloc for url in desk.requests if not url.startswith("data:")}
    assert hosts == {urlsplit(desk.root).netloc}


def test_a_large_workbook_is_a_small_page(desk: Desk) -> None:
    """A workbook of 39 questions and two benches, walked through, holds few elements, and every form is in it.

    The figure is one of our own, never to be raised: the same workbook as a tree of widgets made 53,000.
    """
    name = "10-fault-finding-conventional"
    page = desk.open(name)
    page.evaluate(WALK)
    expect(page.locator("[data-place] .pb-form")).to_have_count(len(SHEETS[name].questions))
    page.wait_for_timeout(1500)
    page.wait_for_function(f"({OURS})() <= 4000", timeout=20_000)  # what is far out of view is let go of in a while
    desk.rest(page)


def test_what_the_style_sheet_draws_is_read_aloud(desk: Desk) -> None:
    """Numbers of readings, marks of fields and signs of the contents are in the tree that screen readers are given.

    The name of a cell, a group or a box holds them: who goes from cell to cell or from field to field hears them.
    """
    page = desk.open("10-fault-finding-conventional")
    page.evaluate(WALK)
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    by_id = {node["nodeId"]: node for node in tree}

    def role(node: dict[str, Any]) -> str:
        return str(node.get("role", {}).get("value"))

    def names(*roles: str) -> list[str]:
        return [node["name"]["value"] for node in tree if role(node) in roles]

    def first(row: dict[str, Any]) -> str:
        cells = [by_id[key] for key in row["childIds"] if key in by_id and not by_id[key]["ignored"]]
        assert role(cells[0]) in {"cell", "columnheader", "rowheader"}, "a row begins with what is in no cell"
        return "".join(cells[0]["name"]["value"].split())

    drawn = page.locator(".pb-numbered [data-row]").evaluate_all(NUMBERED)
    assert len(drawn) == page.locator(".pb-numbered tr").count() > 0
    assert Counter(drawn) <= Counter(first(node) for node in tree if role(node) == "row")
    marked = page.locator(".pb-label").evaluate_all(MARKED)
    heard = {"".join(name.split()) for name in names("group", "radiogroup", "textbox")}
    assert marked
    assert set(marked) <= heard
    assert any(name.endswith(", not answered yet") for name in names("link"))
    desk.rest(page)


@pytest.mark.parametrize("width", [320, 1280])
def test_every_reading_is_in_view_at_any_width(desk: Desk, width: int) -> None:
    """On a telephone no table of readings is moved to see what the meter showed, and a row still has all its cells."""
    page = desk.open("10-fault-finding-conventional", viewport={"width": width, "height": 800})
    frames = page.locator(".pb-wide:has(> .pb-numbered)")
    assert frames.evaluate_all("nodes => nodes.filter((node) => node.scrollWidth > node.clientWidth).length") == 0
    shown = page.locator(".pb-numbered tbody td:last-child")
    sides = shown.evaluate_all("nodes => nodes.map((node) => node.getBoundingClientRect().right)")
    assert len(sides) == page.locator(".pb-numbered tbody tr").count() > 0
    assert max(sides) <= width >= page.evaluate("() => document.documentElement.scrollWidth")
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    by_id = {node["nodeId"]: node for node in tree if not node["ignored"]}
    rows = [
        [by_id[key] for key in node["childIds"] if key in by_id]
        for node in by_id.values()
        if node["role"]["value"] == "row"
    ]
    heads = [row for row in rows if row[-1]["name"]["value"] == "the meter shows"]
    assert len(heads) == frames.count() > 0
    assert {cell["role"]["value"] for row in heads for cell in row} == {"columnheader"}
    readings = Counter(text.strip() for text in shown.all_inner_texts())
    told = [row for row in rows if len(row) == len(heads[0]) and row[0]["role"]["value"] == "cell"]
    assert readings <= Counter(row[-1]["name"]["value"].strip() for row in told)
    desk.rest(page)


def test_the_text_stands_there_without_a_script_and_without_a_kernel(desk: Desk) -> None:
    """With scripts off, everything there is to read is in the page, and no kernel is started for it."""
    before = len(desk.kernels())
    page = desk.open("10-fault-finding-conventional", live=False, java_script_enabled=False)
    assert page.get_by_role("heading", level=1).inner_text() == "Fault-finding: conventional"
    assert page.locator("h3", has_text="Question 39").count() == 1
    assert page.locator("main img").count() > 10
    assert len(desk.kernels()) == before
    page.context.close()


def test_the_token_is_asked_for_and_leaves_the_address(desk: Desk) -> None:
    """Without the token nothing of ours is shown; with it the address that stays in view does not hold it."""
    page = desk.page()
    for path in ("/probebook/", "/probebook/workbook/03-ohms-and-watts", "/probebook/record.json"):
        answer = page.request.get(desk.root + path, max_redirects=0)
        assert answer.status in (302, 403), path
        assert "Ohms" not in answer.text(), path
    # What everybody has who has the package is given to whoever asks on this machine, and nothing else.
    files = {
        "page/static/page.css": 200,
        "page/handlers.py": 404,
        "page/static/../handlers.py": 404,
        "page/static": 404,
    }
    for path, status in files.items():
        answer = page.request.get(f"{desk.root}/probebook/static/{version()}/{path}", max_redirects=0)
        assert answer.status == status, path
        assert status == 404 or answer.headers["cross-origin-resource-policy"] == "same-origin"
    answer = page.request.get(f"{desk.root}/probebook/static/{'0' * len(version())}/page/static/page.css")
    assert answer.status == 404
    page.context.close()
    page = desk.open("03-ohms-and-watts")
    assert "token" not in page.url
    # Whoever has no cookie for it cannot have a kernel started from another page.
    answer = page.request.post(f"{desk.root}/probebook/workbook/03-ohms-and-watts/kernel")
    assert answer.status == 403
    desk.rest(page)


def test_nothing_of_anybody_elses_runs_in_a_page(desk: Desk) -> None:
    """The page forbids every script, style, frame and address but the server's own, and holds no script itself."""
    page = desk.open("03-ohms-and-watts")
    answer = page.request.get(page.url)
    rules = dict(
        rule.split(" ", 1) for rule in answer.headers["content-security-policy"].split("; ")
    )  # https://www.w3.org/TR/CSP3/
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == rules["connect-src"] == "'self'"
    assert "unsafe-inline" not in rules["style-src"]
    assert rules["frame-ancestors"] == rules["base-uri"] == "'none'"
    assert page.locator("[style], [onclick], [onerror], style").count() == 0
    scripts = page.eval_on_selector_all("script", "nodes => nodes.map((node) => [node.type, node.src !== ''])")
    assert sorted(scripts) == [["application/json", False], ["module", True]]
    desk.rest(page)


def test_a_notebook_with_other_code_is_not_shown(desk: Desk) -> None:
    """Instead of the page of a notebook that was altered there is one sentence, and no kernel is started."""
    text = (desk.folder / "03-ohms-and-watts.ipynb").read_text("utf-8").replace('book.ask(\\"q05\\")', "print(5)")
    (desk.folder / "altered.ipynb").write_text(text.replace("03-ohms-and-watts", "altered"), encoding="utf-8")
    shutil.copy(
        desk.folder.parent / "answer_keys" / "03-ohms-and-watts.json", desk.folder.parent / "answer_keys/altered.json"
    )
    try:
        page = desk.open("altered", live=False)
        expect(page.locator("main")).to_contain_text("code that is not ours")
        assert page.locator("script").count() == 0
        answer = page.request.get(f"{desk.root}/probebook/workbook/..%2F..%2Fetc", params={"token": desk.token})
        assert answer.status == 404
        page.context.close()
    finally:
        (desk.folder / "altered.ipynb").unlink()
    desk.troubles.clear()


# ---------------------------------------------------------------- answering


@pytest.mark.parametrize("kind", sorted(set(OF_KIND), key=str), ids=str)
def test_every_kind_is_answered(desk: Desk, kind: Kind) -> None:
    """Wrong by keys and then right by mouse, a question of each kind gets its slip and its full marks."""
    name, question = OF_KIND[kind]
    page = desk.open(name)
    hands = Hands(page, question, SHEETS[name])
    right = {field.key: field.answer for field in question.fields}
    hands.by_keys(question, wrong_answer(question) or {})
    expect(hands.page.locator(".pb-verdict")).to_be_visible(timeout=15_000)
    assert "Right." not in hands.page.locator(".pb-verdict .pb-word").inner_text()
    hands.by_mouse(question, right)
    assert "Right." in hands.verdict("right")
    line = page.locator(f'.pb-listed[data-question="{question.id}"]')
    expect(line).to_have_attribute("data-state", "right")
    history = read_journal(desk.folder / f"{name}.answers.jsonl", origin=name)
    assert [str(entry.standing) for entry in history.of(question.id)][-1] == "right"
    assert len(history.of(question.id)) == 2
    assert desk.troubles == []
    page.context.close()


def test_all_kinds_but_the_bench_were_answered() -> None:
    """The test above leaves out no kind of question but the bench."""
    assert set(OF_KIND) == set(Kind) - {Kind.BENCH}


def test_progress_and_contents_follow(desk: Desk) -> None:
    """The bar, the contents, the table and the way to go on say at once what a right answer has changed."""
    page = desk.open("05-parallel-paths")
    sheet = SHEETS["05-parallel-paths"]
    out_of = sum(question.marks for question in sheet.questions)
    expect(page.locator("#pb-stand")).to_have_text(f"0 of {len(sheet.questions)} answered, 0 of {out_of:g} marks")
    question = sheet.questions[0]
    Hands(page, question, sheet).by_mouse(question, {field.key: field.answer for field in question.fields})
    expect(page.locator("#pb-stand")).to_have_text(
        f"1 of {len(sheet.questions)} answered, {question.marks:g} of {out_of:g} marks"
    )
    assert page.locator("#pb-done").evaluate("node => node.value") == 1
    expect(page.locator("#pb-go-on")).to_have_text("Go on at question 2")
    expect(page.locator('[data-place="progress"]')).to_contain_text(f"1 of {len(sheet.questions)}")
    # Contents lead there, and the bar does not cover what they lead to.
    page.locator("#pb-go-on").click()
    top = page.locator("#q02").evaluate("node => node.getBoundingClientRect().top")
    assert page.locator(".pb-bar").evaluate("node => node.getBoundingClientRect().bottom") <= top < 400
    page.reload()
    expect(page.locator(".pb-verdict").first).to_contain_text("attempt 1", timeout=PATIENCE)
    expect(page.locator("#pb-go-on")).to_have_text("Go on at question 2")
    desk.rest(page)


def test_practice_makes_questions_and_brings_them_back(desk: Desk, short: tuple[str, dict[str, str]]) -> None:
    """Fresh practice is asked for, answered and counted; a draft in it stands there again after a kernel was killed."""
    page = desk.open(short[0])
    page.locator(".pb-suits").click()
    form = page.locator('[data-place="practice"] .pb-form')
    form.wait_for(timeout=PATIENCE)
    expect(page.locator(".pb-practice")).to_contain_text("Practice 1")
    page.locator(".pb-suits").click()
    expect(page.locator(".pb-practice")).to_contain_text("Practice 2", timeout=PATIENCE)
    expect(page.locator(".pb-suits")).to_have_attribute("aria-disabled", "false")
    form.locator("input").first.wait_for()
    box = form.locator("input").first
    is_typed = box.get_attribute("type") == "text"
    if is_typed:
        box.fill("77 W")
    else:
        box.check()
    page.wait_for_timeout(500)
    for kernel in desk.kernels():
        kernel.kill()
    page.wait_for_selector('#pb-trouble[data-kind="restarted"]', timeout=30_000)
    page.wait_for_selector('#pb-trouble[data-kind="back"]', timeout=30_000)
    expect(page.locator(".pb-practice")).to_contain_text("Practice 2", timeout=PATIENCE)
    assert box.input_value() == "77 W" if is_typed else box.is_checked()
    for group in form.locator("fieldset").all():
        group.locator("input").last.check()
    form.locator(".pb-check").click()
    form.locator(".pb-verdict").wait_for(timeout=15_000)
    expect(page.locator('[data-place="known"] summary')).to_be_visible()
    history = read_journal(desk.folder / f"{short[0]}.answers.jsonl", origin=short[0])
    assert history.entries[-1].question == "practice-2"
    desk.rest(page)


# ---------------------------------------------------------------- whatever stops


def test_a_killed_kernel_costs_nothing(desk: Desk, short: tuple[str, dict[str, str]]) -> None:
    """Drafts stay, an answer pressed while nobody marks is marked later and once, and the page says what happened."""
    page = desk.open(short[0])
    first, second, third = (page.locator(f'[data-place="q0{n}"] .pb-form') for n in (1, 2, 3))
    first.locator("input").fill("1 ohm")
    first.locator(".pb-check").click()
    first.locator(".pb-verdict").wait_for()
    second.locator("input").fill("38")
    page.wait_for_timeout(500)
    for kernel in desk.kernels():
        kernel.kill()
    third.locator("input").fill("9 A")
    third.locator(".pb-check").click()
    expect(page.locator("#pb-trouble")).to_contain_text("had stopped and is being started again", timeout=30_000)
    third.locator(".pb-verdict").wait_for(timeout=PATIENCE)
    expect(page.locator("#pb-trouble")).to_contain_text("All is well again")
    expect(second.locator("input")).to_have_value("38")
    expect(first.locator(".pb-verdict")).to_be_visible()
    history = read_journal(desk.folder / f"{short[0]}.answers.jsonl", origin=short[0])
    assert [entry.question for entry in history.entries if entry.question in ("q01", "q03")] == ["q01", "q03"]
    page.reload()
    page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
    expect(second.locator("input")).to_have_value("38")
    assert desk.troubles == []
    desk.rest(page)


def test_two_windows_follow_each_other(desk: Desk) -> None:
    """What is typed and checked in one window stands in the other, and counts once."""
    page = desk.open("04-reading-the-wiring")
    other = page.context.new_page()
    other.goto(page.url)
    other.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
    sheet = SHEETS["04-reading-the-wiring"]
    question = sheet.questions[0]
    Hands(page, question, sheet).by_mouse(question, {field.key: field.answer for field in question.fields})
    expect(other.locator('[data-place="q01"] .pb-verdict')).to_contain_text("attempt 1", timeout=15_000)
    expect(other.locator("#pb-stand")).to_contain_text("1 of")
    other.locator('[data-place="q01"] .pb-check').click()
    expect(other.locator('[data-place="q01"] .pb-verdict')).to_contain_text("The same answer as before")
    other.close()
    desk.rest(page)


def test_a_server_that_stops_costs_nothing(short: tuple[str, dict[str, str]], browser: Any, tmp_path: Path) -> None:
    """The page says that Probebook has stopped; started again, the new page holds all that was typed in the old one."""
    lay_out(tmp_path, short)
    folder, home = tmp_path / "workbooks", tmp_path / "home"
    home.mkdir()
    with desk_on(folder, home, browser, 18880, short[0]) as desk:
        page = desk.page()
        page.goto(desk.address)
        page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        page.locator('[data-place="q01"] input').fill("31 ohm")
        page.wait_for_timeout(500)
    page.locator('[data-place="q02"] input').fill("870 W")
    expect(page.locator("#pb-trouble")).to_contain_text("has stopped", timeout=30_000)
    page.wait_for_timeout(500)
    with serving(command(folder, 18880, short[0]), surroundings(home), home / "log") as (_, address):
        fresh = page.context.new_page()
        fresh.goto(address)
        fresh.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        expect(fresh.locator('[data-place="q01"] input')).to_have_value("31 ohm")
        expect(fresh.locator('[data-place="q02"] input')).to_have_value("870 W")
        # The old page goes on too, in the same browser.
        expect(page.locator("#pb-trouble")).to_contain_text("All is well again", timeout=30_000)
        fresh.locator('[data-place="q02"] .pb-check').click()
        fresh.locator('[data-place="q02"] .pb-verdict').wait_for()
    page.context.close()
    assert [entry.question for entry in read_journal(folder / f"{short[0]}.answers.jsonl").entries] == ["q02"]


def test_a_missing_key_is_said(short: tuple[str, dict[str, str]], desk: Desk) -> None:
    """A workbook whose key is gone shows one sentence that says where to put it."""
    key = desk.folder.parent / "answer_keys" / f"{short[0]}.json"
    text = key.read_text("utf-8")
    key.unlink()
    try:
        page = desk.open(short[0], live=False)
        expect(page.locator("main")).to_contain_text(f"there is no answer key {short[0]}.json", ignore_case=True)
        page.context.close()
    finally:
        key.write_text(text, encoding="utf-8")
    desk.troubles.clear()


# ---------------------------------------------------------------- looks


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core from tests/browser_code")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_stands_in_anybodys_way(desk: Desk, scheme: str) -> None:
    """axe-core finds nothing serious or critical on a page, answered, narrow and wide, light and dark."""
    page = desk.open("03-ohms-and-watts", color_scheme=scheme)
    form = page.locator('[data-place="q04"] .pb-form')
    form.locator("input").fill("3")
    form.locator(".pb-check").click()
    form.locator(".pb-verdict").wait_for()
    assert axe_findings(page) == []
    page.set_viewport_size({"width": 375, "height": 700})
    page.locator("#pb-open-contents").click()
    assert axe_findings(page) == []
    desk.rest(page)


@pytest.mark.parametrize("size", [(375, 700, 1), (640, 450, 2)], ids=["375 px", "200 %"])
def test_it_fits(desk: Desk, size: tuple[int, int, int]) -> None:
    """On a telephone and at 200 % nothing is wider than the window; contents open and close by keys, focus in view."""
    width, height, scale = size
    viewport = {"width": width, "height": height}
    page = desk.open("10-fault-finding-conventional", viewport=viewport, device_scale_factor=scale)
    page.locator(".pb-form").nth(38).wait_for()
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    page.locator('[data-place="q20"]').scroll_into_view_if_needed()
    expect(page.locator("#pb-stand")).to_be_in_viewport()
    page.keyboard.press("Tab")
    expect(page.locator(".pb-skip")).to_be_focused()
    expect(page.locator(".pb-skip")).to_be_in_viewport()
    opener = page.locator("#pb-open-contents")
    opener.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#pb-contents")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#pb-contents")).to_be_hidden()
    expect(opener).to_be_focused()
    assert opener.evaluate("node => getComputedStyle(node).outlineWidth") == "3px"
    desk.rest(page)


# ---------------------------------------------------------------- the start page


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core from tests/browser_code")
def test_the_start_page_tells_what_the_journals_say(browser: Any, tmp_path: Path) -> None:
    """Safety slips first, figures as in the journals, ways that lead there, a record to keep; no kernel is started."""
    folder = journals.lay_out(tmp_path)
    _, two = journals.lesson(folder)
    home = tmp_path / "home"
    home.mkdir()
    with desk_on(folder, home, browser, 18860) as desk:
        page = desk.page(color_scheme="dark")
        page.goto(desk.address)
        assert urlsplit(page.url).path == "/probebook/"
        headings = page.locator("h2").all_inner_texts()
        assert "Safety first" in headings[0]
        assert [text for text in page.locator("#dangers li").all_inner_texts() if two.title in text]
        assert page.locator('#dangers li[data-mended="true"]').count() == 1
        stands = page.locator(".pb-workbook .pb-stand").all_inner_texts()
        assert [text.strip().split(",")[0] for text in stands] == ["2 of 24 answered", "4 of 24 answered"]
        assert axe_findings(page) == []
        page.set_viewport_size({"width": 375, "height": 700})
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 375
        for kind in ("html", "json"):
            with page.expect_download() as download:
                page.locator(f'a[href$="record.{kind}"]').click()
            kept = tmp_path / f"kept.{kind}"
            download.value.save_as(kept)
            assert "2026-11-17T10:00:00Z" in kept.read_text("utf-8")
        assert desk.kernels() == []
        page.locator("#next a").first.click()
        page.wait_for_selector(LIVE, state="attached", timeout=PATIENCE)
        assert urlsplit(page.url).fragment == "q06"
        expect(page.locator("#q06")).to_be_in_viewport()
        page.locator(".pb-home").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Your workbooks")
        assert [text for text in desk.troubles if "download" not in text] == []
        page.context.close()
