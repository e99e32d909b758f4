"""Noise in the last digits of matrices changes no byte of a workbook, and a coarser error would be seen."""

from __future__ import annotations

import numpy as np
import pytest
from noisy_build import NOISE, Noisy, differing, noise

from probebook.numerics import matrices

WORKBOOK = "13-beyond-the-oven"


def test_every_element_errs_by_little_and_anew() -> None:
    """Each call gives other values, none off by more than the part asked for, and afterwards all is exact again."""
    matrix = np.array([[2.0, 1.0], [1.0, 3.0]])
    exact = matrices.inverse(matrix)
    with noise(1) as noisy:
        first, second = matrices.inverse(matrix), matrices.inverse(matrix)
    assert noisy.calls == 2
    assert (first != second).any()
    assert np.abs(first / exact - 1.0).max() <= NOISE * 1.01
    assert (first != exact).any()
    assert (matrices.inverse(matrix) == exact).all()


def test_a_product_goes_where_it_is_asked_to() -> None:
    """The stand-in writes into ``out`` as numpy does."""
    room = np.zeros((2, 2))
    assert Noisy(1).matmul(np.eye(2), np.eye(2) * 2.0, out=room) is room
    assert room == pytest.approx(np.eye(2) * 2.0)


@pytest.mark.slow
def test_a_workbook_comes_out_the_same() -> None:
    """One workbook with cases is built byte for byte as committed; the whole build with five seeds is for the gate."""
    calls, differ = differing(7, [WORKBOOK])
    assert calls > 0
    assert differ == []


@pytest.mark.slow
def test_a_coarse_error_is_seen() -> None:
    """Were matrices off by a thousandth, a file would be named, or a covariance would not be one any more."""
    try:
        differ = differing(7, [WORKBOOK], part=1e-3)[1]
    except np.linalg.LinAlgError:
        differ = ["no root of a covariance"]
    assert differ != []
