"""The verdicts: on power, insulation, earth, conductors, the supply voltage and the meter itself.

Each draws a true value, takes a reading with the meter's own error, and lets the core judge the interval. A draw whose
interval ends within the guard band of a limit is put back, unless 'cannot be told' is the point.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.meters import (
    Function,
    Limit,
    Meter,
    Outcome,
    Reading,
    Rules,
    Verdict,
    budget,
    limits,
    load_rules,
    read,
    verdict,
)
from probebook.questions import scene as sc
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Question
from probebook.questions.verdict_frame import Reason, accuracy_words, drawn_outcome, guard, judged, stated

__all__ = ["calibration", "conductor", "earth", "insulation", "power", "supply"]


def _rules(library: Library) -> Rules:
    return load_rules(library.folder / "limits.toml")


def _take(meter: Meter, function: Function, true: float, rng: random.Random, *, nulled: bool = False) -> Reading:
    return read(meter, function, true, gain=rng.uniform(-0.8, 0.8), wobble=rng.uniform(-0.8, 0.8), nulled=nulled)


def _interval(
    meter: Meter,
    function: Function,
    reading: Reading,
    limit: Limit,
    wanted: Outcome,
    *,
    room: float,
    times: float = 1.0,
) -> tuple[Verdict, float, float]:
    """The verdict, and the interval (over ``times``) that a learner works out from the accuracy statement.

    The core's own interval, with what nulling and the last digit add, has to give the same verdict.
    """
    low, high = (v / times for v in stated(meter, function, reading))
    middle = (low + high) / 2
    found = verdict(middle, (low, high), limit)
    guard(found, wanted, room=room)
    wide = limits(meter, function, reading.value, resolution=reading.resolution, nulled=reading.nulled)
    if verdict(middle, (wide[0] / times, wide[1] / times), limit).outcome is not wanted:
        raise Unfit("the last digit would decide")
    return found, low, high


def _meg(value: float) -> str:
    return f"{value / 1e6:.2f} MΩ"


def _doubt(low: str, high: str) -> Reason:
    return Reason(
        "doubt-for-verdict",
        f"the meter's own limits, {low} to {high}, reach across the limit of the rule",
        f"{low} to {high} lies all on one side.",
    )


# ---------------------------------------------------------------- power


def power(ask: Ask, library: Library, rng: random.Random) -> Question:
    """IEC 60335-1 power input, from cold ohms through the alloy's factor to watts."""
    appliance = library.appliance(ask.appliance)
    wanted = drawn_outcome(ask, rng)
    chosen = ask.text("part")
    branch = appliance.branches[appliance.branch(chosen)] if chosen else rng.choice(sc.sections(appliance))
    limit = _rules(library).power_input(branch.watts, "heating")
    good = ask.level < 3 if wanted is not Outcome.CANNOT_TELL else rng.random() < 0.4
    meter = library.meter("bench-multimeter" if good else "pocket-multimeter")
    nulled = meter.can_null
    volts, factor = appliance.plate.volts, branch.hot_ohms / branch.cold_ohms
    true_watts = {
        Outcome.WITHIN: lambda: rng.uniform(limit.low * 1.01, limit.high * 0.99),
        Outcome.OUTSIDE: lambda: rng.choice(
            [rng.uniform(0.75, 0.97) * limit.low, rng.uniform(1.03, 1.25) * limit.high]
        ),
        Outcome.CANNOT_TELL: lambda: rng.choice([limit.low, limit.high]) * rng.uniform(0.99, 1.01),
    }[wanted]()
    factor = round(factor, 3)
    reading = _take(meter, Function.OHMS, volts**2 / true_watts / factor, rng, nulled=nulled)
    low, high = stated(meter, Function.OHMS, reading)
    leads = meter.leads_in(Function.OHMS, nulled=nulled)
    cold = reading.value - leads
    watts = volts**2 / (factor * cold)
    least, most = volts**2 / (factor * high), volts**2 / (factor * low)
    found = verdict(watts, (least, most), limit)
    guard(found, wanted, room=0.004)
    wide = limits(meter, Function.OHMS, reading.value, resolution=reading.resolution, nulled=nulled)
    gum = budget(meter, reading, volts, factor_low=factor, factor_high=factor)
    at_worst = (volts**2 / (factor * wide[1]), volts**2 / (factor * wide[0]))
    if any(verdict(watts, span, limit).outcome is not wanted for span in (gum.interval, at_worst)):
        raise Unfit("the accuracy statement, the worst case and the uncertainty budget disagree")
    allowed = f"{limit.low:.0f} W to {limit.high:.0f} W"
    span = f"{least:.0f} W to {most:.0f} W"
    right = {
        Outcome.WITHIN: f"the power lies between {least:.0f} W and {most:.0f} W, all of it within {allowed}",
        Outcome.OUTSIDE: f"the power lies between {least:.0f} W and {most:.0f} W, all of it outside {allowed}",
        Outcome.CANNOT_TELL: f"the power lies between {least:.0f} W and {most:.0f} W, partly within and partly outside "
        f"{allowed}",
    }[wanted]
    reasons = [
        Reason(
            "any-reading-passes",
            f"an element that reads {reading.display} is not open, and that is enough",
            f"{reading.display} has to be turned into watts and compared with {allowed}.",
        )
    ]
    if abs(watts / branch.watts - 1) > 0.015:
        reasons.append(
            Reason(
                "exact-match",
                f"it works out at {watts:.0f} W and not at the {branch.watts:g} W of the plate",
                f"The rule allows {allowed}, not only {branch.watts:g} W.",
            )
        )
    straight = volts**2 / cold
    inside = limit.low <= straight <= limit.high
    if inside is not (wanted is Outcome.WITHIN) or wanted is Outcome.CANNOT_TELL:
        reasons.append(
            Reason(
                "cold-for-hot",
                f"{volts:g}² ÷ {cold:.4g} = {straight:.0f} W, which is {'inside' if inside else 'outside'} {allowed}",
                f"{cold:.4g} Ω is cold; hot it is {factor:.3f} × as much, and the power {watts:.0f} W.",
            )
        )
    if wanted is Outcome.CANNOT_TELL:
        side = "inside" if limit.low <= watts <= limit.high else "outside"
        reasons.append(
            Reason(
                "meter-beyond-its-means",
                f"{watts:.0f} W is {side} {allowed}",
                f"With the meter's limits it may be anything from {span}.",
            )
        )
    else:
        reasons.append(_doubt(f"{least:.0f} W", f"{most:.0f} W"))
    if len(reasons) < 3:
        reasons.append(
            Reason(
                "wrong-rule",
                "power may differ from the rating by 20 % either way",
                f"The rule named allows {allowed}.",
            )
        )
    less = f" (the probes together showed {sc.ohms(leads)}, still to be taken off)" if leads else " (leads nulled)"
    take_off = f"{reading.value:.4g} − {leads:g} = {cold:.4g} Ω cold\n" if leads else ""
    return judged(
        ask,
        library,
        rng,
        title="Is this element within its power?",
        prompt=(
            f"{sc.opening(appliance)} With one wire off, the {sc.name(appliance, branch)} reads **{reading.display}** "
            f"cold on the {meter.title}{less}; accuracy on this range "
            f"{accuracy_words(meter, Function.OHMS, reading)}. It is rated **{sc.watts(branch.watts)} at "
            f"{volts:g} V**. Hot, its resistance is **{factor:.3f} times** the cold one. Rule: {limit.rule}, applied to this "
            f"element by itself: at rated voltage and working temperature **{allowed}**."
        ),
        found=found,
        right=right,
        reasons=reasons[:4],
        tempts="exact-match" if wanted is Outcome.WITHIN else "any-reading-passes",
        explanation=(
            f"Cold {cold:.4g} Ω is {cold * factor:.4g} Ω hot, which takes {watts:.0f} W at {volts:g} V. The meter's "
            f"limits make that {span}. The rule allows {allowed}: {found.outcome}."
        ),
        working=(
            f"{take_off}R hot = {factor:.3f} × {cold:.4g} = {cold * factor:.4g} Ω\n"
            f"P = {volts:g}² ÷ {cold * factor:.4g} = {watts:.0f} W\n"
            f"With the meter's limits, {low:.4g} Ω to {high:.4g} Ω cold: {span}"
        ),
        outcome="tolerance",
        competences=("C16", "C17", "C30"),
        unit_changes=1,
    )


