"""Appliances: parts, wiring, controls and faults, read from text files and turned into branch tables.

>>> from probebook.appliances import State, branch_ohms, load_appliance
"""

from probebook.appliances.earthing import earth_limit
from probebook.appliances.energised_states import Working, at_work, supply_volts, working
from probebook.appliances.loading import load_appliance, load_appliances
from probebook.appliances.model import (
    Appliance,
    Branch,
    BranchKind,
    Change,
    Fault,
    FaultKind,
    Part,
    PartKind,
    Plate,
    Position,
    State,
    Supply,
    Wire,
)
from probebook.appliances.states import (
    OHMMETER_VOLTS,
    Effect,
    branch_ends,
    branch_ohms,
    controlled_ohms,
    effect_of,
    grid_ohms,
)

__all__ = [
    "OHMMETER_VOLTS",
    "Appliance",
    "Branch",
    "BranchKind",
    "Change",
    "Effect",
    "Fault",
    "FaultKind",
    "Part",
    "PartKind",
    "Plate",
    "Position",
    "State",
    "Supply",
    "Wire",
    "Working",
    "at_work",
    "branch_ends",
    "branch_ohms",
    "controlled_ohms",
    "earth_limit",
    "effect_of",
    "grid_ohms",
    "load_appliance",
    "load_appliances",
    "supply_volts",
    "working",
]
