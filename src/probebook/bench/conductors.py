"""Conductors of the supply as the bench names them: pairs to be tested for dead, sides of which insulation is read."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations

from probebook.appliances import Appliance
from probebook.appliances.supply.reaching import mounted, reaching, tells_of
from probebook.bench.acts import DEAD_PAIRS
from probebook.diagnosis import Trial
from probebook.meters import Function

__all__ = [
    "all_read",
    "counts",
    "dead_pairs",
    "has_volts",
    "lines_read",
    "loads_told",
    "loads_unread",
    "sides",
    "unread",
]


def sides(appliance: Appliance) -> Mapping[str, str]:
    """Each live conductor's terminal with its name: neutral first, then line, or L1 to L3 of three phases."""
    if appliance.other_lines:
        lines = {name: name.partition(".")[2] for name in appliance.lines}
    else:
        lines = {appliance.line: "L"}
    return {appliance.neutral: "N", **lines} if appliance.neutral else lines


def _live(appliance: Appliance) -> list[str]:
    """Names of the live conductors, neutral last."""
    names = sides(appliance)
    return [names[terminal] for terminal in appliance.live]


def dead_pairs(appliance: Appliance) -> tuple[str, ...]:
    """Every pair that is tested for dead: three of one phase, ten of three phases with neutral and earth.

    An appliance of one phase is fed by a circuit with earth whether or not it has an earth terminal itself.
    """
    if not appliance.other_lines:
        return DEAD_PAIRS
    return tuple("-".join(pair) for pair in combinations([*_live(appliance), "E"], 2))


def has_volts(pair: str) -> bool:
    """Whether a pair has volts between it while the supply is on: all but neutral to earth."""
    return pair != "N-E"


def all_read(appliance: Appliance, insulated: Iterable[str]) -> bool:
    """Whether the insulation of every live conductor is among those read, and with three lines that of every load."""
    loads = mounted(appliance) if appliance.other_lines else ()
    return set(insulated) >= {*sides(appliance).values(), *loads}


def lines_read(appliance: Appliance, position: str, *, calling: bool) -> tuple[str, ...]:
    """Names of the lines, of three, whose insulation a reading in a position tells of: those joined to a load there."""
    names = sides(appliance)
    return tuple(names[line] for line in reaching(appliance, calling=calling)[position])


def counts(appliance: Appliance, trial: Trial, side: str) -> bool:
    """Whether a good reading tells of the insulation of a side: of neutral anywhere, of a line with the controls on.

    Of three lines only those count that are joined to a load as the controls stand.
    """
    if side == "N":
        return True
    if not appliance.other_lines:
        return bool(appliance.position(trial.position).heats)
    return side in lines_read(appliance, trial.position, calling=trial.calling)


def unread(appliance: Appliance, insulated: Collection[str]) -> tuple[str, ...]:
    """Names of the live conductors of three phases whose insulation is not among those read; none of one phase."""
    return tuple(name for name in _live(appliance) if name not in insulated) if appliance.other_lines else ()


def loads_unread(appliance: Appliance, insulated: Collection[str]) -> tuple[str, ...]:
    """The loads, on three lines, of whose insulation nothing read has told; none of one phase."""
    return tuple(name for name in mounted(appliance) if name not in insulated) if appliance.other_lines else ()


def loads_told(appliance: Appliance, trial: Trial, reference: str) -> frozenset[str]:
    """The loads of whose insulation a reading to earth with every wire on tells; none of one phase."""
    others = [end for end in trial.probes if end != reference]
    if not appliance.other_lines or trial.function is not Function.INSULATION or trial.lifted or len(others) != 1:
        return frozenset()
    return frozenset(tells_of(appliance, trial.position, calling=trial.calling)[others[0]])
