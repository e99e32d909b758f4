"""The heated space of an appliance in the library, with the power its circuit really gives.

The ``[heat]`` table of an appliance names the model and its parameters; watts come from the energised circuit in the
position and with the faults asked for, so that an open element, a burnt tag or a low supply heats as little as it does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind, FaultKind, PartKind, State
from probebook.appliances.energised_states import working
from probebook.errors import UsageError
from probebook.heating.assumed import Installed, VesselFigures
from probebook.heating.controls import CutOut, Stuck, Thermostat
from probebook.heating.record import HeatRecord
from probebook.heating.simulate import HeatedSpace, run
from probebook.heating.spaces import conventional_oven, core, duct, fan_oven, multifunction_oven, vessel
from probebook.heating.stated import wrong_figures
from probebook.heating.vessels import WATER_HEAT

__all__ = ["Heating", "feeds_of", "heated", "heating_of", "record_of"]

ZERO_CELSIUS = 273.15
_OVENS = {"conventional-oven": conventional_oven, "fan-oven": fan_oven, "multifunction-oven": multifunction_oven}


@dataclass(frozen=True, slots=True)
class Heating:
    """What :func:`probebook.heating.simulate.run` needs to heat an appliance.

    Attributes
    ----------
    space
        The heated space.
    watts
        Power of each heater of the space while its contacts are closed, W.
    thermostat, cut_outs
        What switches them.
    fan
        Whether the fan runs.
    seconds
        A fitting length of the record, s.
    amps
        Current from the supply with the heaters on, A.
    """

    space: HeatedSpace
    watts: Mapping[str, float]
    thermostat: Thermostat | None
    cut_outs: tuple[CutOut, ...]
    fan: bool
    seconds: float
    amps: float


def heated(appliance: Appliance) -> bool:
    """Whether the appliance's file describes what it heats."""
    return any(key == "model" or key.endswith("_model") for key, _ in appliance.heat)


def record_of(
    appliance: Appliance,
    position: str,
    faults: Iterable[str] = (),
    *,
    set_point: float | None = None,
    step: float = 5.0,
    ambient: float = 20.0,
) -> HeatRecord:
    """The heat-up record of an appliance in a position with these faults; see :func:`heating_of` for the rest."""
    found = heating_of(appliance, position, faults, set_point=set_point)
    return run(
        found.space,
        found.watts,
        found.thermostat,
        found.cut_outs,
        seconds=found.seconds,
        step=step,
        ambient=ambient,
        fan=found.fan,
    )


def heating_of(
    appliance: Appliance, position: str, faults: Iterable[str] = (), *, set_point: float | None = None
) -> Heating:
    """The heated space of an appliance in a position with these faults.

    Parameters
    ----------
    appliance, position, faults
        What is switched on; KeyError for a position or fault the appliance does not have.
    set_point
        What the knob is set to, °C; the appliance's own when None.

    Raises
    ------
    UsageError
        The file does not describe what the appliance heats.
    ScenarioError
        What the file says of it is not enough, or names what there is not.
    """
    for error in wrong_figures(appliance):
        raise error.at(f"{appliance.id}.toml")
    present = frozenset(faults)
    facts = _facts(appliance, position)
    calling, resting = State(position, faults=present), State(position, calling=False, faults=present)
    flow = working(appliance, [calling, resting])
    space = _space(appliance, facts)
    names = list(dict.fromkeys(space.network().feeds.values()))
    watts, rest = (_by_heater(appliance, names, flow.watts[row]) for row in (0, 1))
    fan = str(facts.get("fan", ""))
    target = float(facts["set_point"]) if set_point is None and "set_point" in facts else set_point
    return Heating(
        space=space,
        watts=watts,
        thermostat=_thermostat(appliance, str(facts.get("thermostat", "")), target, present, watts, rest, space),
        cut_outs=_cut_outs(appliance, facts, space, present, _others(appliance, position, names)),
        fan=bool(fan) and fan not in _stopped(appliance, present) and _turns(appliance, fan, flow.watts[0]),
        seconds=_length(facts, appliance),
        amps=float(flow.line_amps[0]),
    )


