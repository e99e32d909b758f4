"""Assumptions of verdict questions: what is drawn for each verdict, and how far from a limit a draw stays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = [
    "CalibrationDraws",
    "ConductorDraws",
    "EarthDraws",
    "InsulationDraws",
    "PowerVerdictDraws",
    "SupplyDraws",
    "VerdictDraws",
]


@dataclass(frozen=True)
class VerdictDraws(Assumed, table="questions.verdict"):
    """What all verdicts share: the level from which nothing may be told, and an instrument's own share of its error."""

    cannot_from: Annotated[int, "1"]
    own_error: Annotated[float, "1"]


@dataclass(frozen=True)
class PowerVerdictDraws(Assumed, table="questions.verdict.power"):
    """True watts as shares of the limits: ``within`` both, ``below`` the lower, ``above`` the upper, ``about`` either.

    Below level ``pocket_from`` the meter is a good one, and so often (``good_share``) where nothing can be told. A
    power this far from its rating (``no_match``) is no exact match.
    """

    pocket_from: Annotated[int, "1"]
    good_share: Annotated[float, "1"]
    within: Annotated[tuple[float, ...], "1"]
    below: Annotated[tuple[float, ...], "1"]
    above: Annotated[tuple[float, ...], "1"]
    about: Annotated[tuple[float, ...], "1"]
    no_match: Annotated[float, "1"]
    room: Annotated[float, "1"]
    straight_room: Annotated[float, "1"]


@dataclass(frozen=True)
class ConductorDraws(Assumed, table="questions.verdict.conductor"):
    """Coils, and the true resistance as a share of the limit."""

    areas: Annotated[tuple[float, ...], "mm2"]
    lengths: Annotated[tuple[float, ...], "m"]
    loop_from: Annotated[int, "1"]
    within: Annotated[tuple[float, ...], "1"]
    outside: Annotated[tuple[float, ...], "1"]
    about: Annotated[tuple[float, ...], "1"]
    room: Annotated[float, "1"]


@dataclass(frozen=True)
class CalibrationDraws(Assumed, table="questions.verdict.calibration"):
    """Resistors, how well a ``good`` and a ``poor`` one is known, and how far a meter has drifted.

    A value that misses by ``no_match`` is no exact match.
    """

    resistors: Annotated[tuple[float, ...], "ohm"]
    good: Annotated[float, "1"]
    poor: Annotated[float, "1"]
    drift: Annotated[tuple[float, ...], "1"]
    no_match: Annotated[float, "ohm"]
    room: Annotated[float, "1"]


@dataclass(frozen=True)
class InsulationDraws(Assumed, table="questions.verdict.insulation"):
    """The true resistance in multiples of the limit, or in ohms under the concession for heating elements."""

    within: Annotated[tuple[float, ...], "1"]
    outside: Annotated[tuple[float, ...], "1"]
    about: Annotated[tuple[float, ...], "1"]
    conceded: Annotated[tuple[float, ...], "ohm"]
    room: Annotated[float, "1"]
    room_across: Annotated[float, "1"]


@dataclass(frozen=True)
class EarthDraws(Assumed, table="questions.verdict.earth"):
    """Test leads, and the true path counted from the limit.

    Below level ``leads_from`` the test leads are nulled, and so often (``nulled_share``) above it.
    """

    leads: Annotated[tuple[float, ...], "ohm"]
    leads_from: Annotated[int, "1"]
    nulled_share: Annotated[float, "1"]
    least: Annotated[float, "ohm"]
    below: Annotated[float, "ohm"]
    above: Annotated[tuple[float, ...], "ohm"]
    about: Annotated[tuple[float, ...], "ohm"]
    room: Annotated[float, "1"]


@dataclass(frozen=True)
class SupplyDraws(Assumed, table="questions.verdict.supply"):
    """True volts counted from the limits: ``within``, ``below`` the lower, ``above`` the upper, ``about`` either."""

    within: Annotated[tuple[float, ...], "V"]
    below: Annotated[tuple[float, ...], "V"]
    above: Annotated[tuple[float, ...], "V"]
    about: Annotated[tuple[float, ...], "V"]
    room: Annotated[float, "1"]
