"""What is kept of earlier builds: it never changes a byte, and whatever is wrong with it, a build is as without it."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from probebook.api.workbooks import count_coverage
from probebook.cases.library import Library
from probebook.workbook.build import compiling
from probebook.workbook.build import files as building
from probebook.workbook.build import kept as keeping
from probebook.workbook.build.files import build_all
from probebook.workbook.build.kept import ENVIRONMENT, Kept, kept_builds
from probebook.workbook.build.plan import load_plans
from small_scenarios import PLAN, small_scenarios

SECOND = PLAN.replace('"small"', '"second"').replace("number = 7", 'number = 8\nafter = ["small"]')


@pytest.fixture
def scenarios(tmp_path: Path) -> Path:
    """The small scenarios with a second plan that comes after the first."""
    folder = small_scenarios(tmp_path)
    (folder / "workbooks" / "second.toml").write_text(SECOND, encoding="utf-8")
    return folder


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    """A folder in which nothing is kept yet."""
    (tmp_path / "kept").mkdir()
    return Kept(tmp_path / "kept")


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The workbooks that were compiled, in order."""
    found: list[str] = []
    compile_plan = compiling.compile_plan

    def noted(plan: Any, library: Library) -> Any:
        found.append(plan.id)
        return compile_plan(plan, library)

    monkeypatch.setattr(building, "compile_plan", noted)
    return found


def built(folder: Path, kept: Kept | None = None, language: str = "en") -> dict[str, str]:
    """Build a folder as a new process would."""
    return build_all(load_plans(folder), Library(folder, language), kept=Kept(kept.folder) if kept else None)


def edit(path: Path, pattern: str, text: str) -> None:
    """Replace what fits a pattern in a file."""
    before = path.read_text("utf-8")
    after = re.sub(pattern, text, before, count=1)
    assert after != before
    path.write_text(after, encoding="utf-8")


def test_what_did_not_change_is_not_compiled_again_and_is_the_same(
    scenarios: Path, kept: Kept, compiled: list[str]
) -> None:
    """The second build compiles nothing, and its bytes are those of a build that keeps nothing."""
    fresh = built(scenarios)
    del compiled[:]
    assert built(scenarios, kept) == fresh
    assert compiled == ["small", "second"]
    assert built(scenarios, kept) == fresh
    assert compiled == ["small", "second"]


