"""Every kind of file that a person can hand in, broken at random: sound, or refused in one sentence of ours."""

from __future__ import annotations

from pathlib import Path

import pytest
from file_mutations import kinds, survive

#: Mutations of each kind on every submission; thousands by hand: ``python tests/hostile/file_mutations.py 10000``.
FEW = 60
KINDS = (
    "appliance",
    "plan",
    "heat",
    "kitchen",
    "slips",
    "limits",
    "region",
    "text",
    "evidence",
    "journal",
    "key",
    "folder",
)


def test_the_kinds_are_all_there(tmp_path: Path) -> None:
    """Those listed here are those that can be broken."""
    assert tuple(kinds(tmp_path)) == KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_broken_files_are_refused_in_our_words(tmp_path: Path, kind: str) -> None:
    """No traceback, one line that ends as a sentence, no wording of a library."""
    told = survive(kind, FEW, 7, tmp_path)
    assert told.keys() <= {"refused", "sound"}, list(told)
