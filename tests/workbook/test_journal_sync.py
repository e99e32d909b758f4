"""An answer is acknowledged when it is on the disk, and not before."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from probebook.questions.model import Standing
from probebook.workbook.journal import append_answer


class Disk:
    """What was forced to the disk: for each call whether it was a folder, which, and how many bytes it then had."""

    def __init__(self) -> None:
        self.synced: list[tuple[bool, int, int]] = []

    def fsync(self, handle: int) -> None:
        """Note the file behind a descriptor as the system then knows it."""
        found = os.fstat(handle)
        self.synced.append((stat.S_ISDIR(found.st_mode), found.st_ino, found.st_size))


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Disk:
    """A disk that notes what is forced to it."""
    noted = Disk()
    monkeypatch.setattr(os, "fsync", noted.fsync)
    return noted


def answered(path: Path) -> None:
    """Give an answer and have it acknowledged."""
    append_answer(path, question="q1", response={"ohms": "47 ohm"}, standing=Standing.RIGHT, marks=1.0, time="t")


def test_every_answer_is_forced_to_the_disk_whole(tmp_path: Path, disk: Disk) -> None:
    """Each time, the journal's own descriptor is synced when all bytes of the answer are in the file, flushed."""
    path = tmp_path / "demo.answers.jsonl"
    for _ in range(3):
        disk.synced.clear()
        answered(path)
        found = path.stat()
        assert (False, found.st_ino, found.st_size) in disk.synced


def test_the_name_of_a_new_journal_is_forced_to_the_disk_after_it(tmp_path: Path, disk: Disk) -> None:
    """A new file needs its folder synced as well, last; one that was there before does not."""
    path = tmp_path / "demo.answers.jsonl"
    answered(path)
    assert disk.synced[-1][:2] == (True, tmp_path.stat().st_ino)
    disk.synced.clear()
    answered(path)
    assert not any(is_folder for is_folder, _, _ in disk.synced)
