"""The moderation pack: every item with its key, verdicts that are kept, and the agreement of two markers."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from classes import PASSPHRASE, Class
from click.testing import CliRunner
from sitters import right, sit
from statsmodels.stats.inter_rater import cohens_kappa

from probebook.api import assessing
from probebook.api.moderating import moderate_set
from probebook.assessment.marking.overrides import Override
from probebook.assessment.moderation.agreement import agreement, kappa
from probebook.assessment.moderation.pack import Compared, compare, moderated_items
from probebook.assessment.moderation.page import moderation_page
from probebook.cases.library import Library, library
from probebook.cli import cli
from probebook.errors import UsageError
from probebook.questions.model import REWORDED, FieldKind, Option
from probebook.workbook.markup import safe

# ---------------------------------------------------------------- agreement

#: Fleiss, Levin and Paik, Statistical Methods for Rates and Proportions (3rd edition, 2003), section 18.1: 100 patients
#: whom two judges called psychotic, neurotic or organic. Kappa .68, its standard error .087. From memory.
DIAGNOSES = ((75, 1, 4), (5, 4, 1), (0, 0, 10))
#: Fleiss, Cohen and Everitt 1969 (Psychological Bulletin 72, 323-327), table 1: 200 cases, kappa .429, standard error
#: .0537. Counts from memory; the error is also in the notes to chapter 2 of davidakenny.net/kkc.
COHEN = ((106, 10, 4), (22, 28, 10), (2, 12, 6))


def test_kappa_is_that_of_published_examples() -> None:
    """Two worked examples of the literature come out to the digits printed there."""
    found = kappa(DIAGNOSES)
    assert (found.pairs, round(found.alike, 2), round(found.chance, 2)) == (100, 0.89, 0.66)
    assert round(found.kappa, 2) == 0.68
    assert found.error == pytest.approx(0.087, abs=0.001)
    found = kappa(COHEN)
    assert round(found.kappa, 3) == 0.429
    assert round(found.error, 4) == 0.0537


@pytest.mark.parametrize(
    "table", [DIAGNOSES, COHEN, ((0, 4, 1), (0, 8, 0), (0, 1, 5)), ((10, 2), (7, 1)), ((5, 0), (0, 5))]
)
def test_kappa_is_that_of_statsmodels(table: tuple[tuple[int, ...], ...]) -> None:
    """Kappa and its standard error are those of statsmodels, to nine digits."""
    found, other = kappa(table), cohens_kappa(table)
    assert found.kappa == pytest.approx(float(other.kappa), abs=1e-9)
    assert found.error == pytest.approx(math.sqrt(max(float(other.var_kappa), 0.0)), abs=1e-9)


def test_agreement_of_nobody_and_of_one_category_cannot_be_told() -> None:
    """No pairs, or always the same category: nan, and nothing breaks."""
    assert agreement([], []).pairs == 0
    found = agreement(["all", "all"], ["all", "all"])
    assert (found.alike, math.isnan(found.kappa)) == (1.0, True)


# ---------------------------------------------------------------- the pack


@pytest.fixture(scope="module")
def pack(five: Class, trade: Library, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pack of the class of five, as it was first written."""
    folder = tmp_path_factory.mktemp("pack")
    moderate_set(five.papers, folder, trade)
    return folder


def test_every_item_stands_with_its_key_on_the_page(five: Class, pack: Path, trade: Library) -> None:
    """Each distinct item of each paper is there by name, with its key, its difficulty and its proof."""
    items = moderated_items(five.papers, lambda language: library(trade.folder, "gb", language))
    page = (pack / "moderation.html").read_text("utf-8")
    assert sum(each.given for each in items) == sum(len(paper.items) for paper in five.papers.papers)
    assert len({each.name for each in items}) == len(items)
    assert all(f'id="{each.name}"' in page and not each.broken for each in items)
    assert page.count("The key, given through the form that a learner is given, earned") == len(items)
    for each in items:
        assert f"Difficulty {each.item.question.difficulty:.2f} logits." in page.replace("−", "-")
        for field in each.item.question.fields:
            if isinstance(field.answer, str) and not field.options:
                assert safe(field.answer) in page
    assert "<script" not in page


def test_a_key_that_does_not_hold_is_said(five: Class, tmp_path: Path, trade: Library) -> None:
    """An item whose key is another's earns nothing through the form: page and command name it."""
    paper = five.papers.papers[0]
    item = next(i for i in paper.items if [f.kind for f in i.question.fields] == [FieldKind.QUANTITY])
    field = item.question.fields[0]
    broken = replace(item, question=replace(item.question, fields=(replace(field, answer="123456789"),)))
    items = tuple(broken if each is item else each for each in paper.items)
    papers = replace(five.papers, papers=(replace(paper, items=items),))
    said = moderate_set(papers, tmp_path, trade)
    assert said[-1].startswith("The key does not hold of ")
    assert f"The key does not hold: the key of {item.question.id} earns" in (tmp_path / "moderation.html").read_text(
        "utf-8"
    )


