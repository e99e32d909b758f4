"""Linear heat networks: capacities joined by conductances, solved exactly by their modes.

For free nodes with capacities C (J/K) and conductance matrix G (W/K), the rise over the room
obeys ``C dθ/dt = -Gθ + q``. With ``S = C^-1/2 G C^-1/2`` symmetric, the substitution
``z = Vᵀ C^1/2 θ`` (V the eigenvectors of S) splits it into independent first-order modes

    ``z(t) = z(0) e^(-λt) + u (1 - e^(-λt)) / λ``,  ``u = Vᵀ C^-1/2 q``

which holds exactly for as long as the power q stays the same, however long that is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from probebook.errors import ScenarioError
from probebook.numerics.matrices import eigenvectors, product, solution

__all__ = ["ROOM", "Array", "Modes", "Network"]

Array = NDArray[np.float64]

#: The name that a link uses for the surroundings, held at the ambient temperature.
ROOM = "room"

_BLOCK = 64  # looks: the exponentials of a table are products of those of blocks and within one
_STILL = 1e-9  # 1/s: a mode slower than thirty years counts as one that loses no heat


def _positive(quantity: str, of: str, unit: str, value: float, *, zero: bool = False) -> None:
    if not math.isfinite(value) or value < 0.0 or (value == 0.0 and not zero):
        bound = "zero or more" if zero else "above zero"
        raise ScenarioError(f"{quantity} of {of} ({unit}) is {value:g}", remedy=f"give a number {bound}")


@dataclass(frozen=True, slots=True)
class Network:
    """Named nodes with heat capacities, the conductances between them, and where heaters feed in.

    Parameters
    ----------
    capacities
        Heat capacity of each node, J/K, in the order used for every array.
    links
        ``(node, node, conductance)`` in W/K; :data:`ROOM` may stand for one end. Links between
        the same pair add up.
    feeds
        The node that each heater puts its power into.
    boils
        Temperature (°C) at which a node stops rising because its water boils away; the surplus
        power leaves as steam.
    starts
        Temperatures (°C) at time zero of nodes that do not start at the ambient temperature.

    Raises
    ------
    ScenarioError
        A capacity or a conductance is not positive, or a name is unknown.
    """

    capacities: Mapping[str, float]
    links: tuple[tuple[str, str, float], ...]
    feeds: Mapping[str, str]
    boils: Mapping[str, float] = field(default_factory=dict)
    starts: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.capacities:
            raise ScenarioError("the heat network has no nodes", remedy="give at least one capacity")
        for name, capacity in self.capacities.items():
            if name == ROOM:
                raise ScenarioError(f"a node is called {ROOM!r}", remedy="that name is kept for the surroundings")
            if not 0.0 < capacity < math.inf:
                _positive("heat capacity", repr(name), "J/K", capacity)
        ends = {ROOM, *self.capacities}
        for one, other, conductance in self.links:
            if not 0.0 <= conductance < math.inf:
                _positive("conductance", f"{one!r} to {other!r}", "W/K", conductance, zero=True)
            if one not in ends or other not in ends:
                self.require(one if one not in ends else other)
            if one == other:
                raise ScenarioError(f"a conductance joins {one!r} to itself", remedy="join two nodes")
        for name in (*self.feeds.values(), *self.boils, *self.starts):
            self.require(name)

    @property
    def nodes(self) -> tuple[str, ...]:
        """Node names in array order."""
        return tuple(self.capacities)

    def require(self, node: str) -> int:
        """Return the index of a node, or raise an error that lists the nodes there are."""
        if node not in self.capacities:
            known = ", ".join(self.capacities)
            raise ScenarioError(f"no node called {node!r}", remedy=f"use one of: {known}")
        return self.nodes.index(node)

    def with_sensor(self, name: str, place: str, time_constant: float, capacity: float) -> Network:
        """Return the network with a small body that follows ``place`` with a time constant (s)."""
        self.require(place)
        if name in self.capacities:
            raise ScenarioError(f"two sensors are called {name!r}", remedy="give each its own name")
        _positive("time constant", repr(name), "s", time_constant)
        return Network(
            {**self.capacities, name: capacity},
            (*self.links, (place, name, capacity / time_constant)),
            self.feeds,
            self.boils,
            {**self.starts, **({name: self.starts[place]} if place in self.starts else {})},
        )

    def capacity_array(self) -> Array:
        """Heat capacities, J/K, shape (nodes,)."""
        return np.array(list(self.capacities.values()), dtype=np.float64)

    def conductance_matrix(self) -> Array:
        """Matrix G in W/K, shape (nodes, nodes): ``Gθ`` is the heat leaving each node."""
        index = {name: i for i, name in enumerate(self.capacities)}
        matrix = [[0.0] * len(index) for _ in index]
        for one, other, conductance in self.links:
            for here, there in ((one, other), (other, one)):
                if here != ROOM:
                    row = matrix[index[here]]
                    row[index[here]] += conductance
                    if there != ROOM:
                        row[index[there]] -= conductance
        return np.array(matrix)

    def to_room(self) -> Array:
        """Conductance of each node straight to the room, W/K, shape (nodes,)."""
        return np.asarray(self.conductance_matrix().sum(axis=1))

    def power_array(self, watts: Mapping[str, float]) -> Array:
        """Spread heater powers (W) over the nodes they feed, shape (nodes,)."""
        power = np.zeros(len(self.capacities))
        for heater, value in watts.items():
            if heater not in self.feeds:
                known = ", ".join(self.feeds) or "none"
                raise ScenarioError(f"no heater called {heater!r}", remedy=f"heaters here: {known}")
            _positive("power", f"heater {heater!r}", "W", value, zero=True)
            power[self.require(self.feeds[heater])] += value
        return power

    def steady(self, watts: Mapping[str, float], ambient: float = 20.0) -> dict[str, float]:
        """Return the temperatures (°C) that constant power settles at.

        Raises
        ------
        ScenarioError
            Part of the network loses no heat, so it would never settle.
        """
        rise = solution(self.conductance_matrix(), self.power_array(watts))
        if rise is None:
            raise ScenarioError(
                "part of the heat network has no path to the room",
                remedy=f"join it, directly or not, to {ROOM!r}",
            )
        return {name: ambient + float(value) for name, value in zip(self.nodes, rise, strict=True)}


@dataclass(frozen=True, slots=True)
class Modes:
    """The modes of a network while some nodes (those that boil) are held at a temperature.

    Attributes
    ----------
    rates
        λ in 1/s, shape (modes,); exactly 0 for a mode that loses no heat.
    shape
        Turns mode amplitudes into rises over the room, shape (nodes, modes).
    held
        Rises of the nodes that are held, 0 elsewhere, shape (nodes,).
    into, drive
        Turn rises, and heat input in W, into amplitudes and mode input, shape (modes, nodes).
    """

    rates: Array
    shape: Array
    held: Array
    into: Array
    drive: Array

    @classmethod
    def of(cls, network: Network, matrix: Array, held: Mapping[str, float] | None = None) -> Modes:
        """Find the modes of a network with conductance matrix ``matrix``.

        ``held`` maps the names of held nodes to their fixed rise over the room (K).
        """
        fixed = np.zeros(len(network.capacities))
        free = np.ones(len(fixed), dtype=np.bool_)
        for name, rise in (held or {}).items():
            index = network.require(name)
            fixed[index], free[index] = rise, False
        root = np.sqrt(network.capacity_array())
        symmetric = matrix / (root[:, None] * root)
        if held:
            rates, part = eigenvectors(symmetric[free][:, free])
            vectors = np.zeros((len(fixed), len(rates)))
            vectors[free] = part
        else:
            rates, vectors = eigenvectors(symmetric)
        rates[rates < _STILL] = 0.0
        shape = vectors / root[:, None]
        return cls(rates, shape, fixed, vectors.T * root, shape.T)

    def input(self, power: Array, matrix: Array) -> Array:
        """Mode input u for heater power (W per node), with the pull of held nodes included."""
        return product(self.drive, power - product(matrix, self.held))

    def basis(self, look: float, count: int) -> Array:
        """One function of time per mode at ``0, look, 2 look …``, shape (modes, count).

        ``e^(-λt)``, and plain ``t`` for a mode that loses no heat: every course of a mode under
        constant power is a constant plus a multiple of it.
        """
        fine = look * np.arange(_BLOCK, dtype=np.float64)
        coarse = look * _BLOCK * np.arange(-(-count // _BLOCK), dtype=np.float64)
        decay = -self.rates[:, None]
        blocks = np.exp(decay * coarse)[:, :, None] * np.exp(decay * fine)[:, None, :]
        table = blocks.reshape(len(self.rates), -1)[:, :count]
        still = self.rates == 0.0
        if still.any():
            table[still] = look * np.arange(count, dtype=np.float64)
        return table
