"""Reading questions about the kind of fault: open, high resistance, short, leakage, or none at all."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, Branch, Fault, FaultKind, State, Wire
from probebook.cases.library import Library
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question

__all__ = ["KINDS", "sign"]


@dataclass(frozen=True, slots=True)
class _Case:
    """A reading, where it was taken, what a sound part would give, and the kind of fault it is."""

    kind: str
    shown: str
    where: str
    sound: str
    why: str
    meter: str


#: Kinds of fault: what they are called, and how they show when the appliance is used.
KINDS = {
    "open": ("an open circuit", "nothing flows in that path: what it feeds does not work, and nothing trips"),
    "joint": (
        "a connection of high resistance (a partial open)",
        "the joint gets hot, and the part behind it gets less than its share",
    ),
    "short": (
        "a part bridged inside (a partial short)",
        "too much current flows, with more heat than rated, until something gives way",
    ),
    "leak": (
        "leakage to the metalwork (a partial short to earth)",
        "current flows to earth, a residual-current device may trip, and unearthed metal is live",
    ),
    "none": ("no fault at all: a sound part", "it works as it should; the fault is elsewhere"),
}
_FAULTS = {
    FaultKind.OPEN: "open",
    FaultKind.STUCK_OPEN: "open",
    FaultKind.BROKEN_WIRE: "open",
    FaultKind.HIGH_RESISTANCE: "joint",
    FaultKind.LEAK: "leak",
    FaultKind.DAMP: "leak",
}


def sign(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Which kind of fault a reading shows, and how such a fault shows in use (option ``fault`` names a kind)."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("fault") or rng.choice(list(KINDS))
    case = _drawn(appliance, library, rng, wanted)
    options = {key: Option(key, f"{text[0]}") for key, text in KINDS.items()}
    kind = choice_field("kind", "It is", shuffled(list(options.values()), rng), case.kind)
    effects = {key: Option(key, text[1]) for key, text in KINDS.items()}
    shows = choice_field("effect", "In use", shuffled(list(effects.values()), rng), case.kind)
    lead = {
        ("open", "none"): "any-reading-passes",
        ("open", "short"): "ol-as-zero",
        ("open", "joint"): "wrong-kind-of-fault",
        ("none", "open"): "zero-as-open",
        ("joint", "none"): "any-reading-passes",
        ("leak", "none"): "any-reading-passes",
        ("short", "none"): "any-reading-passes",
    }
    told = f"It shows {case.shown}; a sound one shows {case.sound}. {case.why}"
    slips = (
        *option_slips(
            library,
            kind,
            [WrongOption(lead.get((case.kind, k), "wrong-kind-of-fault"), k, told) for k in KINDS if k != case.kind],
        ),
        *option_slips(
            library,
            shows,
            [
                WrongOption(
                    "wrong-kind-of-fault", k, f"That goes with {'a sound part' if k == 'none' else KINDS[k][0]}."
                )
                for k in KINDS
                if k != case.kind
            ],
        ),
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="continuity" if case.kind != "leak" else "insulation",
            level=ask.level,
            title="What kind of fault is this?",
            prompt=(
                f"{sc.opening(appliance)} {case.meter} It shows **{case.shown}** {case.where}. A sound one would show "
                f"{case.sound}. What kind of fault is this, and how does it show when the appliance is used?"
            ),
            fields=(kind, shows),
            slips=slips,
            explanation=f"{case.why} That is {KINDS[case.kind][0]}. In use {KINDS[case.kind][1]}.",
            working=f"{case.shown} against {case.sound}: {KINDS[case.kind][0]}",
            competences=("C23", "C24"),
        ),
        library,
    )


def _drawn(appliance: Appliance, library: Library, rng: random.Random, wanted: str) -> _Case:
    meter, tester = library.meter("bench-multimeter"), library.meter("insulation-tester")
    ohmmeter = f"The {meter.title} is on ohms, leads nulled."
    branch = rng.choice(sc.sections(appliance))
    name = sc.name(appliance, branch)
    low = branch.cold_ohms * (1 - branch.tolerance)
    high = branch.hot_ohms * (1 + branch.tolerance)
    normal = f"{low:.3g} Ω to {high:.3g} Ω"
    if wanted in ("none", "short"):
        value = branch.cold_ohms * (rng.uniform(0.97, 1.03) if wanted == "none" else rng.uniform(0.3, 0.6))
        why = (
            f"It lies within {normal}: nothing is wrong with this one."
            if wanted == "none"
            else f"Well below {low:.3g} Ω: part of the wire is bridged inside."
        )
        return _Case(
            wanted,
            read(meter, Function.OHMS, value, nulled=True).display,
            f"across the {name}, one wire off",
            normal,
            why,
            ohmmeter,
        )
    faults = [f for f in appliance.faults if _FAULTS.get(f.kind) == wanted]
    if not faults:
        raise Unfit(f"the {appliance.title} has no fault of the kind '{wanted}'")
    fault = rng.choice(faults)
    if wanted == "leak":
        return _leaking(appliance, tester, fault)
    return _broken(appliance, meter, fault, wanted, ohmmeter)


def _leaking(appliance: Appliance, tester: Meter, fault: Fault) -> _Case:
    branch = appliance.branches[appliance.branch(fault.target)]
    change = next((c for c in fault.changes if c.force is not None), None)
    if change is None or change.force is None:
        raise Unfit("this leak has no figure")
    shown = read(tester, Function.INSULATION, change.force).display
    return _Case(
        "leak",
        shown,
        f"from the {sc.name(appliance, branch)}, its wires off, to the metalwork at 500 V",
        "tens of megohms or more",
        "Current finds a way from the wire to the metal that should not be there.",
        f"The {tester.title} is on insulation.",
    )


def _broken(appliance: Appliance, meter: Meter, fault: Fault, wanted: str, ohmmeter: str) -> _Case:
    wire = next((w for w in appliance.wires if w.mark == fault.target), None)
    if wire is not None:
        return _wire(appliance, meter, fault, wire, wanted, ohmmeter)
    branch = appliance.branches[appliance.branch(fault.target)]
    ends = tuple(appliance.terminals[i] for i in branch.ends)
    position = next((p.name for p in appliance.positions if branch.name in p.closes), appliance.positions[-1].name)
    scene = sc.Scene(appliance, State(position, faults=frozenset((fault.id,))), (ends[0], ends[1]))
    lifts = sc.lifts_that_free(scene, branch)
    if not lifts:
        raise Unfit("no single wire frees this part")
    scene = replace(scene, state=replace(scene.state, lifted=frozenset(lifts[:1])))
    value = float(sc.ohms_between(scene)[0])
    if math.isfinite(value):
        raise Unfit("another path is left")
    sound = _sound(branch)
    return _Case(
        wanted,
        read(meter, Function.OHMS, value, nulled=True).display,
        f"across the {sc.name(appliance, branch)} ({ends[0]} to {ends[1]}), wire {lifts[0]} off"
        + (f", controls at ‘{appliance.position(position).title}’" if sound.startswith("near") else ""),
        sound,
        "Nothing joins its two ends although it should.",
        ohmmeter,
    )


def _sound(branch: Branch) -> str:
    if branch.watts > 0:
        if not branch.tolerance or branch.hot_ohms > 1.5 * branch.cold_ohms:
            return f"about {branch.cold_ohms:.3g} Ω"
        return f"{branch.cold_ohms * (1 - branch.tolerance):.3g} Ω to {branch.hot_ohms * (1 + branch.tolerance):.3g} Ω"
    if branch.cold_ohms > 1.0:
        raise Unfit("a sound one shows OL as well")
    return "less than 0.2 Ω"


def _wire(appliance: Appliance, meter: Meter, fault: Fault, wire: Wire, wanted: str, ohmmeter: str) -> _Case:
    scene = sc.Scene(
        appliance, State(appliance.positions[0].name, faults=frozenset((fault.id,))), (wire.start, wire.end)
    )
    value = float(sc.ohms_between(scene)[0])
    shown = read(meter, Function.OHMS, value, nulled=True)
    if (wanted == "open") is not shown.overload:
        raise Unfit("another path is left beside the wire")
    why = (
        "A wire that is whole has next to no resistance; this one does not join its two ends."
        if wanted == "open"
        else f"A good joint has next to no resistance; {shown.display} in series takes its share of the volts and gets "
        "hot."
    )
    return _Case(
        wanted,
        shown.display,
        f"from end to end of wire {wire.mark} ({wire.start} to {wire.end}), controls off",
        "less than 0.2 Ω",
        why,
        ohmmeter,
    )
