from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from probebook.errors import JournalError
from probebook.questions.model import Standing
from probebook.workbook import chained, journal
from probebook.workbook.journal import Entry, append_answer, read_journal


def answer(path: Path, number: int, question: str = "q1", **more: Any) -> Entry:
    """Append one answer to a journal."""
    given: dict[str, Any] = {
        "question": question,
        "response": {"ohms": f"{number} ohm", "ticks": ["a", "b"]},
        "standing": Standing.WRONG,
        "marks": 0.5,
        "time": f"2030-01-01T00:00:{number:02d}Z",
    }
    return append_answer(path, **(given | more))


@pytest.fixture
def five(tmp_path: Path) -> Path:
    """A journal of five answers."""
    path = tmp_path / "demo.answers.jsonl"
    for number in range(1, 6):
        answer(path, number)
    return path


def responses(path: Path) -> list[Any]:
    """What was typed, answer by answer."""
    return [entry.response["ohms"] for entry in read_journal(path).entries]


def test_answers_come_back_as_they_were_given(tmp_path: Path) -> None:
    """What is read is what was appended, number by number, with no problem told."""
    path = tmp_path / "demo.answers.jsonl"
    given = [answer(path, number, question) for number, question in enumerate(("q1", "q2", "q1"), start=1)]
    history = read_journal(path)
    assert history.entries == tuple(given)
    assert (history.problems, history.torn) == ((), False)
    assert [entry.n for entry in history.of("q1")] == [1, 3]


def test_no_journal_is_an_empty_one(tmp_path: Path) -> None:
    """A notebook nobody has answered in has no answers and no trouble."""
    assert read_journal(tmp_path / "none.jsonl") == journal.History()


def test_the_chain_is_plain_sha256_over_the_line(five: Path) -> None:
    """Hashes can be checked without this program: SHA-256 (FIPS 180-4, through hashlib) of the line less its hash."""
    previous = None
    for line in five.read_text().splitlines():
        record = json.loads(line)
        stated = record.pop("hash")
        spelt = json.dumps(record, sort_keys=True, separators=(",", ":"))
        assert hashlib.sha256(spelt.encode()).hexdigest() == stated
        assert previous in (None, record["previous"])
        previous = stated


def test_a_torn_last_line_costs_only_itself(five: Path) -> None:
    """Cut anywhere in its last line the journal gives the four answers before, and writing goes on in a whole chain."""
    content = five.read_bytes()
    start = content[:-1].rindex(b"\n") + 1
    for cut in range(start, len(content) - 1):
        five.write_bytes(content[:cut])
        history = read_journal(five)
        assert [entry.n for entry in history.entries] == [1, 2, 3, 4]
        assert history.problems == ()
        assert history.torn == (cut > start)
        if cut % 7 == 0:
            answer(five, 9)
            assert responses(five) == ["1 ohm", "2 ohm", "3 ohm", "4 ohm", "9 ohm"]
            assert (read_journal(five).problems, read_journal(five).torn) == ((), False)


def test_a_last_line_that_only_lacks_its_end_counts(five: Path) -> None:
    """With just the final line end lost nothing is lost."""
    five.write_bytes(five.read_bytes()[:-1])
    assert len(read_journal(five).entries) == 5
    answer(five, 6)
    assert len(read_journal(five).entries) == 6
    assert read_journal(five).problems == ()


def test_a_process_killed_after_an_answer_has_saved_it(tmp_path: Path) -> None:
    """An answer is on disk when the call returns: SIGKILL in the next instruction does not lose it."""
    path = tmp_path / "demo.answers.jsonl"
    code = (
        "import os, signal, sys; from pathlib import Path\n"
        "from probebook.questions.model import Standing\n"
        "from probebook.workbook.journal import append_answer\n"
        f"append_answer(Path({str(path)!r}), question='q1', response={{'a': 'x'}}, standing=Standing.RIGHT, marks=1,"
        " time='t')\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == -signal.SIGKILL
    assert [entry.response for entry in read_journal(path).entries] == [{"a": "x"}]


def lines_of(path: Path, change: Callable[[list[str]], list[str]]) -> None:
    """Write a journal again with its lines changed."""
    path.write_text("".join(change(path.read_text().splitlines(keepends=True))))


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5])
@pytest.mark.parametrize(
    ("old", "new"),
    [('"marks":0.5', '"marks":2.0'), ('"wrong"', '"right"'), (" ohm", " kohm"), ("2030", "2029"), ('"q1"', '"q2"')],
)
def test_an_edited_line_is_named_and_the_rest_count(five: Path, number: int, old: str, new: str) -> None:
    """Whatever is edited in a line, exactly that line is told and set aside; the other four come back."""
    lines_of(five, lambda lines: [x.replace(old, new) if n == number else x for n, x in enumerate(lines, start=1)])
    history = read_journal(five)
    assert [problem.line for problem in history.problems] == [number]
    assert [entry.n for entry in history.entries] == [n for n in range(1, 6) if n != number]


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_a_removed_line_is_told_where_it_is_missing(five: Path, number: int) -> None:
    """With a line gone the next one is named, and all that is left counts."""
    lines_of(five, lambda lines: lines[: number - 1] + lines[number:])
    history = read_journal(five)
    assert [problem.line for problem in history.problems] == [number]
    assert history.problems[0].what == "missing-before"
    assert [entry.n for entry in history.entries] == [n for n in range(1, 6) if n != number]