CHANGES: dict[str, tuple[str, Callable[[Path], object], list[str]]] = {
    "its own plan": ("second", lambda f: edit(f / "workbooks/second.toml", 'seed = "test"', 'seed = "x"'), ["second"]),
    "the title of the one before": (
        "small",
        lambda f: edit(f / "workbooks/small.toml", "A small workbook", "A little workbook"),
        ["small", "second"],
    ),
    "a comment in an appliance": (
        "kettle",
        lambda f: edit(f / "appliances/kettle.toml", r"\A", "# a comment\n"),
        ["small", "second"],
    ),
    "a sentence": (
        "power",
        lambda f: edit(f / "text/en/questions/power.toml", r"\A", "# a comment\n"),
        ["small", "second"],
    ),
    "a file that is new": ("alloys", lambda f: (f / "more.toml").write_text(""), ["small", "second"]),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_changed_is_compiled_again(scenarios: Path, kept: Kept, compiled: list[str], name: str) -> None:
    """After each change the bytes are those of a build from nothing, new fingerprints and all."""
    built(scenarios, kept)
    _, change, again = CHANGES[name]
    change(scenarios)
    del compiled[:]
    found = built(scenarios, kept)
    assert compiled == again
    assert found == built(scenarios)


def test_another_language_is_another_build(scenarios: Path, kept: Kept) -> None:
    """What was built in English does not serve the marked language."""
    built(scenarios, kept)
    assert built(scenarios, kept, "qps") == built(scenarios, None, "qps")


def test_other_code_or_libraries_are_another_build(
    scenarios: Path, kept: Kept, compiled: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a changed line of code, or another library beside it, all is compiled again."""
    built(scenarios, kept)
    for name in ("_code", "_around"):
        monkeypatch.setattr(keeping, name, lambda: "another")
        del compiled[:]
        built(scenarios, kept)
        assert compiled == ["small", "second"]


@pytest.mark.parametrize("damage", ["flipped", "torn", "empty", "text", "huge", "folder", "list"])
def test_damage_is_none_of_the_build_s_business(
    scenarios: Path, kept: Kept, damage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever became of a file that was kept, the bytes are the same, and nothing is said."""
    fresh = built(scenarios, kept)
    for path in kept.folder.iterdir():
        content = path.read_bytes()
        if damage == "folder":
            path.unlink()
            path.mkdir()
            continue
        middle = len(content) // 2
        flipped = content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :]
        table = {"flipped": flipped, "torn": content[:middle], "empty": b"", "text": b"\xff\xfe", "list": b"[]"}
        path.write_bytes(table.get(damage, content))
    if damage == "huge":
        monkeypatch.setattr(keeping, "LONGEST", 10)
    assert built(scenarios, kept) == fresh


def test_a_folder_that_cannot_be_written_does_not_matter(scenarios: Path, tmp_path: Path) -> None:
    """A file stands where the folder should be: built as without it."""
    (tmp_path / "file").write_text("")
    assert built(scenarios, Kept(tmp_path / "file")) == built(scenarios)


def test_no_more_is_kept_than_may_be(scenarios: Path, kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file that was used least lately goes."""
    monkeypatch.setattr(keeping, "MOST", 3)
    for number in range(5):
        edit(scenarios / "workbooks/small.toml", 'seed = "[^"]*"', f'seed = "s{number}"')
        built(scenarios, kept)
    assert len(list(kept.folder.iterdir())) == 3


def test_where_it_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the folder that is named or the user's own for such things; not where others may write; nowhere when off."""
    monkeypatch.setenv(ENVIRONMENT, "off")
    assert kept_builds() is None
    monkeypatch.delenv(ENVIRONMENT)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    found = kept_builds()
    assert found is not None
    assert found.folder == tmp_path / "xdg" / "probebook" / "builds"
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "named"))
    found = kept_builds()
    assert found is not None
    assert found.folder == tmp_path / "named" / "builds"
    if os.name == "posix":
        found.folder.chmod(0o777)
        assert kept_builds() is None
    (tmp_path / "file").write_text("")
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "file"))
    assert kept_builds() is None


def test_coverage_is_counted_once(scenarios: Path, kept: Kept, compiled: list[str]) -> None:
    """Counted from nothing, from what was built, and from what was counted before, the figures are the same."""
    library = Library(scenarios)
    plans = load_plans(scenarios)
    fresh = count_coverage(plans, library)
    assert count_coverage(plans, library, kept=kept) == fresh
    assert compiled == ["small", "second"]
    assert count_coverage(plans, Library(scenarios), kept=Kept(kept.folder)) == fresh
    edit(scenarios / "workbooks/small.toml", "times = 2", "times = 3")
    changed = count_coverage(load_plans(scenarios), Library(scenarios), kept=kept)
    assert changed.questions == fresh.questions + 1


def test_several_processes_build_the_same(scenarios: Path, kept: Kept, tmp_path: Path) -> None:
    """Three workbooks built by two processes are those that one builds, and are kept."""
    third = PLAN.replace('"small"', '"third"').replace("number = 7", "number = 9")
    (scenarios / "workbooks" / "third.toml").write_text(third, encoding="utf-8")
    done: list[str] = []
    plans, library = load_plans(scenarios), Library(scenarios)
    found = build_all(plans, library, kept=kept, jobs=2, done=done.append)
    assert list(found.items()) == list(build_all(plans, library).items())
    assert len(done) == 3
    assert len(list(kept.folder.iterdir())) == 3
