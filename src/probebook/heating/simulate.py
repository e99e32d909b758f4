"""Run a heated space: exact from one switching to the next, sampled at equal steps.

Between switchings the network is linear and its power constant, so its modes give course sample in
one array expression. A switching is looked for at each sample (and at least once a second),
then placed exactly by root finding on the sensor's own sum of exponentials; an excursion across a
threshold and back within less than that is not seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from probebook.errors import ScenarioError
from probebook.heating.controls import CutOut, Load, Thermostat
from probebook.heating.events import Contact, Watch, first_crossing
from probebook.heating.network import Array, Modes, Network
from probebook.heating.record import HeatRecord, Switching

__all__ = ["HeatedSpace", "run"]

_LOOK = 1.0  # s: longest time between two looks for a switching
_CHUNK = (128, 1024)  # looks in the first chunk after a switching, and at most
_MOST_SWITCHINGS_A_SECOND = 20.0
_SENSOR_PART = 1e-4  # a sensor's capacity as a part of its place's: follows without being felt
_HAIR = 1e-9  # K: what counts as across a threshold already
_NO_FLOW = 1e-6  # W: what counts as no longer boiling


class HeatedSpace(Protocol):
    """Anything that can be run: it builds its network and names its main node."""

    @property
    def main(self) -> str: ...

    def network(self, *, fan: bool = False, load: Load | None = None) -> Network: ...

    def above(self) -> tuple[str, ...]: ...


@dataclass(slots=True)
class _Stage:
    """The modes for one set of boiling nodes, with their growth at course look of a chunk."""

    modes: Modes
    decay: Array
    built: Array


def run(
    space: HeatedSpace,
    watts: Mapping[str, float],
    thermostat: Thermostat | None = None,
    cut_outs: Sequence[CutOut] = (),
    *,
    seconds: float,
    step: float = 1.0,
    ambient: float = 20.0,
    fan: bool = False,
    load: Load | None = None,
) -> HeatRecord:
    """Heat a space from the ambient temperature and record it.

    Parameters
    ----------
    space
        A cavity, vessel, duct or core.
    watts
        Power of each heater (W) while its contacts are closed: voltage squared over hot ohms.
        Heaters left out draw nothing.
    thermostat, cut_outs
        What switches the heaters; each has its contact closed at the start unless it is stuck
        open or already too hot.
    seconds, step
        Length of the record and its step, s. The record has ``floor(seconds / step) + 1`` rows.
    ambient
        Temperature of the room, and of coursething at the start, °C.
    fan
        Whether the fan runs.
    load
        Food in the space.

    Raises
    ------
    ScenarioError
        A name is unknown, a number has the wrong sign, or a contact chatters.
    """
    if not (math.isfinite(seconds) and math.isfinite(step) and seconds > 0.0 and 0.0 < step <= seconds):
        raise ScenarioError(
            f"a record of {seconds:g} s in steps of {step:g} s cannot be made",
            remedy="give a length and a step above zero, the step no longer than the whole",
        )
    network, contacts = _with_sensors(space.network(fan=fan, load=load), watts, thermostat, cut_outs)
    looks = math.ceil(step / _LOOK - 1e-9)
    course = _Course(network, contacts, dict(watts), step / looks, ambient)
    rows = math.floor(seconds / step + 1e-9) + 1
    course.go(rows, looks)
    first = 0 if thermostat is None else 1
    return HeatRecord(
        times=np.arange(rows) * step,
        nodes=network.nodes,
        temperatures=(course.rises + ambient).T,
        main=space.main,
        heaters=tuple(dict.fromkeys(network.feeds.values())),
        on=course.on,
        thermostat_closed=course.closed[:, 0] if first else np.ones(rows, dtype=bool),
        cut_outs=tuple(cut_outs),
        cut_outs_closed=course.closed[:, first:],
        energy=course.energy,
        watts=dict(watts),
        energy_by_heater=course.drawn,
        switchings=tuple(course.switchings),
        thermostat=thermostat,
        bulb_node=network.nodes[contacts[0].node] if first else None,
        ambient=ambient,
        above=space.above(),
    )


def _with_sensors(
    network: Network,
    watts: Mapping[str, float],
    thermostat: Thermostat | None,
    cut_outs: Sequence[CutOut],
) -> tuple[Network, list[Contact]]:
    """Add the sensors that lag to the network and make a contact for each control."""
    network.power_array(watts)  # names and signs are checked before anything else
    controls: list[tuple[str, Thermostat | CutOut]] = []
    if thermostat is not None:
        controls.append(("thermostat", thermostat))
    controls += [(cut_out.name, cut_out) for cut_out in cut_outs]
    contacts = []
    for name, control in controls:
        if name in {contact.name for contact in contacts} | {"boiling"}:
            raise ScenarioError(f"the name {name!r} is taken", remedy="give each cut-out its own name")
        place = control.place
        network.require(place)
        if control.time_constant > 0.0:
            place = "bulb" if name == "thermostat" else f"{name} sensor"
            capacity = _SENSOR_PART * network.capacities[control.place]
            network = network.with_sensor(place, control.place, control.time_constant, capacity)
        heaters = frozenset(network.feeds if control.heaters is None else control.heaters)
        if not heaters <= set(network.feeds):
            strange = ", ".join(sorted(heaters - set(network.feeds)))
            raise ScenarioError(
                f"{name} switches {strange}, which is not there",
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


class _Course:
    """The state of a run: mode amplitudes, contacts and what has been recorded so far."""

    def __init__(
        self,
        network: Network,
        contacts: list[Contact],
        watts: dict[str, float],
        look: float,
        ambient: float,
    ) -> None:
        self.network = network
        self.contacts = contacts
        self.watts = watts
        self.look = look
        self.ambient = ambient
        self.matrix = network.conductance_matrix()
        self.boiling: dict[str, float] = {}
        self.stages: dict[frozenset[str], _Stage] = {}
        self.drawn = dict.fromkeys(watts, 0.0)
        self.total = 0.0
        self.switchings: list[Switching] = []
        self.time = 0.0
        self.rise_now = np.array([network.starts.get(n, ambient) - ambient for n in network.nodes])

    def go(self, rows: int, looks: int) -> None:
        """Fill the record: ``rows`` samples, ``looks`` looks to a sample."""
        self.rises = np.empty((len(self.network.nodes), rows))
        self.on = np.zeros(rows, dtype=bool)
        self.closed = np.ones((rows, len(self.contacts)), dtype=bool)
        self.energy = np.zeros(rows)
        last = (rows - 1) * looks
        most = 1000 + _MOST_SWITCHINGS_A_SECOND * last * self.look
        k = 0  # the next look to be taken
        while k <= last:
            k = self._segment(k, last, looks)
            if len(self.switchings) > most:
                raise ScenarioError(
                    f"{self.switchings[-1].name} chatters at {self.time:g} s",
                    remedy="give it a lag or a wider difference between opening and closing",
                )

    def _segment(self, k: int, last: int, looks: int) -> int:
        """Go on until a contact moves or the record is full; return the next look to be taken."""
        stage = self._stage()
        modes = stage.modes
        powers = self._powers()
        power = self.network.power_array(powers)
        push = modes.input(power, self.matrix)
        z = modes.amplitudes(self.rise_now)
        watches = self._watches(modes, power)
        for watch in watches:
            if watch.value(z) > watch.slack:
                self._change(watch.target)
                return k
        table = np.array([watch.row for watch in watches]).reshape(len(watches), len(z))
        constants = np.array([watch.constant for watch in watches])
        began, energy_began, drawn_began = self.time, self.total, dict(self.drawn)
        total_power = sum(powers.values())
        size = _CHUNK[0]
        before = self.time  # the last time known to lie ahead of any crossing
        while k <= last:
            count = min(size, last - k + 1)
            decay, built = modes.growth(np.array([k * self.look - before]))
            first = z * decay[:, 0] + push * built[:, 0]
            path = first[:, None] * stage.decay[:, :count] + push[:, None] * stage.built[:, :count]
            across = (table @ path + constants[:, None] > 0.0).any(axis=0)
            found = int(np.argmax(across)) if across.any() else count
            self._store(modes, path[:, :found], k, looks, began, energy_began, total_power)
            if found < count:
                if found > 0:
                    before, z = (k + found - 1) * self.look, path[:, found - 1]
                span = (k + found) * self.look - before
                wait, watch = first_crossing(watches, modes.rates, z, push, span, path[:, found])
                decay, built = modes.growth(np.array([wait]))
                self._arrive(before + wait, modes.rise(z * decay[:, 0] + push * built[:, 0]))
                self._account(began, energy_began, drawn_began, powers)
                self._change(watch.target)
                return k + found
            k += count
            before, z = (k - 1) * self.look, path[:, -1]
            size = min(2 * size, _CHUNK[1])
        self._arrive(before, modes.rise(z))
        self._account(began, energy_began, drawn_began, powers)
        return k

    def _stage(self) -> _Stage:
        key = frozenset(self.boiling)
        if key not in self.stages:
            modes = Modes.of(self.network, self.boiling)
            self.stages[key] = _Stage(modes, *modes.growth(self.look * np.arange(_CHUNK[1])))
        return self.stages[key]

    def _powers(self) -> dict[str, float]:
        """Return the power of each heater with the contacts as they stand, W."""
        return {
            heater: value
            if all(contact.closed for contact in self.contacts if heater in contact.heaters)
            else 0.0
            for heater, value in self.watts.items()
        }

    def _watches(self, modes: Modes, power: Array) -> list[Watch]:
        """List what could happen next with the contacts and boiling nodes as they stand."""
        watches = []
        for contact in self.contacts:
            if contact.stuck is not None:
                continue
            row, held = modes.shape[contact.node], float(modes.held[contact.node]) + self.ambient
            if contact.closed:
                watches.append(Watch(row, held - contact.opens, _HAIR, contact))
            elif contact.closes is not None:
                watches.append(Watch(-row, contact.closes - held, _HAIR, contact))
        for name, celsius in self.network.boils.items():
            i = self.network.require(name)
            if name in self.boiling:  # it stops when more heat leaves than comes
                leaving = self.matrix[i]
                lost = float(leaving @ modes.held) - float(power[i])
                watches.append(Watch(leaving @ modes.shape, lost, _NO_FLOW, name))
            else:
                held = self.ambient - celsius
                watches.append(Watch(modes.shape[i], held, _HAIR, name))
        return watches

    def _change(self, target: Contact | str) -> None:
        if isinstance(target, Contact):
            target.closed = not target.closed
            self.switchings.append(Switching(self.time, target.name, target.closed, self.total))
            return
        starts = target not in self.boiling
        if starts:
            self.boiling[target] = self.network.boils[target] - self.ambient
        else:
            del self.boiling[target]
        self.switchings.append(Switching(self.time, "boiling", starts, self.total))

    def _arrive(self, time: float, rise: Array) -> None:
        self.time, self.rise_now = time, rise

    def _account(self, began: float, total: float, drawn: dict[str, float], powers: dict[str, float]) -> None:
        """Add what each heater drew since a segment began."""
        passed = self.time - began
        self.total = total + passed * sum(powers.values())
        self.drawn = {heater: drawn[heater] + passed * value for heater, value in powers.items()}

    def _store(
        self, modes: Modes, path: Array, k: int, looks: int, began: float, energy: float, power: float
    ) -> None:
        """Write the looks that are samples into the record."""
        skip = -k % looks
        part = path[:, skip::looks]
        if part.shape[1] == 0:
            return
        row = (k + skip) // looks
        rows = slice(row, row + part.shape[1])
        self.rises[:, rows] = modes.rise(part)
        self.on[rows] = power > 0.0
        self.closed[rows] = [contact.closed for contact in self.contacts]
        times = (k + skip + looks * np.arange(part.shape[1])) * self.look
        self.energy[rows] = energy + power * (times - began)
