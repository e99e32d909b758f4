"""Printed papers: read back as text, looked through for tags, the same twice, nothing in them taken for code."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from probebook.api import load_library
from probebook.assessment.model import Blueprint, Item, Learner, Paper, PaperSet
from probebook.cases.library import Library
from probebook.cli import cli
from probebook.errors import UsageError
from probebook.publish import paper, pictures
from probebook.publish.booklet import Booklet, booklets_of_set, read_booklet
from probebook.publish.markup import block, quoted
from probebook.publish.printing import pdf, printed, sheet_template
from probebook.questions.model import Field, FieldKind, Kind, Option, Question
from progress_lines import without_progress

ROOT = Path(__file__).resolve().parents[2]
BOOKS = sorted(path.stem for path in (ROOT / "answer_keys").glob("*.json"))


@pytest.fixture(scope="module")
def library() -> Library:
    """The trade, from the scenarios of this checkout."""
    return load_library(ROOT / "scenarios")


def _text(data: bytes, tmp_path: Path) -> str:
    """What pdftotext (poppler) reads in a file, numbers of pages left out, blanks made one."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext of poppler is not installed")
    path = tmp_path / "read.pdf"
    path.write_bytes(data)
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    return " ".join(re.sub(r"\d+ / \d+\s*\f", " ", done.stdout).split())


def _question(prompt: str, text: str = "one") -> Question:
    options = (Option("b", text), Option("a", "two"))
    field = Field("choice", FieldKind.CHOICE, "Which?", 1.0, "a", options=options)
    return Question("q01", Kind.TRACE, "trace", 1, "A title", prompt, (field,), (), "Because.")


def test_every_question_stands_on_the_paper(library: Library, tmp_path: Path) -> None:
    """Title, label, each option and each word of each prompt of a workbook is read back; no key's working is."""
    booklet = read_booklet("03-ohms-and-watts", ROOT)
    files = printed(booklet, library.words, library.slips)
    text = _text(files["03-ohms-and-watts-paper.pdf"], tmp_path)
    bare = re.sub(r"\W", "", text)
    for number, item in enumerate(booklet.items, 1):
        question = item.question
        assert f"Question {number} · {question.title}" in text
        for said in (*(o.text for f in question.fields for o in f.options), *(f.label for f in question.fields)):
            assert re.sub(r"\W", "", said) in bare
        prose = [line for line in question.prompt.splitlines() if line and not line.startswith("|")]
        assert all(re.sub(r"\W", "", line) in bare for line in prose), question.id
        if "=" in question.working:
            assert re.sub(r"\W", "", question.working) not in bare


def test_the_scheme_holds_key_and_slips_and_the_paper_does_not(library: Library, tmp_path: Path) -> None:
    """Each key, its ends and each slip's advice are on the scheme; the paper holds none of the advice."""
    booklet = read_booklet("03-ohms-and-watts", ROOT)
    files = printed(booklet, library.words, library.slips)
    scheme = re.sub(r"\W", "", _text(files["03-ohms-and-watts-scheme.pdf"], tmp_path))
    sheet = re.sub(r"\W", "", _text(files["03-ohms-and-watts-paper.pdf"], tmp_path))
    for item in booklet.items:
        for field in item.question.fields:
            if field.kind is FieldKind.QUANTITY:
                assert re.sub(r"\W", "", str(field.answer)) in scheme
        for slip in item.question.slips:
            advice = re.sub(r"\W", "", slip.advice.replace("**", ""))
            assert advice in scheme
            assert advice not in sheet


@pytest.mark.slow
@pytest.mark.parametrize("name", BOOKS)
def test_every_workbook_prints_for_screen_readers(name: str, library: Library) -> None:
    """All workbooks typeset as PDF/UA-1: tagged, titled, with a language, each figure with words in its place."""
    pypdf = pytest.importorskip("pypdf")
    booklet = read_booklet(name, ROOT)
    for file, data in printed(booklet, library.words, library.slips).items():
        if not file.endswith(".pdf"):
            continue
        root = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert root["/Lang"] == "en"
        assert b"pdfuaid:part>1<" in root["/Metadata"].get_data()
        tags, figures = _tags(root["/StructTreeRoot"])
        assert {"/H1", "/H2"} <= tags
        assert all(figures)


def _tags(element: object) -> tuple[set[str], list[str]]:
    """Names of all tags, and the words in place of each figure."""
    tags: set[str] = set()
    figures: list[str] = []
    queue = [element]
    while queue:
        node = queue.pop()
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            queue.extend(node)
        elif isinstance(node, dict):
            if "/S" in node:
                tags.add(str(node["/S"]))
                if node["/S"] == "/Figure":
                    figures.append(str(node.get("/Alt", "")))
            if "/K" in node:
                queue.append(node["/K"])
    return tags, figures


