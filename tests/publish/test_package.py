"""A package as a whole: what is in it, what is not, the same bytes, texts as they stand, numbers at the edge."""

from __future__ import annotations

import base64
import io
import json
import math
import random
import re
import sys
import zipfile
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from click.testing import CliRunner
from exported import BOOKS, ROOT, UNITS, VERSIONS, edge_numbers, files_of, gathered, library, marked, plain
from hypothesis import given, settings
from hypothesis import strategies as st

from probebook.api import exporting
from probebook.assessment.letters import letter_of
from probebook.assessment.model import Item as PaperItem
from probebook.cli import cli
from probebook.errors import UsageError, VerificationError
from probebook.publish.booklet import Booklet
from probebook.publish.package import names
from probebook.publish.package.content import Pictures
from probebook.publish.package.expressions import decimal
from probebook.publish.package.gathering import gather
from probebook.publish.package.items import assessment_item
from probebook.publish.package.packing import package_files, zipped
from probebook.publish.package.report import report_data, report_lines
from probebook.publish.package.rules.package import check_package
from probebook.publish.package.standards import STANDARDS
from probebook.publish.package.writing import item_xml
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip
from progress_lines import without_progress

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "independent"))
from item_player import Item, choices_of

LATEST = STANDARDS["qti-3.0"]
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>A box</title>{}</svg>'


def choice(prompt: str = "Which?", text: str = "one", *, pictures: tuple[tuple[str, str], ...] = ()) -> Question:
    """A question with two options."""
    options = (Option("b", text), Option("a", "two", "because it is"))
    field = Field("choice", FieldKind.CHOICE, "Label", 1.0, "a", options=options)
    return Question("q01", Kind.TRACE, "trace", 1, "A title", prompt, (field,), (), "Because.", pictures=pictures)


def files_for(question: Question, version: str = "qti-3.0", before: str = "") -> dict[str, bytes]:
    """The files of a package with one question in it."""
    booklet = Booklet("one", "A book", (PaperItem("row", question, before),))
    found = gather("one", [booklet], lambda _language: library().words)
    assert len(found.carried) == 1, found.left_out
    return package_files(found.package, STANDARDS[version])


def item_of(question: Question) -> Item:
    """The item of a question, to be played."""
    return Item(item_xml(assessment_item("item", question, "", library().words), LATEST))


# ---------------------------------------------------------------- what is in it


@pytest.mark.slow
def test_every_question_is_in_the_package_or_named_with_its_reason() -> None:
    """Of all workbooks, what is left out are the jobs for the bench and nothing else, and the report names each."""
    booklets = [gathered(book)[0] for book in BOOKS]
    asked = {(each.name, item.id) for each in booklets for item in each.items}
    benches = {
        (each.name, item.id)
        for each in booklets
        for item in each.items
        if any(field.kind is FieldKind.BENCH for field in item.question.fields)
    }
    carried = {(each.source, each.question) for book in BOOKS for each in gathered(book)[1].carried}
    left_out = {(each.source, each.question) for book in BOOKS for each in gathered(book)[1].left_out}
    assert benches
    assert left_out == benches
    assert carried == asked - benches
    for book in BOOKS:
        found = gathered(book)[1]
        lines = "\n".join(report_lines(found, "x.zip", LATEST, library().words))
        data = report_data(found, "x.zip", LATEST, library().words)
        for each in found.left_out:
            assert re.search(rf"{book}, {each.question} \(.+\): it is a job for the virtual bench", lines)
        assert [each["question"] for each in data["left_out"]] == [each.question for each in found.left_out]
        assert json.loads(json.dumps(data)) == data


@pytest.mark.slow
def test_a_question_brings_the_drawing_along_that_its_workbook_shows_once() -> None:
    """Questions that say "Use the circuit diagram" and have none of their own get the one above them."""
    seen = 0
    for book in BOOKS:
        for item in gathered(book)[0].items:
            if "Use the circuit diagram" in item.question.prompt and not item.question.case:
                assert item.question.pictures or item.before.startswith("!["), (book, item.id)
                seen += not item.question.pictures
    assert seen