@given(st.permutations(range(5)))
def test_reordered_lines_are_told_and_nothing_is_lost(order: list[int]) -> None:
    """In whatever order the lines are put, every order but the true one is told, and the answers keep their order."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.jsonl"
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(os, "fsync", lambda _: None)
            for number in range(1, 6):
                answer(path, number)
        lines_of(path, lambda lines: [lines[place] for place in order])
        history = read_journal(path)
        assert (history.problems == ()) == (list(order) == [0, 1, 2, 3, 4])
        assert [entry.n for entry in history.entries] == [1, 2, 3, 4, 5]


def test_a_copied_line_is_told_and_counts_once(five: Path) -> None:
    """An old answer replayed at the end is told by its line and does not become the latest."""
    lines_of(five, lambda lines: [*lines, lines[0]])
    history = read_journal(five)
    assert [problem.line for problem in history.problems] == [6]
    assert [entry.n for entry in history.entries] == [1, 2, 3, 4, 5]


def test_a_line_of_rubbish_is_named_and_the_chain_goes_on(five: Path) -> None:
    """Rubbish in the middle is told, and an answer appended after rubbish at the end is chained soundly."""
    lines_of(five, lambda lines: [*lines, "rubbish\n"])
    answer(five, 7)
    history = read_journal(five)
    assert [problem.line for problem in history.problems] == [6]
    assert responses(five)[-1] == "7 ohm"


def test_a_journal_of_something_else_is_noticed_at_line_one(tmp_path: Path) -> None:
    """The chain begins at what the journal belongs to: under another workbook's name its first line is told."""
    path = tmp_path / "demo.answers.jsonl"
    answer(path, 1, origin="demo")
    assert read_journal(path, origin="demo").problems == ()
    assert [problem.line for problem in read_journal(path, origin="other").problems] == [1]


def test_two_processes_writing_at_once_make_one_chain(tmp_path: Path) -> None:
    """Two kernels on one notebook, each saving 25 answers at the same time, leave 50 in one whole chain."""
    path = tmp_path / "demo.answers.jsonl"
    code = (
        "import sys; from pathlib import Path\n"
        "from probebook.questions.model import Standing\n"
        "from probebook.workbook.journal import append_answer\n"
        "for n in range(25):\n"
        f"    append_answer(Path({str(path)!r}), question=sys.argv[1], response={{'a': str(n)}},"
        " standing=Standing.WRONG, marks=0, time='t')\n"
    )
    writers = [subprocess.Popen([sys.executable, "-c", code, name]) for name in ("left", "right")]
    assert [writer.wait() for writer in writers] == [0, 0]
    history = read_journal(path)
    assert history.problems == ()
    assert [entry.n for entry in history.entries] == list(range(1, 51))
    for name in ("left", "right"):
        assert [entry.response["a"] for entry in history.of(name)] == [str(n) for n in range(25)]


def test_a_file_another_kernel_holds_is_told_kindly(five: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the lock does not come free, one sentence says so and nothing is written; afterwards it is written."""
    from filelock import FileLock

    monkeypatch.setattr(chained, "PATIENCE", 0.05)
    before = five.read_bytes()
    with FileLock(five.with_name(f".{five.name}.lock")), pytest.raises(JournalError, match="another kernel"):
        answer(five, 6)
    assert five.read_bytes() == before
    assert answer(five, 6).n == 6


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """No folder, or a folder where the file should be: a sentence of ours, not an error of the system."""
    with pytest.raises(JournalError, match="cannot be written"):
        answer(tmp_path / "none" / "x.jsonl", 1)
    (tmp_path / "folder.jsonl").mkdir()
    with pytest.raises(JournalError):
        answer(tmp_path / "folder.jsonl", 1)
    with pytest.raises(JournalError, match="cannot be kept in a folder"):
        read_journal(tmp_path / "folder.jsonl")


def test_a_monstrous_journal_is_refused_unread(five: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the limit neither reading nor writing goes on."""
    monkeypatch.setattr(journal, "LONGEST", 100)
    with pytest.raises(JournalError, match="too large"):
        read_journal(five)
    with pytest.raises(JournalError, match="too large"):
        answer(five, 6)


def test_any_letters_come_back(tmp_path: Path) -> None:
    """Signs and line ends of every kind stay one line and come back the same; half a surrogate pair is replaced."""
    path = tmp_path / "demo.answers.jsonl"
    text = "4,7 kΩ\n\r\u2028\x00\ud800 ✔"
    answer(path, 1, response={"a": text})
    assert read_journal(path).entries[0].response == {"a": text.replace("\ud800", "\ufffd")}


@given(st.lists(st.binary(max_size=60) | st.sampled_from([b"{}", b"[]", b'{"n":1}', b"[" * 50]), max_size=4))
def test_no_bytes_make_reading_fail(lines: list[bytes]) -> None:
    """Arbitrary bytes give a history in which no answer is made up."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.jsonl"
        path.write_bytes(b"\n".join(lines))
        assert read_journal(path).entries == ()


def test_a_forged_line_with_its_own_hash_must_still_be_an_answer(five: Path) -> None:
    """A line whose hash fits but whose content is no answer (unknown standing, odd response) is set aside by number."""

    def forge(line: str, **change: Any) -> str:
        record = json.loads(line) | change
        record.pop("hash")
        spelt = json.dumps(record, sort_keys=True, separators=(",", ":"))
        record["hash"] = hashlib.sha256(spelt.encode()).hexdigest()
        return json.dumps(record) + "\n"

    for change in ({"standing": "best"}, {"response": {"ohms": 3}}, {"marks": 10**400}, {"response": {"a": [1]}}):
        lines_of(five, lambda lines, change=change: [*lines[:4], forge(lines[4], **change)])
        assert 5 in [problem.line for problem in read_journal(five).problems]
        assert [entry.n for entry in read_journal(five).entries] == [1, 2, 3, 4]
