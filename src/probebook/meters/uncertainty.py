"""The uncertainty budget of watts from ohms, as the GUM (JCGM 100:2008) reckons it.

:func:`budget` answers the trade's sum: what power will an element of this cold resistance take, hot, at this voltage,
and how well do the meter, the supply and the alloy let it be known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from probebook.errors import UsageError
from probebook.meters.model import Function, Meter, Range, Reading

__all__ = [
    "Budget",
    "BudgetRow",
    "Distribution",
    "budget",
    "power_from_cold_ohms",
    "standard_uncertainty",
]

COVERAGE = 2.0  # k for about 95 % (GUM 6.3.3)


class Distribution(StrEnum):
    """What is known of a quantity within its half-width."""

    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    U_SHAPED = "U-shaped"
    NORMAL = "normal-k2"


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
class BudgetRow:
    """One line of an uncertainty budget.

    Attributes
    ----------
    quantity
        What is uncertain: ``voltage-supply``, ``resistance-accuracy``, ``resistance-digit``, ``alloy-factor`` …
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
        supply, volts_rows = volts, [("voltage-supply", "V", volts, volts_halfwidth, "V")]
    if not 0 < factor_low <= factor_high or volts_halfwidth < 0 or supply <= 0:
        raise UsageError(
            "the voltage or the alloy factor is out of order",
            remedy="give a positive voltage and a low factor that is not above the high one",
        )
    factor = (factor_low + factor_high) / 2
    spread = (factor_high - factor_low) / 2
    lines = [*volts_rows, *ohms_rows, ("alloy-factor", "Ct", factor, spread, "")]
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
        (f"{name}-accuracy", symbol, value, accuracy, unit),
        (f"{name}-digit", symbol, value, shown.resolution / 2, unit),
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
