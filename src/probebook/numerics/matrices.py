"""Products, inverses and decompositions of matrices: the only place that calls the library for them.

How they are rounded depends on the processor and on the library's build: nothing may rest on their last digits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

__all__ = ["eigenvectors", "inverse", "lower_root", "product", "solution"]


def product(left: FloatArray, right: FloatArray, out: FloatArray | None = None) -> FloatArray:
    """The matrix product, as ``numpy.matmul`` has it: of vectors, matrices, and stacks of them; into ``out``."""
    return np.matmul(left, right) if out is None else np.matmul(left, right, out=out)


def inverse(matrix: FloatArray) -> FloatArray:
    """The inverse of each matrix of a stack, shape ``(..., n, n)``; ``numpy.linalg.LinAlgError`` when singular."""
    return np.asarray(np.linalg.inv(matrix))


def solution(matrix: FloatArray, right: FloatArray) -> FloatArray | None:
    """What gives ``right``, shape ``(n,)``, when multiplied by the matrix ``(n, n)``; None when that is singular."""
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        return None


def eigenvectors(symmetric: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Eigenvalues ``(n,)``, rising, and eigenvectors, a column each ``(n, n)``, of a symmetric matrix."""
    values, vectors = np.linalg.eigh(symmetric)
    return np.asarray(values), np.asarray(vectors)


def lower_root(covariance: FloatArray) -> FloatArray:
    """The lower triangle of which each matrix of a stack ``(..., n, n)`` is the product with its transpose."""
    return np.asarray(np.linalg.cholesky(covariance))
