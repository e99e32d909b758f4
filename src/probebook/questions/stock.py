"""The stock list: parts as a storekeeper lists them, of an invented make, with rating and fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from probebook.appliances import Appliance, Part, PartKind
from probebook.cases.seeds import stream
from probebook.cases.words import short
from probebook.errors import ScenarioError

#: Kelvins at 0 °C.
ZERO = 273.15

__all__ = ["Item", "Stock", "control_rating", "other", "part_wanted", "rating_of", "stock"]


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the stock list."""

    code: str
    make: str
    name: str
    rating: str
    fixing: str
    terminals: str
    size: str

    def row(self) -> str:
        """The line as an option: rating first, then fit."""
        fit = "; ".join(w for w in (self.fixing, self.terminals, self.size) if w)
        return f"{self.code} {self.make} {self.name}, {self.rating}; {fit}"


@dataclass(frozen=True, slots=True)
class Fit:
    """How parts of one kind are fixed and connected, and their sizes."""

    fixings: tuple[str, ...]
    terminals: tuple[str, ...]
    sizes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """What the list is drawn from."""

    makes: tuple[str, ...]
    other_volts: tuple[float, ...]
    fits: Mapping[str, Fit]


@cache
def stock(folder: Path) -> Stock:
    """The stock described in a ``scenarios`` folder; ScenarioError when the file is bad."""
    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class FitText(StrictModel):
        kind: str
        fixings: tuple[str, ...] = Field(min_length=1)
        terminals: tuple[str, ...] = Field(min_length=1)
        sizes: tuple[str, ...] = Field(min_length=1)

    class File(StrictModel):
        makes: tuple[str, ...] = Field(min_length=2)
        other_volts: tuple[float, ...] = Field(min_length=1)
        fit: tuple[FitText, ...]

    text = load_text(folder / "stock.toml", File)
    return Stock(text.makes, text.other_volts, {f.kind: Fit(f.fixings, f.terminals, f.sizes) for f in text.fit})


_SORT = {PartKind.SELECTOR: "switch", PartKind.REGULATOR: "switch", PartKind.NEON: "lamp"}


def fit_of(part: Part, source: Stock) -> Fit:
    """How such a part may be fixed, by its own name before its kind; ScenarioError when the list does not say."""
    if short(part.title) in source.fits:
        return source.fits[short(part.title)]
    sort = _SORT.get(part.kind, part.kind.value)
    if sort not in source.fits:
        raise ScenarioError(
            f"the stock list does not say how a {sort} is fixed", where="stock.toml: fit", remedy="add a [[fit]]"
        )
    return source.fits[sort]


def part_wanted(appliance: Appliance, part: Part, source: Stock) -> Item:
    """The right part, with the fixing, terminals and size it always has."""
    rng = stream("fit", appliance.id, part.mark)
    fit = fit_of(part, source)
    return Item(
        code=f"{part.mark[0]}{rng.randrange(1000, 10000)}",
        make=rng.choice(source.makes),
        name=short(part.title),
        rating=rating_of(appliance, part),
        fixing=rng.choice(fit.fixings),
        terminals=rng.choice(fit.terminals),
        size=rng.choice(fit.sizes),
    )


def rating_of(appliance: Appliance, part: Part, *, volts: float | None = None, scale: float = 1.0) -> str:
    """The rating of a part in words: watts at volts for a load, the temperature for a control, amperes for a fuse."""
    supply = appliance.plate.volts if volts is None else volts
    sections = [b for b in appliance.branches if b.part == part.mark and b.watts > 0]
    if sections:
        several = len(sections) > 1
        watts = [
            (f"{b.name.partition('.')[2]} " if several else "")
            + f"{b.watts if scale == 1.0 else rounded(b.watts * scale):g} W"
            for b in sections
        ]
        heat = ", for ovens up to 300 °C" if part.kind is PartKind.LAMP and volts is None else ""
        return f"{' and '.join(watts)} at {supply:g} V{heat}"
    return control_rating(part) or f"pattern {part.mark} of the {appliance.plate.designation}"


def control_rating(part: Part, *, warmer: float = 0.0, reset: str = "") -> str:
    """The rating of a control in words: where it opens, what it spans, what it carries; empty for one without figures.

    ``warmer`` adds kelvins to every temperature, ``reset`` stands in for how it resets.
    """
    opens = part.fact("opens_at")
    if isinstance(opens, float):
        how = {"self": "self-resetting", "manual": "reset by hand", "one-shot": "one-shot"}
        return f"opens at {opens - ZERO + warmer:.0f} °C, {how.get(reset or str(part.fact('reset')), 'self-resetting')}"
    low, high = part.fact("minimum"), part.fact("maximum")
    if isinstance(low, float) and isinstance(high, float):
        return f"{low - ZERO + warmer / 2:.0f} to {high - ZERO + warmer:.0f} °C"
    amps = part.fact("rating")
    return f"{amps:g} A" if isinstance(amps, float) else ""


def rounded(watts: float) -> float:
    """Watts as they are sold: to the nearest 50 W above 300 W, to the nearest 5 W below."""
    step = 50.0 if watts >= 300 else 5.0
    return round(watts / step) * step if watts % step else watts


def other(item: Item, source: Stock, **changes: str) -> Item:
    """Another line like this one, with another code and make."""
    rng = stream("other", item.code, *sorted(changes.items()))
    code = f"{item.code[0]}{rng.randrange(1000, 10000)}"
    return replace(item, code=code, make=rng.choice(source.makes), **changes)