def test_the_same_paper_is_the_same_bytes(library: Library) -> None:
    """Two printings of one workbook do not differ in a byte."""
    booklet = read_booklet("02-your-meter", ROOT)
    assert printed(booklet, library.words, library.slips) == printed(booklet, library.words, library.slips)


@pytest.mark.parametrize(
    "hostile",
    ['#read("/etc/passwd")', '"; panic() + "', "\\u{41} $x$ @label <tag> = head", "<b>bold</b>", "`#panic()`"],
)
def test_text_is_never_code(hostile: str, library: Library, tmp_path: Path) -> None:
    """What looks like code of the typesetter, or like HTML, is printed as it stands."""
    booklet = Booklet("mine", "Mine", (Item("row", _question(hostile, hostile)),))
    found = _text(pdf(paper.question_paper(booklet, library.words), "mine"), tmp_path)
    assert found.count(" ".join(hostile.replace("`", "").split())) == 2


def test_control_characters_do_not_stop_a_paper() -> None:
    """A text with control characters and quotes is one string of the typesetter."""
    assert quoted('a"\\\x00\x1bb\nc') == '"a\\"\\\\  b c"'


def test_an_address_of_a_picture_is_not_followed() -> None:
    """A picture that is not in the text itself is not asked for: its words stand in its place."""
    made = block("![a face](http://example.org/face.svg)", lambda _svg, _alt: "SHOWN")
    assert "SHOWN" not in made
    assert "image" not in made.replace("![", "")


def test_large_print_is_large_and_parts_are_whole(library: Library) -> None:
    """In large print a wide diagram comes whole and in parts, which cover it, with letters of 14 points or nearly."""
    booklet = read_booklet("03-ohms-and-watts", ROOT)
    svg = next(svg for item in booklet.items for _, svg in item.question.pictures)
    made = pictures.typeset(svg, pictures.told(svg), paper.LARGE_SHEET, parts=True)
    boxes = [tuple(map(float, box.split())) for box in re.findall(r'viewBox=\\"([^"\\]*)\\"', made)]
    whole, *parts = boxes
    assert len(parts) >= 2
    assert min(b[0] for b in parts) <= whole[0]
    assert max(b[0] + b[2] for b in parts) >= whole[0] + whole[2]
    assert max(b[1] + b[3] for b in parts) >= whole[1] + whole[3]
    large = paper.question_paper(replace(booklet, large=True), library.words)
    assert "size: 18.0pt" in large
    assert pdf(large, "large").startswith(b"%PDF-")


def test_drawings_fit_their_page(library: Library) -> None:
    """No drawing of any workbook is wider or higher than the page it stands on; none is stretched."""
    sheet = pictures.Sheet()
    for name in BOOKS:
        for item in read_booklet(name, ROOT).items:
            for _, svg in item.question.pictures:
                made = pictures.typeset(svg, "words", sheet)
                width = float(re.search(r"width: ([\d.]+)pt", made)[1])
                _, _, wide, high = map(float, re.search(r'viewBox="([^"]*)"', svg)[1].split())
                across, down = (sheet.broad, sheet.low) if made.startswith("page(") else (sheet.width, sheet.height)
                assert width <= across + 0.1
                assert width * high / wide <= down + 0.1


def test_letters_follow_the_place_of_an_option() -> None:
    """Options are lettered by their place on the paper, not by their id; the table names each field once."""
    question = _question("Which?")
    assert [paper.letter(question.fields[0], each) for each in ("b", "a")] == ["A", "B"]
    rows = list(csv.reader(io.StringIO(sheet_template(Booklet("mine", "Mine", (Item("row", question),))))))
    assert rows[1] == ["mine", "1", "q01", "choice", "choice", "", ""]


def test_a_case_is_printed_once_and_before_its_question(library: Library, tmp_path: Path) -> None:
    """Questions that share a case find it once before the first of them; a bench job has its form, not its readings."""
    booklet = read_booklet("10-fault-finding-conventional", ROOT)
    text = _text(pdf(paper.question_paper(booklet, library.words), "cases"), tmp_path)
    assert len(re.findall(r"Case 1 · built-in conventional oven", text)) == 1
    assert text.index("Case 1 · built-in") < text.index("Question 4 ·")
    by_case = [item for item in booklet.items if re.search(r"\babove\b", item.question.prompt)]
    assert by_case
    assert all(item.before for item in by_case)
    assert "This job is done at the bench." in text
    sheet = _text(pdf(paper.answer_sheet(booklet, library.words), "cases"), tmp_path)
    assert "Record of the readings" in sheet


