"""Papers of a class: equally hard, none asking what another asks, and telling nothing of their keys."""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from classes import PASSPHRASE, Class

from probebook.api import assessing
from probebook.assessment.codec import paper_set_text, read_paper_set
from probebook.assessment.model import Learner, PaperSet, Row
from probebook.assessment.setting.blueprints import blueprint_ids, find_blueprint, load_blueprint
from probebook.assessment.setting.classfile import read_class
from probebook.assessment.setting.items import name_of_text
from probebook.assessment.setting.notebook import paper_text
from probebook.assessment.setting.papers import set_papers
from probebook.cases.library import Library
from probebook.errors import ScenarioError, UsageError
from probebook.executor import Processes
from probebook.questions.marking import mark
from probebook.questions.model import FieldKind, Kind, Standing

MADE = "2030-01-01T00:00:00Z"


def learners(count: int) -> list[Learner]:
    """So many learners."""
    return [Learner(f"n{number}", f"Learner {number}") for number in range(count)]


@pytest.fixture(scope="module")
def fifty(trade: Library) -> PaperSet:
    """Fifty papers of one blueprint."""
    blueprint = load_blueprint(find_blueprint("element-testing", trade.folder), trade)
    return set_papers(blueprint, learners(50), "a7" * 32, trade, MADE)


def test_five_blueprints_are_shipped(trade: Library) -> None:
    """The five that a tutor starts from are there and can be read."""
    wanted = {"before-you-touch-it", "element-testing", "wiring-and-controls", "fault-finding", "owners-safety-check"}
    assert set(blueprint_ids(trade.folder)) == wanted


@pytest.mark.parametrize(
    "name", ["before-you-touch-it", "element-testing", "owners-safety-check", "wiring-and-controls"]
)
def test_a_class_of_thirty_can_be_set(name: str, trade: Library) -> None:
    """Each shipped blueprint is wide enough for thirty, and every paper lies in its band."""
    blueprint = load_blueprint(find_blueprint(name, trade.folder), trade)
    papers = set_papers(blueprint, learners(30), "b8" * 32, trade, MADE)
    assert all(blueprint.band[0] <= paper.difficulty <= blueprint.band[1] for paper in papers.papers)
    assert all(math.isclose(paper.marks, blueprint.marks) for paper in papers.papers)


def test_fifty_papers_are_equally_hard(fifty: PaperSet) -> None:
    """Mean difficulty of each of fifty papers lies in the band, and rows and marks are those of the blueprint."""
    low, high = fifty.blueprint.band
    assert all(low <= paper.difficulty <= high for paper in fifty.papers)
    rows = [row.id for row in fifty.blueprint.rows for _ in range(row.items)]
    assert all(sorted(item.row for item in paper.items) == sorted(rows) for paper in fifty.papers)
    assert len({tuple(item.row for item in paper.items) for paper in fifty.papers}) > 40  # each in an order of its own


def test_no_wording_stands_twice_in_fifty_papers(fifty: PaperSet) -> None:
    """No prompt with the same options is asked of two learners, nor twice of one (order of options aside)."""
    texts = [name_of_text(item) for paper in fifty.papers for item in paper.items]
    assert len(texts) == 50 * 11
    assert max(Counter(texts).values()) == 1


def test_the_place_of_the_key_tells_nothing(fifty: PaperSet) -> None:
    """Places of the key among the options are as even as chance makes them: chi-squared at 1 in 1000 per size."""
    places: dict[int, Counter[int]] = {}
    for paper in fifty.papers:
        for item in paper.items:
            for field in item.question.fields:
                if field.kind is FieldKind.CHOICE:
                    ids = [option.id for option in field.options]
                    assert ids == [f"o{place}" for place in range(1, len(ids) + 1)]
                    places.setdefault(len(ids), Counter())[ids.index(str(field.answer))] += 1
    # Critical values of chi-squared at 0.001: NIST/SEMATECH e-Handbook, table 1.3.6.7.4, 1 to 6 degrees of freedom.
    critical = {2: 10.828, 3: 13.816, 4: 16.266, 5: 18.467, 6: 20.515, 7: 22.458}
    assert places
    for size, found in places.items():
        expected = sum(found.values()) / size
        assert sum((found[place] - expected) ** 2 / expected for place in range(size)) < critical[size]


