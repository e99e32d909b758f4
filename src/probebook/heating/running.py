"""A run, from switching to switching, and the rows of a record that it fills."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.errors import ScenarioError
from probebook.heating.events import Contact, crossing_time
from probebook.heating.network import Array, Modes, Network
from probebook.heating.record import Switching
from probebook.numerics.matrices import product

__all__ = ["RecordRows", "Running"]

_TABLE = 4096  # looks that a table of basis functions holds at most
_FIRST_CHUNK, _CHUNK_GROWTH = 512, 8  # looks searched at once after a switching, and by how much more next
_MOST_SWITCHINGS_A_SECOND = 2.0
_HAIR = 1e-9  # K: what counts as across a threshold already
_NO_FLOW = 1e-6  # W: what counts as no longer boiling


@dataclass(frozen=True, slots=True)
class RecordRows:
    """The rows of a record as they fill up; look ``k`` is row ``k / looks`` when that is whole.

    Each of ``marks`` opens a stretch of rows: its first row, the contacts, the power (W) and what
    the energy (J) would have been at time 0 at that power.
    """

    times: Array
    temperatures: Array
    looks: int
    look: float
    marks: list[tuple[int, list[bool], float, float]]

    @classmethod
    def blank(cls, rows: int, nodes: int, step: float, looks: int) -> RecordRows:
        """Return rows with nothing in them."""
        times = np.arange(rows, dtype=np.float64) * step
        return cls(times, np.empty((nodes, rows)), looks, step / looks, [])

    def contacts(self) -> NDArray[np.bool_]:
        """Whether each contact is closed, shape (rows, contacts)."""
        return np.repeat(np.array([mark[1] for mark in self.marks], dtype=np.bool_), self._lengths(), axis=0)

    def power_and_energy(self) -> tuple[Array, Array]:
        """Power in W and energy since the start in J, each shape (rows,)."""
        steps = np.array([mark[2:] for mark in self.marks])
        power, energy = np.repeat(steps.T, self._lengths(), axis=1)
        return power, energy + power * self.times

    def _lengths(self) -> list[int]:
        firsts = [mark[0] for mark in self.marks]
        return [b - a for a, b in zip(firsts, [*firsts[1:], len(self.times)], strict=True)]

    @property
    def last(self) -> int:
        """The last look."""
        return (len(self.times) - 1) * self.looks


@dataclass(frozen=True, slots=True)
class _Regime:
    """What holds while no contact moves and no node starts or stops boiling.

    Under its constant power a mode runs as a constant plus a multiple of its basis function:
    ``rest + (z - rest) e^(-λt)``, or ``z + push t`` where λ is 0 (:meth:`split`). ``senses`` is
    what may act next, a row and a constant each: it acts on its target when it rises past zero.
    """

    modes: Modes
    basis: Array
    powers: dict[str, float]
    total: float
    closed: list[bool]
    push: Array
    rest: Array
    still: NDArray[np.bool_] | None
    base: Array
    senses: Array
    limits: Array
    slack: Array
    targets: list[Contact | str]

    def split(self, z: Array) -> tuple[Array, Array]:
        """Return the constants and multiples of the basis functions from amplitudes ``z`` on."""
        if self.still is None:
            return self.rest, z - self.rest
        return np.where(self.still, z, self.rest), np.where(self.still, self.push, z - self.rest)

    def look(self, constant: Array, amount: Array, count: int) -> tuple[int, Array | None]:
        """Find the first of ``count`` looks at which a target has acted, and the senses there.

        Gives ``count`` and ``None`` when none has.
        """
        rows = self.senses * amount
        start = product(self.senses, constant) + self.limits
        done, size = 0, _FIRST_CHUNK
        while done < count:
            table = self.basis[:, done : min(done + size, count)]
            found = table.shape[1]
            for row, limit in zip(rows, start.tolist(), strict=True):
                across = product(row, table) > -limit
                first = int(across.argmax())
                if across[first]:
                    found = min(found, first)
            if found < table.shape[1]:
                return done + found, product(rows, table[:, found]) + start
            done, size = done + found, _CHUNK_GROWTH * size
        return count, None

    def later(self, z: Array, seconds: float) -> Array:
        """Return the amplitudes some time after they are ``z``."""
        constant, amount = self.split(z)
        factor = np.exp(-self.modes.rates * seconds)
        if self.still is not None:
            factor[self.still] = seconds
        return np.asarray(constant + amount * factor)


class Running:
    """The state of a run: time, temperatures, contacts, boiling nodes and energy drawn so far."""

    def __init__(self, network: Network, contacts: list[Contact], watts: Mapping[str, float], ambient: float) -> None:
        self.network = network
        self.matrix = network.conductance_matrix()
        self.contacts = contacts
        self.watts = watts
        self.ambient = ambient
        self.time = 0.0
        self.rise = np.array([network.starts.get(name, ambient) - ambient for name in network.nodes])
        self.boiling: dict[str, float] = {}
        self.energy = 0.0
        self.drawn = dict.fromkeys(watts, 0.0)
        self.switchings: list[Switching] = []
        self._modes: dict[frozenset[str], tuple[Modes, Array]] = {}
        self._regimes: dict[tuple[bool | str, ...], _Regime] = {}

    def fill(self, rows: RecordRows) -> None:
        """Go from switching to switching until every row is written."""
        most = 1000 + _MOST_SWITCHINGS_A_SECOND * rows.times[-1]
        k = 0  # the next look to be taken
        while k <= rows.last:
            regime = self._regime(rows)
            z = product(regime.modes.into, self.rise)
            due = product(regime.senses, z) + regime.limits > regime.slack
            if due.any():
                self._act(regime.targets[int(due.argmax())])
            else:
                k = self._advance(regime, z, k, rows)
            if len(self.switchings) > most:
                raise ScenarioError(
                    f"the contact of {self.switchings[-1].name} chatters at {self.time:g} s",
                    remedy="give it a lag or a wider difference between opening and closing",
                )

    def _advance(self, regime: _Regime, z: Array, k: int, rows: RecordRows) -> int:
        """Write rows until something acts, and let it; return the next look."""
        time = self.time  # amplitudes are z at this time
        energy = self.energy - regime.total * self.time
        while k <= rows.last:
            constant, amount = regime.split(regime.later(z, k * rows.look - time))
            count = min(regime.basis.shape[1], rows.last - k + 1)
            found, after = regime.look(constant, amount, count)
            if found > 0:
                self._write(regime, constant, amount, k, found, rows, energy)
                time = (k + found - 1) * rows.look
                z = constant + amount * regime.basis[:, found - 1]
            k += found
            if after is not None:
                wait, target = _first(regime, z, k * rows.look - time, after)
                self._arrive(regime, time + wait, regime.later(z, wait))
                self._act(target)
                return k
        self._arrive(regime, time, z)
        return k

    def _write(
        self,
        regime: _Regime,
        constant: Array,
        amount: Array,
        k: int,
        count: int,
        rows: RecordRows,
        energy: float,
    ) -> None:
        """Write those of ``count`` looks from ``k`` on that are rows; ``energy`` is J at time 0."""
        skip = -k % rows.looks
        if skip >= count:
            return
        basis = regime.basis[:, skip : count : rows.looks]
        first = (k + skip) // rows.looks
        shape = regime.modes.shape
        part = rows.temperatures[:, first : first + basis.shape[1]]
        product(shape * amount, basis, out=part)
        part += (product(shape, constant) + regime.base)[:, None]
        rows.marks.append((first, regime.closed, regime.total, energy))

    def _arrive(self, regime: _Regime, time: float, z: Array) -> None:
        """Move to the end of a segment and add up what it drew."""
        passed = time - self.time
        self.time, self.rise = time, product(regime.modes.shape, z) + regime.modes.held
        self.energy += passed * regime.total
        for heater, power in regime.powers.items():
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

    def _regime(self, rows: RecordRows) -> _Regime:
        """Return what holds with the contacts and boiling nodes as they stand."""
        key: tuple[bool | str, ...] = (*(contact.closed for contact in self.contacts), *sorted(self.boiling))
        if key not in self._regimes:
            self._regimes[key] = self._new_regime(rows)
        return self._regimes[key]

    def _new_regime(self, rows: RecordRows) -> _Regime:
        boiling = frozenset(self.boiling)
        if boiling not in self._modes:
            found = Modes.of(self.network, self.matrix, self.boiling)
            self._modes[boiling] = found, found.basis(rows.look, min(_TABLE, rows.last + 1))
        modes, basis = self._modes[boiling]
        powers = {
            heater: value if all(contact.closed for contact in self.contacts if heater in contact.heaters) else 0.0
            for heater, value in self.watts.items()
        }
        power = self.network.power_array(powers)
        push = modes.input(power, self.matrix)
        still = modes.rates == 0.0
        any_still = bool(still.any())
        senses, limits, slack, targets = self._senses(modes, power)
        return _Regime(
            modes,
            basis,
            powers,
            math.fsum(powers.values()),
            [contact.closed for contact in self.contacts],
            push,
            push / np.where(still, 1.0, modes.rates) if any_still else push / modes.rates,
            still if any_still else None,
            modes.held + self.ambient,
            np.array(senses).reshape(-1, len(modes.rates)),
            np.array(limits),
            np.array(slack),
            targets,
        )

    def _senses(self, modes: Modes, power: Array) -> tuple[list[Array], list[float], list[float], list[Contact | str]]:
        """List what could act next: rows, constants, slack at the start, and targets."""
        senses: list[Array] = []
        limits: list[float] = []
        slack: list[float] = []
        targets: list[Contact | str] = []
        for contact in self.contacts:
            row = modes.shape[contact.node]
            base = float(modes.held[contact.node]) + self.ambient
            if contact.stuck is not None or (not contact.closed and contact.closes is None):
                continue
            senses.append(row if contact.closed else -row)
            limits.append(base - contact.opens if contact.closed else (contact.closes or 0.0) - base)
            slack.append(_HAIR)
            targets.append(contact)
        for name, celsius in self.network.boils.items():
            i = self.network.require(name)
            if name in self.boiling:  # it stops when more heat leaves the node than comes
                senses.append(product(self.matrix[i], modes.shape))
                limits.append(float(product(self.matrix[i], modes.held) - power[i]))
                slack.append(_NO_FLOW)
            else:
                senses.append(modes.shape[i])
                limits.append(self.ambient - celsius)
                slack.append(_HAIR)
            targets.append(name)
        return senses, limits, slack, targets


def _first(regime: _Regime, z: Array, span: float, after: Array) -> tuple[float, Contact | str]:
    """Return when (s after the amplitudes are ``z``) and which target first acts within ``span``."""
    constant, amount = regime.split(z)
    rates = regime.modes.rates.tolist()
    best = (span, regime.targets[int(after.argmax())])
    for i in np.flatnonzero(after > 0.0).tolist():
        row = regime.senses[i]
        terms = list(zip(rates, (row * amount).tolist(), strict=True))
        wait = crossing_time(float(product(row, constant) + regime.limits[i]), terms, span, float(after[i]))
        if wait < best[0]:
            best = wait, regime.targets[i]
    return best
