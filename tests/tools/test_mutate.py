"""Breaking the source in small ways: what is broken, what is left alone, samples, and a copy broken and mended."""

from __future__ import annotations

import ast
from pathlib import Path

import mutate
import pytest
from mutants import Mutant, applied, mutants_of

SOURCE = '''"""A module."""
from __future__ import annotations
__all__ = ["f"]
LEAST: float = 0.5

def f(x: int | None, sizes: list[int]) -> int:
    """Double it: "a < b"."""
    total = 0
    if x is None or x < 3:
        raise ValueError(f"{x} < 3")
    for y in [s for s in sizes if s]:
        total += 2 * y
    print(total, "Ω")
    return max(total, -1)
'''


def changes(source: str = SOURCE) -> set[tuple[str, str]]:
    """What becomes of what."""
    return {(m.before, m.after) for m in mutants_of("m.py", source)}


def test_each_kind_of_change_is_made() -> None:
    """Edges, signs, and/or, numbers, conditions, filters, least and most, statements left out."""
    expected = {
        ("x < 3", "x <= 3"),
        ("x is None", "x is not None"),
        ("x is None or x < 3", "(x is None and x < 3)"),
        ("x is None or x < 3", "False"),
        ("2 * y", "(2 / y)"),
        ("0.5", "0.625"),
        ("3", "4"),
        ("s", "True"),
        ("max(total, -1)", "min(total, -1)"),
        ("total += 2 * y", "pass"),
        ('print(total, "Ω")', "pass"),
        ("-1", "(1)"),
    }
    assert expected <= changes()


def test_what_is_judged_elsewhere_is_left_alone() -> None:
    """Annotations, docstrings, names that are public, what is raised, and text stay as they are."""
    for before, after in changes():
        assert "raise" not in after
        assert not before.startswith(('"', "f'", "int"))
    assert ("int | None", "(int & None)") not in changes()
    assert mutants_of("m.py", 'x = "a" + y\nz = f(a, strict=True)\n') == []


def test_every_breakage_is_source_still_and_differs() -> None:
    """Each replaces its own bytes alone, letters beyond ASCII before it or not, and no two are the same."""
    found = mutants_of("m.py", SOURCE)
    assert len({m.key for m in found}) == len(found)
    for mutant in found:
        broken = applied(SOURCE, mutant)
        assert broken != SOURCE
        ast.parse(broken)
        data = SOURCE.encode()
        assert broken.encode().startswith(data[: mutant.start])
        assert broken.encode().endswith(data[mutant.end :])


def test_a_sample_stays_when_other_lines_come_and_go() -> None:
    """Each breakage has a draw of its own: what is added elsewhere pushes out no more than it brings in."""
    before = mutants_of("m.py", SOURCE)
    after = mutants_of("m.py", SOURCE.replace("    total = 0\n", "    total = 0\n    other = 7\n"))
    one = [m.key for m in mutate.chosen(before, 10, "a")]
    other = [m.key for m in mutate.chosen(after, 10, "a")]
    assert len(set(one) - set(other)) <= len(after) - len(before)
    assert one == [m.key for m in mutate.chosen(before, 10, "a")]
    assert one != [m.key for m in mutate.chosen(before, 10, "b")]


def test_what_the_tool_is_told_is_there() -> None:
    """Packages, nearest tests, breakages by hand and listed survivors are those of the present tree."""
    tests = mutate.settings()
    for paths in tests.packages.values():
        for mutant in mutate.mutants_in(paths):
            assert tests.tests(mutant.path)
    for _, names in tests.nearest:
        assert all((mutate.ROOT / name).exists() for name in names), names
    assert len(mutate.by_hand()) >= 29
    known = mutate.listed()
    there = {m.key for m in mutate.mutants_in(sorted({key[0] for key in known}))}
    assert set(known) <= there
    assert all(len(reason) > 30 for reason in known.values())


@pytest.mark.parametrize(("text", "outcome"), [("1 + 1 == 2", "survived"), ("1 + 1 == 3", "killed")])
def test_a_test_that_fails_is_told_from_one_that_passes(tmp_path: Path, text: str, outcome: str) -> None:
    """The copy's tests are run by a process of their own; the first that fails is named."""
    tree = mutate.Tree.__new__(mutate.Tree)
    tree.folder, tree.clock = tmp_path, 0
    (tmp_path / "pyproject.toml").write_text('[tool.pytest.ini_options]\nmarkers = ["slow", "browser"]\n')
    profile = 'settings.register_profile("few", max_examples=5)'
    (tmp_path / "conftest.py").write_text(f"from hypothesis import settings\n\n{profile}\n")
    (tmp_path / "test_a.py").write_text(f"def test_it():\n    assert {text}\n")
    assert tree.run(["test_a.py"])[0] == outcome


def test_a_broken_file_is_mended_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the tests run the breakage is in the file, with a date that no compiled copy has; afterwards it is not."""
    tree = mutate.Tree.__new__(mutate.Tree)
    tree.folder, tree.clock = tmp_path, 1_000_000_000
    path = tmp_path / mutate.SOURCE / "m.py"
    path.parent.mkdir(parents=True)
    path.write_text(SOURCE, "utf-8")
    seen: list[tuple[str, float]] = []

    def run(_: object, tests: object) -> tuple[str, str]:
        seen.append((path.read_text("utf-8"), path.stat().st_mtime))
        return "killed", "test"

    monkeypatch.setattr(mutate.Tree, "run", run)
    mutants = mutants_of("m.py", SOURCE)[:2]
    for mutant in mutants:
        assert tree.noticed(mutant, ["t"]) == ("killed", "test")
        assert path.read_text("utf-8") == SOURCE
    assert [text for text, _ in seen] == [applied(SOURCE, m) for m in mutants]
    assert len({date for _, date in seen}) == 2


def test_the_share_is_reported_by_package(capsys: pytest.CaptureFixture[str]) -> None:
    """Two of three noticed are 66.7 %; what ran into its limit of time counts as noticed."""
    here = Mutant("cases/gates.py", "f", "constant", "1", "2", 1, 0, 1)
    results = [mutate.Result(here, outcome, "") for outcome in ("killed", "survived", "timeout")]
    assert mutate.report(results, {"cases": ("cases",)}) == pytest.approx(2 / 3)
    assert "cases        66.7% of 3" in capsys.readouterr().out
