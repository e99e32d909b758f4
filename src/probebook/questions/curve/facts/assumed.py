"""Where a record is worth asking about, and what tells one from another: judgements of teaching."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["CurveLimits"]


@dataclass(frozen=True)
class CurveLimits(Assumed, table="questions.curve"):
    """What curve questions draw, and from where on something shows in a record.

    Attributes
    ----------
    judged_from, worked_out_from
        Level from which the record is judged as well as read, and from which the current of a sound appliance has to
        be worked out.
    oven_settings, oven_targets
        What a knob may be set to, and temperatures whose time is asked for.
    soon
        A sound appliance comes to its setting within this share of the record.
    off, whole
        A heater below the first share of its usual power is off; one above the second has lost nothing.
    least_watts
        What gets less than this when all is sound is not at work in this position.
    told_kelvin, told_amps
        Records are told apart by this difference somewhere on the curve, or by this share of the current.
    shows
        A thermostat this far out shows.
    room
        Kelvins on either side of a temperature read off that are accepted.
    slack, slack_share
        Minutes on either side of a time read off that are accepted, and of the time to a temperature at least this
        share of it.
    below_hottest, least_rise, hottest_water
        The temperature asked for lies this much under the hottest of an oven, and this much above the room elsewhere;
        of water it lies under the last.
    steady_swing, steady_rise
        A curve that never switches is level when it swings less than the first and lies above the room by the second.
    """

    judged_from: Annotated[int, "1"]
    worked_out_from: Annotated[int, "1"]
    oven_settings: Annotated[tuple[float, ...], "degC"]
    oven_targets: Annotated[tuple[float, ...], "degC"]
    soon: Annotated[float, "1"]
    off: Annotated[float, "1"]
    whole: Annotated[float, "1"]
    least_watts: Annotated[float, "W"]
    told_kelvin: Annotated[float, "K"]
    told_amps: Annotated[float, "1"]
    shows: Annotated[float, "K"]
    room: Annotated[float, "K"]
    slack: Annotated[float, "min"]
    slack_share: Annotated[float, "1"]
    below_hottest: Annotated[float, "K"]
    least_rise: Annotated[float, "K"]
    hottest_water: Annotated[float, "degC"]
    steady_swing: Annotated[float, "K"]
    steady_rise: Annotated[float, "K"]
