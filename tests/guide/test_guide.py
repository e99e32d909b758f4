"""The guide is followed literally: its blocks are written where they say, and must work as they stand."""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

import probebook
from probebook.cases.library import Library
from probebook.learning.difficulty import rated_question
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Standing
from probebook.words.checking import check_words

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def block(name: str) -> str:
    """Return the code block of the guide that stands under ``<!-- guide: name -->``."""
    found = re.search(rf"<!-- guide: {re.escape(name)} -->\n```\w+\n(.*?)```", GUIDE, re.DOTALL)
    assert found, name
    return found[1]


@pytest.fixture
def scenarios(tmp_path: Path) -> Path:
    """A copy of the scenarios that may be written in."""
    return Path(shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios"))


def test_a_prompt_is_reworded_in_one_folder(scenarios: Path) -> None:
    """The sentence of the guide is put into its table: the check finds nothing, the question says it, the key stays."""
    path = scenarios / "text" / "en" / "questions" / "power.toml"
    ask = Ask("q01", Kind.POWER, "guide", options={"form": "ohms"})
    before = rated_question(ask, Library(scenarios))
    table, _, rest = path.read_text("utf-8").partition("[ohms]")
    line = next(line for line in rest.splitlines() if line.startswith("prompt = "))
    new = next(line for line in block("reword").splitlines() if line.startswith("prompt = "))
    path.write_text(f"{table}[ohms]{rest.replace(line, new, 1)}", encoding="utf-8")
    assert check_words(scenarios) == []
    after = rated_question(ask, Library(scenarios))
    assert "On the plate, the" in after.prompt
    assert after.key() == before.key()


def test_a_slip_is_added_in_one_folder(scenarios: Path) -> None:
    """The slip of the guide is appended: a learner who halves the power is told so in its words."""
    path = scenarios / "text" / "en" / "slips.toml"
    path.write_text(path.read_text("utf-8") + "\n" + block("slip"), encoding="utf-8")
    library = Library(scenarios)
    question = rated_question(Ask("q01", Kind.POWER, "guide", options={"form": "watts"}), library)
    slip = next(slip for slip in question.slips if slip.slip == "halved-for-ac")
    assert isinstance(slip.response, str)
    key = question.fields[0].band
    assert key is not None
    assert slip.band is not None
    assert slip.band.low < (key.low + key.high) / 4 < slip.band.high
    found = mark(question, {"watts": slip.response}, library.words)
    assert found.standing is Standing.SLIP
    assert "halved the power because the supply is a.c." in found.message


def test_a_slip_on_an_unknown_path_is_told(scenarios: Path) -> None:
    """A path that the form does not know is named, with those it knows."""
    path = scenarios / "text" / "en" / "slips.toml"
    wrong = block("slip").replace('path = "halved"', 'path = "quartered"')
    path.write_text(path.read_text("utf-8") + "\n" + wrong, encoding="utf-8")
    with pytest.raises(probebook.errors.ScenarioError, match="knows no wrong path 'quartered'"):
        rated_question(Ask("q01", Kind.POWER, "guide", options={"form": "watts"}), Library(scenarios))


def test_a_kind_is_added_in_one_folder(tmp_path: Path, fresh_python: Callable[..., str]) -> None:
    """The four files of the guide in one folder make a kind: found by name, built, checked, marked, slip and all."""
    folder = tmp_path / "count_wires"
    folder.mkdir()
    for name in ("__init__.py", "facts.py", "slips.py", "build.py", "words.en.toml"):
        (folder / name).write_text(block(f"kind {name}"), encoding="utf-8")
    said = fresh_python(
        f"import probebook.questions as q; q.__path__.append({str(tmp_path)!r})\n"
        "from probebook import build_question, mark_answer, load_library\n"
        "question = build_question('count-wires', 'guide')\n"
        "print(question.kind, question.title, question.key(), round(question.difficulty, 3) != 0)\n"
        "print(mark_answer(question, question.key()).standing)\n"
        "wrong = next(s for s in question.slips if s.slip == 'whole-for-part')\n"
        "print(mark_answer(question, {'earths': wrong.response}).fields[0].slip)\n"
    )
    title, right, slip = said.splitlines()
    assert title.startswith("count-wires Counting earth wires {'earths': ")
    assert title.endswith("True")
    assert (right, slip) == ("right", "whole-for-part")


def test_the_public_face_is_what_the_guide_lists() -> None:
    """``probebook.__all__`` and the table of the guide name the same things, and each can be had."""
    table = GUIDE.partition("<!-- names -->")[2].partition("<!-- end of names -->")[0]
    listed = {
        name
        for row in table.splitlines()
        if row.startswith("| `")
        for name in re.findall(r"`(\w+)`", row.split("|")[1])
    }
    assert listed == set(probebook.__all__) - {"__version__"}
    assert all(hasattr(probebook, name) for name in listed)


def test_every_path_of_the_map_exists() -> None:
    """Whatever the map 'to change X go to Y' names is there."""
    table = GUIDE.partition("## To change X go to Y")[2].partition("\n## ")[0]
    for row in table.splitlines():
        cells = row.split("|")
        if len(cells) < 4 or cells[2].strip() in ("go to", "---"):
            continue
        for path in re.findall(r"`([^`]+)`", cells[2]):
            pattern = re.sub(r"<[^>]+>|…", "*", path).rstrip("/")
            assert list(ROOT.glob(pattern)), path


def test_the_blocks_are_sound() -> None:
    """The TOML of the guide reads, and its fence says what it is."""
    for name in ("reword", "slip", "kind words.en.toml"):
        assert tomllib.loads(block(name))
