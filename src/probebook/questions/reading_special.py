"""Reading questions about the instrument: leads, beeper, insulation tester, and parts that are no elements."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace

from probebook.appliances import Appliance, Branch, BranchKind, State
from probebook.cases.library import Library
from probebook.meters import Function, read
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
    shuffled,
)
from probebook.questions.model import Option, Question
from probebook.unit_format import format_quantity

__all__ = ["beeper", "cold_load", "insulation", "leads"]

INSULATION_VOLTS = 500.0


# ---------------------------------------------------------------- leads


def leads(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A low resistance with the leads in it: the true value from the reading, or the reading from the true value."""
    appliance = library.appliance(ask.appliance)
    bonds = [w for w in appliance.wires if w.is_earth]
    if not bonds:
        raise Unfit(f"the {appliance.title} has no earth bond")
    bond = rng.choice(bonds)
    meter = library.meter("insulation-tester")
    nulled = ask.level > 1 and rng.random() < 0.4
    shows = not nulled and rng.random() < 0.5
    lead = round(rng.uniform(0.06, 0.25), 2)
    true = round(rng.uniform(0.08, 0.6), 2)
    meter = replace(meter, lead_ohms=lead)
    reading = read(meter, Function.CONTINUITY, true, nulled=nulled)
    step, shown = reading.resolution, reading.value
    with_leads, without, twice = true + lead, shown - lead, shown - 2 * lead
    key = shown if nulled or shows else without
    label = "Reading" if shows else "Resistance of the earth path"
    target = quantity_field("ohms", label, "ohm", key, low=key - 1.2 * step, high=key + 1.2 * step)
    wrong = (
        [
            WrongNumber("leads-ignored", true, f"{true:.2f} Ω is the earth path alone; the leads add {lead:.2f} Ω."),
            WrongNumber(
                "leads-wrong-sign", true - lead, f"{true:.2f} Ω − {lead:.2f} Ω takes off what has to be added."
            ),
            WrongNumber("parallel-for-series", sc.parallel([true, lead]), "Leads and path follow one another."),
            WrongNumber("prefix-lost", with_leads * 1000, f"{with_leads:.2f} Ω is {with_leads * 1000:.0f} mΩ."),
        ]
        if shows
        else [
            WrongNumber("leads-taken-twice", without, f"The meter was nulled: the {lead:.2f} Ω are off already."),
            WrongNumber("leads-wrong-sign", shown + lead, f"{shown:.2f} Ω + {lead:.2f} Ω puts the leads in again."),
            WrongNumber("prefix-lost", shown * 1000, f"{shown * 1000:.0f} Ω is a thousand times too much."),
        ]
        if nulled
        else [
            WrongNumber("leads-left-in", shown, f"{shown:.2f} Ω still has the {lead:.2f} Ω of the leads in it."),
            WrongNumber("leads-taken-twice", twice, f"Take the {lead:.2f} Ω off once: it was both leads together."),
            WrongNumber("leads-wrong-sign", shown + lead, f"{shown:.2f} Ω + {lead:.2f} Ω puts the leads in twice."),
            WrongNumber("prefix-lost", without * 1000, f"{without * 1000:.0f} Ω is a thousand times too much."),
        ]
    )
    slips = sc.fitting_slips(library, target, wrong, needed=[] if shows or nulled else ["leads-left-in"])
    facts = f"With the probes touched together the meter showed **{lead:.2f} Ω**"
    if shows:
        asked = (
            f"{facts}; it was not nulled. The earth path itself has **{true:.2f} Ω**. What will the meter show with "
            f"one probe on **{bond.start}** and the other on **{bond.end}**?"
        )
        told = f"The leads, {lead:.2f} Ω, and the path, {true:.2f} Ω, are measured one after the other: {key:.2f} Ω."
        working = f"{true:.2f} + {lead:.2f} = {key:.2f} Ω"
    elif nulled:
        asked = (
            f"{facts}. It was then **nulled**, and with the probes together again showed 0.00 Ω. From **{bond.start}** "
            f"to **{bond.end}** it shows **{reading.display}**. What is the resistance of the earth path?"
        )
        told = f"A nulled meter has taken its leads off already, so the reading stands: {key:.2f} Ω."
        working = f"nulled: {shown:.2f} Ω as shown"
    else:
        asked = (
            f"{facts}; it was not nulled. From **{bond.start}** to **{bond.end}** it shows **{reading.display}**. What "
            "is the resistance of the earth path?"
        )
        told = f"The reading has the leads in it: {shown:.2f} − {lead:.2f} = {key:.2f} Ω."
        working = f"{shown:.2f} − {lead:.2f} = {key:.2f} Ω"
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="leads",
            level=ask.level,
            title="Leads and a low resistance",
            prompt=(
                f"{sc.opening(appliance)} A poor earth joint is suspected at "
                f"{sc.wire_words(appliance, bond.mark)}. The {meter.title} is on continuity (0.01 Ω steps). {asked}"
            ),
            fields=(target,),
            slips=slips,
            explanation=f"{told} On an earth path of a few tenths of an ohm the leads can decide the verdict.",
            working=working,
            competences=("C14", "C34"),
        ),
        library,
        branches=2,
    )


