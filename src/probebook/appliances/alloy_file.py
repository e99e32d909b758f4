"""The shape of ``scenarios/alloys.toml``; this module loads pydantic."""

from __future__ import annotations

from typing import Annotated

from probebook.textmodels import Quantity, StrictModel

__all__ = ["AlloyEntry", "AlloyFile"]


class AlloyEntry(StrictModel):
    """One ``[[alloy]]`` table; its meaning is that of :class:`probebook.appliances.alloys.Alloy`."""

    id: str
    name: str
    celsius: tuple[float, ...]
    factor: tuple[float, ...]
    source: str
    resistivity: Annotated[float, Quantity("ohm*m")] | None = None
    resistivity_source: str | None = None


class AlloyFile(StrictModel):
    """The whole file."""

    alloy: tuple[AlloyEntry, ...]
