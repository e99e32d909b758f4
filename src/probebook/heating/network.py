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

__all__ = ["ROOM", "Array", "Modes", "Network"]

Array = NDArray[np.float64]

ROOM = "room"
"""The name that a link uses for the surroundings, held at the ambient temperature."""

_STILL = 1e-12  # 1/s: a mode slower than 30 000 years counts as one that loses no heat


def _positive(what: str, value: float, *, zero: bool = False) -> None:
    if not math.isfinite(value) or value < 0.0 or (value == 0.0 and not zero):
        bound = "zero or more" if zero else "above zero"
        raise ScenarioError(f"{what} is {value:g}", remedy=f"give a number {bound}")


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
            _positive(f"heat capacity of {name!r} (J/K)", capacity)
        for one, other, conductance in self.links:
            _positive(f"conductance {one!r} to {other!r} (W/K)", conductance, zero=True)
            for name in (one, other):
                if name != ROOM:
                    self.require(name)
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
        try:
            return list(self.capacities).index(node)
        except ValueError:
            known = ", ".join(self.capacities)
            raise ScenarioError(f"no node called {node!r}", remedy=f"use one of: {known}") from None

    def with_sensor(self, name: str, place: str, time_constant: float, capacity: float) -> Network:
        """Return the network with a small body that follows ``place`` with a time constant (s)."""
        self.require(place)
        if name in self.capacities:
            raise ScenarioError(f"two sensors are called {name!r}", remedy="give each its own name")
        _positive(f"time constant of {name!r} (s)", time_constant)
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
        matrix = np.zeros((len(index), len(index)))
        for one, other, conductance in self.links:
            i, j = index.get(one, -1), index.get(other, -1)
            for end in (i, j):
                if end >= 0:
                    matrix[end, end] += conductance
            if i >= 0 and j >= 0:
                matrix[i, j] -= conductance
                matrix[j, i] -= conductance
        return matrix

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
            _positive(f"power of heater {heater!r} (W)", value, zero=True)
            power[self.require(self.feeds[heater])] += value
        return power

    def steady(self, watts: Mapping[str, float], ambient: float = 20.0) -> dict[str, float]:
        """Return the temperatures (°C) that constant power settles at.

        Raises
        ------
        ScenarioError
            Part of the network loses no heat, so it would never settle.
        """
        try:
            rise = np.linalg.solve(self.conductance_matrix(), self.power_array(watts))
        except np.linalg.LinAlgError:
            raise ScenarioError(
                "part of the heat network has no path to the room",
                remedy=f"join it, directly or not, to {ROOM!r}",
            ) from None
        return {name: ambient + float(value) for name, value in zip(self.nodes, rise, strict=True)}


@dataclass(frozen=True, slots=True)
class Modes:
    """The modes of a network while some nodes (those that boil) are held at a temperature.

    ``rates`` are the λ in 1/s, shape (modes,); ``shape`` (nodes, modes) turns mode amplitudes
    into rises over the room, with ``held`` (nodes,) added for the nodes that are held; ``drive``
    (modes, nodes) turns heat input in W into mode input.
    """

    rates: Array
    shape: Array
    drive: Array
    held: Array
    _into: Array

    @classmethod
    def of(cls, network: Network, held: Mapping[str, float] | None = None) -> Modes:
        """Find the modes; ``held`` maps node names to a fixed rise over the room (K)."""
        held = held or {}
        count = len(network.capacities)
        fixed = np.zeros(count)
        free = np.ones(count, dtype=bool)
        for name, rise in held.items():
            index = network.require(name)
            fixed[index], free[index] = rise, False
        root = np.sqrt(network.capacity_array()[free])
        matrix = network.conductance_matrix()
        rates, vectors = np.linalg.eigh(matrix[np.ix_(free, free)] / np.outer(root, root))
        rates = np.where(rates < _STILL, 0.0, rates)
        shape = np.zeros((count, len(root)))
        shape[free] = vectors / root[:, None]
        drive = np.zeros((len(root), count))
        drive[:, free] = vectors.T / root
        into = np.zeros((len(root), count))
        into[:, free] = vectors.T * root
        return cls(rates, shape, drive, fixed, into)

    def amplitudes(self, rise: Array) -> Array:
        """Mode amplitudes of rises over the room (K), shape (modes,)."""
        return np.asarray(self._into @ rise)

    def rise(self, amplitudes: Array) -> Array:
        """Rises over the room (K), shape (nodes,) or (nodes, times)."""
        held = self.held if amplitudes.ndim == 1 else self.held[:, None]
        return np.asarray(self.shape @ amplitudes + held)

    def input(self, power: Array, matrix: Array) -> Array:
        """Mode input for heater power (W per node), with the pull of held nodes included."""
        return np.asarray(self.drive @ (power - matrix @ self.held))

    def growth(self, times: Array) -> tuple[Array, Array]:
        """Decay ``e^(-λt)`` and build-up ``(1 - e^(-λt)) / λ``, each shape (modes, times)."""
        exponent = np.outer(self.rates, times)
        built = np.where(
            self.rates[:, None] > 0.0,
            -np.expm1(-exponent) / np.where(self.rates > 0.0, self.rates, 1.0)[:, None],
            times[None, :],
        )
        return np.exp(-exponent), built
