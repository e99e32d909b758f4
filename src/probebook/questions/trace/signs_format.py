"""The text format of ``symbols.toml``. Loads pydantic; the reader of signs imports it when needed."""

from __future__ import annotations

from pydantic import Field

from probebook.textfiles import Prose, StrictModel


class SignText(StrictModel):
    """``[[symbol]]``: a sign of the drawings.

    ``draw`` names the drawing and ``settings`` how it is drawn; ``looks`` describes it for those who cannot see it;
    ``name`` is what it stands for and ``does`` what that does; ``like`` names signs that it may be taken for.
    """

    id: str
    draw: str
    looks: Prose
    name: Prose
    does: Prose
    like: tuple[str, ...] = ()
    settings: dict[str, bool] = Field(default_factory=dict)
    source: Prose


class SymbolsText(StrictModel):
    """``symbols.toml``: all signs."""

    symbol: tuple[SignText, ...] = Field(min_length=4)  # the right one and its rivals
