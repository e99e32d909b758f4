"""Appliance files broken at random: refused in one sentence, or valid; never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutations import survive

OUTCOMES = {"refused", "valid", "found fault with"}


def test_five_hundred_mutated_files_give_no_traceback(tmp_path: Path) -> None:
    """A mutated file is refused in one sentence that names it, or is valid and can be checked."""
    told = survive(500, 7, tmp_path)
    assert told.keys() <= OUTCOMES
    assert told["refused"] > 300
    assert told["valid"] > 20


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_ten_thousand_mutated_files_give_no_traceback(tmp_path: Path) -> None:
    """Ten thousand mutated files likewise."""
    told = survive(10_000, 8, tmp_path)
    assert told.keys() <= OUTCOMES
    assert told["refused"] > 6000
    assert told["valid"] > 400