@pytest.mark.slow
def test_every_slip_has_its_feedback() -> None:
    """The advice of every slip of every question that is carried stands in the feedback of its item."""
    for book in BOOKS:
        booklet, found = gathered(book)
        questions = {item.id: item.question for item in booklet.items}
        for each, item in zip(found.carried, found.package.items, strict=True):
            data = item_xml(item, LATEST).decode("utf-8")
            told = " ".join("".join(Tree.fromstring(data).itertext()).split())
            bands = [field.band for field in questions[each.question].fields]
            for slip in questions[each.question].slips:
                if any(band == slip.band for band in bands if band):
                    continue  # such a slip cannot be told from the key
                assert plain(slip.advice) in told, (book, each.question, slip.slip)


# ---------------------------------------------------------------- the same bytes


@pytest.mark.parametrize("version", VERSIONS)
def test_the_same_questions_give_the_same_bytes(version: str, tmp_path: Path) -> None:
    """Two packages of one workbook are the same file, whatever they are written from and when."""
    first, second = tmp_path / "one" / "bank.zip", tmp_path / "two" / "bank.zip"
    for out in (first, second):
        exporting.export(exporting.bank([BOOKS[2]], ROOT), out, STANDARDS[version], library())
    assert first.read_bytes() == second.read_bytes()
    with zipfile.ZipFile(first) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.namelist()[0] == "imsmanifest.xml"
        assert archive.testzip() is None


def test_a_package_can_be_read_back_file_by_file() -> None:
    """What goes into the file comes out of it."""
    files = files_of(BOOKS[0], "qti-2.2")
    with zipfile.ZipFile(io.BytesIO(zipped(files))) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == dict(files)


# ---------------------------------------------------------------- texts as they stand

MARKDOWN = """# A head

1. one
2. two **bold** and `code`

> told

| only | a head |
| --- | ---: |

| a | b |
| --- | ---: |
| 1 | 2 |

    block

- - -
Two\\
lines"""


@pytest.mark.parametrize("version", VERSIONS)
def test_every_sort_of_markdown_keeps_the_rules(version: str) -> None:
    """Heads, lists, quotes, tables without a body, blocks, rules and breaks are content the standard knows."""
    files = files_for(replace(choice(MARKDOWN), explanation=MARKDOWN), version, before=MARKDOWN)
    assert check_package(files, STANDARDS[version].version_name) == []


HOSTILE = (
    "<script>alert(1)</script> & ]]> <qti-correct-response/> \" ' <!-- x --> &lt; &#0; &#12; <img src=x onerror=y>"
    " [link](javascript:alert(1)) {{ hole }} {% for %}"
)


@pytest.mark.parametrize("version", VERSIONS)
def test_hostile_text_stays_text(version: str) -> None:
    """Tags, entities and templates in prompt, title, label, option, advice and case are read back as text."""
    base = choice(HOSTILE, HOSTILE)
    field = replace(base.fields[0], label=HOSTILE)
    slip = Slip("one</slip>", "choice", "b", HOSTILE)
    question = replace(base, title=HOSTILE, fields=(field,), slips=(slip,), explanation=HOSTILE, working=HOSTILE)
    files = files_for(question, version, before=HOSTILE)
    assert check_package(files, STANDARDS[version].version_name) == []
    data = next(data for name, data in files.items() if name.startswith("items/"))
    root = Tree.fromstring(data.decode("utf-8"))
    names_in = {each.tag.rpartition("}")[2] for each in root.iter()}
    assert not names_in & {"script", "img", "a", "iframe"}
    text = " ".join("".join(root.itertext()).split())
    assert text.count("<script>alert(1)</script> & ]]> <qti-correct-response/>") >= 6
    assert root.attrib["title"] == " ".join(HOSTILE.split())


@settings(max_examples=60)
@given(st.text(st.characters(codec=None), max_size=40))
def test_any_text_can_be_asked(text: str) -> None:
    """Whatever characters a question holds, halves of surrogate pairs and controls too, its package keeps the rules."""
    question = replace(choice(f"a {text}", f"b {text}"), title=text, explanation=text)
    assert check_package(files_for(question), "3.0") == []


@given(st.lists(st.text(max_size=50), unique=True, max_size=8))
def test_identifiers_are_valid_short_and_different(texts: list[str]) -> None:
    """Every text gives an identifier of at most 32 letters, and different texts give different ones."""
    found = [names.identifier(text) for text in texts]
    assert all(names.IDENTIFIER.match(each) and len(each) <= names.LONGEST for each in found)
    assert len(set(found)) == len(texts)


