"""Answers typed in from paper: the table that is printed, filled in, marked as the same answers in a page would be."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from classes import PASSPHRASE, Class
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from sitters import right, sit, slipped

from probebook.api import assessing
from probebook.assessment.codec import read_marks
from probebook.assessment.letters import letter_of, place_of
from probebook.assessment.marking.letters import MistypedError, response_of
from probebook.assessment.marking.sheets import read_sheets
from probebook.assessment.model import Item, Paper
from probebook.cases.library import Library
from probebook.cli import cli
from probebook.errors import UsageError
from probebook.publish.booklet import booklets_of_set
from probebook.publish.printing import sheet_template
from probebook.questions.model import Field, FieldKind, Option, Response, Standing

Rows = list[dict[str, str]]
HEADS = ("learner", "question", "item", "field", "kind", "unit", "answer")


def typed(item: Item, key: str, response: Response) -> str:
    """A response as a tutor types it from a sheet: letters for options."""
    field = item.question.field(key)
    if field.kind is FieldKind.QUANTITY:
        return str(response)
    places = [option.id for option in field.options]
    chosen = [response] if isinstance(response, str) else response
    return " ".join(letter_of(places.index(each)) for each in chosen)


def filled(five: Class, number: int, answers: dict[str, dict[str, Response]]) -> Rows:
    """The printed table of a learner, filled in."""
    booklet, paper = booklets_of_set(five.papers)[number], five.papers.papers[number]
    rows = list(csv.DictReader(io.StringIO(sheet_template(booklet), newline="")))
    by_id = {item.id: item for item in paper.items}
    for row in rows:
        row["answer"] = typed(by_id[row["item"]], row["field"], answers[row["item"]][row["field"]])
    return rows


def write(path: Path, rows: Rows, heads: tuple[str, ...] = HEADS, delimiter: str = ",") -> Path:
    """Save a table as a spreadsheet would."""
    with path.open("w", encoding="utf-8-sig", newline="") as stream:
        writer = csv.DictWriter(stream, heads, delimiter=delimiter, restval="")
        writer.writeheader()
        writer.writerows(rows)
    return path


def mixed(paper: Paper) -> dict[str, dict[str, Response]]:
    """Every other item slipped where it can be, the rest right."""
    answers: dict[str, dict[str, Response]] = dict(right(paper))
    for item in paper.items[::2]:
        found = slipped(item)
        if found:
            answers[item.id] = found[1]
    return answers


def test_typed_answers_are_marked_like_those_of_a_page(five: Class, room: Path, tmp_path: Path, trade: Library) -> None:
    """The same answers, through the forms and from the printed table, earn the same marks, slips and words."""
    paper = five.papers.papers[0]
    answers = mixed(paper)
    sit(room, five.name(0), paper, answers)
    (tmp_path / "in").mkdir()
    (room / f"{five.name(0)}.handin.json").rename(tmp_path / "in" / "one.handin.json")
    by_page = assessing.mark_folder(tmp_path / "in", five.papers, tmp_path / "a", trade).papers[0]
    sheet = write(tmp_path / "typed.csv", filled(five, 0, answers))
    found = assessing.mark_folder(None, five.papers, tmp_path / "b", trade, sheets=[sheet])
    by_sheet = found.papers[0]
    assert by_sheet.typed
    assert not by_page.typed
    assert not found.refused
    assert len(found.absent) == 4
    assert replace(by_sheet, typed=False) == replace(by_page, handed_in="")
    assert any(item.slips for item in by_sheet.items)


def test_the_same_table_gives_the_same_bytes_and_joins_the_report(
    five: Class, room: Path, tmp_path: Path, trade: Library
) -> None:
    """Hand-ins and typed answers stand in one class, twice the same bytes, and the report counts both."""
    (tmp_path / "in").mkdir()
    sit(room, five.name(1), five.papers.papers[1], right(five.papers.papers[1]))
    (room / f"{five.name(1)}.handin.json").rename(tmp_path / "in" / "two.handin.json")
    sheet = write(tmp_path / "typed.csv", filled(five, 0, mixed(five.papers.papers[0])), delimiter=";")
    given = ["mark", str(tmp_path / "in"), "--from-sheet", str(sheet), "--key", str(five.key)]
    (tmp_path / "pass").write_text(PASSPHRASE, "utf-8")
    for name in ("a", "b"):
        more = ["--out", str(tmp_path / name), "--passphrase-file", str(tmp_path / "pass")]
        done = CliRunner().invoke(cli, [*given, *more], catch_exceptions=False)
        assert done.exit_code == 0
        assert "2 papers marked, 0 files or lines not, 3 learners without a hand-in." in done.output
        assert "1 paper was typed in from answer sheets." in done.output
    for path in (tmp_path / "a").rglob("*.*"):
        assert path.read_bytes() == (tmp_path / "b" / path.relative_to(tmp_path / "a")).read_bytes()
    table = list(csv.DictReader(io.StringIO((tmp_path / "a" / "marks.csv").read_text("utf-8-sig"))))
    assert [row["typed in from paper"] for row in table] == ["yes", "no", "", "", ""]
    CliRunner().invoke(cli, ["report", str(tmp_path / "a")], catch_exceptions=False)
    assert json.loads((tmp_path / "a" / "report.json").read_text("utf-8"))["paper"]["learners"] == 2


def one(five: Class, tmp_path: Path, trade: Library, rows: Rows, heads: tuple[str, ...] = HEADS) -> list[str]:
    """What is refused of a table, each with its reason."""
    sheet = write(tmp_path / "t.csv", rows, heads)
    found = assessing.mark_folder(None, five.papers, tmp_path / "out", trade, sheets=[sheet])
    return [f"{each.file}: {each.reason}" for each in found.refused]


def choice(five: Class) -> tuple[Item, Field]:
    """An item of the first paper that is answered by one letter."""
    return next(
        (item, field)
        for item in five.papers.papers[0].items
        for field in item.question.fields
        if field.kind is FieldKind.CHOICE
    )


def test_each_bad_line_is_named_with_its_reason_and_the_rest_count(five: Class, tmp_path: Path, trade: Library) -> None:
    """Every sort of bad line is refused by file, line and reason; the good line between them earns its marks."""
    item, field = choice(five)
    last = letter_of(len(field.options) - 1)
    good = {"learner": "l1", "item": item.id, "field": field.key, "answer": typed(item, field.key, field.answer)}
    rows = [
        {**good, "learner": "nobody"},
        {**good, "item": "q99"},
        {**good, "field": "f9"},
        {**good, "answer": "Z"},
        {**good, "answer": "A B"},
        {**good, "answer": "=HYPERLINK(1)"},
        {**good, "answer": "A" * 300},
        good,
        good,
        {**good, "answer": ""},
    ]
    refused = one(five, tmp_path, trade, rows)
    number, name = item.id, five.papers.papers[0].learner.name
    assert refused == [
        "t.csv: line 2: There is no learner 'nobody' in this set.",
        f"t.csv: line 3: There is no question 'q99' in the paper of {name}.",
        f"t.csv: line 4: Question {number} has no field 'f9' that is answered on paper.",
        f"t.csv: line 5: There is no option 'Z': the letters go from A to {last}.",
        f"t.csv: line 6: 'A B' is not one letter from A to {last}.",
        f"t.csv: line 7: There is no option '=': the letters go from A to {last}.",
        "t.csv: line 8: The answer is longer than 200 characters.",
        "t.csv: line 10: This field was typed in before, in t.csv: line 9: that line counts.",
    ]
    paper = read_marks(tmp_path / "out" / "marks.json").papers[0]
    got = next(part for each in paper.items if each.item == number for part in each.parts if part.field == field.key)
    assert got.standing is Standing.RIGHT
    assert got.marks == field.marks


def test_marks_given_on_paper_count_with_their_marker(five: Class, tmp_path: Path, trade: Library) -> None:
    """A mark of a field with a name counts and says who gave it; without a name, or beyond the field, it is refused."""
    item, field = choice(five)
    heads = (*HEADS, "marks", "by")
    line = {"learner": "l1", "item": item.id, "field": field.key}
    assert one(five, tmp_path, trade, [{**line, "marks": f"{field.marks / 2:g}", "by": "=Dee Ohm"}], heads) == []
    found = next(each for each in read_marks(tmp_path / "out" / "marks.json").papers[0].items if each.item == item.id)
    part = next(part for part in found.parts if part.field == field.key)
    assert (part.marks, part.standing, found.by) == (round(field.marks / 2, 2), Standing.PARTLY, "=Dee Ohm")
    assert found.why == "The mark was typed in from the answer sheet."
    bad = [
        {**line, "marks": "1"},
        {**line, "marks": f"{field.marks + 1:g}", "by": "Dee"},
        {**line, "marks": "nan", "by": "Dee"},
        {**line, "marks": "1", "by": "Dee", "answer": "A"},
    ]
    assert one(five, tmp_path, trade, bad, heads) == [
        "t.csv: line 2: It does not say who gave the mark: write a name of at most 80 characters under 'by'.",
        f"t.csv: line 3: '{field.marks + 1:g}' is no mark of this field: it has 0 to {field.marks:g}.",
        f"t.csv: line 4: 'nan' is no mark of this field: it has 0 to {field.marks:g}.",
        "t.csv: line 5: It gives an answer and marks: keep one of the two.",
    ]


def test_what_was_handed_in_counts_before_what_was_typed(
    five: Class, room: Path, tmp_path: Path, trade: Library
) -> None:
    """A learner with both is marked by the hand-in, and the table is told so."""
    (tmp_path / "in").mkdir()
    sit(room, five.name(0), five.papers.papers[0], right(five.papers.papers[0]))
    (room / f"{five.name(0)}.handin.json").rename(tmp_path / "in" / "one.handin.json")
    sheet = write(tmp_path / "t.csv", filled(five, 0, mixed(five.papers.papers[0])))
    found = assessing.mark_folder(tmp_path / "in", five.papers, tmp_path / "out", trade, sheets=[sheet])
    assert found.papers[0].marks == found.papers[0].out_of
    assert [each.reason for each in found.refused] == [
        "Ada Lamp handed in a file: that counts, and not what was typed in."
    ]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"learner,item,field,anser\n", "t.csv: line 1: there is no column 'anser'; did you mean 'answer'."),
        (b"learner,item,field\n", "t.csv: line 1: the column 'answer' is missing; write"),
        (b"item,field,answer\n", "t.csv: line 1: the column 'learner' is missing; write"),
        (b"learner,item,field,answer,answer\n", "t.csv: line 1: the column 'answer' stands twice; take one out."),
        (b"", "t.csv: line 1: the column 'learner' is missing; write"),
        (b"\xff\xfe\x00", "the answer table is not UTF-8 text; save it as CSV UTF-8."),
        (b'learner,item,field,answer\n"' + b"x" * 200_000, "t.csv: the answer table cannot be read; save it as"),
    ],
)
def test_a_file_that_is_no_such_table_is_refused_whole(
    five: Class, tmp_path: Path, trade: Library, content: bytes, said: str
) -> None:
    """One sentence names the file and the column; nothing is written."""
    sheet = tmp_path / "t.csv"
    sheet.write_bytes(content)
    with pytest.raises(UsageError) as error:
        assessing.mark_folder(None, five.papers, tmp_path / "out", trade, sheets=[sheet])
    assert said in str(error.value)
    assert not (tmp_path / "out").exists()


def test_nothing_to_mark_is_said(five: Class, tmp_path: Path, trade: Library) -> None:
    """Without a folder and without a table there is nothing to do."""
    with pytest.raises(UsageError, match="nothing is there to mark"):
        assessing.mark_folder(None, five.papers, tmp_path / "out", trade)


# ---------------------------------------------------------------- letters

OPTIONS = tuple(Option(f"o{place}", f"option {place}") for place in range(1, 5))
CHOICES = Field("f1", FieldKind.CHOICES, "", 1.0, ["o1"], options=OPTIONS)
ORDER = Field("f1", FieldKind.ORDER, "", 1.0, ["o1", "o2", "o3", "o4"], options=OPTIONS)
CHOICE = Field("f1", FieldKind.CHOICE, "", 1.0, "o1", options=OPTIONS)


@pytest.mark.parametrize(
    ("field", "text", "response"),
    [
        (CHOICE, "c)", "o3"),
        (CHOICE, "C.", "o3"),
        (CHOICES, "DB", ["o2", "o4"]),
        (CHOICES, "b, d", ["o2", "o4"]),
        (ORDER, "DCBA", ["o4", "o3", "o2", "o1"]),
        (ORDER, "D > C > B > A", ["o4", "o3", "o2", "o1"]),
    ],
)
def test_letters_are_read_as_people_write_them(field: Field, text: str, response: Response) -> None:
    """Large or small, apart or run together, with or without signs between."""
    assert response_of(field, text) == response


@pytest.mark.parametrize(
    ("field", "text", "key"),
    [
        (CHOICE, "", "one-letter"),
        (CHOICE, "AB", "one-letter"),
        (CHOICE, "1", "no-letter"),
        (CHOICES, "AAB", "letter-twice"),
        (CHOICES, "AE", "no-letter"),
        (ORDER, "ABC", "all-letters"),
        (ORDER, "ABCC", "letter-twice"),
    ],
)
def test_letters_that_do_not_fit_say_why(field: Field, text: str, key: str) -> None:
    """Each way not to fit has its own sentence."""
    with pytest.raises(MistypedError) as error:
        response_of(field, text)
    assert error.value.key == key


def test_letters_go_on_after_z() -> None:
    """A spreadsheet's columns go on so: Z, AA, AB; 701 is ZZ."""
    assert [letter_of(place) for place in (0, 25, 26, 27, 701)] == ["A", "Z", "AA", "AB", "ZZ"]
    assert all(place_of(letter_of(place), 60) == place for place in range(60))


def test_whatever_stands_in_a_table_ends_in_marks_or_one_sentence(five: Class, tmp_path: Path, trade: Library) -> None:
    """Arbitrary bytes, and an arbitrary cell in a sound line, are taken, refused by line, or refused whole."""
    sheet = tmp_path / "t.csv"

    @settings(max_examples=200, deadline=None)
    @given(st.binary(max_size=300), st.text(max_size=60))
    def check(content: bytes, cell: str) -> None:
        for data in (content, b"learner,item,field,answer\nl1,q01,f1," + cell.encode("utf-8", "replace")):
            sheet.write_bytes(data)
            said = ""
            try:
                typed, refused = read_sheets([sheet], five.papers, trade.words)
            except UsageError as error:
                said = str(error)
            if said:
                assert said.isprintable()
                continue
            assert all(each.file.startswith("t.csv: line ") for each in refused)
            assert set(typed) <= {paper.id for paper in five.papers.papers}

    check()
