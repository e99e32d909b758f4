"""What is taken for granted of failures that no file lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["OpenWorld", "Ranges"]


@dataclass(frozen=True)
class OpenWorld(Assumed, table="diagnosis.open"):
    """How often what is wrong is on no list, and how that is shared out: a weight for each failure by its kind."""

    unlisted: Annotated[float, "1"]
    weight: Annotated[Mapping[str, float], "1"]
    running: Annotated[float, "1"]


@dataclass(frozen=True)
class Ranges(Assumed, table="diagnosis.free"):
    """Least and most of what is free, evenly in ln: ohms, or a factor on a load's own ohms."""

    joint: Annotated[tuple[float, ...], "ohm"]
    turns: Annotated[tuple[float, ...], "1"]
    element: Annotated[tuple[float, ...], "1"]
    leak: Annotated[tuple[float, ...], "ohm"]