def test_the_same_secret_sets_the_same_papers(trade: Library) -> None:
    """Papers depend on secret, blueprint and class alone, whether one process draws them or two."""
    blueprint = load_blueprint(find_blueprint("element-testing", trade.folder), trade)
    once = set_papers(blueprint, learners(4), "c9" * 32, trade, MADE)
    again = set_papers(blueprint, learners(4), "c9" * 32, trade, MADE, Processes(2))
    other = set_papers(blueprint, learners(4), "ca" * 32, trade, MADE)
    assert paper_set_text(once) == paper_set_text(again)
    texts = {name_of_text(item) for paper in once.papers for item in paper.items}
    assert once.id != other.id
    assert len(texts & {name_of_text(item) for paper in other.papers for item in paper.items}) < 6


def test_a_sealed_key_holds_the_papers(five: Class) -> None:
    """What the key opens to equals what was set, bands of open circuits and secret included."""
    assert assessing.open_key(five.key, PASSPHRASE) == five.papers
    assert read_paper_set(paper_set_text(five.papers), "x") == five.papers


def test_every_key_earns_all_marks_and_every_slip_is_known(fifty: PaperSet, trade: Library) -> None:
    """Through the same marking, the key of each item is right, and the answer of each slip in a choice or a quantity is
    recognised as that slip."""
    for paper in fifty.papers[:10]:
        for item in paper.items:
            question = item.question
            assert mark(question, question.key(), trade.words, final=True).standing is Standing.RIGHT
            for slip in question.slips:
                if question.field(slip.field).kind in (FieldKind.QUANTITY, FieldKind.CHOICE):
                    found = mark(question, {**question.key(), slip.field: slip.response}, trade.words, final=True)
                    assert slip.slip in {part.slip for part in found.fields}


# ---------------------------------------------------------------- secrecy


def told_by(text: str) -> str:
    """Everything that a file says, escapes undone, so that nothing hides behind them."""

    def leaves(data: Any) -> list[str]:
        if isinstance(data, dict):
            return [str(part) for key, value in data.items() for part in (key, *leaves(value))]
        if isinstance(data, list):
            return (
                ["".join(map(str, data))]
                if all(isinstance(x, str) for x in data)
                else [part for value in data for part in leaves(value)]
            )
        return [str(data)]

    return "\n".join(leaves(json.loads(text)))


def secrets_of(papers: PaperSet, number: int) -> set[str]:
    """What a paper's file may not hold: texts and ids from its sealed key that are not shown to its learner."""
    found = {papers.secret}
    for item in papers.papers[number].items:
        question = item.question
        shown = " ".join([question.prompt, *(o.text for f in question.fields for o in f.options)])
        texts = [question.explanation, question.working, *(slip.advice for slip in question.slips)]
        texts += [option.why for field in question.fields for option in field.options]
        sentences = {part.strip() for text in texts for part in text.replace("\n", ". ").split(". ")}
        found |= {text for text in sentences if len(text) > 25 and text not in shown}
        found |= {slip.slip for slip in question.slips if "-" in slip.slip}
        found |= {name for name in item.names.values() if "-" in name}
        found |= {question.case} - {""}
        found |= {
            str(field.answer)
            for field in question.fields
            if field.kind is FieldKind.QUANTITY and str(field.answer) not in shown and len(str(field.answer)) > 4
        }
    return found


def test_a_paper_holds_nothing_of_its_key(five: Class) -> None:
    """No explanation, working, advice, reason, slip, typed key, builder's id, case or secret stands in a paper."""
    for number, paper in enumerate(five.papers.papers):
        if paper.learner.language != "en":
            continue
        text = told_by(five.text(number))
        secrets = secrets_of(five.papers, number)
        assert len(secrets) > 60
        assert [secret for secret in sorted(secrets) if secret in text] == []