def cavities_heated(appliance: Appliance, position: str) -> int:
    """How many cavities a position heats: of two at once nobody can say how *it* does."""
    return 1 if "model" in dict(appliance.heat) else len(_cavities(appliance, position))


def _cavities(appliance: Appliance, position: str) -> list[dict[str, float | str]]:
    """The heat table of each cavity that a position heats, by name, where an appliance has several."""
    facts = dict(appliance.heat)
    places = {b.place for b in appliance.branches if b.name in appliance.position(position).heats}
    found: list[dict[str, float | str]] = []
    for cavity in sorted(key.removesuffix("_model") for key in facts if key.endswith("_model")):
        own = {
            "model": facts[f"{cavity}_model"],
            "thermostat": facts.get(f"{cavity}_thermostat", ""),
            **{key: value for key, value in facts.items() if key in ("set_point", "fan")},
        }
        if places & set(_space(appliance, own).network().feeds):
            found.append(own)
    return found


def _facts(appliance: Appliance, position: str) -> dict[str, float | str]:
    """The heat table as it applies in a position: of a double oven, that of the cavity the position heats."""
    facts = dict(appliance.heat)
    if "model" in facts:
        return facts
    found = _cavities(appliance, position)
    if found:
        return found[0]
    raise UsageError(
        f"nothing is said of what position '{position}' heats",
        where=appliance.id,
        remedy="choose a position that heats, of an appliance with a [heat] table",
    )


def _space(appliance: Appliance, facts: Mapping[str, float | str]) -> HeatedSpace:
    model = str(facts["model"])
    figures = {key: float(value) for key, value in facts.items() if not isinstance(value, str)}
    if model in _OVENS:
        return _OVENS[model](appliance.assumptions)
    places = tuple(dict.fromkeys(b.place for b in appliance.branches if b.place))
    if model == "duct":
        return duct(appliance.assumptions, places, flow=figures["flow"], still_flow=figures["still_flow"])
    if model == "core":
        return core(appliance.assumptions, places)
    known = {key: figures[key] for key in ("to_room", "shell", "element", "element_to_water") if key in figures}
    return vessel(appliance.assumptions, figures["litres"], heater=str(facts["heater"]), **known)


def feeds_of(appliance: Appliance, model: str) -> list[str]:
    """The places at which a model of the appliance's heat is heated."""
    return list(_space(appliance, {**dict(appliance.heat), "model": model}).network().feeds)


def _by_heater(appliance: Appliance, names: list[str], watts: Iterable[float]) -> dict[str, float]:
    found = dict.fromkeys(names, 0.0)
    for branch, power in zip(appliance.branches, watts, strict=True):
        if branch.place in found:
            found[branch.place] += float(power)
    return found


def _turns(appliance: Appliance, fan: str, watts: Iterable[float]) -> bool:
    turns = appliance.assumptions.get(Installed).turns
    pairs = zip(appliance.branches, watts, strict=True)
    return any(b.part == fan and b.kind is BranchKind.MOTOR and p >= turns * b.watts > 0 for b, p in pairs)


def _stopped(appliance: Appliance, faults: frozenset[str]) -> set[str]:
    stopped = {appliance.fault(f).stops for f in faults}
    return stopped | {name.partition(".")[0] for name in stopped if name}


def _stuck(appliance: Appliance, mark: str, faults: frozenset[str]) -> Stuck | None:
    here = [f for f in (appliance.fault(name) for name in sorted(faults)) if f.target.partition(".")[0] == mark]
    if any(f.kind is FaultKind.STUCK_OPEN for f in here):
        return "open"
    return "closed" if any(f.kind is FaultKind.STUCK_CLOSED for f in here) else None


