"""Appliance files broken at random: refused in one sentence, or valid; never a traceback."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from mutations import FOLDER, survive

#: Of the ten thousand, one in so many is broken on every submission.
EVERY = 11
OUTCOMES = {"refused", "valid", "found fault with"}


def test_five_hundred_mutated_files_give_no_traceback(tmp_path: Path) -> None:
    """A mutated file is refused in one sentence that names it, or is valid and can be checked."""
    told = survive(500, 7, tmp_path)
    assert told.keys() <= OUTCOMES
    assert told["refused"] > 300
    assert told["valid"] > 20


@pytest.mark.slow
def test_every_eleventh_of_ten_thousand_mutated_files_gives_no_traceback(tmp_path: Path) -> None:
    """Ten thousand mutated files likewise, every eleventh; each appliance has its turn, since that goes by all of them.

    All ten thousand are broken by hand before a release: ``python tests/appliances/mutations.py``.
    """
    assert math.gcd(EVERY, len(list(FOLDER.glob("*.toml")))) == 1
    told = survive(10_000, 8, tmp_path, every=EVERY)
    assert told.keys() <= OUTCOMES
    assert told["refused"] > 6000 / EVERY
    assert told["valid"] > 400 / EVERY
