"""Relays that do nothing: a coil that no position feeds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from probebook.appliances.checks.findings import Finding, Severity
from probebook.appliances.model import Appliance, PartKind, State
from probebook.appliances.relays import pulled_in

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText

__all__ = ["idle_relays"]


def idle_relays(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A relay that pulls in in no position."""
    marks = [item.mark for item in text.part if item.kind is PartKind.RELAY]
    worked = {mark for p in appliance.positions if marks for mark in pulled_in(appliance, State(p.name))}
    for i, item in enumerate(text.part):
        if item.mark in marks and item.mark not in worked:
            yield Finding(
                Severity.ERROR,
                f"part[{i + 1}] ({item.mark}).coil",
                f"in no position does the coil get the {item.pulls_in or 0.0:g} V that it pulls in at",
                "mend the wiring of the coil, or lower pulls_in",
            )