def _thermostat(
    appliance: Appliance,
    mark: str,
    set_point: float | None,
    faults: frozenset[str],
    watts: Mapping[str, float],
    rest: Mapping[str, float],
    space: HeatedSpace,
) -> Thermostat | None:
    if not mark or set_point is None:
        return None
    part, assumed = appliance.part(mark), appliance.assumptions.get(Installed)
    switched = tuple(name for name, power in watts.items() if rest[name] <= assumed.rests * power)
    stuck = _stuck(appliance, mark, faults)
    senses = str(part.fact("senses") or space.main)
    return Thermostat(
        set_point,
        differential=float(part.fact("differential") or assumed.differential),
        offset=math.fsum(appliance.fault(f).offset for f in sorted(faults) if appliance.fault(f).target == mark),
        place=senses if senses in space.network().capacities else space.main,
        time_constant=assumed.bulb_lag,
        stuck=stuck or (None if switched else "closed"),
        heaters=switched or None,
    )


def _others(appliance: Appliance, position: str, names: list[str]) -> frozenset[str]:
    """Marks of cut-outs that sit on another cavity: open, they take no power from the heaters of these names."""
    marks = [part.mark for part in appliance.parts if part.kind is PartKind.CUT_OUT]
    if "model" in dict(appliance.heat) or not marks:
        return frozenset()
    states = [State(position), *(State(position, opened=frozenset({mark})) for mark in marks)]
    flow = working(appliance, states)
    usual, *cut = (math.fsum(_by_heater(appliance, names, watts).values()) for watts in flow.watts)
    rests = appliance.assumptions.get(Installed).rests
    return frozenset(mark for mark, power in zip(marks, cut, strict=True) if power > (1.0 - rests) * usual)


def _cut_outs(
    appliance: Appliance,
    facts: Mapping[str, float | str],
    space: HeatedSpace,
    faults: frozenset[str],
    others: frozenset[str],
) -> tuple[CutOut, ...]:
    found: list[CutOut] = []
    places = space.network().capacities
    assumed = appliance.assumptions.get(Installed)
    for part in appliance.parts:
        opens, senses = part.fact("opens_at"), str(part.fact("senses") or "")
        if part.kind is not PartKind.CUT_OUT or part.mark in others:
            continue
        if not isinstance(opens, float) or senses not in places:
            continue
        closes = part.fact("closes_at")
        resets = closes if isinstance(closes, float) else opens - assumed.self_reset
        found.append(
            CutOut(
                part.mark,
                senses,
                opens - ZERO_CELSIUS,
                resets - ZERO_CELSIUS if part.fact("reset") == "self" else None,
                time_constant=assumed.cut_out_lag,
                stuck=_stuck(appliance, part.mark, faults),
            )
        )
    steam = str(facts.get("steam_switch", ""))
    if steam:
        stuck = _stuck(appliance, steam, faults)
        opens = float(facts["steam_switch_opens"])
        found.append(CutOut(steam, space.main, opens, None, time_constant=assumed.cut_out_lag, stuck=stuck))
    return tuple(found)


def _length(facts: Mapping[str, float | str], appliance: Appliance) -> float:
    """A length that shows the whole heat-up and something after it."""
    model = str(facts["model"])
    assumed = appliance.assumptions.get(Installed)
    if model in assumed.lengths:
        return assumed.lengths[model]
    heaters = [b for b in appliance.branches if b.place and b.place == facts["heater"]]
    power = max(math.fsum(b.watts for b in heaters if b.name in p.heats) for p in appliance.positions)
    rise = float(facts.get("set_point", 100.0)) - 20.0
    shell = float(facts.get("shell", appliance.assumptions.get(VesselFigures).shell))
    needed = (float(facts["litres"]) * WATER_HEAT + shell) * rise / power
    return max(assumed.shortest, 60.0 * round(assumed.stretch * needed / 60.0))
