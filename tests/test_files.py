"""Whole files or none, and one spelling of JSON."""

from __future__ import annotations

import errno
import json
import math
import multiprocessing
import os
import shutil
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook import files
from probebook.api.workbooks import write_files
from probebook.errors import UsageError
from probebook.files import canonical_json, scratch, sweep, write_all, write_atomic
from probebook.workbook.finding import find_sheet


def names(folder: Path) -> list[str]:
    """Return what a folder holds."""
    return sorted(path.name for path in folder.iterdir())


def test_writes_bytes_and_text_unchanged(tmp_path: Path) -> None:
    """Bytes arrive as they are, and text as UTF-8 with its line ends untouched."""
    write_atomic(tmp_path / "a", b"\x00\xff\r\n")
    write_atomic(tmp_path / "b", "47 Ω\r\nnext\n")
    assert (tmp_path / "a").read_bytes() == b"\x00\xff\r\n"
    assert (tmp_path / "b").read_bytes() == b"47 \xce\xa9\r\nnext\n"


def test_replaces_and_leaves_nothing_else(tmp_path: Path) -> None:
    """A second write replaces the first, and no temporary file stays behind."""
    write_atomic(tmp_path / "a", "old")
    write_atomic(tmp_path / "a", "new")
    assert (tmp_path / "a").read_text() == "new"
    assert names(tmp_path) == ["a"]