# ---------------------------------------------------------------- insulation


def insulation(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A named rule on insulation resistance; what another rule would say is a trap."""
    appliance = library.appliance(ask.appliance)
    rules = _rules(library)
    class_one = appliance.plate.protection.strip().lower() != "class ii"
    ids = ["iet-class-1", "wiring-rules-element"] if class_one else ["iet-class-2"]
    chosen = ask.text("rule") or rng.choice(ids)
    limit = rules.insulation(chosen)
    other = rules.insulation("iet-class-1" if chosen == "wiring-rules-element" else "wiring-rules-element")
    wanted = drawn_outcome(ask, rng)
    meter = library.meter("insulation-tester")
    true = (
        limit.low
        * {
            Outcome.WITHIN: math.exp(rng.uniform(math.log(1.2), math.log(60.0))),
            Outcome.OUTSIDE: math.exp(rng.uniform(math.log(0.04), math.log(0.85))),
            Outcome.CANNOT_TELL: rng.uniform(0.95, 1.05),
        }[wanted]
    )
    if chosen == "wiring-rules-element":
        if wanted is not Outcome.WITHIN:
            raise Unfit("this tester cannot show less than that rule asks")
        true = rng.uniform(0.06e6, 0.7e6)
    reading = _take(meter, Function.INSULATION, true, rng)
    room = 0.002 if wanted is Outcome.CANNOT_TELL else 0.01
    found, low, high = _interval(meter, Function.INSULATION, reading, limit, wanted, room=room)
    least, most, asked = (_meg(v) for v in (low, high, limit.low))
    whatever = " (the college applies it to every class I appliance)" if chosen == "iet-class-1" else ""
    right = {
        Outcome.WITHIN: f"the insulation is at least {least}, and {asked} is enough",
        Outcome.OUTSIDE: f"the insulation is at most {most}, and at least {asked} is required",
        Outcome.CANNOT_TELL: f"it lies between {least} and {most}, on both sides of {asked}",
    }[wanted]
    reasons = [
        Reason(
            "wrong-rule",
            f"the least allowed is {_meg(other.low)}",
            f"That is another rule ({other.rule}); the one named asks for {asked}.",
        )
    ]
    if wanted is Outcome.WITHIN:
        reasons += [
            Reason(
                "wrong-rule",
                "any reading below the top of the range is a fault",
                f"The rule named asks for {asked}, not for more than the tester can show.",
            ),
            Reason(
                "damp-condemned",
                "the element has taken up moisture, so it is finished",
                f"Moisture dries out; by the rule named {asked} is enough.",
            ),
        ]
    elif wanted is Outcome.OUTSIDE:
        reasons += [
            Reason(
                "leak-passed",
                "elements take up moisture, so a low reading may be passed",
                f"It may be only damp, but it is below {asked}: dry it and test again before it goes back.",
            ),
            Reason(
                "any-reading-passes",
                f"{reading.display} is far from a dead short",
                f"It has to be at least {asked}.",
            ),
        ]
    else:
        side = "above" if reading.value >= limit.low else "below"
        reasons += [
            Reason(
                "meter-beyond-its-means",
                f"{reading.display} is {'exactly' if reading.value == limit.low else side} {asked}"
                if reading.value != limit.low
                else f"{reading.display} is just {asked}",
                f"With the tester's limits it may be {least} to {most}.",
            ),
            Reason(
                "leak-passed",
                "elements take up moisture, so a low reading may be passed",
                "What the cause is does not settle what the value is.",
            ),
        ]
    return judged(
        ask,
        library,
        rng,
        title="Does the insulation pass?",
        prompt=(
            f"{sc.opening(appliance)} The supply conductors are off, the controls are on so that every element is in "
            f"circuit, line and neutral are clipped together. From them to earth the {meter.title} shows "
            f"**{reading.display}** at 500 V; accuracy on this range "
            f"{accuracy_words(meter, Function.INSULATION, reading)}, one digit being {reading.resolution / 1e6:g} MΩ. "
            f"Rule: {limit.rule}; {limit.title}: **at least {asked}**{whatever}."
        ),
        found=found,
        right=right,
        reasons=reasons,
        tempts="wrong-rule",
        explanation=(
            f"{reading.display} with the tester's limits is {least} to {most}. The rule named asks for at least "
            f"{asked}: {found.outcome}. Other rules ask for other figures, such as {_meg(other.low)} "
            f"({other.rule}); go by the one that applies where you work."
        ),
        working=f"{least} to {most} against {asked}",
        outcome="insulation",
        competences=("C35", "C36"),
        unit_changes=1,
    )


# ---------------------------------------------------------------- earth


def earth(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Earth continuity: 0.1 Ω, plus the resistance of the supply lead where the rule adds it."""
    appliance = library.appliance(ask.appliance)
    rules = _rules(library)
    if not any(w.is_earth for w in appliance.wires):
        raise Unfit(f"the {appliance.title} has no earth bond")
    wanted = drawn_outcome(ask, rng)
    lead_ohms, lead_words, limit = _earth_rule(appliance, rules, rng)
    nulled = ask.level < 2 or rng.random() < 0.5
    meter = replace(library.meter("insulation-tester"), lead_ohms=round(rng.uniform(0.05, 0.12), 2))
    true = {
        Outcome.WITHIN: lambda: rng.uniform(0.03, limit.high - 0.03),
        Outcome.OUTSIDE: lambda: limit.high + rng.uniform(0.04, 0.5),
        Outcome.CANNOT_TELL: lambda: limit.high + rng.uniform(-0.015, 0.015),
    }[wanted]()
    reading = _take(meter, Function.CONTINUITY, true, rng, nulled=nulled)
    found, low, high = _interval(meter, Function.CONTINUITY, reading, limit, wanted, room=0.03)
    path = reading.value - meter.leads_in(Function.CONTINUITY, nulled=nulled)
    asked = f"{limit.high:.3f} Ω" if limit.high != round(limit.high, 2) else f"{limit.high:.2f} Ω"
    least, most = f"{low:.2f} Ω", f"{high:.2f} Ω"
    right = {
        Outcome.WITHIN: f"the path has at most {most}, and {asked} is allowed",
        Outcome.OUTSIDE: f"the path has at least {least}, and only {asked} is allowed",
        Outcome.CANNOT_TELL: f"the path has between {least} and {most}, on both sides of {asked}",
    }[wanted]
    reasons = [
        Reason(
            "beeper-is-sound",
            "the continuity beeper sounds, so the earth is good",
            f"The beeper sounds below {meter.beeper_ohms:g} Ω; the rule asks for {asked} or less.",
        )
    ]
    if not nulled:
        reasons.append(
            Reason(
                "leads-left-in",
                f"{reading.display} is {'more' if reading.value > limit.high else 'not more'} than {asked}",
                f"{meter.lead_ohms:.2f} Ω of it is the test leads: the path has {path:.2f} Ω.",
            )
        )
    if lead_ohms:
        reasons.append(
            Reason(
                "wrong-rule",
                f"the limit is 0.1 Ω whatever the supply lead, and {path:.2f} Ω is "
                f"{'more' if path > 0.1 else 'not more'}",
                f"This rule adds the lead: 0.1 Ω + {lead_ohms:.3f} Ω.",
            )
        )
    reasons.append(
        Reason(
            "wrong-rule",
            "up to 1 Ω is allowed for an earth path",
            f"Another rule may allow that; the one named allows {asked}.",
        )
    )
    if wanted is Outcome.CANNOT_TELL:
        reasons.insert(
            0,
            Reason(
                "meter-beyond-its-means",
                f"the path has {path:.2f} Ω, which settles it",
                f"The tester's limits make it {least} to {most}.",
            ),
        )
    else:
        reasons.append(_doubt(least, most))
    tester = (
        "leads nulled"
        if nulled
        else f"leads **not** nulled: with the probes together it showed {meter.lead_ohms:.2f} Ω"
    )
    bond = next(w for w in appliance.wires if w.is_earth)
    metal = appliance.part(bond.end.partition(".")[0]).title
    working = (
        f"path = {reading.value:.2f} Ω" if nulled else f"{reading.value:.2f} − {meter.lead_ohms:.2f} = {path:.2f} Ω"
    )
    return judged(
        ask,
        library,
        rng,
        title="Does the earth path pass?",
        prompt=(
            f"{sc.opening(appliance)} {lead_words} to the {metal} the {meter.title} shows **{reading.display}** on "
            f"continuity ({tester}); accuracy {accuracy_words(meter, Function.CONTINUITY, reading)}, one digit being "
            f"0.01 Ω. Rule: {limit.rule}: **at most {asked}**."
        ),
        found=found,
        right=right,
        reasons=reasons[:4],
        tempts="leads-left-in" if not nulled and wanted is Outcome.WITHIN else "wrong-rule",
        explanation=(
            f"The path has {path:.2f} Ω{'' if nulled else ' once the leads are taken off'}; with the tester's limits "
            f"{least} to {most}. Allowed is {asked}: {found.outcome}. The earth path has to be this low so that a "
            "fault to metal trips the protection at once."
        ),
        working=f"{working}\n{least} to {most} against {asked}",
        outcome="reconnect",
        competences=("C33", "C34", "C36") if nulled else ("C14", "C34", "C36"),
    )


def _earth_rule(appliance: Appliance, rules: Rules, rng: random.Random) -> tuple[float, str, Limit]:
    """Resistance of the supply lead that the rule adds, the words for where the probes are, and the limit."""
    if appliance.supply.kind != "plug":
        return 0.0, f"From the earth terminal **{appliance.earth}**", rules.earth("iec-60335-1.27.5")
    area = 1.5e-6 if appliance.plate.watts > 2300 else 1.0e-6 if appliance.plate.watts > 1400 else 0.75e-6
    length = rng.choice([1.0, 1.5, 2.0, 2.5, 3.0])
    per_metre = rules.conductor("iec-60228-5-plain", area)
    lead = round(per_metre.high * length, 3)
    words = (
        f"The supply lead is {length:g} m of {area * 1e6:g} mm² flexible copper, "
        f"{per_metre.high * 1000:.3g} mΩ per metre by IEC 60228. From the earth pin of the plug"
    )
    return lead, words, rules.earth("iet-earth", lead_ohms=lead)


# ---------------------------------------------------------------- conductor


def conductor(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A coil of cable against the greatest resistance of IEC 60228."""
    rules = _rules(library)
    wanted = drawn_outcome(ask, rng)
    flexible = rng.random() < 0.5
    table = "iec-60228-5-plain" if flexible else "iec-60228-1-2-plain"
    area = rng.choice([0.75e-6, 1.0e-6, 1.5e-6, 2.5e-6])
    length = rng.choice([25.0, 50.0, 75.0, 100.0])
    loop = ask.level >= 2
    limit = rules.conductor(table, area, length)
    other = rules.conductor("iec-60228-1-2-plain" if flexible else "iec-60228-5-plain", area, length)
    share = {
        Outcome.WITHIN: lambda: rng.uniform(0.82, 0.97),
        Outcome.OUTSIDE: lambda: rng.uniform(1.06, 1.4),
        Outcome.CANNOT_TELL: lambda: rng.uniform(0.985, 1.015),
    }[wanted]()
    meter = library.meter("insulation-tester")
    times = 2.0 if loop else 1.0
    reading = _take(meter, Function.CONTINUITY, limit.high * share * times, rng, nulled=True)
    found, low, high = _interval(meter, Function.CONTINUITY, reading, limit, wanted, room=0.005, times=times)
    one = reading.value / times
    asked, least, most = f"{limit.high:.3f} Ω", f"{low:.3f} Ω", f"{high:.3f} Ω"
    right = {
        Outcome.WITHIN: f"one conductor has at most {most}, and {asked} is allowed",
        Outcome.OUTSIDE: f"one conductor has at least {least}, and only {asked} is allowed",
        Outcome.CANNOT_TELL: f"one conductor has between {least} and {most}, on both sides of {asked}",
    }[wanted]
    reasons = []
    if loop:
        reasons.append(
            Reason(
                "loop-for-single",
                f"{reading.display} is {'more' if reading.value > limit.high else 'not more'} than {asked}",
                f"That is out and back; one conductor has {one:.3f} Ω.",
            )
        )
    reasons += [
        Reason(
            "wrong-rule",
            f"the limit is {other.high:.3f} Ω",
            f"That is for {'solid and stranded' if flexible else 'flexible'} conductors; for these it is {asked}.",
        ),
        Reason(
            "any-reading-passes",
            "the conductor is not broken, and that is enough",
            f"It has to be compared with {asked}: a thin or damaged one is not broken either.",
        ),
    ]
    if wanted is Outcome.CANNOT_TELL:
        reasons.append(
            Reason(
                "meter-beyond-its-means",
                f"one conductor has {one:.3f} Ω, which settles it",
                f"The tester's limits make it {least} to {most}.",
            )
        )
    else:
        reasons.append(_doubt(least, most))
    sort = "flexible (class 5)" if flexible else "stranded (class 2)"
    how = (
        "At the far end its two cores are joined; at the near end, from core to core,"
        if loop
        else "From end to end of one conductor"
    )
    per_km = limit.high / length * 1000
    return judged(
        ask,
        library,
        rng,
        title="Is this cable what it says?",
        prompt=(
            f"A coil of {length:g} m of {area * 1e6:g} mm² {sort} plain copper cable from the stores of the training "
            f"kitchen is measured at 20 °C, connected to nothing. {how} the {meter.title} shows **{reading.display}** "
            f"on continuity, leads nulled; accuracy {accuracy_words(meter, Function.CONTINUITY, reading)}, one digit "
            f"being {sc.ohms(reading.resolution, 1)}. Rule: IEC 60228 allows a conductor of this area and class at "
            f"most **{per_km:.3g} Ω per kilometre** at 20 °C."
        ),
        found=found,
        right=right,
        reasons=reasons,
        tempts="loop-for-single"
        if loop and wanted is Outcome.WITHIN
        else "any-reading-passes"
        if wanted is Outcome.OUTSIDE
        else "wrong-rule",
        explanation=(
            f"{length:g} m may have {per_km:.3g} × {length / 1000:g} = {asked}. "
            f"{f'The loop is twice as long, so one conductor has {one:.3f} Ω' if loop else f'It has {one:.3f} Ω'}; "
            f"with the tester's limits {least} to {most}: {found.outcome}."
        ),
        working=(
            f"{per_km:.3g} Ω/km × {length / 1000:g} km = {asked}\n"
            + (f"{reading.value:.2f} Ω ÷ 2 = {one:.3f} Ω\n" if loop else "")
            + f"{least} to {most} against {asked}"
        ),
        outcome="tolerance",
        competences=("C14", "C16"),
        unit_changes=1,
    )


# ---------------------------------------------------------------- supply


def supply(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The supply voltage against the statutory limits of Great Britain."""
    appliance = library.appliance(ask.appliance)
    rules = _rules(library)
    limit = rules.supply("uk-supply")
    wanted = drawn_outcome(ask, rng)
    meter = library.meter("bench-multimeter")
    true = {
        Outcome.WITHIN: lambda: rng.uniform(219.0, 250.0),
        Outcome.OUTSIDE: lambda: rng.choice([rng.uniform(200.0, 214.0), rng.uniform(255.5, 264.0)]),
        Outcome.CANNOT_TELL: lambda: rng.choice([rng.uniform(215.0, 217.4), rng.uniform(251.8, 254.2)]),
    }[wanted]()
    reading = _take(meter, Function.AC_VOLTS, true, rng)
    found, low, high = _interval(meter, Function.AC_VOLTS, reading, limit, wanted, room=0.001)
    allowed = f"{limit.low:.1f} V to {limit.high:.1f} V"
    least, most = f"{low:.1f} V", f"{high:.1f} V"
    right = {
        Outcome.WITHIN: f"the voltage lies between {least} and {most}, all of it within {allowed}",
        Outcome.OUTSIDE: f"the voltage lies between {least} and {most}, all of it outside {allowed}",
        Outcome.CANNOT_TELL: f"the voltage lies between {least} and {most}, partly within and partly outside {allowed}",
    }[wanted]
    older = rules.supply("uk-supply-before-1995")
    reasons = [
        Reason(
            "exact-match",
            f"it is {reading.display} and not 230 V",
            f"230 V is the nominal value; {allowed} is allowed.",
        ),
        Reason(
            "wrong-rule",
            f"{older.low:.1f} V to {older.high:.1f} V is the range that counts",
            f"Those were the limits before 1995; the rule named allows {allowed}.",
        ),
        Reason(
            "any-reading-passes",
            "the appliance works on it, and that is enough",
            f"It has to be compared with {allowed}: at a low voltage it works, but heats poorly.",
        ),
    ]
    if wanted is Outcome.CANNOT_TELL:
        reasons[2] = Reason(
            "meter-beyond-its-means",
            f"{reading.display} is {'within' if limit.low <= reading.value <= limit.high else 'outside'} {allowed}",
            f"The meter's limits make it {least} to {most}.",
        )
    return judged(
        ask,
        library,
        rng,
        title="Is the supply voltage in order?",
        prompt=(
            f"A licensed electrician measures the supply at the point where the {appliance.title} is connected, with "
            f"the appliance off. The {meter.title} shows **{reading.display}**; accuracy "
            f"{accuracy_words(meter, Function.AC_VOLTS, reading)}, one digit being 0.1 V. Rule: "
            f"{limit.rule} (Great Britain), 230 V +10 % −6 %: **{allowed}**."
        ),
        found=found,
        right=right,
        reasons=reasons,
        tempts="exact-match" if wanted is Outcome.WITHIN else "any-reading-passes",
        explanation=(
            f"{reading.display} with the meter's limits is {least} to {most}; allowed is {allowed}: {found.outcome}. "
            "A live measurement is for a licensed person; your part is to judge the figure."
        ),
        working=(
            f"230 V × 0.94 = {limit.low:.1f} V; 230 V × 1.10 = {limit.high:.1f} V\n{least} to {most} against {allowed}"
        ),
        outcome="tolerance",
        competences=("C14", "C18"),
    )


# ---------------------------------------------------------------- the meter itself


def calibration(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A meter against a known resistor and its own accuracy statement."""
    wanted = drawn_outcome(ask, rng)
    nominal = rng.choice([22.0, 47.0, 68.0, 100.0, 150.0, 220.0])
    tolerance = 0.001 if wanted is not Outcome.CANNOT_TELL else 0.05
    meter = library.meter(
        "drifted-multimeter" if wanted is Outcome.OUTSIDE else rng.choice(["bench-multimeter", "pocket-multimeter"])
    )
    if wanted is Outcome.OUTSIDE:
        meter = replace(meter, gain_error=rng.choice([-1, 1]) * rng.uniform(0.03, 0.08))
    nulled = meter.can_null
    reading = _take(meter, Function.OHMS, nominal, rng, nulled=nulled)
    leads = meter.leads_in(Function.OHMS, nulled=nulled)
    value = reading.value - leads
    used = next(
        r for r in meter.ranges_of(Function.OHMS) if math.isclose(r.resolution, reading.resolution, rel_tol=1e-6)
    )
    allowed_by = used.accuracy(reading.value)
    low, high = nominal - allowed_by, nominal + allowed_by
    found = verdict(value, nominal * tolerance, (low, high), unit="Ω")
    guard(found, wanted, room=0.0005, limits_crossed=2)
    title = meter.title.partition(",")[0]
    allowed = f"{low:.2f} Ω to {high:.2f} Ω"
    settled = "this resistor cannot tell" if wanted is Outcome.CANNOT_TELL else str(found.outcome)
    off = value / nominal - 1
    right = {
        Outcome.WITHIN: f"it may read {allowed} here, and it reads {value:.1f} Ω",
        Outcome.OUTSIDE: f"it may read {allowed} here, and it reads {value:.1f} Ω, {abs(off) * 100:.1f} % off",
        Outcome.CANNOT_TELL: f"the resistor itself is only known to ±{nominal * tolerance:.2g} Ω, more than "
        f"the meter's ±{allowed_by:.3g} Ω",
    }[wanted]
    reasons = [
        Reason(
            "label-trusted",
            "its calibration label is what tells whether it is in order",
            f"The label is not a check; {value:.1f} Ω on {nominal:g} Ω is.",
        ),
        Reason(
            "any-reading-passes",
            "it shows a number of the right size, so it works",
            f"The size is right on a bad meter too: compare {value:.1f} Ω with {allowed}.",
        ),
    ]
    if abs(value - nominal) >= 0.1 and wanted is not Outcome.CANNOT_TELL:
        reasons.append(
            Reason(
                "exact-match",
                f"it should show exactly {nominal:g} Ω",
                f"It may be off by ±{allowed_by:.3g} Ω by its own statement.",
            )
        )
    if wanted is Outcome.CANNOT_TELL:
        reasons.append(
            Reason(
                "meter-beyond-its-means",
                f"it shows {value:.1f} Ω on a {nominal:g} Ω resistor, which settles it",
                f"A 5 % resistor marked {nominal:g} Ω may have {nominal * 0.95:.1f} Ω to {nominal * 1.05:.1f} Ω.",
            )
        )
    elif leads:
        reasons.append(
            Reason(
                "leads-left-in",
                f"it shows {reading.display}, and {reading.value:.1f} Ω is what has to be judged",
                f"{leads:g} Ω of that are its leads.",
            )
        )
    less = f"; with the probes together it shows {leads:g} Ω, to be taken off" if leads else ", leads nulled"
    known = f"**{nominal:g} Ω ± {tolerance * 100:g} %**"
    return judged(
        ask,
        library,
        rng,
        title="Can this meter be trusted?",
        prompt=(
            f"Before the job you check a {title} on a resistor of {known}, lying loose on the bench. On ohms it shows "
            f"**{reading.display}**{less}. Its accuracy on this range is "
            f"{accuracy_words(meter, Function.OHMS, reading)}, one digit being {sc.ohms(reading.resolution, 1)}. Rule: "
            f"the meter's own accuracy statement, here **±{allowed_by:.3g} Ω** about the true value. Does the meter "
            "keep to it?"
        ),
        found=found,
        right=right,
        reasons=reasons,
        tempts="exact-match" if wanted is Outcome.WITHIN else "label-trusted",
        explanation=(
            f"By its own statement the meter may be off by ±{allowed_by:.3g} Ω here; it is off by "
            f"{abs(value - nominal):.1f} Ω, and the resistor is known to ±{nominal * tolerance:.2g} Ω: "
            f"{settled}. A meter outside its own statement is taken out of use and marked, whatever its label says."
        ),
        working=(
            f"accuracy: {used.fraction_of_reading * 100:g} % of {reading.value:.4g} Ω + {used.digits:g} × "
            f"{used.resolution:g} Ω = ±{allowed_by:.3g} Ω\n{value:.1f} Ω against {allowed}"
        ),
        outcome="function",
        competences=("C11",),
        with_what="this resistor",
    )