def test_what_the_form_is_told_is_what_is_shown(five: Class) -> None:
    """The data of a form hold its words, the number of its options and the keys f1, f2 …, nothing else."""
    for number in range(5):
        sitting = json.loads(five.text(number))["metadata"]["probebook"]["sitting"]
        assert set(sitting) == {
            "format", "paper", "set", "title", "learner", "minutes", "large_print", "items", "words",
        }  # fmt: skip
        for item in sitting["items"]:
            assert set(item) == {"id", "view", "fields"}
            assert set(item["view"]) == {"language", "title", "fields", "words"}
            assert [set(field) for field in item["fields"]] == [{"key", "kind", "options"}] * len(item["fields"])
            assert [field["key"] for field in item["fields"]] == [f"f{n + 1}" for n in range(len(item["fields"]))]


def test_every_quantity_in_ohms_allows_an_open_circuit(fifty: PaperSet) -> None:
    """The hint that OL may be typed stands at each resistance, not only where it is the key."""
    fields = [f for p in fifty.papers for i in p.items for f in i.question.fields if f.unit == "ohm"]
    assert fields
    assert all(field.allow_open for field in fields)


def test_a_paper_cannot_be_drawn_again_from_what_it_holds(five: Class, trade: Library) -> None:
    """Whoever has the paper, the package and the scenarios, but no secret, draws other papers: the ids of
    paper, set and learner and nothing at all, each tried as the secret, give no more of its texts than chance does."""
    paper = five.papers.papers[0]
    texts = {name_of_text(item) for item in paper.items}
    guesses = [paper.id * 2, five.papers.id * 4, "00" * 32, paper.learner.id.encode().hex() * 16]
    for guess in guesses:
        drawn = set_papers(five.papers.blueprint, [paper.learner], guess, trade, MADE).papers[0]
        assert len(texts & {name_of_text(item) for item in drawn.items}) <= 1


def test_the_record_tells_no_key(five: Class) -> None:
    """The record names papers, learners and difficulty, and no question."""
    record = json.loads((five.folder / "set-record.json").read_text("utf-8"))
    assert [paper["learner"] for paper in record["papers"]] == ["l1", "l2", "l3", "l4", "l5"]
    assert record["papers"][1]["minutes"] == pytest.approx(62.5)
    assert "secret" not in json.dumps(record)
    assert five.papers.secret not in json.dumps(record)


def test_a_set_is_not_written_over(five: Class, trade: Library) -> None:
    """Another set is not put over one whose papers may be in the hands of a class."""
    with pytest.raises(UsageError, match="another set lies"):
        assessing.set_class("element-testing", learners(1), five.folder, PASSPHRASE, trade)


def test_a_paper_is_the_same_notebook_each_time(five: Class, trade: Library) -> None:
    """The file on disk is what the papers give again."""
    assert paper_text(five.papers.papers[0], five.papers, trade) == five.text(0)


# ---------------------------------------------------------------- what is refused


def test_a_row_that_is_too_narrow_is_named(trade: Library) -> None:
    """A class for which a row has too few questions is refused with the row's name."""
    blueprint = load_blueprint(find_blueprint("element-testing", trade.folder), trade)
    narrow = replace(blueprint, rows=(Row("narrow", "power", Kind.POWER, options={"form": "lamp"}),), band=(-9.0, 9.0))
    with pytest.raises(ScenarioError, match="row 'narrow' has too few different questions"):
        set_papers(narrow, learners(20), "d0" * 32, trade, MADE)