@pytest.mark.parametrize("step", ["fsync", "fdopen"])
def test_failure_keeps_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    """When the disk fails half-way, the old file is still whole and no temporary file stays."""
    target = tmp_path / "a"
    target.write_text("old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, step, fail)
    with pytest.raises(UsageError) as caught:
        write_atomic(target, "new")
    assert target.read_text() == "old"
    assert names(tmp_path) == ["a"]
    assert str(caught.value) == (
        f"{target}: the file cannot be written (no space left on device); "
        "check that the folder exists, is writable and has room."
    )


def test_an_interrupt_keeps_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopping the program half-way passes the interrupt on and leaves the old file alone."""
    target = tmp_path / "a"
    target.write_text("old")

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(files.os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_atomic(target, "new")
    assert (target.read_text(), names(tmp_path)) == ("old", ["a"])


def test_missing_folder_is_one_sentence(tmp_path: Path) -> None:
    """A folder that is not there is told as such, with how to mend it."""
    with pytest.raises(UsageError, match=r"no such file or directory.*check that the folder exists"):
        write_atomic(tmp_path / "nowhere" / "a", "x")


def test_permissions_are_kept_and_new_files_follow_the_umask(tmp_path: Path) -> None:
    """A replaced file keeps its permissions; a new one gets what any new file would get."""
    old = tmp_path / "old"
    old.write_text("x")
    old.chmod(0o640)
    plain = tmp_path / "plain"
    plain.write_text("x")
    write_atomic(old, "y")
    write_atomic(tmp_path / "new", "y")
    assert stat.S_IMODE(old.stat().st_mode) == 0o640
    assert (tmp_path / "new").stat().st_mode == plain.stat().st_mode


def test_canonical_json_text() -> None:
    """Keys are sorted, letters stay readable, the indent is one space and the end one newline."""
    assert canonical_json({"b": [1, 2.5], "a": "47 Ω"}) == '{\n "a": "47 Ω",\n "b": [\n  1,\n  2.5\n ]\n}\n'


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_canonical_json_refuses_what_json_cannot_hold(number: float) -> None:
    """RFC 8259 section 6 permits no nan and no infinity, so neither is written."""
    with pytest.raises(ValueError, match="JSON"):
        canonical_json({"reading": [number]})


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(st.characters(codec="utf-8")), inner),
    max_leaves=20,
)


@given(PLAIN)
def test_canonical_json_round_trip(data: object) -> None:
    """Plain data comes back equal from Python's own reader, and is spelt the same again."""
    text = canonical_json(data)
    assert json.loads(text) == data
    assert canonical_json(json.loads(text)) == text


@given(st.dictionaries(st.text(max_size=3), st.integers(), min_size=2))
def test_canonical_json_ignores_the_order_of_keys(data: dict[str, int]) -> None:
    """The order in which a table was filled leaves no trace in its spelling."""
    assert canonical_json(data) == canonical_json(dict(reversed(data.items())))


def test_files_that_belong_together_are_all_staged_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the third cannot be staged, the first two are the old ones, and nothing else is left."""
    paths = [tmp_path / part / name for part, name in (("a", "1"), ("b", "1"), ("a", "2"))]
    write_all(dict.fromkeys(paths, "old"))
    made: list[int] = []

    def full(handle: int) -> None:
        made.append(handle)
        if len(made) == 3:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(UsageError, match=r"a/2: the file cannot be written \(no space left on device\)"):
        write_all(dict.fromkeys(paths, "new"))
    assert [path.read_text() for path in paths] == ["old"] * 3
    assert names(tmp_path / "a") + names(tmp_path / "b") == ["1", "2", "1"]


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file where a folder should be: one sentence."""
    (tmp_path / "a").write_text("")
    with pytest.raises(UsageError, match="cannot be written"):
        write_all({tmp_path / "a" / "b" / "c": "x"})


def test_what_killed_processes_left_is_swept(tmp_path: Path) -> None:
    """Files of processes that are gone go, those of one that runs stay, and so does everything else."""
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    stay = [f".x.{os.getppid()}.abc.probebook-tmp", "x", ".x"]
    for name in (*stay, f".x.{gone.pid}.abc.probebook-tmp", ".x.abcdef.probebook-tmp"):
        (tmp_path / name).write_text("")
    sweep(tmp_path)
    assert names(tmp_path) == sorted(stay)


_WRITER = """
import sys
from pathlib import Path
from probebook.files import write_all
folder, kilo = Path(sys.argv[1]), "x" * 100_000
for number in range(10**9):
    write_all({folder / part / name: f"{number} {kilo} {number}" for name in "123" for part in "ab"})
    if number == 0:
        print("ready", flush=True)
"""


def test_killed_while_writing_every_file_is_whole(tmp_path: Path) -> None:
    """Killed at twelve moments: no file is half of one, at most one step of the writing parts them; none is stray."""
    for moment in range(12):
        writer = subprocess.Popen([sys.executable, "-c", _WRITER, str(tmp_path)], stdout=subprocess.PIPE)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(0.003 * moment)
        writer.kill()
        writer.wait()
        writer.stdout.close()
        builds = set()
        for path in tmp_path.glob("[ab]/[123]"):
            first, kilo, last = path.read_text().split(" ")
            assert (first, len(kilo)) == (last, 100_000)
            builds.add(int(first))
        assert max(builds) - min(builds) <= 1
    write_all({tmp_path / "a" / "1": "x"})
    for part in "ab":
        sweep(tmp_path / part)
        assert names(tmp_path / part) == ["1", "2", "3"]


def build_files(build: str) -> dict[str, str]:
    """Three workbooks and their keys, as far as who belongs to whom is concerned."""
    found = {}
    for stem in ("01-a", "02-b", "03-c"):
        found[f"workbooks/{stem}.ipynb"] = json.dumps({"metadata": {"probebook": {"build": f"{build} {stem}"}}})
        found[f"answer_keys/{stem}.json"] = json.dumps({"meta": {"build": f"{build} {stem}"}})
    return found


def killed_at(step: int, folder: Path) -> None:
    """In a process of its own: write the second build, and be killed before a file takes its place or its last name."""
    taken = [0]
    replace = Path.replace

    def counted(self: Path, target: Path) -> Path:
        if taken[0] == step:
            os.kill(os.getpid(), signal.SIGKILL)
        taken[0] += 1
        return replace(self, target)

    Path.replace = counted  # type: ignore[method-assign, assignment]
    write_files(build_files("second"), folder)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks")
@pytest.mark.parametrize("is_first", [False, True], ids=["over another", "the first"])
def test_killed_at_any_step_every_notebook_finds_the_key_of_its_build(is_first: bool, tmp_path: Path) -> None:
    """Killed before each of the nine steps of putting six files in place; the next build leaves those six alone."""
    context = multiprocessing.get_context("fork")
    for step in range(10):
        for part in ("workbooks", "answer_keys") if is_first else ():
            shutil.rmtree(tmp_path / part, ignore_errors=True)
        if not is_first:
            write_files(build_files("first"), tmp_path)
        child = context.Process(target=killed_at, args=(step, tmp_path))
        child.start()
        child.join()
        assert child.exitcode == (-signal.SIGKILL if step < 9 else 0)
        for notebook in (tmp_path / "workbooks").glob("*.ipynb"):
            key = find_sheet(notebook.stem, tmp_path / "workbooks")
            builds = json.loads(notebook.read_text())["metadata"]["probebook"], json.loads(key.read_text())["meta"]
            assert builds[0] == builds[1]
    write_files(build_files("third"), tmp_path)
    assert {f"{part}/{name}" for part in ("workbooks", "answer_keys") for name in names(tmp_path / part)} == set(
        build_files("third")
    )


def test_a_scratch_folder_goes_and_takes_those_of_killed_processes_along(tmp_path: Path) -> None:
    """Made beside what it is for, gone afterwards; one inside another is left alone."""
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    left = tmp_path / f".site.{gone.pid}.abc.probebook-tmp"
    (left / "fresh").mkdir(parents=True)
    with scratch(beside=tmp_path / "site") as outer:
        assert not left.exists()
        with scratch(beside=tmp_path / "site") as inner:
            assert (outer.is_dir(), inner.is_dir()) == (True, True)
        assert names(tmp_path) == [outer.name]
    assert names(tmp_path) == []


def test_a_private_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    """From its first byte on nobody else may read it."""
    write_all({tmp_path / "key": "x", tmp_path / "paper": "x"}, private={tmp_path / "key"})
    assert stat.S_IMODE((tmp_path / "key").stat().st_mode) == 0o600
    assert (tmp_path / "paper").stat().st_mode & 0o400
