"""Our own pages, practice and assessment in the pseudo-language: every word that people read bears a mark.

Population: the start page and the record of practice with right and dangerous answers, the page of each workbook, a
question of practice asked and answered, papers as notebooks and as told to their pages, the hand-in sheet, feedback,
report, and the three printed documents of a paper.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from test_nothing_unmarked import LIBRARY, SCENARIOS, bare, shown_texts

from probebook.api import assessing, reporting
from probebook.assessment.model import Learner
from probebook.assessment.sitting import open_paper
from probebook.page.books import Books
from probebook.page.frame import Frame
from probebook.page.start.collecting import Collector
from probebook.page.start.record import record_html
from probebook.page.start.start_page import start_page
from probebook.page.workbook_page import workbook_page
from probebook.publish.booklet import booklets_of_set
from probebook.publish.paper import answer_sheet, mark_scheme, question_paper
from probebook.questions.codec import read_sheet
from probebook.questions.model import Question, Standing
from probebook.scenario_folder import ENVIRONMENT
from probebook.words.pseudo import PSEUDO
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plans
from probebook.workbook.forms.view import from_response
from probebook.workbook.journal import append_answer
from probebook.workbook.player import open_workbook

pytestmark = pytest.mark.slow

#: One that apprentices are given, one of questions that are answered with numbers.
BOOKS = ("before-you-touch-it", "ohms-and-watts")
FRAME = Frame("/", PSEUDO)
PASSPHRASE = "a passphrase for tests"
BLUEPRINT = "element-testing"
#: Names that nobody translates: of learners, of the project, of a typeface, and of the rows of a blueprint, which its
#: tutor gives for himself and which the report repeats.
NAMES = frozenset({"Ada", "Bo", "Probebook", "DejaVu", "Sans", "Mono"}).union(
    *(row.id.split("-") for row in assessing.read_blueprint(BLUEPRINT, LIBRARY).rows)
)


class Seen(HTMLParser):
    """What is seen or read aloud of a page: texts, and the attributes that hold some."""

    ATTRIBUTES = ("alt", "title", "aria-label", "placeholder", "summary", "label")

    def __init__(self, html: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self._hidden = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what attributes say; text in styles and scripts is not seen."""
        self._hidden += tag in ("style", "script")
        self.texts += [value for name, value in attrs if name in self.ATTRIBUTES and value]

    def handle_endtag(self, tag: str) -> None:
        """Come out of a style or script."""
        self._hidden -= tag in ("style", "script")

    def handle_data(self, data: str) -> None:
        """Keep a text."""
        if not self._hidden:
            self.texts.append(data)


def seen(html: str) -> str:
    """What is read of a page."""
    return "\n".join(Seen(html).texts)


#: A receipt code may happen to hold letters alone.
RECEIPT = re.compile(r"\b[0-9A-F]{5}(-[0-9A-F]{5}){2}\b")


def unseen_words(texts: Iterator[tuple[str, str]] | list[tuple[str, str]]) -> dict[str, list[str]]:
    """Words without a mark by place, names left out."""
    texts = [(where, RECEIPT.sub("", text)) for where, text in texts]
    assert texts
    assert all("¤" in text for _, text in texts if re.search(r"[^\W\d_]{4}", text))
    found = bare(iter(texts))
    return {w: rest for w, words in found.items() if (rest := [word for word in words if word not in NAMES])}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two workbooks of the pseudo-language with a journal: right answers, slips, dangers, rubbish."""
    root = tmp_path_factory.mktemp("pseudo")
    plans = [plan for plan in load_plans(SCENARIOS, LIBRARY.words) if plan.id in BOOKS]
    for name, text in build_all(plans, LIBRARY).items():
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    for key in sorted((root / "answer_keys").glob("*.json")):
        for number, question in enumerate(read_sheet(key).questions[:12]):
            _answer(root / "workbooks" / f"{key.stem}.answers.jsonl", question, number, key.stem)
    return root / "workbooks"


def _answer(journal: Path, question: Question, number: int, origin: str) -> None:
    slip = next((s for s in question.slips if s.critical), next(iter(question.slips), None))
    response: dict[str, Any] = dict(question.key())
    standing, marks = Standing.RIGHT, question.marks
    if slip is not None and number % 3:
        response[slip.field] = slip.response
        standing, marks = Standing.SLIP, 0.0
    append_answer(
        journal,
        question=question.id,
        response=response,
        standing=standing,
        marks=marks,
        time=f"2026-11-{number + 2:02d}T10:00:00Z",
        origin=origin,
    )


def test_the_start_page_and_the_record_pass_through_the_words(folder: Path) -> None:
    """With dangers, slips, weeks and outcomes to tell, and with nothing to tell."""
    found = Collector(Books(folder)).collect()
    learner = found.learner
    assert learner.dangers
    assert learner.slips
    pages = [
        ("start", seen(start_page(learner, FRAME, found.words, found.left_out, [("x", "¤Paper¤")]))),
        ("record", seen(record_html(learner, "2026-11-27T10:00:00Z", found.words, found.language))),
    ]
    assert unseen_words(pages) == {}


def test_an_empty_start_page_passes_through_the_words(tmp_path: Path, folder: Path) -> None:
    """Before the first answer."""
    for path in folder.parent.rglob("*"):
        if path.suffix in (".ipynb", ".json") and "answers" not in path.name:
            target = tmp_path / path.relative_to(folder.parent)
            target.parent.mkdir(exist_ok=True)
            target.write_bytes(path.read_bytes())
    found = Collector(Books(tmp_path / "workbooks")).collect()
    assert unseen_words([("start", seen(start_page(found.learner, FRAME, found.words)))]) == {}


def test_the_page_of_a_workbook_passes_through_the_words(folder: Path) -> None:
    """What stands on it, and what its script is told to show."""
    books = Books(folder)

    def texts() -> Iterator[tuple[str, str]]:
        for name in books.names():
            html = workbook_page(books.book(name), FRAME)
            yield f"{name}/page", seen(html)
            (told,) = re.findall(r'id="pb-told">(.*?)</script>', html, re.DOTALL)
            data = json.loads(told)
            for key in ("words", "forms"):
                yield f"{name}/{key}", seen("\n".join(shown_texts(data[key])))

    assert unseen_words(texts()) == {}


def test_practice_passes_through_the_words(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The cell before a question is asked, one that suits, one answered wrongly and one rightly."""
    monkeypatch.setattr("probebook.workbook.player._display", lambda _: None)
    monkeypatch.setenv(ENVIRONMENT, str(SCENARIOS))
    monkeypatch.setattr("probebook.cases.library.library", lambda *_: LIBRARY)
    book = open_workbook("03-ohms-and-watts", folder=folder)
    book.practice()
    practice = book._practice
    assert practice is not None
    held = [("begun", dict(practice.model.state))]
    practice.press("suits")
    form = practice.form
    assert form is not None
    held.append(("asked", {"page": practice.model.state, "view": form.model.view}))
    for name, response in (("nothing", {}), ("right", form.question.key())):
        form.set(response)
        form.check()
        held.append((name, {"page": practice.model.state, "verdict": form.model.verdict, "state": form.model.state}))
    texts = [(name, seen(unescape("\n".join(shown_texts(state))))) for name, state in held]
    assert unseen_words(texts) == {}


