"""Run a heated space: exact from one switching to the next, sampled at equal steps.

Between switchings the network is linear and its power constant, so its modes give every sample in
one array expression. A switching is looked for at each sample (and at least once a second),
then placed exactly by root finding on the sensor's own sum of exponentials; an excursion across a
threshold and back within less than that is not seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Protocol, TypedDict, Unpack

import numpy as np

from probebook.errors import ScenarioError
from probebook.heating.assumed import Settling
from probebook.heating.controls import CutOut, Load, Thermostat
from probebook.heating.events import Contact
from probebook.heating.network import Network
from probebook.heating.record import HeatRecord
from probebook.heating.running import RecordRows, Running

__all__ = ["HeatedSpace", "run", "watts_from_ohms"]

_LOOK = 1.0  # s: longest time between two looks for a switching
_SENSOR_PART = 1e-8  # a sensor's capacity as a part of its place's: follows without being felt


class HeatedSpace(Protocol):
    """Anything that can be run: it builds its network and names its main node."""

    @property
    def main(self) -> str:
        """The node that a record is about."""
        ...

    @property
    def settling(self) -> Settling:
        """What counts as the end of a record of it."""
        ...

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network:
        """Build the heat network."""
        ...

    def above(self) -> tuple[str, ...]:
        """Names of the heaters that lie over the food."""
        ...


class Inside(TypedDict, total=False):
    """What is inside a space: whether its fan runs, and the food."""

    fan: bool
    load: Load | None


def run(
    space: HeatedSpace,
    watts: Mapping[str, float],
    thermostat: Thermostat | None = None,
    cut_outs: Sequence[CutOut] = (),
    *,
    seconds: float,
    step: float = 1.0,
    ambient: float = 20.0,
    **inside: Unpack[Inside],
) -> HeatRecord:
    """Heat a space from the ambient temperature and record it.

    Parameters
    ----------
    space
        A cavity, vessel, duct or core.
    watts
        Power of each heater (W) while its contacts are closed, see :func:`watts_from_ohms`; none for one left out.
    thermostat, cut_outs
        What switches the heaters; each is closed at the start unless it is stuck open or already too hot.
    seconds, step, ambient
        Length and step of the record, s (``floor(seconds / step) + 1`` rows); the room, and all at the start, °C.
    inside
        Whether the fan runs, and the food in the space (``fan=``, ``load=``).

    Raises
    ------
    ScenarioError
        A name is unknown, a number has the wrong sign, or a contact chatters.
    """
    _check(seconds, step, ambient)
    network = space.network(fan=inside.get("fan", False), load=inside.get("load"))
    network.power_array(watts)  # refuses unknown heaters before anything is computed
    network, contacts = _with_sensors(network, thermostat, cut_outs)
    running, filled = _fill(network, contacts, watts, ambient, (seconds, step))
    power, energy = filled.power_and_energy()
    closed = filled.contacts()
    first = 0 if thermostat is None else 1  # the thermostat's contact comes before the cut-outs'
    return HeatRecord(
        times=filled.times,
        nodes=network.nodes,
        temperatures=filled.temperatures.T,
        main=space.main,
        heaters=tuple(dict.fromkeys(network.feeds.values())),
        on=power > 0.0,
        thermostat_closed=closed[:, 0] if first else np.ones(len(filled.times), dtype=np.bool_),
        cut_outs=tuple(cut_outs),
        cut_outs_closed=closed[:, first:],
        energy=energy,
        watts=dict(watts),
        energy_by_heater=running.drawn,
        switchings=tuple(running.switchings),
        thermostat=thermostat,
        bulb_node=network.nodes[contacts[0].node] if first else None,
        ambient=ambient,
        settling=space.settling,
        above=space.above(),
    )


def _fill(
    network: Network,
    contacts: Sequence[Contact],
    watts: Mapping[str, float],
    ambient: float,
    lasting: tuple[float, float],
) -> tuple[Running, RecordRows]:
    """Run a network for so many seconds, and fill a row at each step (s)."""
    seconds, step = lasting
    looks = math.ceil(step / _LOOK - 1e-9)
    rows = math.floor(seconds / step + 1e-9) + 1
    running = Running(network, list(contacts), watts, ambient)
    filled = RecordRows.blank(rows, len(network.nodes), step, looks)
    running.fill(filled)
    return running, filled


def _check(seconds: float, step: float, ambient: float) -> None:
    if not (math.isfinite(seconds) and 0.0 < step <= seconds and math.isfinite(ambient)):
        raise ScenarioError(
            f"a record of {seconds:g} s in steps of {step:g} s at {ambient:g} °C cannot be made",
            remedy="give a length and a step above zero, the step no longer than the whole",
        )


def watts_from_ohms(volts: float, hot_ohms: Mapping[str, float]) -> dict[str, float]:
    """Return the power (W) of each heater from the voltage across it and its hot resistance: V²/R.

    An open element (``inf`` ohms) draws nothing.

    Raises
    ------
    ScenarioError
        The voltage is below zero, or a resistance is not above zero.
    """
    for name, ohms in hot_ohms.items():
        if not (ohms > 0.0 and 0.0 <= volts < math.inf):
            raise ScenarioError(
                f"{volts:g} V across the {ohms:g} Ω of {name!r} gives no power to heat with",
                remedy="give volts of zero or more and ohms above zero",
            )
    return {name: volts * volts / ohms for name, ohms in hot_ohms.items()}


def _with_sensors(
    network: Network, thermostat: Thermostat | None, cut_outs: Sequence[CutOut]
) -> tuple[Network, list[Contact]]:
    """Add the sensors that lag to the network and make a contact for each control."""
    controls: list[tuple[str, Thermostat | CutOut]] = [(cut_out.name, cut_out) for cut_out in cut_outs]
    if thermostat is not None:
        controls.insert(0, ("thermostat", thermostat))
    contacts: list[Contact] = []
    for name, control in controls:
        if name in {"boiling", *(contact.name for contact in contacts)}:
            raise ScenarioError(f"the name {name!r} is taken", remedy="give each cut-out its own name")
        place = control.place
        network.require(place)
        if control.time_constant > 0.0:
            place = "bulb" if control is thermostat else f"{name} sensor"
            capacity = _SENSOR_PART * network.capacities[control.place]
            network = network.with_sensor(place, control.place, control.time_constant, capacity)
        heaters = frozenset(network.feeds if control.heaters is None else control.heaters)
        if not heaters <= set(network.feeds):
            raise ScenarioError(
                f"{name} switches {', '.join(sorted(heaters - set(network.feeds)))}, which is not there",
                remedy=f"heaters here: {', '.join(network.feeds)}",
            )
        contacts.append(
            Contact(
                name,
                network.require(place),
                control.opens,
                control.closes,
                control.stuck != "open",
                control.stuck,
                heaters,
            )
        )
    return network, contacts