# ---------------------------------------------------------------- beeper


def beeper(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Whether the beeper sounds on a sound part, and what that says."""
    appliance = library.appliance(ask.appliance)
    meter = library.meter(ask.text("meter") or rng.choice(["bench-multimeter", "pocket-multimeter"]))
    limit = meter.beeper_ohms
    wanted = ask.text("part")
    branch = appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sc.sections(appliance))
    value = branch.cold_ohms
    nulled = meter.can_null
    least = read(meter, Function.CONTINUITY, value * (1 - branch.tolerance), gain=-1, wobble=-1, nulled=nulled)
    most = read(meter, Function.CONTINUITY, value * (1 + branch.tolerance), gain=1, wobble=1, nulled=nulled)
    if limit is None or least.beeps is None or least.beeps is not most.beeps:
        raise Unfit("whether the beeper sounds depends on the making of the part")
    sounds = bool(least.beeps)
    name = sc.name(appliance, branch)
    hot = appliance.plate.volts**2 / branch.watts
    does = choice_field(
        "does",
        "The beeper",
        (Option("sounds", "sounds"), Option("silent", "stays silent")),
        "sounds" if sounds else "silent",
    )
    options = {
        "value": Option(
            "value",
            f"a beep or silence says only whether it reads below or above {limit:g} Ω; the ohms have to be read",
            f"The element should read about {value:.3g} Ω.",
        ),
        "open": Option("open", "silence would prove that the element is open"),
        "sound": Option("sound", "a beep would prove that the element is sound"),
        "any": Option("any", "the beeper sounds on any closed path, whatever its ohms"),
    }
    says = choice_field("says", "What the beeper can tell here", shuffled(list(options.values()), rng), "value")
    slips = (
        *option_slips(
            library,
            does,
            [
                WrongOption("beeper-is-sound", "sounds", f"{value:.3g} Ω lies above the {limit:g} Ω of this beeper.")
                if not sounds
                else WrongOption(
                    "beeper-silence", "silent", f"{value:.3g} Ω lies below the {limit:g} Ω of this beeper."
                )
            ],
        ),
        *option_slips(
            library,
            says,
            [
                WrongOption(
                    "beeper-silence",
                    "open",
                    f"Anything above {limit:g} Ω keeps it silent: a poor joint or a wrong element as well as a break."
                    if sounds
                    else f"A sound one reads about {value:.3g} Ω, above {limit:g} Ω: the beeper is silent too.",
                ),
                WrongOption(
                    "beeper-is-sound",
                    "sound",
                    f"A part-shorted element, or another path, below {limit:g} Ω makes it sound as well.",
                ),
                WrongOption(
                    "any-reading-passes",
                    "any",
                    f"It sounds below {limit:g} Ω only, and there at any value, right or wrong.",
                ),
            ],
        ),
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="function",
            level=ask.level,
            title="Will it beep?",
            prompt=(
                f"{sc.opening(appliance)} One wire of the {name} is off. It is rated **{sc.watts(branch.watts)} at "
                f"{appliance.plate.volts:g} V**. {sc.meter_words(meter, Function.CONTINUITY, nulled=nulled)} Its "
                f"beeper sounds below **{limit:g} Ω**. Suppose the element is sound: what does the beeper do with the "
                "probes across it, and what can the beeper tell here?"
            ),
            fields=(does, says),
            slips=slips,
            explanation=(
                f"A sound one has about {appliance.plate.volts:g}² ÷ {branch.watts:g} = {hot:.3g} Ω hot and "
                f"{value:.3g} Ω cold. That is {'below' if sounds else 'above'} the {limit:g} Ω at which this beeper "
                f"starts, so it {'sounds' if sounds else 'stays silent although nothing is wrong'}. Either way it "
                "gives no value: read the ohms."
            ),
            working=f"{value:.3g} Ω {'<' if sounds else '>'} {limit:g} Ω: {'sounds' if sounds else 'silent'}",
            competences=("C12", "C14"),
        ),
        library,
    )


# ---------------------------------------------------------------- insulation


def _insulations(appliance: Appliance) -> list[Branch]:
    return [b for b in appliance.branches if b.kind is BranchKind.INSULATION and math.isfinite(b.cold_ohms)]


def insulation(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line to earth at 500 V: which insulation paths are tested in this position, and what they read together."""
    appliance = library.appliance(ask.appliance)
    paths = _insulations(appliance)
    if len(paths) < 2 or not appliance.earth:
        raise Unfit(f"the {appliance.title} has fewer than two insulation paths to metalwork")
    meter = library.meter("insulation-tester")
    own = {b.name: float(rng.choice([4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40])) * 1e6 for b in paths}
    if ask.level == 1:
        same = rng.choice([10e6, 20e6, 30e6, 40e6])
        own = dict.fromkeys(own, same)
    probes = (appliance.line, appliance.earth)
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    found = None
    for position in names:
        scene = sc.Scene(appliance, State(position), probes, INSULATION_VOLTS)
        changes = [own, *({**own, b.name: math.inf} for b in paths)]
        values = sc.ohms_between(scene, changes)
        tested = [b for b, without in zip(paths, values[1:], strict=True) if without > values[0] * 1.005]
        if len(tested) >= 2:
            found = (scene, float(values[0]), tested)
            break
    if found is None:
        raise Unfit("no position puts two insulation paths in circuit")
    scene, total, tested = found
    if not math.isclose(total, sc.parallel(own[b.name] for b in tested), rel_tol=0.002):
        raise Unfit("the insulation paths are not simply side by side")
    low = total - sc.half_width(meter, Function.INSULATION, total, nulled=False)
    high = total + sc.half_width(meter, Function.INSULATION, total, nulled=False)
    target = quantity_field("shows", "Reading", "ohm", total, low=low, high=high, allow_open=True)
    shown = read(meter, Function.INSULATION, total)
    target = replace(target, answer=shown.display)
    series = math.fsum(own[b.name] for b in tested)
    smallest = min(tested, key=lambda b: own[b.name])
    wrong = [
        WrongNumber("series-for-parallel", series, f"{sc.ohms(series)} would be one after the other."),
        WrongNumber(
            "part-for-whole",
            own[smallest.name],
            f"{sc.ohms(own[smallest.name])} is one path alone; {len(tested)} lie side by side.",
        ),
        WrongNumber(
            "switch-left-off",
            math.inf,
            "OL would show with the controls off; in this position the elements are in circuit.",
        ),
        WrongNumber("prefix-lost", total / 1000, f"{sc.ohms(total)} is megohms, not kilohms."),
        WrongNumber("one-over-n", own[smallest.name] / len(tested), "The paths are not equal."),
    ]
    slips = sc.fitting_slips(library, target, wrong)
    rows = "\n".join(f"| {_leaks_from(appliance, b)} | {format_quantity(own[b.name], 'ohm')} |" for b in paths)
    adding = " + ".join(f"1/{own[b.name] / 1e6:g}" for b in tested)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="insulation",
            level=ask.level,
            title="Insulation, several parts at once",
            prompt=(
                f"{sc.opening(appliance)} {sc.controls_words(appliance, scene.state)} Every wire is on, and the supply "
                "conductors are off. Insulation of each part to the metalwork, measured alone at 500 V:\n\n"
                f"| part | insulation |\n| --- | --- |\n{rows}\n\nUse the wiring diagram. "
                f"{sc.meter_words(meter, Function.INSULATION, nulled=False)} One lead is on **{probes[0]}** (line), "
                f"the other on **{probes[1]}** (earth). What does it show?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"With the controls in this position line is joined, through closed contacts and the loads "
                f"themselves, to {len(tested)} insulation paths, all side by side to earth: "
                f"{sc.ohms(total)}, less than the lowest of them. Behind an open contact nothing is tested, so the "
                "switch has to be on."
            ),
            working=f"1 ÷ ({adding}) = {total / 1e6:.3g} MΩ",
            competences=("C17", "C35"),
            pictures=sc.diagram(ask, appliance, scene.state.position),
        ),
        library,
        branches=len(tested),
        unit_changes=1,
    )


