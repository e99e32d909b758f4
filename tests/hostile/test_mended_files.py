"""What broken files once brought down: each is now read, or refused in one sentence that says where."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from file_kinds import EVIDENCE

from probebook.api import explain, load_library, read_evidence
from probebook.errors import ProbebookError, ScenarioError, UsageError
from probebook.page.facts import PageTexts
from probebook.page.reading import read_notebook
from probebook.page.standing import page_words
from probebook.questions.codec import read_sheet
from probebook.scenario_layers import MARKER, layers
from probebook.words.language_files import read_language
from probebook.workbook.finding import LONGEST_NOTEBOOK
from probebook.workbook.language import sheet_words

ROOT = Path(__file__).resolve().parents[2]
KEY = json.loads((ROOT / "answer_keys" / "14-what-is-safe-to-look-at.json").read_text("utf-8"))


def test_evidence_that_nothing_comes_near_is_explained(tmp_path: Path) -> None:
    """45.8 Ω and OL between the same terminals, with a complaint: no single failure is left, and that is no crash."""
    library, path = load_library(ROOT / "scenarios"), tmp_path / "evidence.toml"
    path.write_text(EVIDENCE, "utf-8")
    oven = library.appliance("conventional-oven")
    assert explain(oven, read_evidence(path, oven), library).to_json()


@pytest.mark.parametrize("text", ['{"reading": [', '{"reading": [] "x"}', "{'reading': []}", '{"a": "\n"}', "{} {}"])
def test_broken_json_is_placed_in_our_words(tmp_path: Path, text: str) -> None:
    """Line and column, and nothing that the library says of them."""
    (tmp_path / "e.json").write_text(text, "utf-8")
    with pytest.raises(ScenarioError, match=r"^e\.json: the text is not valid JSON; look at line \d+, column \d+\.$"):
        read_evidence(tmp_path / "e.json", load_library(ROOT / "scenarios").appliance("kettle"))


@pytest.mark.parametrize("base", ["x" * 300, "x " * 3000, "a\\u0000b", "9/" * 4000])
def test_a_base_that_no_system_can_have_is_refused(tmp_path: Path, base: str) -> None:
    """A name that is far too long is no folder of scenario files."""
    (tmp_path / MARKER).write_text(f'base = "{base}"\n', "utf-8")
    with pytest.raises(ScenarioError, match=rf"^{MARKER}: base: "):
        layers(tmp_path)


def _meta(**told: Any) -> Callable[[dict[str, Any]], None]:
    return lambda key: key["meta"].update(told)


def _words(segments: Any) -> Callable[[dict[str, Any]], None]:
    return lambda key: key["meta"]["words"]["groups"]["questions/marking/part"].update(right=segments)


def _listed(key: dict[str, Any]) -> None:
    """A slip in a choice that is answered by a list."""
    slips = next(question for question in key["questions"] if question["id"] == "q02")["slips"]
    slips[0]["response"] = ["a"]


BROKEN: dict[str, tuple[Callable[[dict[str, Any]], None], str]] = {
    "outcomes that are a list": (_meta(outcomes=["x"]), "meta.outcomes"),
    "an outcome that is a number": (_meta(outcomes={"stop": 5}), "meta.outcomes"),
    "a language that is a number": (_meta(language=5), "meta.language"),
    "a title that is a list": (_meta(title=[]), "meta.title"),
    "words that are a list": (_meta(words=[]), "meta.words"),
    "a sentence that is a number": (_words(1.5), "meta.words"),
    "a sentence with an empty hole": (_words([[]]), "meta.words"),
    "a sentence with a hole of a number": (_words([[5]]), "meta.words"),
    "a sentence with half a way": (_words([["why", ["plural", []]]]), "meta.words"),
    "a sentence whose way is given a table": (_words([["why", ["plural", [{}], {}]]]), "meta.words"),
    "a language with a sign that is a number": (
        lambda key: key["meta"]["words"]["language"].update(decimal=5), "meta.words",
    ),
    "a slip in a choice that is a list": (_listed, "response"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_marking_sheet_is_refused(tmp_path: Path, name: str) -> None:
    """It is told with its key when the sheet is read, or when its words are; nothing waits to fail in a page."""
    change, where = BROKEN[name]
    key = copy.deepcopy(KEY)
    change(key)
    (tmp_path / "key.json").write_text(json.dumps(key), "utf-8")
    with pytest.raises(ScenarioError) as caught:
        sheet_words(read_sheet(tmp_path / "key.json"))
    assert where in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize("language", ["", "xx", "../../..", '"><img src=x>', "a" * 500, "\0"])
def test_pages_are_in_english_where_the_language_is_none(language: str) -> None:
    """What a notebook says of its language is looked up among those that there are, and never a path."""
    assert page_words(language).say(PageTexts(), "all-workbooks") == page_words("en").say(PageTexts(), "all-workbooks")


def test_a_notebook_that_is_too_large_is_said_to_be(tmp_path: Path) -> None:
    """It is not read, and the sentence says why."""
    with (tmp_path / "x.ipynb").open("wb") as stream:
        stream.truncate(LONGEST_NOTEBOOK + 1)
    with pytest.raises(UsageError, match="far too large"):
        read_notebook(tmp_path / "x.ipynb")


@pytest.mark.parametrize("line", ["articles = 5", 'articles = { the = "x" }', "decimal = 5", "months = [1]"])
def test_a_language_of_the_wrong_kind_is_refused(tmp_path: Path, line: str) -> None:
    """The key is named; nothing of it reaches the library that knows of languages."""
    (tmp_path / "text" / "xx").mkdir(parents=True)
    (tmp_path / MARKER).write_text(f'base = "{ROOT / "scenarios"}"\n', "utf-8")
    (tmp_path / "text" / "xx" / "language.toml").write_text(f'locale = "pl"\n{line}\n', "utf-8")
    with pytest.raises(ProbebookError, match=rf"text/xx/language\.toml: {line.split(' ')[0]}"):
        read_language(tmp_path / "text" / "xx", "xx", english=False)
