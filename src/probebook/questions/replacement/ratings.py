"""Ratings of parts: watts at volts of a load, the temperatures of a control, the amperes of a fuse, or a pattern."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.appliances import Appliance, Part, PartKind
from probebook.assumptions import Assumed

__all__ = [
    "Amperes",
    "Load",
    "Opens",
    "OvenLamp",
    "Pattern",
    "Rating",
    "Reset",
    "Span",
    "StockFigures",
    "Whole",
    "control_rating",
    "rating_of",
    "rounded",
]

#: Kelvins at 0 °C.
ZERO = 273.15

Reset = Literal["self", "manual", "one-shot"]


@dataclass(frozen=True)
class StockFigures(Assumed, table="questions.replacement"):
    """What is sold beside the right part.

    Attributes
    ----------
    other_watts
        Elements that look alike, as multiples of the right rating.
    coarse, coarse_from, fine
        Watts that elements are sold in steps of: the first from the second up, the last below it.
    oven_lamp, household_lamp, lamp_volts
        Temperatures that lamps are made for, and the low voltage of some.
    fuses
        Ratings of plug fuses too small for a heater.
    cooler, warmer
        How much lower a control is set that looks the same; how much later a cut-out opens that trips no more.
    lead_ohms
        How far a bench reading may lie off beyond tolerance, ohm.
    """

    other_watts: Annotated[tuple[float, ...], "1"]
    coarse: Annotated[float, "W"]
    coarse_from: Annotated[float, "W"]
    fine: Annotated[float, "W"]
    oven_lamp: Annotated[float, "degC"]
    household_lamp: Annotated[float, "degC"]
    lamp_volts: Annotated[float, "V"]
    fuses: Annotated[tuple[float, ...], "A"]
    cooler: Annotated[float, "K"]
    warmer: Annotated[float, "K"]
    lead_ohms: Annotated[float, "ohm"]


# A rating's ``stamp`` is what the stores key it by, the same in every language: codes of lines are drawn from it.


@dataclass(frozen=True, slots=True)
class Load:
    """Watts of each section (with its id, or "" for the only one) at a voltage."""

    sections: tuple[tuple[str, float], ...]
    volts: float

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        watts = " and ".join(f"{own} {watts:g} W".strip() for own, watts in self.sections)
        return f"{watts} at {self.volts:g} V"


@dataclass(frozen=True, slots=True)
class OvenLamp:
    """A lamp, and the temperature it is made for, °C."""

    load: Load
    use: Literal["oven", "household"]
    celsius: float

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"{self.load.stamp}, {self.use}, up to {self.celsius:g} °C"


@dataclass(frozen=True, slots=True)
class Whole:
    """One circuit of so many watts, where the right element has several."""

    watts: float
    volts: float

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"one circuit of {self.watts:g} W at {self.volts:g} V"


_RESETS: dict[Reset, str] = {"self": "self-resetting", "manual": "reset by hand", "one-shot": "one-shot"}


@dataclass(frozen=True, slots=True)
class Opens:
    """Where a cut-out opens, °C, and how it resets."""

    celsius: float
    reset: Reset

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"opens at {self.celsius:.0f} °C, {_RESETS[self.reset]}"


@dataclass(frozen=True, slots=True)
class Span:
    """What a thermostat spans, °C."""

    low: float
    high: float

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"{self.low:.0f} to {self.high:.0f} °C"


@dataclass(frozen=True, slots=True)
class Amperes:
    """What a fuse carries."""

    amps: float

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"{self.amps:g} A"


@dataclass(frozen=True, slots=True)
class Pattern:
    """A part without figures: that of a mark in a model, or in another one (empty)."""

    mark: str
    model: str

    @property
    def stamp(self) -> str:
        """What the stores key it by."""
        return f"pattern {self.mark} of {f'the {self.model}' if self.model else 'another model'}"


Rating = Load | OvenLamp | Whole | Opens | Span | Amperes | Pattern


def load_of(appliance: Appliance, part: Part, *, volts: float | None = None, scale: float = 1.0) -> Load | None:
    """The watts of a part's sections at a voltage, multiplied by ``scale``; None for what is no load."""
    sections = [b for b in appliance.branches if b.part == part.mark and b.watts > 0]
    if not sections:
        return None
    figures = appliance.assumptions.get(StockFigures)
    rows = tuple(
        (
            b.name.partition(".")[2] if len(sections) > 1 else "",
            b.watts if scale == 1.0 else rounded(b.watts * scale, figures),
        )
        for b in sections
    )
    return Load(rows, appliance.plate.volts if volts is None else volts)


def rating_of(appliance: Appliance, part: Part, *, volts: float | None = None, scale: float = 1.0) -> Rating:
    """The rating of a part: of a load at its plate's volts or others, its watts multiplied by ``scale``."""
    load = load_of(appliance, part, volts=volts, scale=scale)
    if load is not None:
        oven = part.kind is PartKind.LAMP and volts is None
        return OvenLamp(load, "oven", appliance.assumptions.get(StockFigures).oven_lamp) if oven else load
    return control_rating(part) or Pattern(part.mark, appliance.plate.designation)


def control_rating(part: Part, *, warmer: float = 0.0) -> Rating | None:
    """Where a control opens, what it spans, what it carries; None for one without figures.

    ``warmer`` adds kelvins to every temperature.
    """
    opens = part.fact("opens_at")
    if isinstance(opens, float):
        ways: dict[float | str | None, Reset] = {"manual": "manual", "one-shot": "one-shot"}
        return Opens(opens - ZERO + warmer, ways.get(part.fact("reset"), "self"))
    low, high = part.fact("minimum"), part.fact("maximum")
    if isinstance(low, float) and isinstance(high, float):
        return Span(low - ZERO + warmer / 2, high - ZERO + warmer)
    amps = part.fact("rating")
    return Amperes(amps) if isinstance(amps, float) else None


def rounded(watts: float, figures: StockFigures) -> float:
    """Watts as they are sold: in coarse steps for a heater, in fine ones for what is small."""
    step = figures.coarse if watts >= figures.coarse_from else figures.fine
    return round(watts / step) * step if watts % step else watts
