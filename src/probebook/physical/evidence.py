"""What was read and seen, in the terms of this floor: plain records with no appliance in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from probebook.appliances import Appliance, BranchKind
from probebook.physical.board import Setting, board_of
from probebook.physical.network import Topology

__all__ = ["InUse", "Read", "reads_itself"]


@dataclass(frozen=True, slots=True)
class Read:
    """A reading of a dead appliance.

    Attributes
    ----------
    setting
        Controls, lifted wires and test voltage.
    probes
        The two terminals, by name.
    low, high
        Least and most ohms at the probe tips that can have given the display; ``inf`` over range.
    insulation
        Whether it is an insulation test.
    dried
        Whether the appliance had been dried out before.
    """

    setting: Setting
    probes: tuple[str, str]
    low: float
    high: float
    insulation: bool = False
    dried: bool = False


@dataclass(frozen=True, slots=True)
class InUse:
    """What was seen in a position, switched on, or is complained of: subject -> how it does, in the words of files.

    ``complete`` says that everything was looked at, so that what is not named rested as it should.
    """

    position: str
    shown: Mapping[str, str] = field(default_factory=dict)
    complete: bool = True


def reads_itself(appliance: Appliance, read: Read, branch: str, *, welded: bool = False) -> bool:
    """Whether a reading is of a branch itself.

    A wire, contact or fuse: across its own ends, where it conducts unless it is broken (``welded``: where it does not
    unless it is welded). A load: across its own ends, with no other path that joins them. A path of insulation, by its
    name: from its section, which no other leaking part is joined to, to the metalwork.
    """
    board = board_of(appliance)
    i = appliance.branch(branch)
    probes = frozenset(appliance.terminal(t) for t in read.probes)
    kind = appliance.branches[i].kind
    if kind is BranchKind.INSULATION:
        return read.insulation and _alone_to_metal(appliance, read, branch)
    if read.insulation or probes != frozenset(appliance.branches[i].ends):
        return False
    conducting = board.conducting(read.setting)
    if kind in (BranchKind.WIRE, BranchKind.CONTACT, BranchKind.FUSE):
        never = not np.isfinite(board.made[i])  # the wrong place of a wire: open unless it was put there
        return appliance.branches[i].part not in read.setting.lifted and (never or bool(conducting[i]) is not welded)
    conducting[i] = False
    apart = Topology(len(appliance.terminals), board.ends, conducting)
    a, b = appliance.branches[i].ends
    return bool(apart.piece[a] != apart.piece[b])


def _alone_to_metal(appliance: Appliance, read: Read, path: str) -> bool:
    board = board_of(appliance)
    section = appliance.branch(path.split("~", maxsplit=1)[0])
    live, metal = appliance.branches[appliance.branch(path)].ends
    joined = Topology(len(appliance.terminals), board.ends, board.conducting(read.setting))
    one, other = (joined.piece[appliance.terminal(t)] for t in read.probes)
    if {one, other} != {joined.piece[live], joined.piece[metal]}:
        return False
    mine = joined.piece[appliance.branches[section].ends[0]]
    own = path.split("~", maxsplit=1)[0]
    sound = [b for b in appliance.branches if b.kind is BranchKind.INSULATION and np.isfinite(b.cold_ohms)]
    others = [b for b in sound if b.name.split("~", maxsplit=1)[0] != own]
    return all(joined.piece[b.ends[0]] != mine for b in others)