@pytest.mark.parametrize(
    "inside",
    [
        "<script>alert(1)</script>",
        '<g onload="alert(1)"/>',
        '<image href="http://a.invalid/x.png"/>',
        '<use href="http://a.invalid/x.svg#y"/>',
        "<style>@import url(http://a.invalid/x.css)</style>",
        '<rect style="fill:url(http://a.invalid/#p)"/>',
        "<foreignObject><p/></foreignObject>",
        "<metadata><script>alert(1)</script></metadata>",
        '<metadata><h:script xmlns:h="http://www.w3.org/1999/xhtml">alert(1)</h:script></metadata>',
        '<rect fill="URL(http://a.invalid/#p)"/>',
        '<rect fill="url(http://a.invalid/#p)"/>',
        "<style>@IMPORT 'http://a.invalid/x.css';</style>",
        '<style><g/>@import "http://a.invalid/x.css";</style>',
        '<style>@\\69mport "http://a.invalid/x.css";</style>',
        '<rect style="fill:u\\72l(http://a.invalid/#p)"/>',
        '<?xml-stylesheet href="http://a.invalid/x.css"?>',
        '<a href="javascript:alert(1)"><text>x</text></a>',
        '<h:p xmlns:h="http://www.w3.org/1999/xhtml"/>',
        "<g>",
    ],
)
def test_a_drawing_that_does_more_than_draw_is_left_out_by_name(inside: str) -> None:
    """A drawing that runs, loads or is broken keeps its question out, and the report says which and why."""
    question = choice(pictures=(("a.svg", SVG.format(inside)),))
    booklet = Booklet("one", "A book", (PaperItem("row", question), PaperItem("row", replace(choice(), id="q02"))))
    found = gather("one", [booklet], lambda _language: library().words)
    assert [(each.question, each.why) for each in found.left_out] == [("q01", "drawing")]
    lines = report_lines(found, "x.zip", LATEST, library().words)
    assert any("one, q01 (A title): its drawing cannot go" in line for line in lines)


def test_every_drawing_of_the_workbooks_is_a_drawing() -> None:
    """Each drawing on a marking sheet or in a workbook goes into a package: circuit diagrams, curves, pictures."""
    coded = {
        found
        for folder, ending in (("answer_keys", "json"), ("workbooks", "ipynb"))
        for path in sorted((ROOT / folder).glob(f"*.{ending}"))
        for found in re.findall(r"data:image/svg\+xml;base64,([A-Za-z0-9+/=]+)", path.read_text("utf-8"))
    }
    assert coded
    for each in coded:
        Pictures().image(base64.b64decode(each).decode("utf-8"), "a drawing")


def test_a_drawing_may_say_where_it_is_from_and_point_into_itself() -> None:
    """What plotting libraries write goes in: RDF about the drawing, a style, a fill and a clip of its own."""
    about = (
        '<metadata><r:RDF xmlns:r="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:c="http://creativecommons.org/ns#"'
        ' xmlns:d="http://purl.org/dc/elements/1.1/"><c:Work><d:type r:resource="http://purl.org/dc/dcmitype/StillImage"/>'
        "</c:Work></r:RDF></metadata><style>*{stroke-linejoin: round}</style>"
        '<rect fill="url(#p)" style="clip-path: url(#q)"/>'
    )
    files = files_for(choice(pictures=(("a.svg", SVG.format(about)),)))
    assert any(name.endswith(".svg") for name in files)


def test_an_honest_drawing_goes_in_with_its_words() -> None:
    """The drawing is a file of the package, byte for byte, and its title is what is said of it."""
    files = files_for(choice(pictures=(("a.svg", SVG.format("<rect/>")),)))
    (picture,) = (data for name, data in files.items() if name.endswith(".svg"))
    assert picture.decode() == SVG.format("<rect/>")
    item = next(data.decode() for name, data in files.items() if name.startswith("items/") and name.endswith("xml"))
    assert 'alt="A box"' in item


# ---------------------------------------------------------------- numbers at the edge


@st.composite
def quantities(draw: st.DrawFn) -> Question:
    """A question for a number, with bands of slips that may lie over one another."""
    unit = draw(st.sampled_from(sorted(UNITS)))
    factor, offset = UNITS[unit]
    middle = draw(st.floats(0.01, 5000))
    spans = st.tuples(st.floats(0.2, 3), st.floats(0, 0.4))

    def band(times: float, share: float) -> Band:
        value = middle * times
        return Band(value * (1 - share) * factor + offset, value * (1 + share) * factor + offset)

    slips = [
        Slip(f"slip-{number}", "n", "", f"Advice {number}.", 0.5, band(*each))
        for number, each in enumerate(draw(st.lists(spans, max_size=4)))
    ]
    allow_open = draw(st.booleans())
    field = Field("n", FieldKind.QUANTITY, "N", 1.5, f"{middle!r} {unit}", unit, band=band(1.0, 0.05))
    field = replace(field, allow_open=allow_open)
    return replace(choice(), fields=(field,), slips=tuple(slips))


