"""What the meter is expected to show under a hypothesis, as a learner would see it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from probebook.diagnosis.candidates import settled
from probebook.diagnosis.model import About, model_of
from probebook.diagnosis.probability.integration import instrument, meter_for, shown_slope
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, Meter, read

#: The unit a thousand times as large, for a band whose ends a meter shows on two ranges.
_THOUSAND = {"Ω": "kΩ", "kΩ": "MΩ"}


@dataclass(frozen=True, slots=True)
class Expected:
    """The band a reading is expected in: ohms at the probe tips (nominal, low, high), and the displays of its ends.

    ``ends`` are the two displays, and whether they share the unit of the second (:func:`between`).
    """

    nominal: float
    low: float
    high: float
    ends: tuple[str, str, bool]


def expected(
    about: About, trial: Trial, faults: Iterable[str], meters: tuple[Meter, ...], *, nulled: bool = False
) -> Expected:
    """The band in which the reading of a trial lies, nearly always, when exactly these faults are present.

    Making tolerance, alloy, a fault's severity and the instrument are in it. KeyError for unknown names, UsageError
    when no instrument has the function.
    """
    model = model_of(about)
    row = model.rows[settled(model.appliance, faults)]
    found = model.response([trial])
    coverage = model.assumed.settling.band
    meter = meter_for(meters, trial.function)
    nominal = float(np.exp(found.ln_ohms[row, 0]))
    if nominal == np.inf:
        shows = display(meter, trial.function, nominal, nulled=nulled)
        return Expected(nominal, nominal, nominal, (shows, shows, False))
    leads = meter.leads_in(trial.function, nulled=nulled)
    top = meter.ranges_of(trial.function)[-1].full_scale
    shown = np.array([min(nominal + leads, top)])
    device = instrument((meter,), (trial.function,), shown, (nulled,))
    slope = shown_slope(found.slope[row : row + 1], np.array([[nominal]]), device)
    relative = float(np.sqrt((slope**2).sum()))
    noise = float(device.noise[0])
    at_terminals = nominal + leads
    low = max(0.0, at_terminals * np.exp(-coverage * relative) - coverage * noise)
    high = at_terminals * np.exp(coverage * relative) + coverage * noise
    ends = [display(meter, trial.function, max(0.0, end - leads), nulled=nulled) for end in (low, high)]
    return Expected(nominal, max(0.0, low - leads), high - leads, between(*ends))


def display(meter: Meter, function: Function, ohms: float, *, nulled: bool = False) -> str:
    """The display for ohms at the probe tips."""
    return read(meter, function, ohms, nulled=nulled).display


def between(low: str, high: str) -> tuple[str, str, bool]:
    """Two displays as the ends of one band, and whether they share a unit: ``("50.1", "55.3 Ω", True)``."""
    number, _, unit = low.partition(" ")
    if low == high or high.startswith(">"):
        return low, high, False
    if unit and high.endswith(f" {unit}"):
        return number, high, True
    upper, _, above = high.partition(" ")
    if _THOUSAND.get(unit, " ") == above:
        return number, f"{_times_thousand(upper)} {unit}", True
    return low, high, False


def _times_thousand(number: str) -> str:
    """A display in the next smaller unit, digit for digit: ``0.217`` is ``217``."""
    whole, _, rest = number.partition(".")
    rest = rest.ljust(3, "0")
    left = f"{whole}{rest[:3]}".lstrip("0") or "0"
    return f"{left}.{rest[3:]}" if rest[3:] else left
