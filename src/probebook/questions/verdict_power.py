"""Verdicts on power, conductors and the meter itself: a figure against a standard or a statement."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.cases.library import Library
from probebook.meters import (
    Function,
    Outcome,
    budget,
    limits,
    verdict,
)
from probebook.questions import scene as sc
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Question
from probebook.questions.owner import for_owner, report
from probebook.questions.verdict_frame import Reason, accuracy_words, drawn_outcome, guard, judged, stated
from probebook.questions.verdict_reading import doubt, interval, rules_of, take

__all__ = ["calibration", "conductor", "power"]


def power(ask: Ask, library: Library, rng: random.Random) -> Question:
    """IEC 60335-1 power input, from cold ohms through the alloy's factor to watts."""
    appliance = library.appliance(ask.appliance)
    wanted = drawn_outcome(ask, rng)
    chosen = ask.text("part")
    branch = appliance.branches[appliance.branch(chosen)] if chosen else rng.choice(sc.sections(appliance))
    limit = rules_of(library).power_input(branch.watts, "heating")
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
    reading = take(meter, Function.OHMS, volts**2 / true_watts / factor, rng, nulled=nulled)
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
    if any(math.isclose(straight, edge, rel_tol=0.005) for edge in (limit.low, limit.high)):
        raise Unfit("the power reckoned from the cold reading falls on the limit")
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
        reasons.append(doubt(f"{least:.0f} W", f"{most:.0f} W"))
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
            report(
                library,
                appliance,
                f"{sc.name(appliance, branch)}, one wire off, cold: {reading.display}, leads taken off; that is "
                f"{least:.0f} W to {most:.0f} W at {volts:g} V once it is hot.",
            )
            + f" It is rated **{sc.watts(branch.watts)} at {volts:g} V**. Rule: {limit.rule}, applied to this element "
            f"by itself: **{allowed}**."
            if for_owner(ask)
            else f"{sc.opening(appliance)} With one wire off, the {sc.name(appliance, branch)} reads "
            f"**{reading.display}** cold on the {meter.title}{less}; accuracy on this range "
            f"{accuracy_words(meter, Function.OHMS, reading)}. It is rated **{sc.watts(branch.watts)} at "
            f"{volts:g} V**. Hot, its resistance is **{factor:.3f} times** the cold one. Rule: {limit.rule}, "
            f"applied to this element by itself: at rated voltage and working temperature **{allowed}**."
        ),
        found=found,
        right=right,
        reasons=reasons[:4],
        tempts="exact-match" if wanted is Outcome.WITHIN else "any-reading-passes",
        explanation=(
            f"Cold {cold:.4g} Ω is {cold * factor:.3g} Ω hot, which takes {watts:.0f} W at {volts:g} V. The meter's "
            f"limits make that {span}. The rule allows {allowed}: {found.outcome}."
        ),
        working=(
            f"{take_off}R hot = {factor:.3f} × {cold:.4g} = {cold * factor:.3g} Ω\n"
            f"P = {volts:g}² ÷ {cold * factor:.3g} = {watts:.0f} W\n"
            f"With the meter's limits, {low:.4g} Ω to {high:.4g} Ω cold: {span}"
        ),
        outcome="tolerance",
        competences=("C16", "C17", "C30"),
        unit_changes=1,
    )


def conductor(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A coil of cable against the greatest resistance of IEC 60228."""
    rules = rules_of(library)
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
    reading = take(meter, Function.CONTINUITY, limit.high * share * times, rng, nulled=True)
    found, low, high = interval(meter, Function.CONTINUITY, reading, limit, wanted, room=0.005, times=times)
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
        reasons.append(doubt(least, most))
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


def calibration(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A meter against a known resistor and its own accuracy statement."""
    wanted = drawn_outcome(ask, rng)
    nominal = rng.choice([22.0, 33.0, 47.0, 68.0, 100.0, 150.0])
    tolerance = 0.001 if wanted is not Outcome.CANNOT_TELL else 0.05
    meter = library.meter(
        "drifted-multimeter" if wanted is Outcome.OUTSIDE else rng.choice(["bench-multimeter", "pocket-multimeter"])
    )
    if wanted is Outcome.OUTSIDE:
        meter = replace(meter, gain_error=rng.choice([-1, 1]) * rng.uniform(0.03, 0.08))
    nulled = meter.can_null
    reading = take(meter, Function.OHMS, nominal, rng, nulled=nulled)
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
        f"the meter's ±{allowed_by:.2f} Ω",
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
                f"It may be off by ±{allowed_by:.2f} Ω by its own statement.",
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
            f"the meter's own accuracy statement, here **±{allowed_by:.2f} Ω** about the true value. Does the meter "
            "keep to it?"
        ),
        found=found,
        right=right,
        reasons=reasons,
        tempts="exact-match" if wanted is Outcome.WITHIN else "label-trusted",
        explanation=(
            f"By its own statement the meter may be off by ±{allowed_by:.2f} Ω here; it is off by "
            f"{abs(value - nominal):.1f} Ω, and the resistor is known to ±{nominal * tolerance:.2g} Ω: "
            f"{settled}. A meter outside its own statement is taken out of use and marked, whatever its label says."
        ),
        working=(
            f"accuracy: {used.fraction_of_reading * 100:g} % of {reading.value:.4g} Ω + {used.digits:g} × "
            f"{used.resolution:g} Ω = ±{allowed_by:.2f} Ω\n{value:.1f} Ω against {allowed}"
        ),
        outcome="function",
        competences=("C11",),
        with_what="this resistor",
    )