@pytest.mark.slow
@settings(max_examples=60)
@given(quantities(), st.randoms(use_true_random=False))
def test_numbers_score_alike_at_every_edge(question: Question, rng: random.Random) -> None:
    """Numbers beside every end of every band, and the middles between bands that overlap, score as marking scores."""
    item, field = item_of(question), question.fields[0]
    bands = [field.band, *(slip.band for slip in question.slips)]
    numbers = [each for band in bands if band for each in edge_numbers(field, band)]
    numbers += [rng.uniform(0, 2 * max(numbers)) for _ in range(20)]
    for number in numbers:
        ours = marked(question, {"n": repr(number)})
        theirs = item.score({"RESPONSE_1": [repr(number)]})
        assert theirs["SCORE"] == ours.marks, number
        assert theirs["SLIP_1"] == (ours.fields[0].slip or None), number


@given(st.lists(st.sampled_from([1.0, 2.0, 0.5, 1 / 3, 0.7]), min_size=1, max_size=4), st.floats(0.1, 3))
def test_marks_that_are_no_hundredths_are_rounded_as_marking_rounds(shares: list[float], scale: float) -> None:
    """Marks of parts that were scaled to a row add up to the same hundredths, halves and thirds too."""
    fields = tuple(
        replace(choice().fields[0], key=f"f{number}", marks=share * scale) for number, share in enumerate(shares)
    )
    question = replace(choice(), fields=fields)
    item = item_of(question)
    for mask in range(2 ** len(fields)):
        right = [bool(mask >> number & 1) for number in range(len(fields))]
        ours = marked(question, {f"f{n}": "a" if each else "b" for n, each in enumerate(right)})
        theirs = item.score({f"RESPONSE_{n}": ["B" if each else "A"] for n, each in enumerate(right, 1)})
        assert theirs["SCORE"] == pytest.approx(ours.marks, abs=1e-9)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_written_so_that_it_reads_back(number: float) -> None:
    """A float is written without an exponent and reads back as the same float."""
    assert float(decimal(number)) == number
    assert re.fullmatch(r"-?[0-9]+\.[0-9]+", decimal(number))


@pytest.mark.parametrize(
    ("ticks", "marks"), [("ac", 0.0), ("abc", 1.5), ("c", 0.0), ("a", 1.5), ("ab", 3.0), ("bcd", 0.0)]
)
def test_a_slip_shown_by_one_tick_keeps_the_marks_as_counted(ticks: str, marks: float) -> None:
    """Its own marks are for nobody: right ticks less wrong ones, of two, are shared out of 3, and the slip is named."""
    options = tuple(Option(name, f"option {name}") for name in "abcd")
    field = Field("n", FieldKind.CHOICES, "N", 3.0, ["a", "b"], options=options)
    question = replace(choice(), fields=(field,), slips=(Slip("c-too", "n", "c", "Not c.", 1.0),))
    item = item_of(question)
    texts = choices_of(item)["RESPONSE_1"]
    theirs = item.score({"RESPONSE_1": [texts[f"option {tick}"] for tick in ticks]})
    ours = marked(question, {"n": list(ticks)})
    assert (theirs["SCORE"], ours.marks) == (marks, marks)
    assert theirs["SLIP_1"] == (ours.fields[0].slip or None) == ("c-too" if "c" in ticks else None)


def test_choices_have_the_letters_of_paper() -> None:
    """The identifier of a choice is the letter that its option has on paper, past the alphabet too."""
    options = tuple(Option(f"o{number:02}", f"option {number:02}") for number in range(28))
    field = Field("n", FieldKind.CHOICE, "N", 1.0, "o00", options=options)
    (held,) = choices_of(item_of(replace(choice(), fields=(field,)))).values()
    assert set(held.values()) == {letter_of(place) for place in range(28)}


