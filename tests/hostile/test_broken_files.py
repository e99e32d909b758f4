"""Every kind of file that a person can hand in, broken at random: sound, or refused in one sentence of ours."""

from __future__ import annotations

from pathlib import Path

import pytest
from file_kinds import KINDS
from file_mutations import survive

#: Mutations of each kind on every submission; thousands by hand: ``python tests/hostile/file_mutations.py 10000``.
FEW = 60


@pytest.mark.parametrize("kind", KINDS)
def test_broken_files_are_refused_in_our_words(tmp_path: Path, kind: str) -> None:
    """No traceback, one line that ends as a sentence, no wording of a library."""
    told = survive(kind, FEW, 7, tmp_path)
    assert told.keys() <= {"refused", "sound", "refused in use"}, list(told)
