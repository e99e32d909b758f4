"""Power questions about several parts: totals, shares, branch currents, sections one after the other."""

from __future__ import annotations

import math
import random

from probebook.appliances import Appliance, State
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongNumber,
    WrongOption,
    choice_field,
    option_slips,
    quantity_field,
)
from probebook.questions.model import Option, Question
from probebook.questions.power_frame import (
    adding,
    branch_of,
    facts_table,
    heating_position,
    title_of,
)

__all__ = ["branch_amps", "series", "share", "total"]

OLDER, NOMINAL = 240.0, 230.0
#: A section counts as working at its rating when it takes this share of it.
WORKS = 0.9


def total(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The watts of all heating circuits that work in a position."""
    appliance = library.appliance(ask.appliance)
    position, on = heating_position(ask, appliance, rng)
    volts = appliance.plate.volts
    watts = math.fsum(on.values())
    as_ohms = ask.level >= 3
    target = quantity_field("watts", "Power of the heating circuits", "W", watts, tolerance=0.015)
    off = [b for b in sc.sections(appliance) if b.name not in on]
    halves = [b for b in off if any(branch_of(appliance, name).part == b.part for name in on)]
    biggest = max(on, key=lambda name: on[name])
    least = min(on, key=lambda name: on[name])
    wrong = [
        WrongNumber(
            "part-for-whole",
            watts - on[least],
            f"The {sc.name(appliance, branch_of(appliance, least))} works in this position too.",
        ),
        WrongNumber(
            "watts-like-ohms", sc.parallel(on.values()), f"Less than the {on[biggest]:g} W of one of them alone."
        ),
        WrongNumber("amps-for-watts", watts / volts, f"{watts / volts:.3g} A is the current of all of them together."),
        WrongNumber(
            "wrong-voltage",
            watts * (OLDER / NOMINAL) ** 2,
            f"That is for {OLDER:g} V; here {volts:g} V is meant.",
        ),
    ]
    if halves:
        both = watts + math.fsum(b.watts for b in halves)
        wrong.insert(
            0,
            WrongNumber(
                "whole-for-part",
                both,
                f"The {sc.name(appliance, halves[0])} is not connected in this position: leave its "
                f"{halves[0].watts:g} W out.",
            ),
        )
    if off:
        every = math.fsum(b.watts for b in sc.sections(appliance))
        wrong.append(WrongNumber("all-for-some", every, f"{every:g} W is every heating circuit at once."))
    slips = sc.fitting_slips(library, target, wrong)
    names = [f"{sc.name(appliance, branch_of(appliance, n))} ({w:g} W)" for n, w in on.items()]
    ohm_steps = "".join(
        f"{sc.name(appliance, branch_of(appliance, n))}: {volts:g}² ÷ {branch_of(appliance, n).hot_ohms:.3g} = "
        f"{w:.0f} W\n"
        for n, w in on.items()
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace" if not as_ohms else "power",
            level=ask.level,
            title="Watts of a position",
            prompt=(
                f"{title_of(appliance)} {sc.controls_words(appliance, State(position))} The supply is {volts:g} V.\n\n"
                f"{facts_table(appliance, as_ohms=as_ohms)}\n\n"
                "Use the wiring diagram. What power do the heating circuits "
                "that work in this position take together? (Count heating circuits only.)"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"In this position these heat: {', '.join(names)}. They lie side by side, each straight across the "
                f"supply, so their watts add: {watts:.0f} W."
                + (f" Not connected: {', '.join(sc.name(appliance, b) for b in off)}." if off else "")
            ),
            working=f"{ohm_steps if as_ohms else ''}{adding([round(w) for w in on.values()])} = {watts:.0f} W",
            competences=("C17", "C21"),
            pictures=sc.diagram(ask, appliance, position),
        ),
        library,
        branches=len(sc.sections(appliance)),
        unit_changes=1 if as_ohms else 0,
    )


def share(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Per cent of the heat that is left with one element open."""
    appliance = library.appliance(ask.appliance)
    position, on = heating_position(ask, appliance, rng)
    lost = rng.choice(sorted(on))
    whole = math.fsum(on.values())
    left = whole - on[lost]
    found = math.fsum(w for n, w in sc.power_in(appliance, State(position), {lost: math.inf}).items() if n in on)
    if not math.isclose(found, left, rel_tol=0.02):
        raise Unfit("the others do not work on as before")
    part = left / whole
    n = len(on)
    name = sc.name(appliance, branch_of(appliance, lost))
    target = quantity_field("share", "Share of the heat left", "%", part, low=part - 0.012, high=part + 0.012, digits=3)
    wrong = [
        WrongNumber("lost-for-left", 1 - part, f"{(1 - part) * 100:.0f} % is the share of the {name}, which is lost."),
        WrongNumber(
            "equal-shares",
            (n - 1) / n,
            f"{n - 1} of {n} circuits left, but not equal ones.",
        ),
        WrongNumber("nothing-left", 0.0, f"The rest lies beside the {name}, on its own path."),
        WrongNumber("others-take-over", 1.0, f"The rest still takes what it took before: {left:.0f} W."),
        WrongNumber("other-way-round", on[lost] / left, f"{on[lost]:g} ÷ {left:.0f} compares it with the rest."),
    ]
    slips = sc.fitting_slips(library, target, wrong)
    names = ", ".join(f"{sc.name(appliance, branch_of(appliance, k))} ({w:g} W)" for k, w in on.items())
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="combine",
            level=ask.level,
            title="How much heat is left?",
            prompt=(
                f"{title_of(appliance)} {sc.controls_words(appliance, State(position))}\n\n"
                f"{facts_table(appliance, as_ohms=ask.level >= 3)}\n\n"
                f"Use the wiring diagram. The **{name}** has gone open; "
                "everything else is sound. What percentage of the full heating power of this position is left?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"Full power in this position: {names}, together {whole:.0f} W. Without the {name} {left:.0f} W are "
                f"left, {part * 100:.0f} %. The open circuit does not change the others: the "
                "appliance warms, but slowly, and may never reach its temperature."
            ),
            working=f"{adding([round(w) for w in on.values()])} = {whole:.0f} W\n{left:.0f} ÷ {whole:.0f} = "
            f"{part * 100:.1f} %",
            competences=("C17", "C21", "C24"),
            pictures=sc.diagram(ask, appliance, position),
        ),
        library,
        branches=n,
        unit_changes=1 + (ask.level >= 3),
    )


