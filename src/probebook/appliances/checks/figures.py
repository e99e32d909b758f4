"""Figures of an appliance file that cannot be meant: a device nobody fits, a part made at random, a wire too thin."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from probebook.appliances.assumed import Checking
from probebook.appliances.checks.findings import Finding, Severity
from probebook.appliances.energised_states import working
from probebook.appliances.model import Appliance, State

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText

__all__ = ["residual", "thin_wires", "tolerances"]


def residual(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A residual-current device that opens at more than any fitted to a circuit of an appliance."""
    most = appliance.assumptions.get(Checking).most_residual
    if text.supply.residual > most:
        yield Finding(
            Severity.ERROR,
            "supply.residual",
            f"a device that opens at a residual {text.supply.residual:g} A protects nobody; the largest has {most:g} A",
            'write for example residual = "30 mA"',
        )


def tolerances(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """An element that is made to no figure at all."""
    most = appliance.assumptions.get(Checking).most_tolerance
    for i, item in enumerate(text.part):
        if item.tolerance is not None and item.tolerance > most:
            yield Finding(
                Severity.ERROR,
                f"part[{i + 1}] ({item.mark}).tolerance",
                f"nothing is made to {100 * item.tolerance:g} % and sold by its rating; {100 * most:g} % is the most",
                'write for example tolerance = "5 %"',
            )


def thin_wires(text: ApplianceText, appliance: Appliance) -> Iterator[Finding]:
    """A wire that carries more in some position than is usual for its cross-section."""
    assumed = appliance.assumptions.get(Checking)
    flow = working(appliance, [State(position.name) for position in appliance.positions])
    for i, item in enumerate(text.wire):
        amps = np.abs(flow.amps[:, appliance.branch(item.mark)])
        most = float(np.nan_to_num(amps).max())
        area = next((a for top, a in zip(assumed.wire_amps, assumed.wire_areas, strict=True) if most <= top), None)
        if area is None or 1e6 * item.area < 0.999 * area:
            position = appliance.positions[int(np.nan_to_num(amps).argmax())].name
            wanted = f"{area or assumed.wire_areas[-1]:g} mm2"
            yield Finding(
                Severity.WARNING,
                f"wire[{i + 1}] ({item.mark}).area",
                f"this wire carries {most:.1f} A in position '{position}', which is much for {1e6 * item.area:g} mm²",
                f'write area = "{wanted}", or see where the current goes',
            )