def test_verdicts_are_kept_once_and_shown(five: Class, pack: Path, tmp_path: Path, trade: Library) -> None:
    """What was typed in stands in the record and on the page; read again it adds nothing; the same bytes."""
    names = [line.split(",")[0] for line in (pack / "moderation.csv").read_text("utf-8").splitlines()[1:]]
    assert names[0] == "all"
    sheet = tmp_path / "signed.csv"
    sheet.write_text(
        "item,verdict,by,on,note\n"
        f"{names[1]},agreed,Dee Ohm,2026-06-12,\n"
        f"{names[2]},Change,<b>Eve</b>,2026-06-13,=the band is wide\n{names[3]},,,,\n",
        "utf-8",
    )
    given = ["moderate", "--key", str(five.key), "--out", str(tmp_path / "out"), "--sign", str(sheet)]
    (tmp_path / "pass").write_text(PASSPHRASE, "utf-8")
    kept = []
    for _ in range(2):
        done = CliRunner().invoke(cli, [*given, "--passphrase-file", str(tmp_path / "pass")], catch_exceptions=False)
        assert done.exit_code == 0
        assert "2 items are signed in" in done.output
        kept.append([(tmp_path / "out" / name).read_bytes() for name in ("moderation.json", "moderation.html")])
    assert kept[0] == kept[1]
    signed = json.loads(kept[0][0])["signed"]
    assert [(each["item"], each["verdict"], each["by"], each["on"]) for each in signed] == [
        (names[1], "agreed", "Dee Ohm", "2026-06-12"),
        (names[2], "change", "<b>Eve</b>", "2026-06-13"),
    ]
    page = kept[0][1].decode()
    assert "Agreed: Dee Ohm, 2026-06-12." in page
    assert "To be changed: &lt;b&gt;Eve&lt;/b&gt;, 2026-06-13. =the band is wide" in page


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("nothing,agreed,Dee,2026-06-12,", "s.csv: line 2: item: there is no item 'nothing'; copy it from the pack."),
        ("all,agred,Dee,2026-06-12,", "s.csv: line 2: verdict: 'agred' is no verdict; did you mean 'agreed'."),
        ("all,agreed,,2026-06-12,", "s.csv: line 2: by: it is not said who signs; write a name, and a short note."),
        ("all,agreed,Dee,yesterday,", "s.csv: line 2: on: 'yesterday' is no day; write it as 2026-06-12."),
        ("all,change,Dee,2026-06-12,", "s.csv: line 2: note: it is not said what is to change; say it in a few words."),
        ("all,agreed", "s.csv: line 2: this line has 2 columns; write item,verdict,by,on,note."),
    ],
)
def test_a_bad_verdict_is_refused_and_nothing_written(
    five: Class, tmp_path: Path, trade: Library, line: str, said: str
) -> None:
    """One sentence names file, line and column."""
    sheet = tmp_path / "s.csv"
    sheet.write_text(f"item,verdict,by,on,note\n{line}\n", "utf-8")
    with pytest.raises(UsageError) as error:
        moderate_set(five.papers, tmp_path / "out", trade, signed=sheet)
    assert str(error.value) == said
    assert not (tmp_path / "out").exists()


def test_a_record_that_is_damaged_or_of_another_set_is_left_alone(five: Class, tmp_path: Path, trade: Library) -> None:
    """One sentence, and the file stays as it is."""
    path = tmp_path / "moderation.json"
    verdict = {"item": "all", "verdict": "perhaps", "by": "Dee", "on": "2026-06-12", "note": ""}
    foreign = json.dumps({"format": 1, "set": five.papers.id, "signed": [verdict]})
    for text, said in (
        ("{", "the record of moderation is damaged"),
        (foreign, "the record of moderation is damaged"),
        ('{"format": 1, "set": "another", "signed": []}', "another set was moderated here"),
    ):
        path.write_text(text, "utf-8")
        with pytest.raises(UsageError, match=said):
            moderate_set(five.papers, tmp_path, trade)
        assert path.read_text("utf-8") == text


def test_verdicts_that_are_not_signed_yet_stay_in_their_sheet(five: Class, tmp_path: Path, trade: Library) -> None:
    """A pack written again leaves the sheet as somebody saved it, signed or not, and writes the page anew."""
    moderate_set(five.papers, tmp_path, trade)
    sheet, page = tmp_path / "moderation.csv", tmp_path / "moderation.html"
    typed = sheet.read_bytes().replace(b"all,,,,", b"all,agreed,Dee Ohm,2026-06-12,")
    assert b"Dee Ohm" in typed
    sheet.write_bytes(typed)
    page.unlink()
    moderate_set(five.papers, tmp_path, trade)
    assert sheet.read_bytes() == typed
    assert page.is_file()
    moderate_set(five.papers, tmp_path, trade, signed=sheet)
    assert sheet.read_bytes() == typed
    assert "Agreed: Dee Ohm, 2026-06-12." in page.read_text("utf-8")