def branch_amps(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The current of one of two unequal branches side by side, and of the neutral that they share."""
    appliance = library.appliance(ask.appliance)
    position, on = heating_position(ask, appliance, rng)
    pairs = [(a, b) for a in on for b in on if a < b and abs(on[a] / on[b] - 1) > 0.1]
    if not pairs:
        raise Unfit("no two unequal heating circuits work together")
    names = list(rng.choice(pairs))
    rng.shuffle(names)
    volts = appliance.plate.volts
    one, two = (on[name] / volts for name in names)
    first, second = (sc.name(appliance, branch_of(appliance, name)) for name in names)
    both = one + two
    target = quantity_field("amps", f"Current in the {first}", "A", one, tolerance=0.015)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber(
                "equal-split", both / 2, f"Half of {both:.3g} A would be right only if both had the same watts."
            ),
            WrongNumber("fixed-current", both, f"{both:.3g} A is both together; each branch takes its own."),
            WrongNumber("other-part", two, f"{two:.3g} A is the current in the {second}."),
            WrongNumber("upside-down", volts / on[names[0]], f"{volts:g} ÷ {on[names[0]]:g} is not a current."),
        ],
        needed=["equal-split"],
    )
    back = choice_field(
        "back",
        f"Current back from the {first} on its neutral side",
        (
            Option("same", "the same as on its line side"),
            Option("less", "a little less than on its line side"),
            Option("none", "none: only the line side carries current"),
        ),
        "same",
    )
    back_slips = option_slips(
        library,
        back,
        [
            WrongOption("current-used-up", "less", f"{one:.3g} A go in at one end and come out at the other."),
            WrongOption("one-wire", "none", f"The {one:.3g} A have to come back, or they would not flow."),
        ],
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="combine",
            level=ask.level,
            title="Two branches, two currents",
            prompt=(
                f"{title_of(appliance)} The supply is {volts:g} V. {sc.controls_words(appliance, State(position))} "
                f"The **{first}** ({sc.watts(on[names[0]])}) and the **{second}** ({sc.watts(on[names[1]])}) work side "
                f"by side, each straight across the supply. What current flows in the {first}, and what flows back on "
                "its neutral side?"
            ),
            fields=(target, back),
            slips=(*slips, *back_slips),
            explanation=(
                f"Each branch takes its own current: {on[names[0]]:g} ÷ {volts:g} = {one:.3g} A in the {first}, "
                f"{on[names[1]]:g} ÷ {volts:g} = {two:.3g} A in the {second}; the supply gives both, {both:.3g} A. "
                "Along one branch the current is the same everywhere: what is used up is energy, not current."
            ),
            working=f"I = P ÷ V = {on[names[0]]:g} ÷ {volts:g} = {one:.3g} A",
            competences=("C17", "C21"),
        ),
        library,
        branches=2,
    )


def series(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Sections one after the other: in a position that does so, else as a wiring mistake would join them."""
    appliance = library.appliance(ask.appliance)
    volts = appliance.plate.volts
    found = _in_series(appliance, ask, rng)
    if found is not None:
        position, names = found
        where = (
            f"{sc.controls_words(appliance, State(position))} The supply is {volts:g} V.\n\n"
            f"{facts_table(appliance, as_ohms=ask.level >= 3)}\n\nUse the wiring diagram. In this position "
            f"{len(names)} sections are connected one after the other. What power do they take together?"
        )
        watts = math.fsum(sc.power_in(appliance, State(position))[n] for n in names)
    else:
        sections = sc.sections(appliance)
        if len(sections) < 2:
            raise Unfit(f"the {appliance.title} has a single section")
        names = sorted(b.name for b in rng.sample(sections, 2))
        a, b = (sc.name(appliance, branch_of(appliance, n)) for n in names)
        where = (
            f"After a repair the **{a}** and the **{b}** are by mistake connected one after the other across "
            f"{volts:g} V instead of side by side.\n\n{facts_table(appliance, as_ohms=ask.level >= 3)}\n\n"
            "What power do these two take together?"
        )
        watts = volts**2 / math.fsum(branch_of(appliance, n).hot_ohms for n in names)
    branches = [branch_of(appliance, n) for n in names]
    side_by_side = math.fsum(b.watts for b in branches)
    resistance = math.fsum(b.hot_ohms for b in branches)
    target = quantity_field("watts", "Power together", "W", watts, tolerance=0.015)
    heaviest = max(branches, key=lambda b: b.watts)
    slips = sc.fitting_slips(
        library,
        target,
        [
            WrongNumber("parallel-for-series", side_by_side, f"{side_by_side:g} W would be side by side."),
            WrongNumber(
                "even-volts",
                side_by_side / len(branches) ** 2,
                f"{volts / len(branches):.3g} V on each would be right only for equal sections.",
            ),
            WrongNumber(
                "part-for-whole",
                heaviest.watts,
                f"{heaviest.watts:g} W is the {sc.name(appliance, heaviest)} alone across {volts:g} V.",
            ),
            WrongNumber("amps-for-watts", volts / resistance, f"{volts / resistance:.3g} A is the current."),
            WrongNumber("volts-times-ohms", volts * resistance, f"{volts:g} V × {resistance:.3g} Ω is not a power."),
        ],
        needed=["parallel-for-series"],
    )
    steps = "".join(f"{sc.name(appliance, b)}: {volts:g}² ÷ {b.watts:g} = {b.hot_ohms:.3g} Ω\n" for b in branches)
    adding = " + ".join(f"{b.hot_ohms:.3g}" for b in branches)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="combine",
            level=ask.level,
            title="One after the other",
            prompt=f"{title_of(appliance)} {where}",
            fields=(target,),
            slips=slips,
            explanation=(
                f"One after the other the ohms add: {adding} = {resistance:.3g} Ω, which takes {watts:.0f} W from "
                f"{volts:g} V. Side by side they would take {side_by_side:g} W: in series the sections share the "
                "voltage, and the power falls."
            ),
            working=(
                f"{steps if ask.level < 3 else ''}R = {adding} = {resistance:.3g} Ω\n"
                f"P = {volts:g}² ÷ {resistance:.3g} = {watts:.0f} W"
            ),
            competences=("C17",) if found is None else ("C17", "C21", "C31"),
            pictures=() if found is None else sc.diagram(ask, appliance, found[0]),
        ),
        library,
        branches=len(branches),
        unit_changes=1,
    )


def _in_series(appliance: Appliance, ask: Ask, rng: random.Random) -> tuple[str, list[str]] | None:
    """A position in which sections carry one current below their ratings, and which they are."""
    names = [ask.text("position")] if ask.text("position") else [p.name for p in appliance.positions]
    rng.shuffle(names)
    for name in names:
        found = sc.power_in(appliance, State(name))
        on = {b.name: found[b.name] for b in sc.sections(appliance) if found[b.name] > 1.0}
        low = [n for n, w in on.items() if w < WORKS * branch_of(appliance, n).watts]
        if len(low) < 2 or len(low) != len(on):
            continue
        amps = {math.sqrt(on[n] / branch_of(appliance, n).hot_ohms) for n in low}
        if max(amps) - min(amps) < 0.005 * max(amps):
            return name, low
    return None