def test_the_command_writes_four_files_and_names_the_benches(tmp_path: Path) -> None:
    """``print`` writes paper, answer sheet, scheme and table, and says which questions are jobs for the bench."""
    done = CliRunner().invoke(
        cli, ["print", "09-which-test-next", "--out", str(tmp_path / "out"), "--folder", str(ROOT),
              "--scenarios", str(ROOT / "scenarios")],
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    assert len(list((tmp_path / "out").iterdir())) == 4
    assert "jobs for the bench" in done.output


def test_a_workbook_that_is_not_there_is_named() -> None:
    """A name that no marking sheet has, or that leads elsewhere, is refused in a sentence."""
    for name in ("99-none", "../answer_keys/03-ohms-and-watts"):
        with pytest.raises(UsageError, match="no marking sheet"):
            read_booklet(name, ROOT)


def test_the_papers_of_a_class_are_printed_for_each_learner(library: Library, tmp_path: Path) -> None:
    """Each paper has its learner's name, the minutes with the extra time, and large print where asked for."""
    plan = Blueprint("elements", "Element testing", "Invented.", "apprentice", "gb", 60, (), (-1.0, 1.0), 0.6)
    learners = (Learner("a", "Ada Orme", 1.25, large_print=True), Learner("b", "Ben Tarn"))
    items = (Item("row", _question("Which of the two?")),)
    made = PaperSet("s", plan, tuple(Paper(f"p-{one.id}", one, items) for one in learners), "2026-11-27T00:00:00Z", "f")
    found = booklets_of_set(made)
    assert [(one.minutes, one.large) for one in found] == [(75.0, True), (60.0, False)]
    text = _text(printed(found[0], library.words, library.slips)["a-paper.pdf"], tmp_path)
    assert "Name: Ada Orme" in text
    assert "75 minutes" in text


def test_the_papers_of_a_class_are_printed_from_their_sealed_key(tmp_path: Path) -> None:
    """Each learner gets four files, with their name; a table filled in stays; without the passphrase there are none."""
    (tmp_path / "class.csv").write_text("id,name\na1,Ada Example\nb2,Ben Example\n", "utf-8")
    (tmp_path / "pass.txt").write_text("eleven quiet kettles\n", "utf-8")
    (tmp_path / "other.txt").write_text("something else\n", "utf-8")
    trade = ["--scenarios", str(ROOT / "scenarios")]
    opened = ["--passphrase-file", str(tmp_path / "pass.txt"), *trade]
    given = ["--class", str(tmp_path / "class.csv"), "--out", str(tmp_path / "set"), "--jobs", "1"]
    assert CliRunner().invoke(cli, ["set", "element-testing", *given, *opened]).exit_code == 0
    (key,) = (tmp_path / "set").glob("*.key")
    out = ["--key", str(key), "--out", str(tmp_path / "paper")]
    other = ["--passphrase-file", str(tmp_path / "other.txt"), *trade]
    assert CliRunner().invoke(cli, ["print", *out, *other]).exit_code != 0
    assert not (tmp_path / "paper").exists()
    said = CliRunner().invoke(cli, ["print", *out, *opened])
    assert said.exit_code == 0, said.output
    assert without_progress(said.output).startswith("printed 2 papers")
    assert len(list((tmp_path / "paper").iterdir())) == 8
    sheet = tmp_path / "paper" / "b2-answers.csv"
    sheet.write_bytes(sheet.read_bytes() + b"b2,1,q01,f1,quantity,W,1840\r\n")
    typed = sheet.read_bytes()
    assert CliRunner().invoke(cli, ["print", *out, *opened]).exit_code == 0
    assert sheet.read_bytes() == typed
    beside = CliRunner().invoke(
        cli, ["print", "--key", str(key), "--out", str(tmp_path / "set" / "papers"), *opened], standalone_mode=False
    )
    assert "the papers of learners lie in this folder, and what is written holds the answers" in str(beside.exception)
    assert not list((tmp_path / "set" / "papers").glob("*.pdf"))
    text = _text((tmp_path / "paper" / "b2-paper.pdf").read_bytes(), tmp_path)
    assert "Ben Example" in text
    assert "Ada Example" not in text


def test_a_question_on_paper_brings_the_drawing_that_its_text_names() -> None:
    """A drawing that a workbook shows once for several questions is printed with each of them that names it."""
    for name, asked in (("08-controls", ("q02", "q15")), ("11-fault-finding-fan-and-multifunction", ("q02", "q16"))):
        items = {item.question.id: item for item in read_booklet(name, ROOT).items}
        for question in asked:
            assert "circuit diagram" in items[question].question.prompt
            assert "data:image/svg+xml" in items[question].before
