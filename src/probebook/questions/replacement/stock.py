"""The stock list: how parts of each kind are fixed and connected, and of what invented makes they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.appliances import Appliance, Part, PartKind
from probebook.errors import ScenarioError
from probebook.words import Noun, Words

__all__ = ["Fit", "Stock", "fit_of", "stock"]

FILE = "stock.toml"


@dataclass(frozen=True, slots=True)
class Fit:
    """How parts of one kind are fixed and connected, and their sizes; each a noun whose id is what the file says."""

    fixings: tuple[Noun, ...]
    terminals: tuple[Noun, ...]
    sizes: tuple[Noun, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """What the list is drawn from: makes, voltages of what is sold for other supplies (V), fits by kind and by part."""

    makes: tuple[str, ...]
    other_volts: tuple[float, ...]
    of_kind: Mapping[str, Fit]
    of_part: Mapping[str, Fit]


@cache
def stock(folder: Path, words: Words | None = None) -> Stock:
    """The stock described in a ``scenarios`` folder, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        The file is bad.
    """
    from probebook.questions.replacement.stock_format import StockText
    from probebook.scenario_layers import load_joined

    path = folder / FILE
    ids = load_joined(path, StockText)
    said = ids if words is None else load_joined(path, StockText, words)
    of_kind: dict[str, Fit] = {}
    of_part: dict[str, Fit] = {}
    for base, text in zip(ids.fit, said.fit, strict=True):
        fit = Fit(
            _nouns(base.fixings, text.fixings), _nouns(base.terminals, text.terminals), _nouns(base.sizes, text.sizes)
        )
        for part in text.parts:
            of_part[part] = fit
        if not text.parts:
            of_kind[text.id] = fit
    return Stock(said.makes, said.other_volts, of_kind, of_part)


def _nouns(ids: Sequence[str], texts: Sequence[str]) -> tuple[Noun, ...]:
    return tuple(Noun(name, text) for name, text in zip(ids, texts, strict=True))


_SORT = {PartKind.SELECTOR: "switch", PartKind.REGULATOR: "switch"}


def fit_of(appliance: Appliance, part: Part, source: Stock) -> Fit:
    """How a part may be fixed: as the list says of this very part, or else of its kind.

    Raises
    ------
    ScenarioError
        The list says neither.
    """
    own = source.of_part.get(f"{appliance.id}/{part.mark}")
    if own is not None:
        return own
    sort = _SORT.get(part.kind, part.kind.value)
    if sort not in source.of_kind:
        raise ScenarioError(
            f"the stock list does not say how a {sort} is fixed", where=f"{FILE}: fit", remedy="add a [[fit]]"
        )
    return source.of_kind[sort]
