"""Terminals joined by resistances: what a meter would find between them, and what flows when they are live.

A network is a number of terminals, the two ends of each branch, and the resistance of each branch, in ohms, in
each of many states. This floor knows nothing of appliances.
"""

from __future__ import annotations

from probebook.circuit.energised import Energised, energise, sensitivity, volts_between
from probebook.circuit.network import conductance_matrix
from probebook.circuit.pieces import piece_numbers
from probebook.circuit.resistance import resistance_between, resistance_matrix, resistances, resistances_for

__all__ = [
    "Energised",
    "conductance_matrix",
    "energise",
    "piece_numbers",
    "resistance_between",
    "resistance_matrix",
    "resistances",
    "resistances_for",
    "sensitivity",
    "volts_between",
]
