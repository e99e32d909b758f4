"""A second way to heat a space: general ODE solving between switchings, written apart from the first.

The right-hand side is summed link by link, sensors are one-way first-order lags, and
``scipy.integrate.solve_ivp`` finds both the temperatures and the switchings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from probebook.heating.controls import CutOut, Thermostat
from probebook.heating.network import ROOM, Network


@dataclass
class Reference:
    """Temperatures (n, nodes) of the plain network, of the sensors (n, controls), and switchings."""

    times: NDArray[np.float64]
    nodes: NDArray[np.float64]
    sensors: NDArray[np.float64]
    switchings: list[tuple[float, str, bool]] = field(default_factory=list)
    joules: float = 0.0


def _event(quantity):  # noqa: ANN001, ANN202
    """Make a terminal event of the solver that fires when a quantity of the state rises past zero."""

    def event(_t, y):  # noqa: ANN001, ANN202
        return quantity(y)

    event.terminal, event.direction = True, 1.0
    return event


def integrate(
    network: Network,
    watts: Mapping[str, float],
    thermostat: Thermostat | None = None,
    cut_outs: Sequence[CutOut] = (),
    *,
    seconds: float,
    step: float = 1.0,
    ambient: float = 20.0,
    method: str = "LSODA",
    rtol: float = 1e-10,
    atol: float = 1e-9,
    max_step: float = np.inf,
) -> Reference:
    """Integrate a network that starts at the ambient temperature."""
    names = list(network.capacities)
    index = {name: i for i, name in enumerate(names)}
    count = len(names)
    capacity = np.array([network.capacities[name] for name in names])
    links = [(index.get(a, -1), index.get(b, -1), g) for a, b, g in network.links]
    assert all(a in index or a == ROOM for a, _, _ in network.links)
    # one dense matrix of outflow, built link by link: what a user of the library would write
    matrix = np.zeros((count, count + 1))
    for a, b, g in links:
        for here, there in ((a, b), (b, a)):
            if here >= 0:
                matrix[here, here] += g
                matrix[here, there] -= g  # -1 is the last column: the room
    controls: list[Thermostat | CutOut] = ([thermostat] if thermostat else []) + list(cut_outs)
    labels = (["thermostat"] if thermostat else []) + [c.name for c in cut_outs]
    closed = [c.stuck != "open" for c in controls]
    places = np.array([index[c.place] for c in controls], dtype=int)
    lags = np.array([c.time_constant for c in controls])
    boiling: set[str] = set()
    state = np.full(count + len(controls), ambient)
    times = np.arange(round(seconds / step) + 1) * step
    out = np.empty((len(times), len(state)))
    reference = Reference(times, out[:, :count], out[:, count:])
    now = 0.0

    def flows(y: NDArray[np.float64], power: NDArray[np.float64]) -> NDArray[np.float64]:
        return power - matrix @ np.append(y[:count], ambient)

    def sensed(y: NDArray[np.float64], i: int) -> float:
        return float(y[count + i] if lags[i] > 0.0 else y[places[i]])

    while True:
        power = np.zeros(count)
        for heater, value in watts.items():
            if all(ok for c, ok in zip(controls, closed, strict=True) if c.heaters is None or heater in c.heaters):
                power[index[network.feeds[heater]]] += value
        held = np.array([index[name] for name in boiling], dtype=int)

        def right(_t, y, power=power, held=held):  # noqa: ANN001, ANN202
            rate = flows(y, power) / capacity
            rate[held] = 0.0
            lagging = np.divide(y[places] - y[count:], lags, out=np.zeros(len(lags)), where=lags > 0.0)
            return np.concatenate([rate, lagging])

        events, acts = [], []
        for i, control in enumerate(controls):
            if control.stuck is None and closed[i]:
                events.append(_event(lambda y, i=i, c=control: sensed(y, i) - c.opens))
                acts.append(i)
            elif control.stuck is None and control.closes is not None:
                events.append(_event(lambda y, i=i, c=control: c.closes - sensed(y, i)))
                acts.append(i)
        for name, boil in network.boils.items():
            j = index[name]
            if name in boiling:
                events.append(_event(lambda y, j=j, p=power: -flows(y, p)[j]))
            else:
                events.append(_event(lambda y, j=j, b=boil: y[j] - b))
            acts.append(name)
        due = [
            a for e, a in zip(events, acts, strict=True) if isinstance(a, str) and a in boiling and e(now, state) > 0
        ]
        if not due:
            rest = times[times >= now - 1e-12]
            solution = solve_ivp(
                right,
                (now, seconds),
                state,
                method=method,
                t_eval=rest,
                events=events,
                rtol=rtol,
                atol=atol,
                max_step=max_step,
            )
            rows = len(times) - len(rest)
            out[rows : rows + solution.y.shape[1]] = solution.y.T
            hits = [(t[0], i) for i, t in enumerate(solution.t_events) if len(t)]
            end = min(hits)[0] if hits else seconds
            reference.joules += float(power.sum()) * (end - now)
            if not hits:
                return reference
            now, which = min(hits)
            state = solution.y_events[which][0].copy()
            due = [acts[which]]
        for act in due:
            if isinstance(act, int):
                closed[act] = not closed[act]
                reference.switchings.append((now, labels[act], closed[act]))
            else:
                boiling ^= {act}
                reference.switchings.append((now, "boiling", act in boiling))