@pytest.fixture(scope="module")
def sat(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class of two that has sat: one right throughout, one with a slip in every item; marked and reported."""
    root = tmp_path_factory.mktemp("class")
    learners = (Learner("l1", "Ada", language=PSEUDO), Learner("l2", "Bo", language=PSEUDO, large_print=True))
    papers = assessing.set_class(BLUEPRINT, learners, root, PASSPHRASE, LIBRARY, secret="5e" * 32).papers
    (root / "in").mkdir()
    for number, paper in enumerate(papers.papers):
        name = papers.blueprint.paper_name(paper.learner)
        opened = open_paper(name, folder=root / "papers")
        for item in paper.items:
            response: dict[str, Any] = dict(item.question.key())
            if number and item.question.slips:
                response[item.question.slips[0].field] = item.question.slips[0].response
            sent = [from_response(field, response.get(field.key)) for field in item.question.fields]
            opened.forms[item.id].model.write(sent)
        opened.submit()
        hand_in = root / "papers" / f"{name}.handin.json"
        (root / "in" / hand_in.name).write_bytes(hand_in.read_bytes())
    assessing.mark_folder(root / "in", papers, root / "marks", LIBRARY)
    reporting.report_class(root / "marks", LIBRARY)
    return root


def test_papers_pass_through_the_words(sat: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The cells of a paper, and what its forms, its head, its review and its hand-in are told."""
    monkeypatch.setattr("probebook.assessment.sitting.paper._display", lambda _: None)

    def texts() -> Iterator[tuple[str, str]]:
        for path in sorted((sat / "papers").glob("*.ipynb")):
            for cell in json.loads(path.read_text("utf-8"))["cells"]:
                if cell["cell_type"] == "markdown":
                    yield f"{path.stem}/{cell['id']}", re.sub(r"\(data:[^)]*\)", "", "".join(cell["source"]))
            opened = open_paper(path.stem, folder=sat / "papers")
            for name, form in opened.forms.items():
                held = [form.model.view, form.model.state, form.model.verdict]
                yield f"{path.stem}/{name}", seen(unescape("\n".join(shown_texts(held))))
            for show in (opened.show_head, opened.review, opened.hand_in):
                show()
            for sheet in opened._sheets:
                yield f"{path.stem}/{sheet.part}", "\n".join([*shown_texts([sheet.view, sheet.state]), sheet.reads()])

    assert unseen_words(texts()) == {}


def test_feedback_and_report_pass_through_the_words(sat: Path) -> None:
    """Every page that marking and reporting write."""
    pages = sorted((sat / "marks").rglob("*.html"))
    assert len(pages) >= 3
    assert unseen_words([(path.name, seen(path.read_text("utf-8"))) for path in pages]) == {}


def test_print_passes_through_the_words(sat: Path) -> None:
    """Question paper, answer sheet and mark scheme, as they are handed to the typesetter: the texts in its strings."""
    key = next(sat.glob("*.key"))
    booklet = booklets_of_set(assessing.open_key(key, PASSPHRASE))[0]
    words = LIBRARY.words
    sources = {
        "paper": question_paper(booklet, words),
        "answers": answer_sheet(booklet, words),
        "scheme": mark_scheme(booklet, words, LIBRARY.slips),
    }
    texts = [(name, "\n".join(_strings(source))) for name, source in sources.items()]
    assert unseen_words(texts) == {}


def _strings(source: str) -> Iterator[str]:
    """What stands in quotation marks in a source of the typesetter, drawings left out."""
    for text in re.findall(r'"((?:[^"\\]|\\.)*)"', source):
        if "<svg" not in text and not re.fullmatch(r"[\w./-]*", text):
            yield text.replace('\\"', '"').replace("\\n", "\n")