def _leaks_from(appliance: Appliance, path: Branch) -> str:
    of = path.name.partition("~")[0]
    return sc.name(appliance, appliance.branches[appliance.branch(of)])


# ---------------------------------------------------------------- parts that are no elements


def cold_load(ask: Ask, library: Library, rng: random.Random) -> Question:
    """What a sound lamp, motor or neon shows on ohms, cold."""
    appliance = library.appliance(ask.appliance)
    kind = BranchKind(ask.text("form"))
    parts = [b for b in appliance.branches if b.kind is kind]
    if not parts:
        raise Unfit(f"the {appliance.title} has no {kind}")
    branch = rng.choice(parts)
    meter = library.meter(ask.text("meter") or "bench-multimeter")
    volts = appliance.plate.volts
    name = sc.name(appliance, branch)
    shown = ohms_plain(branch.cold_ohms)
    if kind is BranchKind.NEON:
        options, wrong, told = _neon(branch, shown)
    else:
        options, wrong, told = _wound(branch, shown, volts)
    target = choice_field("shows", "Reading", shuffled(options, rng), "cold", marks=2.0)
    rating = (
        f"rated {sc.watts(branch.watts)} at {volts:g} V"
        if branch.watts
        else (f"with its {ohms_plain(branch.cold_ohms)} series resistor")
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="continuity" if kind is BranchKind.NEON else "power",
            level=ask.level,
            title="Not an element",
            prompt=(
                f"{sc.opening(appliance)} One wire of the {name}, {rating}, is off; the part is sound and cold. "
                f"{sc.meter_words(meter, Function.OHMS, nulled=True)} With the probes across it, which of these could "
                "the meter show?"
            ),
            fields=(target,),
            slips=option_slips(library, target, wrong),
            explanation=told,
            working=f"{name}: {shown if kind is not BranchKind.NEON else 'OL'}",
            competences=("C14", "C31") if kind is BranchKind.NEON else ("C17", "C29"),
        ),
        library,
    )


