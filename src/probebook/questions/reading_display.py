"""Reading questions about the display itself: prefixes, and ranges set by hand."""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.meters.display import format_count, format_overload
from probebook.meters.model import Range
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongNumber,
    WrongOption,
    choice_field,
    numeric_slips,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.model import Option, Question

__all__ = ["display", "ranges"]

#: Known resistors of the stores, ohms (E6 series, IEC 60063).
KNOWN = (22.0, 47.0, 68.0, 100.0, 150.0, 220.0, 330.0, 470.0, 680.0, 1000.0, 1500.0, 2200.0, 4700.0)


def _picture(name: str, shown: str, function: str, leads: tuple[str, str]) -> tuple[str, str]:
    from probebook.drawings import meter_face

    return f"{name}.svg", meter_face(shown, function, leads, id_prefix=f"{name}-")


def _scale(one: Range, function: Function) -> str:
    """A range as its dial or display names it: ``1.999 kΩ``."""
    return format_count(function, one, round(one.full_scale / one.resolution))


# ---------------------------------------------------------------- prefixes


def display(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The ohms behind a display with a prefix."""
    appliance = library.appliance(ask.appliance)
    insulating = ask.level > 1 and rng.random() < 0.5
    if insulating:
        meter, function = library.meter("insulation-tester"), Function.INSULATION
        true = float(f"{10 ** rng.uniform(4.7, 6.6):.3g}")
        text = read(meter, function, true).display
        value = read(meter, function, true).value
        what, leads = "from line and neutral together to the metalwork, at 500 V", ("L and N", "metalwork")
    else:
        meter, function = library.meter("pocket-multimeter"), Function.OHMS
        branch = rng.choice(sc.sections(appliance))
        used = meter.ranges_of(function)[1 if ask.level < 3 else 2]
        count = round(branch.cold_ohms / used.resolution)
        text, value = format_count(function, used, count), count * used.resolution
        what = f"across the {sc.name(appliance, branch)}, one wire off"
        leads = (appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]])
    if value < 5 * (meter.ranges_of(function)[0].resolution if insulating else used.resolution):
        raise Unfit("too few digits are left to read")
    target = replace(
        quantity_field("ohms", "Resistance in ohms", "ohm", value, tolerance=0.004), answer=f"{value:.0f} Ω"
    )
    number, unit = text.split(" ")
    power = {"Ω": 1.0, "kΩ": 1e3, "MΩ": 1e6}[unit]
    other, name = (1e-3, "kilohms") if unit == "MΩ" else (1e3, "megohms")
    slips = numeric_slips(
        library,
        target,
        [
            WrongNumber("prefix-lost", value / power, f"The display says {number} and beside it {unit}."),
            WrongNumber("prefix-swapped", value * other, f"{unit} is not {name}."),
            WrongNumber(
                "point-misplaced", value * 10, f"{number} × {power:,.0f} = {value:,.0f}.".replace(",", "\u202f")
            ),
        ],
    )
    shown = f"{ask.id}-meter"
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="function",
            level=ask.level,
            title="Read the display, prefix and all",
            prompt=(
                f"{sc.opening(appliance)} The {meter.title} is {what}. It shows **{text}**. How many ohms are that? "
                "(Write plain ohms, without a prefix.)"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"{unit[0]} stands for {'a thousand' if unit[0] == 'k' else 'a million'}: {number} {unit} is "
                f"{value:,.0f} Ω. ".replace(",", "\u202f")
                + ("The figure before the unit is half of the reading; the letter beside it is the other half.")
            ),
            working=f"{number} × {power:,.0f} = {value:,.0f} Ω".replace(",", "\u202f"),
            competences=("C12", "C14"),
            pictures=(_picture(shown, text, "insulation 500 V" if insulating else "ohms", leads),),
        ),
        library,
        unit_changes=1,
    )


# ---------------------------------------------------------------- ranges


def ranges(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A meter whose range is set by hand: what it shows there, and what to do next."""
    meter = library.meter(ask.text("meter") or rng.choice(["pocket-multimeter", "bench-multimeter"]))
    known = meter.ranges_of(Function.OHMS)
    used = rng.choice(known[:3])
    value = rng.choice(KNOWN)
    fits = next(r for r in known if value <= r.full_scale)
    if value < 3 * used.resolution:
        raise Unfit("this range shows next to nothing of it")
    over = value > used.full_scale
    count = round(value / used.resolution)
    right = format_overload(Function.OHMS, used) if over else format_count(Function.OHMS, used, count)
    number = f"{value:g}"
    unit = format_count(Function.OHMS, used, 1).split(" ")[1]
    fine = format_count(Function.OHMS, fits, round(value / fits.resolution))
    shows = {"right": right, "raw": f"{number} {unit}", "over": "OL", "zero": format_count(Function.OHMS, used, 0)}
    if not over and used is not fits:
        shows["fine"] = fine
    distinct: dict[str, str] = {}
    for key, text in shows.items():
        if text not in distinct.values():
            distinct[key] = text
    if len(distinct) < 3:
        raise Unfit("too few different displays")
    asked = choice_field(
        "shows", "It shows", shuffled([Option(k, t) for k, t in distinct.items()], rng), "right", marks=1.0
    )
    what = "right" if used is fits else "up" if over else "down"
    steps = {
        "right": "read it: this is the lowest range that holds it",
        "up": "turn to the next higher range and read again",
        "down": "turn to a lower range for more digits",
        "broken": "take the part as open",
    }
    then = choice_field(
        "then", "What you do next", shuffled([Option(k, t) for k, t in steps.items()], rng), what, marks=1.0
    )
    scale = _scale(used, Function.OHMS)
    here = {
        "raw": f"{number} {unit} would be {'a thousand' if unit[0] == 'k' else 'a million'} times as much."
        if unit != "Ω"
        else f"{number} Ω is more than this range can show: it ends at {scale}.",
        "over": f"This range goes up to {scale}, and the resistor has {sc.ohms(value)}.",
        "zero": f"Nought would be a dead short; the resistor has {sc.ohms(value)}.",
        "fine": f"That would show on the {_scale(fits, Function.OHMS)} range; on this one a digit is "
        f"{sc.ohms(used.resolution, 1)}.",
    }
    named = {
        "raw": "prefix-lost" if unit != "Ω" else "wrong-range",
        "over": "wrong-range",
        "zero": "ol-as-zero",
        "fine": "wrong-range",
    }
    because = (
        f"{sc.ohms(value)} is more than the {scale} of this range: OL says only that."
        if over
        else f"The lowest range that holds {sc.ohms(value)} is {_scale(fits, Function.OHMS)}."
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="function",
            level=ask.level,
            title="The range set by hand",
            prompt=(
                f"You check a {meter.title} on a resistor known to have **{sc.ohms(value)}**. Its range is set by hand "
                f"to **{scale}** (the most it can show there); one step of the last digit is "
                f"{sc.ohms(used.resolution, 1)}. The meter is in order; leave its leads aside. What does it "
                "show, and what do you do next?"
            ),
            fields=(asked, then),
            slips=(
                *option_slips(library, asked, [WrongOption(named[k], k, here[k]) for k in distinct if k != "right"]),
                *option_slips(
                    library,
                    then,
                    [
                        WrongOption("ol-as-open" if k == "broken" else "wrong-range", k, because)
                        for k in steps
                        if k != what
                    ],
                ),
            ),
            explanation=(
                f"{because} "
                + (
                    f"On the {_scale(fits, Function.OHMS)} range it would show {fine}. An OL is a fault only on a "
                    "range that could have shown the part."
                    if over
                    else f"Here it shows {right}"
                    + (
                        f"; on the {_scale(fits, Function.OHMS)} range it would show {fine}, with more digits."
                        if used is not fits
                        else "."
                    )
                )
            ),
            working=f"{sc.ohms(value)} on {scale}: {right}",
            competences=("C12", "C14"),
        ),
        library,
        unit_changes=1,
    )
