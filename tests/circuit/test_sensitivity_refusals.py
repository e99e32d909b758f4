"""Sensitivity asked of terminals that are not there is refused; of one terminal with itself it is nought."""

from __future__ import annotations

import pytest

from probebook.circuit import sensitivity

ENDS, OHMS = [(0, 1), (1, 2)], [10.0, 20.0]


@pytest.mark.parametrize(("a", "b"), [(-1, 1), (3, 1), (0, -1), (0, 3)])
def test_a_terminal_that_is_not_there_is_refused(a: int, b: int) -> None:
    """Terminals are numbered from 0; the number itself is named."""
    with pytest.raises(ValueError, match=str(a if a not in (0, 1, 2) else b)):
        sensitivity(3, ENDS, OHMS, a, b)


def test_two_resistors_in_series_share_as_their_ohms() -> None:
    """10 Ω and 20 Ω in series have a third and two thirds of the whole; a terminal and itself nothing."""
    assert sensitivity(3, ENDS, OHMS, 0, 2).tolist() == pytest.approx([1 / 3, 2 / 3])
    assert sensitivity(3, ENDS, OHMS, 1, 1).tolist() == [0.0, 0.0]