def ohms_plain(value: float) -> str:
    """Ohms with a prefix and three figures."""
    return format_quantity(value, "ohm")


def _neon(branch: Branch, shown: str) -> tuple[Sequence[Option], list[WrongOption], str]:
    strikes = branch.strikes_at
    options = [
        Option("cold", "OL", f"Below {strikes:g} V the neon does not conduct, and an ohmmeter gives a few volts."),
        Option("resistor", shown),
        Option("zero", "0.0 Ω"),
        Option("broken", "OL, but only if the neon is broken; a sound one shows a number"),
    ]
    wrong = [
        WrongOption("neon-resistor", "resistor", f"{shown} is the series resistor alone; the gas does not conduct."),
        WrongOption("ol-as-zero", "zero", "0 Ω would be a dead short across the supply."),
        WrongOption("neon-open", "broken", f"It strikes at about {strikes:g} V; the meter has a few."),
    ]
    told = (
        f"A neon conducts only above its striking voltage, here about {strikes:g} V. An ohmmeter cannot reach it, so a "
        "sound neon shows OL like a broken one: this test cannot tell."
    )
    return options, wrong, told


def _wound(branch: Branch, shown: str, volts: float) -> tuple[Sequence[Option], list[WrongOption], str]:
    rated_ohms = volts**2 / branch.watts
    amps = volts / branch.watts
    lamp = branch.kind is BranchKind.LAMP
    if rated_ohms < 2.5 * branch.cold_ohms:
        raise Unfit("the cold reading is too near the rated one")
    options = [
        Option("cold", f"about {shown}", "Far less than volts squared over watts: the rating does not hold cold."),
        Option("rated", f"about {ohms_plain(float(f'{rated_ohms:.3g}'))}"),
        Option("ratio", f"about {ohms_plain(float(f'{amps:.3g}'))}"),
        Option("open", "OL"),
    ]
    wrong = [
        WrongOption(
            "lamp-for-element" if lamp else "motor-for-element",
            "rated",
            f"{volts:g}² ÷ {branch.watts:g} = {ohms_plain(rated_ohms)} would do for a heating element.",
        ),
        WrongOption("upside-down", "ratio", f"{volts:g} V ÷ {branch.watts:g} W = {amps:.3g} is no resistance."),
        WrongOption("sound-part-open", "open", f"A sound one shows about {shown}."),
    ]
    told = (
        f"The cold filament reads about {shown}, far less than {volts:g}² ÷ {branch.watts:g} = "
        f"{ohms_plain(rated_ohms)}, which it reaches only when it glows. Its watts cannot be worked out from cold ohms."
        if lamp
        else f"The winding reads about {shown}, far less than {volts:g}² ÷ {branch.watts:g} = "
        f"{ohms_plain(rated_ohms)}. On a.c. most of what limits a motor's current is not resistance, so its watts "
        "cannot be worked out from ohms."
    )
    return options, wrong, told