BROKEN = {
    'outcome = "leads"|outcome = "lead"': r"row\[5\]\.outcome: there is no outcome 'lead'; did you mean 'leads'",
    'kind = "verdict"|kind = "verdikt"': r"row\[8\]\.kind",
    'must-show = ["C16"]|must-show = ["C99"]': "no competence|there is no competence 'C99'",
    'must-show = ["C16"]|must-show = ["C01"]': "no row shows the competence C01",
    "band = [-0.95, -0.55]|band = [0.5, -0.5]": "band: the band of difficulty is empty",
    'minutes = "50 min"|minutes = "50 kg"': "minutes",
    "share = 0.7|share = 0.9": "the grades do not fall",
    'id = "amps"|id = "watts"': r"row\[2\]\.id: the id 'watts' is used twice",
    'form = "hot-cold" |from = "hot-cold" ': r"row\[4\]\.options: there is no option 'from'; did you mean 'form'",
    'region = "gb"|region = "gbb"': "there is no region 'gbb'; did you mean 'gb'",
    'reader = "apprentice"|reader = "apprentise"': "reader",
    "pass-share = 0.6|pass-shore = 0.6": "pass-sh",
}


@pytest.mark.parametrize("change", BROKEN)
def test_a_broken_blueprint_is_refused_in_one_sentence(change: str, trade: Library, tmp_path: Path) -> None:
    """File, key and remedy are named."""
    old, new = change.split("|")
    text = (trade.folder / "blueprints" / "element-testing.toml").read_text("utf-8")
    assert old in text
    path = tmp_path / "element-testing.toml"
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(ScenarioError, match=BROKEN[change]) as refused:
        load_blueprint(path, trade)
    assert str(refused.value).startswith("element-testing.toml")
    assert "\n" not in str(refused.value)


def test_a_name_that_is_nearly_right_is_told(trade: Library) -> None:
    """A blueprint that is not there is answered with the nearest that is."""
    with pytest.raises(UsageError, match="did you mean 'element-testing'"):
        find_blueprint("elements-testing", trade.folder)


CLASSES = {
    "id,nam\na,A": "there is no column 'nam'; did you mean 'name'",
    "id\na": "the column 'name' is missing",
    "id,name\na,A\nA,B": "line 3: the id 'A' stands in line 2 too",
    "id,name\n../a,A": "'../a' cannot be an id",
    "id,name\ncon,A": "'con' cannot be an id",
    "id,name\na,": "a learner has a name",
    "id,name\na,A\x07": "a learner has a name",
    "id,name\n": "there are 0 learners",
    "id,name,extra_time\na,A,0.5": "'0.5' is no extra time",
    "id,name,extra_time\na,A,nan": "'nan' is no extra time",
    "id,name,extra_time\na,A,inf": "'inf' is no extra time",
    "id,name,large_print\na,A,perhaps": "'perhaps' is neither yes nor no",
    "id,name,language\na,A,eng": "there is no language 'eng'; did you mean 'en'",
    "id,name\na,A,b": "more columns than headings",
    "id,name,id\na,A,b": "the column 'id' stands twice",
}


@pytest.mark.parametrize("text", CLASSES)
def test_a_class_that_cannot_be_used_is_told_in_one_sentence(text: str, trade: Library, tmp_path: Path) -> None:
    """File, line and column are named."""
    path = tmp_path / "class.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(UsageError) as refused:
        read_class(path, trade.folder)
    assert CLASSES[text] in str(refused.value)


def test_a_class_that_no_spreadsheet_wrote_is_told_in_one_sentence(tmp_path: Path) -> None:
    """Bytes that are no UTF-8, and a cell without end, are named with the remedy."""
    path = tmp_path / "class.csv"
    for content, said in (
        (b"id,name\na,\xff", "the class is not UTF-8 text; save it as CSV UTF-8."),
        (b'id,name\na,"' + b"x" * 200_000, "class.csv: the class cannot be read; save it as CSV UTF-8."),
    ):
        path.write_bytes(content)
        with pytest.raises(UsageError) as refused:
            read_class(path)
        assert str(refused.value).endswith(said)


def test_a_class_is_read(tmp_path: Path, trade: Library) -> None:
    """Semicolons, a byte-order mark, shares and factors, blank lines and missing columns are all read."""
    path = tmp_path / "class.csv"
    path.write_text("\ufeffid;name;extra_time;large_print\r\na1;Ada;25 %;yes\r\n;;;\r\nb2;Bo;;\r\n", "utf-8")
    assert read_class(path, trade.folder) == (Learner("a1", "Ada", 1.25, True), Learner("b2", "Bo"))
