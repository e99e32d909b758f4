"""A static folder: what is in it, that it asks for nothing outside and takes its place whole; same seed, same bytes."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from dataclasses import replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from probebook.cases.library import Library
from probebook.errors import ScenarioError, UsageError
from probebook.site import benches
from probebook.site.benches import practice_benches
from probebook.site.folder import MARK, put, site_files
from probebook.site.frame import ENTRY, SHEETS, policy
from probebook.site.pages import bench_page
from probebook.workbook.forms.bench import BenchModel
from probebook.workbook.forms.bundle import script
from probebook.workbook.forms.model import QuestionModel

ROOT = Path(__file__).resolve().parents[2]
TRADE = Library(ROOT / "scenarios")


@cache
def files() -> dict[str, str]:
    """A folder with one bench."""
    return site_files(TRADE, seed="folder", benches=1)


def test_a_folder_holds_owner_workbooks_benches_and_what_to_look_up() -> None:
    """The two workbooks whose plan says owner, the benches asked for, sheet, words and the list that leads to all."""
    pages = [name for name in files() if name.endswith(".html")]
    assert pages == [
        "index.html",
        "14-what-is-safe-to-look-at.html",
        "15-what-readings-mean-and-when-to-stop.html",
        "bench-01.html",
        "reference.html",
        "glossary.html",
    ]
    linked = re.findall(r'href="([^"#]+\.html)"', files()["index.html"])
    assert sorted(linked) == sorted(pages[1:])


def test_the_same_seed_gives_the_same_bytes() -> None:
    """Made again, by another library that read the same files."""
    assert site_files(Library(ROOT / "scenarios"), seed="folder", benches=1) == files()


@pytest.mark.parametrize("name", ["index.html", "14-what-is-safe-to-look-at.html", "bench-01.html"])
def test_a_page_holds_all_that_it_needs(name: str) -> None:
    """Nothing is loaded: no address but those of our own pages, of drawings as data, and of names of standards."""
    page = files()[name]
    code = script(ENTRY)
    rest = page.replace(code, "")
    assert re.findall(r'<(?:script|link|img|iframe)[^>]+(?:src|href)="(?!data:)[^"]*"', rest) == []
    addresses = set(re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}[^\s\"'<)]*", page))
    assert {address.split("//")[1].split("/")[0] for address in addresses} <= {"www.w3.org"}


@pytest.mark.parametrize("name", ["index.html", "bench-01.html"])
def test_the_policy_lets_run_what_is_in_the_page_and_nothing_else(name: str) -> None:
    """Script and style stand in the policy by their digests (CSP level 3, hash sources); no source is open."""
    page = files()[name]
    (code,) = re.findall(r"<script>(.*?)</script>\n</body>", page, re.DOTALL)
    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    for text in (code, style):
        assert f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}" in policy()
    assert "default-src 'none'" in policy()
    assert not re.search(r"unsafe-inline|http|'self'|\*", policy())


def test_no_page_ends_its_own_script_early() -> None:
    """What a page is told holds no end of a script, whatever a template says."""
    for name, page in files().items():
        if name.endswith(".html"):
            (told,) = re.findall(r'<script type="application/json" id="pb-told">(.*?)</script>', page, re.DOTALL)
            assert json.loads(told)["name"]


def test_a_bench_page_keeps_its_key_apart_from_its_table() -> None:
    """The table of a bench names no right conclusion; the key, beside it, does: for practice, in the open."""
    (told,) = re.findall(r'id="pb-told">(.*?)</script>', files()["bench-01.html"], re.DOTALL)
    bench = json.loads(told)["bench"]
    right = bench["key"]["right"]
    assert right
    elsewhere = {key: value for key, value in bench["table"].items() if key not in ("job", "says")}
    assert not any(f'"{name}"' in json.dumps(elsewhere) for name in right)


def test_a_folder_takes_its_place_whole(tmp_path: Path) -> None:
    """Put twice: the second replaces the first, and nothing of it is left; nothing lies about beside it."""
    folder = tmp_path / "site"
    put({"a.html": "1", MARK: "x"}, folder)
    put({"b.html": "2", MARK: "x"}, folder)
    assert sorted(path.name for path in folder.iterdir()) == [MARK, "b.html"]
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    """A folder that holds anything not ours is refused in one sentence, and stays as it is."""
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(UsageError, match="something else already") as told:
        put({"a.html": "1", MARK: "x"}, tmp_path)
    assert str(tmp_path) in str(told.value)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_what_is_bundled_is_the_source_and_nothing_else() -> None:
    """Every line of a module stands in the script, but for imports and exports, each in a scope of its own."""
    code = script(ENTRY)
    assert "import " not in re.sub(r"//.*|/\*.*?\*/", "", code, flags=re.DOTALL).replace("import(", "")
    for path in ("workbook/static/form/bench.js", "workbook/static/table/table-bench.js"):
        source = (ROOT / "src" / "probebook" / path).read_text("utf-8")
        body = [line for line in source.splitlines() if line and not line.startswith(("import", "export", "}"))]
        assert all(line in code for line in body)


def test_a_page_wears_all_that_its_forms_and_benches_wear() -> None:
    """Every sheet of style of the form and of the bench of a notebook is among those of a page."""
    needed = {f"workbook/static/{name}.css" for name in (*QuestionModel.sheets, *BenchModel.sheets)}
    assert needed <= set(SHEETS)


def test_no_bench_to_be_made_is_said_and_not_tried_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """A whole round without a bench ends in one sentence that names the last reason; a bench begins the count anew."""
    turns = len(benches.APPLIANCES) * len(benches.LEVELS)
    whole, tried = benches.build_question, []

    def build(ask: Any, library: Any) -> Any:
        tried.append(ask)
        if len(tried) == (turns - 1) * benches.DRAWS + 1:
            return whole(ask, library)
        raise ScenarioError("nothing fits", where="appliances/x.toml", remedy="mend it")

    monkeypatch.setattr(benches, "build_question", build)
    found = practice_benches(TRADE, "none", 2)
    next(found)
    with pytest.raises(ScenarioError) as told:
        next(found)
    sentence = f"no bench could be made in a whole round of {turns} tries; the last: nothing fits"
    assert str(told.value) == f"appliances/x.toml: {sentence}; mend it."
    assert len(tried) == (turns - 1) * benches.DRAWS + 1 + turns * benches.DRAWS


def test_what_a_bench_says_is_html() -> None:
    """Sentences about a job and the advice of its slips are Markdown made HTML: no mark of a template is a tag."""
    made = next(practice_benches(TRADE, "folder", 1))
    slips = tuple(replace(slip, advice="**Stop** < 50 V & wait") for slip in made.question.slips)
    _, page = bench_page(1, replace(made, question=replace(made.question, slips=slips)), TRADE)
    (told,) = re.findall(r'id="pb-told">(.*?)</script>', page, re.DOTALL)
    advice = json.loads(told)["bench"]["words"]["advice"]
    assert advice
    assert set(advice.values()) == {"<strong>Stop</strong> &lt; 50 V &amp; wait"}


def test_a_folder_that_cannot_be_looked_into_is_said_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Permission refused while the old folder is looked at: one sentence with the folder, and no trace of Python."""

    def refused(self: Path) -> None:
        raise PermissionError(13, "Permission denied", str(self))

    (tmp_path / "site").mkdir()
    monkeypatch.setattr(Path, "iterdir", refused)
    with pytest.raises(UsageError, match=r"cannot be written \(permission denied\)") as told:
        put({"a.html": "1", MARK: "x"}, tmp_path / "site")
    assert str(tmp_path / "site") in str(told.value)
