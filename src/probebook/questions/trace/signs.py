"""The symbols of circuit diagrams, from ``symbols.toml``: how they look, what they are called, what the parts do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.errors import ScenarioError
from probebook.words import Phrase, Words

__all__ = ["RIVALS", "Sign", "load_signs"]

FILE = "symbols.toml"
#: Symbols that are wrongly taken for the one shown, offered beside it.
RIVALS = 3


@dataclass(frozen=True, slots=True)
class Sign:
    """A symbol: how it looks in words, what it is called, what the part does; ``like`` names those it is mixed up with.

    ``draw`` names the function of :mod:`probebook.drawings.symbols` that draws it, ``settings`` how.
    """

    id: str
    draw: str
    looks: Phrase
    name: Phrase
    does: Phrase
    like: tuple[str, ...]
    settings: Mapping[str, bool]
    source: Phrase


@cache
def load_signs(folder: Path, words: Words | None = None) -> dict[str, Sign]:
    """The symbols of ``folder/symbols.toml`` by id, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        The file is bad, or a symbol is like one that there is not.
    """
    from probebook.questions.trace.signs_format import SymbolsText
    from probebook.scenario_layers import load_joined

    texts = load_joined(folder / FILE, SymbolsText, words).symbol
    known = {text.id for text in texts}
    for number, text in enumerate(texts):
        for other in text.like:
            if other not in known or other == text.id:
                raise ScenarioError(
                    f"there is no other symbol '{other}'",
                    where=f"{FILE}: symbol[{number + 1}].like",
                    remedy=f"name some of {', '.join(sorted(known - {text.id}))}",
                )
    return {
        t.id: Sign(
            id=t.id,
            draw=t.draw,
            looks=Phrase(t.looks),
            name=Phrase(t.name),
            does=Phrase(t.does),
            like=t.like,
            settings=t.settings,
            source=Phrase(t.source),
        )
        for t in texts
    }
