"""The law of propagation of uncertainty of the GUM (JCGM 100:2008), to first order, with correlations."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from probebook.errors import UsageError

__all__ = ["Propagation", "propagate"]

STEP = 0.1  # step of the numerical derivatives, in standard uncertainties

Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Propagation:
    """Results of one or more functions of uncertain inputs.

    Attributes
    ----------
    values, uncertainties
        Estimate and standard uncertainty of each result.
    correlation
        Correlation matrix of the results.
    sensitivities
        Partial derivatives, a row for each result, a column for each input.
    """

    values: tuple[float, ...]
    uncertainties: tuple[float, ...]
    correlation: Matrix
    sensitivities: Matrix


def propagate(
    function: Callable[..., float | tuple[float, ...]],
    estimates: Sequence[float],
    uncertainties: Sequence[float],
    *,
    correlation: Sequence[Sequence[float]] | None = None,
    partials: Callable[..., Sequence[float] | Sequence[Sequence[float]]] | None = None,
) -> Propagation:
    """Carry standard uncertainties through ``function`` to first order (GUM 5.1.2, 5.2.2; H.2 for several results).

    Parameters
    ----------
    function
        Takes the inputs in order, returns one number or a tuple of them.
    estimates, uncertainties
        Of the inputs, in any consistent units.
    correlation
        Correlation coefficients of the inputs; None when they are independent.
    partials
        Takes the inputs, returns the partial derivatives (a row for each result); reckoned numerically if None.

    Raises
    ------
    UsageError
        Lengths differ, an uncertainty is negative, or the correlation matrix is none.
    """
    count = len(estimates)
    relation = _checked_correlation(count, uncertainties, correlation)
    values = _as_tuple(function(*estimates))
    if partials is None:
        rows = _numerical_partials(function, estimates, uncertainties, len(values))
    else:
        rows = _as_rows(partials(*estimates))
    if len(rows) != len(values) or any(len(row) != count for row in rows):
        raise UsageError("the partial derivatives do not match the function", remedy="give a row for each result")
    parts = [[slope * u for slope, u in zip(row, uncertainties, strict=True)] for row in rows]
    covariance = [[_covariance(a, b, relation) for b in parts] for a in parts]
    deviations = tuple(math.sqrt(max(0.0, covariance[i][i])) for i in range(len(values)))
    between = tuple(
        tuple(1.0 if i == j else _ratio(covariance[i][j], deviations[i] * deviations[j]) for j in range(len(values)))
        for i in range(len(values))
    )
    return Propagation(values, deviations, between, rows)


def _checked_correlation(
    count: int, uncertainties: Sequence[float], correlation: Sequence[Sequence[float]] | None
) -> Sequence[Sequence[float]]:
    if len(uncertainties) != count or any(not u >= 0 for u in uncertainties):
        raise UsageError(
            "estimates and uncertainties do not match", remedy="give one uncertainty of 0 or more for each"
        )
    if correlation is None:
        return [[1.0 if i == j else 0.0 for j in range(count)] for i in range(count)]
    square = len(correlation) == count and all(len(row) == count for row in correlation)
    if not square or any(
        abs(correlation[i][j]) > 1 or correlation[i][j] != correlation[j][i] or (i == j and correlation[i][j] != 1)
        for i in range(count)
        for j in range(count)
    ):
        raise UsageError(
            "the correlation matrix is wrong",
            remedy=f"give {count} rows of {count} numbers from -1 to 1, symmetrical, with 1 on the diagonal",
        )
    return correlation


def _as_tuple(result: float | tuple[float, ...]) -> tuple[float, ...]:
    return tuple(result) if isinstance(result, tuple) else (result,)


def _as_rows(partials: Sequence[float] | Sequence[Sequence[float]]) -> Matrix:
    rows: list[tuple[float, ...]] = []
    single: list[float] = []
    for item in partials:
        if isinstance(item, Sequence):
            rows.append(tuple(item))
        else:
            single.append(item)
    return tuple(rows) if rows else (tuple(single),)


def _numerical_partials(
    function: Callable[..., float | tuple[float, ...]],
    estimates: Sequence[float],
    uncertainties: Sequence[float],
    results: int,
) -> Matrix:
    """Return the partial derivatives by the five-point central rule."""
    columns: list[list[float]] = []
    for index, (estimate, u) in enumerate(zip(estimates, uncertainties, strict=True)):
        step = STEP * u or 1e-3 * abs(estimate) or 1e-3
        at = {
            k: _as_tuple(function(*estimates[:index], estimate + k * step, *estimates[index + 1 :]))
            for k in (-2, -1, 1, 2)
        }
        columns.append([(at[-2][r] - at[2][r] + 8.0 * (at[1][r] - at[-1][r])) / (12.0 * step) for r in range(results)])
    return tuple(tuple(column[r] for column in columns) for r in range(results))


def _covariance(a: Sequence[float], b: Sequence[float], relation: Sequence[Sequence[float]]) -> float:
    return math.fsum(a[i] * relation[i][j] * b[j] for i in range(len(a)) for j in range(len(b)))


def _ratio(numerator: float, denominator: float) -> float:
    return max(-1.0, min(1.0, numerator / denominator)) if denominator > 0 else 0.0
