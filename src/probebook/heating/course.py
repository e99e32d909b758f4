"""The course of a run, from switching to switching, and the sheet that it fills."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.errors import ScenarioError
from probebook.heating.events import Contact, Watch, first_crossing
from probebook.heating.network import Array, Modes, Network
from probebook.heating.record import Switching

__all__ = ["Course", "Sheet"]

_FIRST_CHUNK, _LARGEST_CHUNK = 128, 1024  # looks taken at once after a switching, and at most
_MOST_SWITCHINGS_A_SECOND = 2.0
_HAIR = 1e-9  # K: what counts as across a threshold already
_NO_FLOW = 1e-6  # W: what counts as no longer boiling


@dataclass(slots=True)
class Sheet:
    """The rows of a record as they fill up; look ``k`` is row ``k / looks`` when that is whole."""

    rises: Array
    on: NDArray[np.bool_]
    closed: NDArray[np.bool_]
    energy: Array
    looks: int
    look: float

    @classmethod
    def blank(cls, rows: int, nodes: int, contacts: int, looks: int, look: float) -> Sheet:
        """Return a sheet with nothing on it."""
        return cls(
            np.empty((nodes, rows)),
            np.zeros(rows, dtype=np.bool_),
            np.ones((rows, contacts), dtype=np.bool_),
            np.zeros(rows),
            looks,
            look,
        )

    @property
    def last(self) -> int:
        """The last look."""
        return (len(self.on) - 1) * self.looks

    def store(self, segment: Segment, path: Array, k: int) -> None:
        """Write mode amplitudes of looks from ``k`` on, shape (modes, looks), where they are rows."""
        skip = -k % self.looks
        part = path[:, skip :: self.looks]
        if part.shape[1] == 0:
            return
        row = (k + skip) // self.looks
        rows = slice(row, row + part.shape[1])
        times = (k + skip + self.looks * np.arange(part.shape[1])) * self.look
        self.rises[:, rows] = segment.stage.modes.rise(part)
        self.on[rows] = segment.total_power > 0.0
        self.closed[rows] = segment.closed
        self.energy[rows] = segment.energy + segment.total_power * (times - segment.start)


@dataclass(slots=True)
class Stage:
    """The modes for one set of boiling nodes, with their growth at every look of a chunk."""

    modes: Modes
    decay: Array
    built: Array


@dataclass(slots=True)
class Segment:
    """What stays the same from one switching to the next."""

    stage: Stage
    powers: dict[str, float]
    total_power: float
    push: Array
    watches: list[Watch]
    start: float
    energy: float
    closed: list[bool]


class Course:
    """The state of a run: time, temperatures, contacts, boiling nodes and energy drawn so far."""

    def __init__(
        self,
        network: Network,
        contacts: list[Contact],
        watts: Mapping[str, float],
        look: float,
        ambient: float,
    ) -> None:
        self.network = network
        self.matrix = network.conductance_matrix()
        self.contacts = contacts
        self.watts = watts
        self.look = look
        self.ambient = ambient
        self.time = 0.0
        self.rise = np.array([network.starts.get(name, ambient) - ambient for name in network.nodes])
        self.boiling: dict[str, float] = {}
        self.energy = 0.0
        self.drawn = dict.fromkeys(watts, 0.0)
        self.switchings: list[Switching] = []
        self._stages: dict[frozenset[str], Stage] = {}

    def fill(self, sheet: Sheet) -> None:
        """Go from switching to switching until every row is written."""
        most = 1000 + _MOST_SWITCHINGS_A_SECOND * sheet.last * self.look
        k = 0  # the next look to be taken
        while k <= sheet.last:
            segment = self._segment()
            z = segment.stage.modes.amplitudes(self.rise)
            due = next((watch for watch in segment.watches if watch.value(z) > watch.slack), None)
            if due is None:
                k, due = self._advance(segment, z, k, sheet)
            if due is not None:
                self._act(due.target)
            if len(self.switchings) > most:
                raise ScenarioError(
                    f"the contact of {self.switchings[-1].name} chatters at {self.time:g} s",
                    remedy="give it a lag or a wider difference between opening and closing",
                )

    def _segment(self) -> Segment:
        """Work out what holds with the contacts and boiling nodes as they stand."""
        key = frozenset(self.boiling)
        if key not in self._stages:
            modes = Modes.of(self.network, self.boiling)
            grid = self.look * np.arange(_LARGEST_CHUNK, dtype=np.float64)
            self._stages[key] = Stage(modes, *modes.growth(grid))
        stage = self._stages[key]
        powers = {
            heater: value if all(contact.closed for contact in self.contacts if heater in contact.heaters) else 0.0
            for heater, value in self.watts.items()
        }
        power = self.network.power_array(powers)
        return Segment(
            stage,
            powers,
            sum(powers.values()),
            stage.modes.input(power, self.matrix),
            self._watches(stage.modes, power),
            self.time,
            self.energy,
            [contact.closed for contact in self.contacts],
        )

    def _watches(self, modes: Modes, power: Array) -> list[Watch]:
        """List what could happen next."""
        watches = []
        for contact in self.contacts:
            row = modes.shape[contact.node]
            base = float(modes.held[contact.node]) + self.ambient
            if contact.stuck is not None:
                continue
            if contact.closed:
                watches.append(Watch(row, base - contact.opens, _HAIR, contact))
            elif contact.closes is not None:
                watches.append(Watch(-row, contact.closes - base, _HAIR, contact))
        for name, celsius in self.network.boils.items():
            i = self.network.require(name)
            if name in self.boiling:  # it stops when more heat leaves the node than comes
                leaving = self.matrix[i]
                base = float(leaving @ modes.held) - float(power[i])
                watches.append(Watch(leaving @ modes.shape, base, _NO_FLOW, name))
            else:
                watches.append(Watch(modes.shape[i], self.ambient - celsius, _HAIR, name))
        return watches

    def _advance(self, segment: Segment, z: Array, k: int, sheet: Sheet) -> tuple[int, Watch | None]:
        """Write rows until something happens; return the next look and what happens before it."""
        stage, push = segment.stage, segment.push
        table = np.array([watch.row for watch in segment.watches]).reshape(-1, len(z))
        constants = np.array([[watch.constant] for watch in segment.watches]).reshape(-1, 1)
        time, size = self.time, _FIRST_CHUNK  # amplitudes are z at this time
        while k <= sheet.last:
            count = min(size, sheet.last - k + 1)
            start = _later(stage.modes, z, push, k * self.look - time)
            path = start[:, None] * stage.decay[:, :count] + push[:, None] * stage.built[:, :count]
            across = (table @ path + constants > 0.0).any(axis=0)
            found = int(across.argmax()) if across.any() else count
            sheet.store(segment, path[:, :found], k)
            if found > 0:
                time, z = (k + found - 1) * self.look, path[:, found - 1]
            k += found
            if found < count:
                wait, watch = first_crossing(
                    segment.watches, stage.modes.rates, z, push, k * self.look - time, path[:, found]
                )
                self._arrive(segment, time + wait, _later(stage.modes, z, push, wait))
                return k, watch
            size = min(2 * size, _LARGEST_CHUNK)
        self._arrive(segment, time, z)
        return k, None

    def _arrive(self, segment: Segment, time: float, z: Array) -> None:
        """Move to the end of a segment and add up what it drew."""
        passed = time - segment.start
        self.time, self.rise = time, segment.stage.modes.rise(z)
        self.energy += passed * segment.total_power
        for heater, power in segment.powers.items():
            self.drawn[heater] += passed * power

    def _act(self, target: Contact | str) -> None:
        """Move a contact, or let a node start or stop boiling."""
        if isinstance(target, Contact):
            name, state = target.name, not target.closed
            target.closed = state
        else:
            name, state = "boiling", target not in self.boiling
            if state:
                self.boiling[target] = self.network.boils[target] - self.ambient
            else:
                del self.boiling[target]
        self.switchings.append(Switching(self.time, name, state, self.energy))


def _later(modes: Modes, z: Array, push: Array, seconds: float) -> Array:
    """Return the mode amplitudes after a time of constant power."""
    decay, built = modes.growth(np.array([seconds]))
    return np.asarray(z * decay[:, 0] + push * built[:, 0])
