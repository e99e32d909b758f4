"""Verdicts on insulation, earth and supply: the limits that decide whether an appliance goes into service."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.appliances import Appliance, PartKind, Wire
from probebook.cases.library import Library
from probebook.meters import (
    Function,
    Limit,
    Outcome,
    Rules,
)
from probebook.questions import scene as sc
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Question
from probebook.questions.owner import closing, for_owner, report
from probebook.questions.verdict_frame import Reason, accuracy_words, drawn_outcome, judged
from probebook.questions.verdict_reading import doubt, interval, megohms, rules_of, take

__all__ = ["earth", "insulation", "supply"]


def insulation(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A named rule on insulation resistance; what another rule would say is a trap."""
    appliance = library.appliance(ask.appliance)
    rules = rules_of(library)
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
    reading = take(meter, Function.INSULATION, true, rng)
    room = 0.002 if wanted is Outcome.CANNOT_TELL else 0.01
    found, low, high = interval(meter, Function.INSULATION, reading, limit, wanted, room=room)
    least, most, asked = (megohms(v) for v in (low, high, limit.low))
    whatever = " (the college applies it to every class I appliance)" if chosen == "iet-class-1" else ""
    right = {
        Outcome.WITHIN: f"the insulation is at least {least}, and {asked} is enough",
        Outcome.OUTSIDE: f"the insulation is at most {most}, and at least {asked} is required",
        Outcome.CANNOT_TELL: f"it lies between {least} and {most}, on both sides of {asked}",
    }[wanted]
    reasons = [
        Reason(
            "wrong-rule",
            f"the least allowed is {megohms(other.low)}",
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
        ]
        if not for_owner(ask):  # whose advice would be to dry and test
            reasons.append(
                Reason(
                    "damp-condemned",
                    "the element has taken up moisture, so it is finished",
                    f"Moisture dries out; by the rule named {asked} is enough.",
                )
            )
    elif wanted is Outcome.OUTSIDE:
        reasons += [
            Reason(
                "leak-passed",
                "elements take up moisture, so a low reading may be passed",
                f"It may be only damp, but it is below {asked}: it is dried and tested again before it goes back.",
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
            report(
                library,
                appliance,
                f"insulation, line and neutral together to earth, controls on, 500 V: {reading.display}; with the "
                f"tester's own limits {least} to {most}.",
            )
            + " This is the resistance between the parts that are live in use and the metal you touch. "
            f"Rule: {limit.rule}; {limit.title}: **at least {asked}**{whatever}."
            if for_owner(ask)
            else f"{sc.opening(appliance)} {_supply_off(appliance)}, the controls are on so that every element is in "
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
            f"{asked}: {found.outcome}. Other rules ask for other figures, such as {megohms(other.low)} "
            f"({other.rule}); go by the one that applies where you {'live' if for_owner(ask) else 'work'}."
            + (f" {closing(found.outcome)}" if for_owner(ask) else "")
        ),
        working=f"{least} to {most} against {asked}",
        outcome="insulation",
        competences=("C35", "C36"),
        unit_changes=1,
    )


def earth(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Earth continuity: 0.1 Ω, plus the resistance of the supply lead where the rule adds it."""
    appliance = library.appliance(ask.appliance)
    rules = rules_of(library)
    if not any(w.is_earth for w in appliance.wires):
        raise Unfit(f"the {appliance.title} has no earth bond")
    wanted = drawn_outcome(ask, rng)
    lead_ohms, lead_words, limit = _earth_rule(appliance, rules, rng)
    nulled = ask.level < 2 or for_owner(ask) or rng.random() < 0.5
    meter = replace(library.meter("insulation-tester"), lead_ohms=round(rng.uniform(0.05, 0.12), 2))
    true = {
        Outcome.WITHIN: lambda: rng.uniform(0.03, limit.high - 0.03),
        Outcome.OUTSIDE: lambda: limit.high + rng.uniform(0.04, 0.5),
        Outcome.CANNOT_TELL: lambda: limit.high + rng.uniform(-0.015, 0.015),
    }[wanted]()
    reading = take(meter, Function.CONTINUITY, true, rng, nulled=nulled)
    found, low, high = interval(meter, Function.CONTINUITY, reading, limit, wanted, room=0.03)
    path = reading.value - meter.leads_in(Function.CONTINUITY, nulled=nulled)
    asked = f"{limit.high:.3f} Ω" if limit.high != round(limit.high, 2) else f"{limit.high:.2f} Ω"
    least, most = f"{low:.2f} Ω", f"{high:.2f} Ω"
    right = {
        Outcome.WITHIN: f"the path has at most {most}, and {asked} is allowed",
        Outcome.OUTSIDE: f"the path has at least {least}, and only {asked} is allowed",
        Outcome.CANNOT_TELL: f"the path has between {least} and {most}, on both sides of {asked}",
    }[wanted]
    reasons = []
    if not for_owner(ask):
        reasons.append(
            Reason(
                "beeper-is-sound",
                "the continuity beeper sounds, so the earth is good",
                f"The beeper sounds below {meter.beeper_ohms:g} Ω; the rule asks for {asked} or less.",
            )
        )
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
        reasons.append(doubt(least, most))
    tester = (
        "leads nulled"
        if nulled
        else f"leads **not** nulled: with the probes together it showed {meter.lead_ohms:.2f} Ω"
    )
    metal = next(p for w in appliance.wires if w.is_earth if (p := _metal(appliance, w)))
    working = (
        f"path = {reading.value:.2f} Ω" if nulled else f"{reading.value:.2f} − {meter.lead_ohms:.2f} = {path:.2f} Ω"
    )
    return judged(
        ask,
        library,
        rng,
        title="Does the earth path pass?",
        prompt=(
            report(
                library,
                appliance,
                f"earth continuity, {'plug pin' if lead_ohms else 'earth terminal'} to {metal}, test leads taken off: "
                f"{path:.2f} Ω; with the tester's own limits {least} to {most}.",
            )
            + f" This is the path that carries a fault current away from the metal you touch. Rule: {limit.rule}"
            + (f" (here {lead_ohms:.3f} Ω)" if lead_ohms else "")
            + f": **at most {asked}**."
            if for_owner(ask)
            else f"{sc.opening(appliance)} {lead_words} to the {metal} the {meter.title} shows "
            f"**{reading.display}** on continuity ({tester}); accuracy "
            f"{accuracy_words(meter, Function.CONTINUITY, reading)}, one digit being 0.01 Ω. "
            f"Rule: {limit.rule}: **at most {asked}**."
        ),
        found=found,
        right=right,
        reasons=reasons[:4],
        tempts="leads-left-in" if not nulled and wanted is Outcome.WITHIN else "wrong-rule",
        explanation=(
            f"The path has {path:.2f} Ω{'' if nulled else ' once the leads are taken off'}; with the tester's limits "
            f"{least} to {most}. Allowed is {asked}: {found.outcome}. The earth path has to be this low so that a "
            "fault to metal trips the protection at once." + (f" {closing(found.outcome)}" if for_owner(ask) else "")
        ),
        working=f"{working}\n{least} to {most} against {asked}",
        outcome="reconnect",
        competences=("C33", "C34", "C36") if nulled else ("C14", "C34", "C36"),
    )


def _supply_off(appliance: Appliance) -> str:
    return "The tester is on the plug" if appliance.supply.kind == "plug" else "The supply conductors are off"


def _metal(appliance: Appliance, wire: Wire) -> str:
    """Title of the metalwork that an earth wire ends on; empty where it ends on a terminal block."""
    part = appliance.part(wire.end.partition(".")[0])
    return part.title if part.kind is PartKind.METALWORK else ""


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


def supply(ask: Ask, library: Library, rng: random.Random) -> Question:
    """The supply voltage against the statutory limits of Great Britain."""
    appliance = library.appliance(ask.appliance)
    rules = rules_of(library)
    limit = rules.supply("uk-supply")
    wanted = drawn_outcome(ask, rng)
    meter = library.meter("bench-multimeter")
    true = {
        Outcome.WITHIN: lambda: rng.uniform(219.0, 250.0),
        Outcome.OUTSIDE: lambda: rng.choice([rng.uniform(200.0, 214.0), rng.uniform(255.5, 264.0)]),
        Outcome.CANNOT_TELL: lambda: rng.choice([rng.uniform(215.0, 217.4), rng.uniform(251.8, 254.2)]),
    }[wanted]()
    reading = take(meter, Function.AC_VOLTS, true, rng)
    found, low, high = interval(meter, Function.AC_VOLTS, reading, limit, wanted, room=0.001)
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
            f"It has to be compared with {allowed}: it heats poorly on a low voltage and wears out on a high one.",
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
