from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from question_samples import ALL, ELEMENT

from probebook.cases.library import Library, SlipNote
from probebook.errors import ScenarioError
from probebook.learning.coverage import Competence, Goal, coverage, load_competences, needed
from probebook.questions.model import Slip

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LIBRARY = Library(SCENARIOS)

TABLE = (
    Competence("A1", "reads", ("measurements", "instruments"), "Y", "S"),
    Competence("A2", "isolates", ("isolation",), "P", "S, rest M"),
    Competence("A3", "crimps", ("reassembly",), "N", "S"),
    Competence("A4", "records", ("isolation",), "Y", "T"),
)

#: Three items a competence, two kinds an outcome; half of a field's marks fail it.
GOAL = Goal(items=3, kinds=2, failing=0.5)


def note(slip: str, *competences: str) -> SlipNote:
    """A slip that is a lack of these competences."""
    return SlipNote(slip, slip, "way", "advice", "invented", competences)


def test_the_table_is_that_of_the_collected_unit_standards() -> None:
    """44 rows C01 to C44: 34 a screen can judge, 7 in part, 3 hands-on (C37, C39, C41), in fourteen themes."""
    rows = load_competences(SCENARIOS)
    assert [row.id for row in rows] == [f"C{number:02d}" for number in range(1, 45)]
    assert {screen: sum(row.screen == screen for row in rows) for screen in "YPN"} == {"Y": 34, "P": 7, "N": 3}
    assert [row.id for row in rows if row.screen == "N"] == ["C37", "C39", "C41"]
    themes = {row.theme: sum(other.theme == row.theme for other in rows) for row in rows}
    # Counted by hand from the list of unit standards, first theme of each row.
    assert themes == {
        "isolation": 6,
        "instruments": 4,
        "measurements": 4,
        "circuit reading": 4,
        "fault logic": 8,
        "elements": 2,
        "controls": 2,
        "insulation/earth": 4,
        "replacement": 3,
        "reassembly": 2,
        "verification": 1,
        "records": 1,
        "customer": 2,
        "licence": 1,
    }


def test_every_competence_of_a_slip_stands_in_the_table() -> None:
    """No slip names a competence that the table does not have, so that none is lost in counting."""
    known = {row.id for row in load_competences(SCENARIOS)}
    for slip in Library(SCENARIOS).slips.values():
        assert set(slip.competences) <= known, slip.id


def test_a_slip_counts_when_it_fails_its_field() -> None:
    """Lost marks of a half or more, or danger, fail an item; a slip that costs little proves no lack."""
    field = ELEMENT.fields[0]
    for marks, critical, counts in (
        (0.0, False, True),
        (field.marks / 2, False, True),
        (0.9 * field.marks, False, False),
        (0.0, True, True),
    ):
        slip = Slip("s1", field.key, "1 ohm", "advice", marks=marks, critical=critical)
        question = replace(ELEMENT, slips=(slip,), competences=("A4",))
        assert needed(question, {"s1": note("s1", "A1", "A2")}, GOAL.failing) == (
            {"A1", "A2", "A4"} if counts else {"A4"}
        )


def test_the_three_figures_by_hand() -> None:
    """One item for A1, none for A2 and A4, two that name the hands-on A3: 1 of 4, 1 of 3, and themes by first theme."""
    bank = [
        ("w/q1", replace(ELEMENT, slips=(), competences=("A1", "A3"))),
        ("w/q2", replace(ELEMENT, slips=(), competences=("A3",))),
    ]
    found = coverage(bank, TABLE, {}, GOAL, ("isolate",))
    assert found.overall().say(LIBRARY.words) == "1 of 4 (25 %)"
    assert found.share(found.on_screen).say(LIBRARY.words) == "1 of 3 (33 %)"
    assert {theme: (share.covered, share.of) for theme, share in found.by_theme().items()} == {
        "measurements": (1, 1),
        "isolation": (0, 2),
        "reassembly": (0, 1),
    }
    assert [row.id for row in found.out_of_scope] == ["A3"]
    assert found.items["A3"] == ("w/q1", "w/q2")
    assert found.seen().say(LIBRARY.words) == "3 of 4 (75 %)"


def test_the_goal_is_three_items_and_two_kinds() -> None:
    """Two items are short of the goal and three are not; an outcome wants two kinds; hands-on rows want nothing."""
    item = replace(ELEMENT, slips=(), competences=("A1", "A2", "A4"))
    bank = [(f"w/q{number}", item) for number in range(2)]
    short = coverage(bank, TABLE, {}, GOAL).short_of_goal(LIBRARY.words)
    assert sum(sentence.startswith(("A1", "A2", "A4")) for sentence in short) == 3
    assert not any(sentence.startswith("A3") for sentence in short)
    other = next(question for question in ALL if question.kind is not item.kind)
    bank += [("w/q3", item), ("w/q4", replace(other, outcome=item.outcome))]
    assert coverage(bank, TABLE, {}, GOAL).short_of_goal(LIBRARY.words) == []
    assert LIBRARY.assumptions.get(Goal) == GOAL


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('screen = "Y"', 'screen = "M"', "screen"),
        ('theme = "customer"', 'theme = ""', "a theme is empty"),
        ('id = "C02"', 'id = "C01"', "'C01' is listed twice"),
    ],
)
def test_a_bad_table_is_refused(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    """A screen word that is none, an empty theme and a doubled id are told in a sentence that names the file."""
    text = (SCENARIOS / "competences.toml").read_text("utf-8")
    assert old in text
    (tmp_path / "competences.toml").write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"competences\.toml") as caught:
        load_competences(tmp_path)
    assert sentence in str(caught.value)


def test_the_command_counts_the_bank_it_is_given(tmp_path: Path) -> None:
    """Over a workbook of three power questions: three items for C16, exit code 0, and 1 with ``--goal``."""
    from small_scenarios import small_scenarios

    line = [sys.executable, "-m", "probebook", "coverage", "--scenarios", str(small_scenarios(tmp_path)), "--json"]
    done = subprocess.run(line, capture_output=True, text=True, encoding="utf-8", check=False, timeout=400)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["questions"] == 3
    counts = {row["id"]: row["items"] for row in told["competences"]}
    assert counts["C16"] == 3
    assert counts["C07"] == 0
    assert told["outcomes"]["power"] == {"power": 3}
    assert told["covered"]["3"]["all"]["of"] == 44
    done = subprocess.run([*line, "--goal"], capture_output=True, check=False, timeout=400)
    assert done.returncode == 1