def test_a_sign_off_in_another_encoding_is_refused(five: Class, tmp_path: Path, trade: Library) -> None:
    """Bytes that are no UTF-8 are not read with letters lost: one sentence, and nothing is written."""
    sheet = tmp_path / "s.csv"
    sheet.write_bytes(b"item,verdict,by,on,note\nall,agreed,J\xff,2026-06-12,\n")
    with pytest.raises(UsageError) as error:
        moderate_set(five.papers, tmp_path / "out", trade, signed=sheet)
    assert str(error.value) == f"{sheet}: the sign-off is not UTF-8 text; save it as CSV UTF-8."
    assert not (tmp_path / "out").exists()


def test_the_pack_is_never_put_beside_the_papers(five: Class, trade: Library) -> None:
    """The page holds every key: the folder of learners' papers is refused before anything is read or written."""
    folder = five.folder / "papers"
    before = sorted(folder.iterdir())
    with pytest.raises(UsageError, match="the papers of learners lie in this folder"):
        moderate_set(five.papers, folder, trade, marks=folder / "nowhere")
    assert sorted(folder.iterdir()) == before


def test_items_that_differ_in_a_wrong_option_only_are_two(five: Class, trade: Library) -> None:
    """Another wrong option is another item, of a kind whose texts are reworded too; another order is none."""
    paper, item = next(
        (paper, each)
        for paper in five.papers.papers
        for each in paper.items
        if each.question.kind in REWORDED and each.question.fields[0].kind is FieldKind.CHOICE
    )
    field, *rest = item.question.fields
    at = next(place for place, option in enumerate(field.options) if option.id != field.answer)
    other = replace(field.options[at], text="an option that stands nowhere else")

    def names(options: tuple[Option, ...]) -> int:
        changed = replace(item, question=replace(item.question, fields=(replace(field, options=options), *rest)))
        papers = replace(five.papers, papers=(replace(paper, items=(item, changed)),))
        return len(moderated_items(papers, lambda language: library(trade.folder, "gb", language)))

    assert names((*field.options[:at], other, *field.options[at + 1 :])) == 2
    assert names(tuple(reversed(field.options))) == 1


def test_the_interval_of_kappa_ends_where_kappa_does(five: Class, trade: Library) -> None:
    """Three answers, two judged alike: kappa 0.4, and the interval that the error gives would go beyond 1."""
    found = agreement(["all", "all", "none"], ["all", "none", "none"])
    assert found.kappa == pytest.approx(float(cohens_kappa([[1, 1], [0, 1]]).kappa))
    assert found.kappa + 1.96 * found.error > 1
    page = moderation_page(five.papers, [], (), trade.words, {}, Compared(found, ()))
    assert "to 1.00)" in page
    found = agreement(["all", "none", "none", "none"], ["none", "all", "none", "all"])
    assert found.kappa - 1.96 * found.error < -1
    page = moderation_page(five.papers, [], (), trade.words, {}, Compared(found, ()))
    assert "interval -1.00 to" in page


def test_two_markers_are_compared(five: Class, room: Path, tmp_path: Path, trade: Library) -> None:
    """Of four answers both marked by hand, three alike in none, some, all: kappa as statsmodels has it; one named."""
    paper = five.papers.papers[0]
    (tmp_path / "in").mkdir()
    sit(room, five.name(0), paper, right(paper))
    (room / f"{five.name(0)}.handin.json").rename(tmp_path / "in" / "one.handin.json")
    four = [item.question.id for item in paper.items if item.question.marks == 2][:4]
    marks = dict(zip(four, ((2, 2), (0, 0), (1, 1), (2, 1)), strict=True))
    for name, at in (("first", 0), ("second", 1)):
        lines = "".join(f"l1,{item},{pair[at]},{name} marker,because\n" for item, pair in marks.items())
        (tmp_path / f"{name}.csv").write_text(f"paper,item,marks,by,why\n{lines}", "utf-8")
    out = tmp_path / "marks"
    found = assessing.mark_folder(tmp_path / "in", five.papers, out, trade, overrides=tmp_path / "first.csv")
    moderate_set(five.papers, tmp_path / "pack", trade, marks=out, second=tmp_path / "second.csv")
    second = [Override(paper.id, item, float(pair[1]), "second marker", "because") for item, pair in marks.items()]
    compared = compare(found, second)
    table = [[1, 0, 1], [0, 1, 0], [0, 0, 1]]
    assert compared.found.kappa == pytest.approx(float(cohens_kappa(table).kappa))
    assert [(each.item, each.one, each.other) for each in compared.disputed] == [(four[3], 2.0, 1.0)]
    page = (tmp_path / "pack" / "moderation.html").read_text("utf-8")
    assert "4 answers were marked by hand by both." in page
    assert "<td>2 (first marker)</td><td>1 (second marker)</td>" in page
    assert "Given to 1 learner. They earned" in page


def test_two_markers_need_marks(five: Class, tmp_path: Path, trade: Library) -> None:
    """Without the folder of marks there is nothing to compare."""
    with pytest.raises(UsageError, match="two markers are compared on a class that was marked"):
        moderate_set(five.papers, tmp_path, trade, second=tmp_path / "second.csv")
