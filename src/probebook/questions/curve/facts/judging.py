"""What a heat-up record says of the appliance: which of a few things it shows, and what else could be said of it."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from probebook.appliances import FaultKind
from probebook.errors import UsageError
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.record import HeatUp, Setting, heat_up
from probebook.questions.frame import Unfit

__all__ = ["SAYS", "Says", "candidates", "is_usual", "judge", "others", "several"]

#: What a record can say.
Says = Literal["sound", "heater-open", "calibration", "cut-out", "low-supply", "welded"]
SAYS: tuple[Says, ...] = ("sound", "heater-open", "calibration", "cut-out", "low-supply", "welded")
#: Most things offered beside the right one.
RIVALS = 4


def judge(shown: HeatUp, limits: CurveLimits) -> Says | None:
    """What a record says of the appliance, None where it says nothing that is listed."""
    usual, here = shown.sound_heating.watts, shown.heating.watts
    if math.fsum(here.values()) < limits.off * math.fsum(usual.values()):
        return None
    if not shown.faults:
        return "sound"
    said = _fault(shown, limits)
    return said if said and _differs(shown, limits) else None


def _fault(shown: HeatUp, limits: CurveLimits) -> Says | None:
    appliance = shown.setting.appliance
    faults = [appliance.fault(f) for f in shown.faults]
    usual, here = shown.sound_heating.watts, shown.heating.watts
    works = [here[name] / power for name, power in usual.items() if power > limits.least_watts]
    if any(f.volts for f in faults):
        return "low-supply"
    if len(works) > 1 and min(works) < limits.off and max(works) > limits.whole:
        return "heater-open"
    if any(abs(f.offset) >= limits.shows for f in faults):
        return "calibration"
    if shown.record.thermostat is not None and shown.record.thermostat.stuck == "closed":
        return "welded"
    if shown.facts.trips and shown.heating.fan != shown.sound_heating.fan:
        return "cut-out"
    return None


def _differs(shown: HeatUp, limits: CurveLimits) -> bool:
    """Whether the record can be told from that of the sound appliance."""
    a, b = shown.record, shown.sound
    kelvin = float(np.abs(a.node(a.main) - b.node(b.main)).max())
    return kelvin >= limits.told_kelvin or not is_usual(shown, limits)


def is_usual(shown: HeatUp, limits: CurveLimits) -> bool:
    """Whether the current cannot be told from that of the sound appliance."""
    usual = shown.sound_heating.amps
    return abs(shown.heating.amps - usual) < limits.told_amps * usual


def several(shown: HeatUp, limits: CurveLimits) -> bool:
    """Whether more than one heater is at work in this position."""
    return sum(power > limits.least_watts for power in shown.sound_heating.watts.values()) > 1


def candidates(setting: Setting, limits: CurveLimits) -> dict[Says, list[tuple[str, ...]]]:
    """The single faults (and none) that show in a record made like this, by what it would say."""
    found: dict[Says, list[tuple[str, ...]]] = {}
    for faults in ((), *((f.id,) for f in setting.appliance.faults if f.kind is not FaultKind.USER_SETTING)):
        try:
            says = judge(heat_up(setting, faults), limits)
        except UsageError:
            continue
        if says is not None and (faults or says == "sound"):
            found.setdefault(says, []).append(faults)
    return found


def others(shown: HeatUp, says: Says, limits: CurveLimits) -> list[Says]:
    """What else could be said of such an appliance, each told from this record; Unfit where one is not."""
    could = candidates(shown.setting, limits)
    for rival, sets in could.items():
        if rival == says:
            continue
        for faults in sets:
            other = heat_up(shown.setting, faults)
            kelvin = float(np.abs(other.record.node(other.record.main) - shown.record.node(shown.record.main)).max())
            amps = abs(other.heating.amps - shown.heating.amps) / shown.sound_heating.amps
            if kelvin < limits.told_kelvin and amps < limits.told_amps:
                raise Unfit(f"the record of '{rival}' looks like this one")
    found = [s for s in SAYS if s in could and s != says]
    for rival in SAYS:
        fits = rival != says and rival not in found and (rival != "heater-open" or several(shown, limits))
        switched = rival not in ("calibration", "welded") or shown.record.thermostat is not None
        if len(found) < RIVALS and fits and switched:
            found.append(rival)
    if len(found) < RIVALS - 1:
        raise Unfit("too few other things could be wrong here")
    return found
