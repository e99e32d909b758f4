"""A class from blueprint to report, smaller than the one that is run by hand (``tests/tools/class_of_thirty.py``)."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))

from class_of_thirty import run


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_a_class_of_eight_is_found_again(tmp_path: Path) -> None:
    """Eight simulated learners sit twenty questions through the forms; marks and difficulties follow what was put in.

    Asked of thirty are 0.8 and 0.6. Eight tell less of marks: a correlation of 0.8 among thirty lies above 0.5 among
    eight in nine of ten classes.
    """
    found = run(8, tmp_path)
    assert (found.learners, found.places) == (8, 20)
    assert found.mark_and_ability >= 0.5
    assert found.estimated_and_foretold >= 0.6
