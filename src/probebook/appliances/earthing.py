"""The earth path of an appliance: what of it is supply lead, and the most it may have before the supply goes back.

The limit is that of the region the appliance stands in, role ``earth.return-to-service``. Everything that asks whether
an earth path is good enough asks here.
"""

from __future__ import annotations

from probebook.appliances.model import Appliance, PartKind
from probebook.regions.limits import Limit

__all__ = ["earth_limit", "lead_ohms"]


def lead_ohms(appliance: Appliance) -> float:
    """Ohms of the protective conductor of the supply lead, from the plug on; 0 for an appliance that has no plug."""
    plugs = {tag for part in appliance.parts if part.kind is PartKind.PLUG for tag in part.terminals}
    if appliance.earth not in plugs:
        return 0.0
    leads = [w for w in appliance.wires if w.is_earth and appliance.earth in (w.start, w.end)]
    return sum(appliance.branches[appliance.branch(wire.mark)].cold_ohms for wire in leads)


def earth_limit(appliance: Appliance) -> Limit:
    """The most that may lie between the incoming earth and any metalwork before the supply goes back, ohms.

    UsageError where the region has no such rule.
    """
    return appliance.region.rule("earth.return-to-service", lead_ohms=lead_ohms(appliance))