def test_the_hint_of_prefixes_leaves_none_out() -> None:
    """Beside a box for ohms: mega, kilo and milli (SI brochure, 9th edition, table 7), each as a factor."""
    field = Field("n", FieldKind.QUANTITY, "N", 1.0, "46 ohm", "ohm", band=Band(45, 47))
    said = item_xml(assessment_item("item", replace(choice(), fields=(field,)), "", library().words), LATEST)
    omega = "\N{GREEK CAPITAL LETTER OMEGA}"
    assert f"1 M{omega} is 1000000; 1 k{omega} is 1000; 1 m{omega} is 0.001." in said.decode("utf-8")


def test_an_open_circuit_is_a_box_to_tick() -> None:
    """Where OL is the key, ticking it earns the marks and no number does."""
    key = Field("n", FieldKind.QUANTITY, "N", 2.0, "OL", "ohm", band=Band(math.inf, math.inf), allow_open=True)
    item = item_of(replace(choice(), fields=(key,)))
    assert item.score({"OPEN_1": ["OL"]})["SCORE"] == 2
    assert item.score({"RESPONSE_1": ["5"]})["SCORE"] == 0
    assert item.key() == {"OPEN_1": ["OL"]}
    assert list(choices_of(item)) == ["OPEN_1"]


# ---------------------------------------------------------------- the command


def run(*arguments: str) -> tuple[int, str]:
    """Run ``probebook export`` and give back its exit code or error, and what it printed."""
    done = CliRunner().invoke(
        cli,
        ["export", *arguments, "--folder", str(ROOT), "--scenarios", str(ROOT / "scenarios")],
        standalone_mode=False,
    )
    if done.exception is not None:
        raise done.exception
    return done.exit_code, without_progress(done.output)


def test_the_command_writes_a_package_and_says_what_it_holds(tmp_path: Path) -> None:
    """The command writes one file, names what is left out, and warns that the file holds the answers."""
    out = tmp_path / "new" / "bank.zip"
    code, said = run(BOOKS[8], "--out", str(out))
    assert code == 0
    assert f"to {out} (1EdTech QTI 3.0)" in said
    left_out = gathered(BOOKS[8])[1].left_out
    assert said.count("it is a job for the virtual bench") == len(left_out) > 0
    assert "the file holds the answers" in said
    with zipfile.ZipFile(out) as archive:
        assert check_package({name: archive.read(name) for name in archive.namelist()}, "3.0") == []


def test_the_command_reports_as_json(tmp_path: Path) -> None:
    """``--json`` prints the report as data and nothing else."""
    _, said = run(BOOKS[0], BOOKS[0], "--standard", "qti-2.2", "--out", str(tmp_path / "b.zip"), "--json")
    data = json.loads(said)
    assert data["standard"] == "qti-2.2"
    assert len(data["items"]) == len(gathered(BOOKS[0])[1].carried)
    assert data["left_out"] == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("99-nothing",), "there is no marking sheet of the workbook '99-nothing'"),
        ((BOOKS[0], "--standard", "qti-9"), "the standard 'qti-9' is not known"),
        ((BOOKS[0], "--key", "x.key"), "one thing is exported at a time"),
    ],
)
def test_what_cannot_be_exported_is_said(arguments: tuple[str, ...], said: str, tmp_path: Path) -> None:
    """A wrong workbook, version or pair of sources is told in one sentence, and nothing is written."""
    out = tmp_path / "b.zip"
    with pytest.raises(UsageError) as found:
        run(*arguments, "--out", str(out))
    assert said in str(found.value)
    assert not out.exists()


def test_a_package_that_breaks_the_rules_is_never_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the check finds wrong keeps the file from being written; an older one stays."""
    out = tmp_path / "b.zip"
    out.write_bytes(b"old")
    monkeypatch.setattr("probebook.publish.package.writing.TOOL", "")
    with pytest.raises(VerificationError) as found:
        exporting.export(exporting.bank([BOOKS[0]], ROOT), out, LATEST, library())
    assert "does not keep the rules of the standard" in str(found.value)
    assert out.read_bytes() == b"old"


def test_nothing_to_carry_is_said(tmp_path: Path) -> None:
    """A booklet of jobs for the bench only is refused, and nothing is written."""
    booklet = gathered(BOOKS[8])[0]
    benches = tuple(
        item for item in booklet.items if any(field.kind is FieldKind.BENCH for field in item.question.fields)
    )
    with pytest.raises(UsageError) as found:
        exporting.export([replace(booklet, items=benches)], tmp_path / "b.zip", LATEST, library())
    assert "the standard can carry none of these questions" in str(found.value)
