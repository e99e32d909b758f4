"""Every name in a plan is that of something there: appliances, positions, faults, aims."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError, choose_one

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.build.plan import Block, Plan

__all__ = ["check_plan"]


def check_plan(plan: Plan, library: Library) -> None:
    """Refuse a plan that names what there is not; what its questions' options name is checked as they are built.

    Raises
    ------
    ScenarioError
        File, block and key, with the nearest name.
    """
    file = f"{plan.id}.toml"
    if plan.appliance:
        _known((plan.appliance,), library.appliance_ids, f"{file}: appliance", "appliance")
    _known(plan.aims, library.outcomes, f"{file}: aims", "outcome")
    for block in plan.blocks_in(library.region.id):
        _check_block(block, library)


def _check_block(block: Block, library: Library) -> None:
    _known((block.appliance,), library.appliance_ids, f"{block.where}.appliance", "appliance")
    appliance = library.appliance(block.appliance)
    positions = [position.name for position in appliance.positions]
    if block.position:
        _known((block.position,), positions, f"{block.where}.position", "position")
    _known(block.paths, positions, f"{block.where}.paths", "position")
    _known(block.truth or (), [fault.id for fault in appliance.faults], f"{block.where}.truth", "fault")


def _known(names: Iterable[str], known: Iterable[str], where: str, what: str) -> None:
    there = tuple(known)
    for name in names:
        if name not in there:
            raise ScenarioError(f"there is no {what} '{name}' here", where=where, remedy=choose_one(name, there))
