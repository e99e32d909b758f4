"""Limits that go with a rating plate."""

from __future__ import annotations


def power_limits(watts: float) -> tuple[float, float]:
    """Least and most input (W) that a heating or combined appliance may draw at rated voltage, hot.

    IEC 60335-1 clause 10.1, Table 1: over 200 W from 10 % below to 5 % or 20 W above, whichever is more; 25 to
    200 W within 10 %; up to 25 W no lower limit and 20 % above.
    """
    if watts > 200.0:
        return 0.9 * watts, watts + max(0.05 * watts, 20.0)
    if watts > 25.0:
        return 0.9 * watts, 1.1 * watts
    return 0.0, 1.2 * watts


def leakage_limit(watts: float) -> float:
    """Most leakage (A) of a stationary class I heating appliance at working temperature.

    IEC 60335-1 clause 13.2, read in texts that report it: 0.75 mA, or 0.75 mA for each kilowatt if that is more, but
    no more than 5 mA. Particular standards (ovens and hobs) allow more.
    """
    return min(max(0.75e-3, 0.75e-6 * watts), 5e-3)
