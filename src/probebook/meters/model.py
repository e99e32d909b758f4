"""What a meter is and what it shows: functions, ranges, instruments, readings. Records only, all in SI units.

The accuracy statement is read as makers print it: ±(a fraction of the *reading* + a number of digits), a digit
being one step of the range's resolution.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from probebook.errors import UsageError
from probebook.meters.assumed import Astray

__all__ = ["ROLES", "USUAL_ROLES", "Function", "Meter", "Range", "Reading", "usual_role"]

#: What an instrument of the kitchen may serve as: the good multimeter, the cheap one, the insulation tester, the clamp,
#: and one whose calibration has drifted.
ROLES = ("bench", "pocket", "insulation", "clamp", "drifted")

#: What somebody has at hand who names no instrument.
USUAL_ROLES = ("bench", "insulation")


class Function(StrEnum):
    """What the dial of a meter can be set to."""

    OHMS = "ohms"
    CONTINUITY = "continuity"
    INSULATION = "insulation"
    AC_VOLTS = "volts"
    CLAMP = "amps"

    @property
    def unit(self) -> str:
        """The SI unit sign of what this function measures."""
        return {Function.AC_VOLTS: "V", Function.CLAMP: "A"}.get(self, "Ω")

    @property
    def through_leads(self) -> bool:
        """Whether the resistance of the test leads is part of what is shown."""
        return self in (Function.OHMS, Function.CONTINUITY)


def usual_role(function: Function) -> str:
    """Role of the instrument that people take for a function."""
    return "insulation" if function is Function.INSULATION else "bench"


@dataclass(frozen=True, slots=True)
class Range:
    """One range of one function.

    Attributes
    ----------
    full_scale
        The largest value the range displays (599.9 Ω for 6000 counts of 0.1 Ω), SI.
    resolution
        One step of the last digit, SI.
    fraction_of_reading
        First part of the accuracy statement: 0.008 for 0.8 % of reading.
    digits
        Second part of the accuracy statement, in steps of the last digit.
    """

    full_scale: float
    resolution: float
    fraction_of_reading: float
    digits: float

    def accuracy(self, reading: float) -> float:
        """Return the half-width of the accuracy statement at ``reading``, SI."""
        return self.fraction_of_reading * abs(reading) + self.digits * self.resolution


@dataclass(frozen=True, slots=True)
class Meter:
    """One instrument with its leads.

    Attributes
    ----------
    id, title, source, note
        Identity, what people call it, on whose word the figures stand, and a remark (may be empty).
    ranges
        For each function the instrument has, its ranges from the lowest up.
    lead_ohms
        Resistance of both test leads together.
    can_null
        Whether the instrument can take its leads off the reading.
    beeper_ohms
        The beeper sounds in continuity when the reading is below this; None when there is no beeper.
    insulation_volts
        The test voltages that can be chosen for insulation, V.
    input_ohms
        Input resistance on volts.
    gain_error
        A fixed miscalibration as a fraction of the value, beyond the accuracy statement: 0 for a sound meter,
        0.04 for one that reads 4 % high. The statement, and all that is reckoned from it, does not know of it.
    role
        What it serves as (one of :data:`ROLES`); empty for one that nothing asks for.
    astray
        How often readings say nothing.
    """

    id: str
    title: str
    source: str
    note: str
    ranges: tuple[tuple[Function, tuple[Range, ...]], ...]
    lead_ohms: float = 0.0
    can_null: bool = False
    beeper_ohms: float | None = None
    insulation_volts: tuple[float, ...] = ()
    input_ohms: float = math.inf
    gain_error: float = 0.0
    role: str = ""
    astray: Astray = field(kw_only=True)

    @property
    def functions(self) -> tuple[Function, ...]:
        """The functions this instrument has, in dial order."""
        return tuple(function for function, _ in self.ranges)

    def ranges_of(self, function: Function) -> tuple[Range, ...]:
        """Return the ranges of ``function`` from the lowest up.

        Raises
        ------
        UsageError
            The instrument has no such function.
        """
        for own, ranges in self.ranges:
            if own == function:
                return ranges
        raise UsageError(
            f"the {self.title} has no {Function(function).value} function",
            where=self.id,
            remedy=f"choose one of {', '.join(self.functions)} or take another instrument",
        )

    def leads_in(self, function: Function, *, nulled: bool) -> float:
        """Return the ohms of leads that are part of a reading.

        Raises
        ------
        UsageError
            ``nulled`` is asked of an instrument or function that cannot null its leads.
        """
        if not function.through_leads:
            return 0.0
        if nulled and not self.can_null:
            raise UsageError(
                f"the {self.title} cannot null its leads",
                where=self.id,
                remedy="touch the probes together and take that reading off by hand",
            )
        return 0.0 if nulled else self.lead_ohms

    def null_residual(self, function: Function, *, nulled: bool) -> float:
        """Return the most that nulling leaves behind: one digit of the lowest range, 0 when not nulled."""
        return self.ranges_of(function)[0].resolution if nulled and function.through_leads else 0.0


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter shows.

    Attributes
    ----------
    function
        What the dial was set to.
    display
        The display as a learner sees it: ``47.3 Ω``, ``1.215 kΩ``, ``OL``, ``>999 MΩ``.
    value
        The displayed number in SI; ``inf`` when over range.
    unit
        SI unit sign of ``value`` and ``resolution``.
    resolution
        One step of the last digit of the range in use.
    overload
        True when the value is above the top range.
    beeps
        In continuity, whether the beeper sounds; None in any other function or without a beeper.
    nulled
        Whether the leads were nulled.
    """

    function: Function
    display: str
    value: float
    unit: str
    resolution: float
    overload: bool
    beeps: bool | None
    nulled: bool
