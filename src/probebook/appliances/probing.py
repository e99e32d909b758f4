"""Probing by name: resistance between named terminals, with names checked and mended in one sentence.

The one bridge between an appliance's names and the circuit floor's indices; everything that takes a reading goes
through :func:`probe_ohms`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import OHMMETER_VOLTS, Appliance, State, branch_ends, branch_ohms
from probebook.circuit import resistances_for
from probebook.errors import UsageError, choose_one

__all__ = ["check_names", "probe_ohms"]


def probe_ohms(
    appliance: Appliance,
    states: Sequence[State],
    probes: Sequence[tuple[str, str]],
    *,
    test_volts: float = OHMMETER_VOLTS,
    spread: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """Ohms between each pair of terminals in each state, shape ``(states, probes)``; ``inf`` where nothing joins them.

    ``spread`` is as in :func:`~probebook.appliances.branch_ohms`. KeyError for an unknown name
    (see :func:`check_names`).
    """
    pairs = np.array([[appliance.terminal(a), appliance.terminal(b)] for a, b in probes], dtype=np.intp)
    ohms = branch_ohms(appliance, states, test_volts=test_volts, spread=spread)
    return resistances_for(len(appliance.terminals), branch_ends(appliance), ohms, pairs)


def check_names(appliance: Appliance, state: State, probes: Iterable[str]) -> None:
    """Check every name a person gave; :class:`UsageError` with the nearest right one."""
    _known("position", [state.position], [p.name for p in appliance.positions], appliance)
    _known("fault", state.faults, [f.id for f in appliance.faults], appliance)
    _known("wire", state.lifted, [w.mark for w in appliance.wires], appliance)
    _known("terminal", probes, appliance.terminals, appliance)


def _known(what: str, names: Iterable[str], known: Sequence[str], appliance: Appliance) -> None:
    for name in sorted(names):
        if name not in known:
            hint = choose_one(name, known)
            raise UsageError(f"the {appliance.title} has no {what} '{name}'", where=appliance.id, remedy=hint)
