"""Wrong lines of the stock list for one part: each what a named slip in choosing a part would fetch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, BranchKind, Fault, FaultKind, Part, PartKind
from probebook.questions.stock import Item, Stock, control_rating, fit_of, other, part_wanted, rating_of

__all__ = ["LINK", "Line", "lines_of_its_kind"]

#: Id of the line that is no part but a bridge.
LINK = "link-wire"


@dataclass(frozen=True, slots=True)
class Line:
    """A wrong line: the slip that leads to it, its text, why it is wrong, and whether it is dangerous."""

    slip: str
    id: str
    text: str
    why: str
    critical: bool = False


def lines_of_its_kind(appliance: Appliance, part: Part, fault: Fault | None, source: Stock) -> Iterator[Line]:
    """Lines for the same sort of part that are wrong in rating, in voltage, in fit, or are no part but a bridge."""
    right = part_wanted(appliance, part, source)
    loads = [b for b in appliance.branches if b.part == part.mark and b.watts > 0]
    elsewhere = replace(right, **_elsewhere(right, part, source))
    if any(b.kind is BranchKind.ELEMENT for b in loads):
        volts = appliance.plate.volts
        if fault and fault.kind in (FaultKind.WRONG_PART, FaultKind.DRIFT):
            scale = next(c.factor for c in fault.changes)
            old = rating_of(appliance, part, scale=1.0 / scale)
            if old != right.rating:
                yield _line(
                    "copied-old-part",
                    other(right, source, rating=old),
                    "That is what was in it, not what the plate calls for.",
                )
        for scale in (0.7, 1.35):
            weaker = other(right, source, rating=rating_of(appliance, part, scale=scale))
            what = "too little" if scale < 1 else "too much"
            yield _line(
                "fit-by-look", weaker, f"It fits, but it gives {what} power: the plate calls for {right.rating}."
            )
        for volt in source.other_volts:
            factor = (volts / volt) ** 2
            same = other(right, source, rating=rating_of(appliance, part, volts=volt))
            total = sum(b.watts for b in loads)
            yield _line(
                "rating-at-other-voltage",
                same,
                f"Its watts belong to {volt:g} V: on {volts:g} V it would give about {total * factor:.0f} W "
                f"in place of {total:g} W.",
            )
        if len(loads) > 1:
            whole = f"one circuit of {sum(b.watts for b in loads):g} W at {volts:g} V"
            yield _line(
                "whole-for-part", other(right, source, rating=whole), "This element has circuits that are fed apart."
            )
    elif part.kind is PartKind.LAMP:
        plain = right.rating.partition(",")[0]
        cold = other(right, source, rating=f"{plain}, household, up to 60 °C")
        yield _line("fit-by-look", cold, "It fits the holder, but an oven is no place for a household lamp.")
        low = other(right, source, rating=rating_of(appliance, part, volts=12.0))
        yield _line(
            "rating-at-other-voltage", low, f"It is made for 12 V; here it would get {appliance.plate.volts:g} V."
        )
    elif control_rating(part):
        yield from _controls(part, right, source)
    else:
        odd = other(right, source, rating=f"pattern {part.mark} of another model")
        yield _line("fit-by-look", odd, "It looks the same, but its contacts are not made up alike.")
    yield _line("ohms-alone", other(right, source, **_elsewhere(right, part, source)), _misfit(right, elsewhere))


def _controls(part: Part, right: Item, source: Stock) -> Iterator[Line]:
    if part.kind is PartKind.FUSE:
        for amps in (3, 5):
            small = other(right, source, rating=f"{amps} A")
            yield _line(
                "fit-by-look" if amps == 3 else "",
                small,
                f"It has the same size, but it blows at the load: {right.rating} is called for.",
            )
    else:
        yield _line(
            "fit-by-look",
            other(right, source, rating=control_rating(part, warmer=-40.0)),
            f"It fits, but it is made for another temperature: {right.rating} is called for.",
        )
        if part.kind is PartKind.CUT_OUT:
            yield _line(
                "no-cause-sought",
                other(right, source, rating=control_rating(part, warmer=60.0)),
                "A cut-out that opens later does not cure what opened this one, and protects less.",
            )
    yield Line(
        "bypass",
        LINK,
        "a link of heat-proof wire in its place",
        "Nothing would then protect or control that circuit.",
        True,
    )


def _elsewhere(right: Item, part: Part, source: Stock) -> dict[str, str]:
    """Another fit than the right one, in one respect."""
    fit = fit_of(part, source)
    for name, choices in (("fixing", fit.fixings), ("size", fit.sizes), ("terminals", fit.terminals)):
        rest = [c for c in choices if c != getattr(right, name)]
        if rest:
            return {name: rest[0]}
    return {"size": "another size"}


def _misfit(right: Item, item: Item) -> str:
    """In what a line does not fit."""
    for name in ("fixing", "size", "terminals"):
        here, wanted = getattr(item, name), getattr(right, name)
        if here != wanted:
            return f"Its rating is right, but it does not fit: {here} in place of {wanted}."
    return "Its rating is right, but it does not fit."


def _line(slip: str, item: Item, why: str) -> Line:
    return Line(slip, item.code, item.row(), why)
