"""Uncertainty of measurement as the GUM (JCGM 100:2008) reckons it: first-order propagation, and watts from ohms.

:func:`propagate` is the law of propagation of uncertainty with correlations (clause 5.2). :func:`budget` applies it to
the trade's sum: what power will an element of this cold resistance take, hot, at this voltage.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from probebook.errors import UsageError
from probebook.meters.model import Function, Meter, Range, Reading

__all__ = [
    "Budget",
    "BudgetRow",
    "Distribution",
    "Propagation",
    "budget",
    "power_from_cold_ohms",
    "propagate",
    "standard_uncertainty",
]

COVERAGE = 2.0  # k for about 95 % (GUM 6.3.3)
STEP = 0.1  # step of the numerical derivatives, in standard uncertainties

Matrix = tuple[tuple[float, ...], ...]


class Distribution(StrEnum):
    """What is known of a quantity within its half-width."""

    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    U_SHAPED = "U-shaped"
    NORMAL = "normal, k = 2"


DIVISORS = {
    Distribution.RECTANGULAR: math.sqrt(3),
    Distribution.TRIANGULAR: math.sqrt(6),
    Distribution.U_SHAPED: math.sqrt(2),
    Distribution.NORMAL: 2.0,
}


def standard_uncertainty(half_width: float, distribution: Distribution = Distribution.RECTANGULAR) -> float:
    """Return the standard uncertainty of a quantity known to within ±``half_width`` (GUM 4.3.7, 4.3.9)."""
    return half_width / DIVISORS[distribution]


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


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One line of an uncertainty budget.

    Attributes
    ----------
    quantity
        What is uncertain, in words.
    symbol
        Its sign in the formula.
    estimate, half_width, unit
        Best value, half-width of what is possible, and their unit.
    distribution
        What is known within the half-width.
    uncertainty
        Standard uncertainty, in ``unit``.
    sensitivity
        Change of the result for one ``unit`` of this quantity.
    contribution
        Standard uncertainty of the result from this line alone, in the unit of the result; never negative.
    """

    quantity: str
    symbol: str
    estimate: float
    half_width: float
    unit: str
    distribution: Distribution
    uncertainty: float
    sensitivity: float
    contribution: float


@dataclass(frozen=True, slots=True)
class Budget:
    """An uncertainty budget.

    Attributes
    ----------
    estimate, unit
        The result.
    rows
        The lines, in the order of the formula.
    uncertainty
        Combined standard uncertainty.
    expanded
        Expanded uncertainty for a coverage factor of :attr:`coverage`.
    """

    estimate: float
    unit: str
    rows: tuple[BudgetRow, ...]
    uncertainty: float
    coverage: float = COVERAGE

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U = k u, in :attr:`unit`."""
        return self.coverage * self.uncertainty

    @property
    def interval(self) -> tuple[float, float]:
        """The estimate less and plus the expanded uncertainty."""
        return self.estimate - self.expanded, self.estimate + self.expanded


def power_from_cold_ohms(volts: float, ohms: float, factor: float) -> float:
    """Return W = V² / (Ct R): watts of an element of cold resistance ``ohms`` and alloy factor ``factor``."""
    return volts * volts / (factor * ohms)


def budget(
    meter: Meter,
    ohms_reading: Reading,
    volts: float | Reading,
    *,
    volts_halfwidth: float = 0.0,
    factor_low: float = 1.0,
    factor_high: float = 1.0,
) -> Budget:
    """Return the uncertainty budget of watts from a cold resistance reading.

    Each input is a rectangle: the accuracy statement, half a digit of rounding, the spread of the supply, and the
    range of the alloy's temperature factor (R hot / R cold). Readings are corrected for the leads where these were
    not nulled.

    Parameters
    ----------
    meter
        The instrument that took the readings.
    ohms_reading
        Resistance of the cold element, taken in ohms or continuity.
    volts
        A number (rated volts, with ``volts_halfwidth``) or a reading of the same meter on AC volts.
    factor_low, factor_high
        Between what the alloy's factor lies; the estimate is the middle.

    Raises
    ------
    UsageError
        A reading is of the wrong function, over range or nought, or the factor's bounds are the wrong way round.
    """
    if ohms_reading.function not in (Function.OHMS, Function.CONTINUITY):
        raise UsageError("the resistance was not read in ohms", remedy="give a reading of the ohms function")
    ohms, ohms_rows = _input_of(meter, ohms_reading, "resistance", "R")
    if isinstance(volts, Reading):
        if volts.function is not Function.AC_VOLTS:
            raise UsageError("the voltage was not read in volts", remedy="give a reading of the volts function")
        supply, volts_rows = _input_of(meter, volts, "voltage", "V")
    else:
        supply, volts_rows = volts, [("voltage: range of the supply", "V", volts, volts_halfwidth, "V")]
    if not 0 < factor_low <= factor_high or volts_halfwidth < 0 or supply <= 0:
        raise UsageError(
            "the voltage or the alloy factor is out of order",
            remedy="give a positive voltage and a low factor that is not above the high one",
        )
    factor = (factor_low + factor_high) / 2
    spread = (factor_high - factor_low) / 2
    lines = [*volts_rows, *ohms_rows, ("alloy temperature factor", "Ct", factor, spread, "")]
    slopes = {
        "V": 2 * supply / (factor * ohms),
        "R": -supply * supply / (factor * ohms * ohms),
        "Ct": -supply * supply / (factor * factor * ohms),
    }
    rows = tuple(_row(*line, slopes[line[1]]) for line in lines)
    combined = math.sqrt(math.fsum(row.contribution**2 for row in rows))
    return Budget(power_from_cold_ohms(supply, ohms, factor), "W", rows, combined)


Line = tuple[str, str, float, float, str]


def _input_of(meter: Meter, reading: Reading, name: str, symbol: str) -> tuple[float, list[Line]]:
    """Return the value of a reading with its leads taken off, and its two lines of the budget."""
    if reading.overload:
        raise UsageError(
            f"the {name} reading is over range, so it gives no power",
            remedy="find the open circuit first or choose another function",
        )
    leads = meter.leads_in(reading.function, nulled=reading.nulled)
    value = reading.value - leads
    if value <= 0:
        raise UsageError(f"the {name} reading is nought, so it gives no power", remedy="read again")
    shown = _range_in_use(meter, reading)
    accuracy = shown.accuracy(reading.value) + meter.null_residual(reading.function, nulled=reading.nulled)
    unit = reading.unit
    return value, [
        (f"{name}: accuracy of the meter", symbol, value, accuracy, unit),
        (f"{name}: last digit of the display", symbol, value, shown.resolution / 2, unit),
    ]


def _range_in_use(meter: Meter, reading: Reading) -> Range:
    for shown in meter.ranges_of(reading.function):
        if math.isclose(shown.resolution, reading.resolution, rel_tol=1e-6):
            return shown
    raise UsageError(
        f"the {meter.title} has no range with steps of {reading.resolution:g} {reading.unit}",
        where=meter.id,
        remedy="name the meter that took the reading",
    )


def _row(quantity: str, symbol: str, estimate: float, half_width: float, unit: str, sensitivity: float) -> BudgetRow:
    shape = Distribution.RECTANGULAR
    u = standard_uncertainty(half_width, shape)
    part = abs(sensitivity) * u
    return BudgetRow(quantity, symbol, estimate, half_width, unit, shape, u, sensitivity, part)
