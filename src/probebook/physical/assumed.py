"""What is taken for granted of parts that are sound, and of failures that count as such."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["Physical"]


@dataclass(frozen=True)
class Physical(Assumed, table="physical"):
    """How far sound parts may lie from their file, and from where on a failure is one."""

    within: Annotated[Mapping[str, float], "1"]
    beyond_tolerance: Annotated[float, "1"]
    severity: Annotated[float, "1"]
    least_joint: Annotated[float, "ohm"]
    least_change: Annotated[float, "1"]
    worst_leak: Annotated[float, "ohm"]
    nothing: Annotated[float, "ohm"]
    dead: Annotated[float, "1"]
    weak: Annotated[float, "1"]
    strong: Annotated[float, "1"]
    normal: Annotated[tuple[float, ...], "1"]
    trickle: Annotated[float, "W"]
    glow: Annotated[float, "W"]
    alters: Annotated[float, "1"]
    missing: Annotated[float, "1"]
    overload: Annotated[float, "1"]
