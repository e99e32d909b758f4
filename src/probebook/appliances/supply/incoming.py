"""What the supply holds at the terminals where it comes in, and what flows in its conductors.

The supply is that of a TN system: neutral and earth at nothing, each line at the volts to neutral, the lines of a
three-phase supply a third of a period behind one another in the order L1, L2, L3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from probebook.appliances.model import Appliance

if TYPE_CHECKING:
    from probebook.circuit import Energised

__all__ = ["Currents", "currents_in", "held_terminals", "largest"]

FloatArray = NDArray[np.float64]


def held_terminals(appliance: Appliance, volts: float) -> dict[int, complex]:
    """What the supply holds: each line at ``volts`` to neutral, neutral and earth, where there are such, at nothing.

    In the order of :attr:`Appliance.incoming`. Lines of three phases are phasors, of which the second lags the first.
    """
    held: dict[int, complex] = {appliance.terminal(appliance.line): volts}
    for line, side in zip(appliance.other_lines, (-1.0, 1.0), strict=False):
        held[appliance.terminal(line)] = complex(-volts / 2.0, side * volts * math.sqrt(3.0) / 2.0)
    for name in appliance.incoming[len(appliance.lines) :]:
        held[appliance.terminal(name)] = 0.0
    return held


@dataclass(frozen=True, slots=True, eq=False)
class Currents:
    """Amperes in the conductors of the supply: ``lines`` ``(..., 1 or 3)`` in, ``neutral`` and ``earth`` ``(...)`` out.

    Magnitudes where there are three phases: that in neutral and in earth is then a sum of phasors.
    """

    lines: FloatArray
    neutral: FloatArray
    earth: FloatArray


def largest(lines: FloatArray) -> FloatArray:
    """Amperes in the line that carries most, ``(...)``, of ``(..., 1 or 3)``; signed where there is one."""
    return np.asarray(lines[..., 0] if lines.shape[-1] == 1 else lines.max(axis=-1))


def currents_in(appliance: Appliance, flow: Energised) -> Currents:
    """What flows in the conductors of the supply when :func:`held_terminals` are held; nought where there is none."""
    count = len(appliance.lines)
    out = {name: flow.supplied[..., k] for k, name in enumerate(appliance.incoming)}
    nought = np.zeros(flow.supplied.shape[:-1])

    def back(name: str) -> FloatArray:
        if not name:
            return nought
        return out[name] if flow.phasors is not None else np.asarray(0.0 - out[name])

    return Currents(flow.supplied[..., :count], back(appliance.neutral), back(appliance.earth))
