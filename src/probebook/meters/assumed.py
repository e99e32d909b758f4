"""What is taken for granted of readings, whatever the instrument."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["Astray"]


@dataclass(frozen=True)
class Astray(Assumed, table="meters.astray"):
    """Readings that say nothing of what was to be measured: a slipped probe, a dial set wrong, a digit misread.

    ``share`` of all readings; of those, ``over_range`` show over-range and ``zero`` show zero; the rest show anything.
    """

    share: Annotated[float, "1"]
    over_range: Annotated[float, "1"]
    zero: Annotated[float, "1"]
