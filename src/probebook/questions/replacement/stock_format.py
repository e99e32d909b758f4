"""The text format of ``stock.toml``. Loads pydantic; the stock list's reader imports it when needed."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from probebook.textfiles import Prose, StrictModel

Some = Annotated[tuple[Prose, ...], Field(min_length=1)]


class FitText(StrictModel):
    """``[[fit]]``: how a kind of part may be fixed: fixings, terminals and sizes, the usual one first.

    ``id`` is a kind of part; with ``parts`` (``appliance/mark``) it holds for those parts alone.
    """

    id: str
    parts: tuple[str, ...] = ()
    fixings: Some
    terminals: Some
    sizes: Some


class StockText(StrictModel):
    """``stock.toml``: invented ``makes``, voltages of wrong stock (``other_volts``, V), and how parts are fixed."""

    makes: tuple[Prose, ...] = Field(min_length=2)
    other_volts: tuple[float, ...] = Field(min_length=1)
    fit: tuple[FitText, ...]
