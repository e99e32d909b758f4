"""Reading questions about open parts: OL with the wire off, and the number that another path leaves."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, PartKind, State
from probebook.cases.library import Library
from probebook.meters import Function, Meter
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongNumber
from probebook.questions.model import Band, Question
from probebook.questions.reading_frame import (
    Sum,
    ends_of,
    loads_table,
    ohmmeter,
    once_each,
    paths_words,
    positions,
    shows_field,
    sum_band,
    sum_of,
    sum_question,
    sum_slips,
    width_of,
)

__all__ = ["opened"]

SWITCHES = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)
OPENING = (FaultKind.OPEN, FaultKind.BROKEN_WIRE, FaultKind.STUCK_OPEN)


def _opening(appliance: Appliance, ask: Ask, rng: random.Random) -> list[tuple[Fault, Branch]]:
    wanted = ask.text("fault")
    found = [
        (f, appliance.branches[appliance.branch(f.changes[0].branch)])
        for f in appliance.faults
        if f.kind in OPENING and len(f.changes) == 1 and (not wanted or f.id == wanted)
    ]
    found = [(f, b) for f, b in found if b.kind is not BranchKind.NEON]  # reads OL on ohms, sound or not
    rng.shuffle(found)
    return found


def opened(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A stated fault that opens a path, with the wire off or with everything on."""
    appliance = library.appliance(ask.appliance)
    faults = _opening(appliance, ask, rng)
    tried = positions(ask, appliance, rng)
    meter, nulled = ohmmeter(ask, library, rng)
    if ask.level > 1:
        for position in tried:
            for fault, branch in faults:
                state = State(position, faults=frozenset({fault.id}))
                scene = sc.Scene(appliance, state, ends_of(appliance, branch))
                if not _closes(appliance, branch, position):
                    continue
                try:
                    return _still_joined(ask, library, sum_of(scene), fault, branch, meter, nulled=nulled)
                except Unfit:
                    continue
    for fault, branch in faults:
        places = [p for p in tried if _closes(appliance, branch, p)]
        try:
            if places:
                return _open_alone(ask, library, appliance, fault, branch, rng.choice(places), meter, nulled=nulled)
        except Unfit:
            continue
    raise Unfit(f"the {appliance.title} has no open fault that makes a fair question here")


def _closes(appliance: Appliance, branch: Branch, position: str) -> bool:
    """Whether a sound one conducts in a position: of a switch contact that is open there OL says nothing."""
    is_switched = branch.kind is BranchKind.CONTACT and appliance.part(branch.part).kind in SWITCHES
    return not is_switched or branch.name in appliance.position(position).closes


def _still_joined(
    ask: Ask, library: Library, found: Sum, fault: Fault, branch: Branch, meter: Meter, *, nulled: bool
) -> Question:
    appliance = found.scene.appliance
    sound = replace(found.scene, state=replace(found.scene.state, faults=frozenset()))
    healthy = float(sc.ohms_between(sound)[0])
    table, narrow = loads_table(found, ask)
    target = shows_field(meter, found.total, sum_band(found, meter, narrow, nulled=nulled), nulled=nulled)
    wrong = [
        WrongNumber(
            "open-means-ol",
            math.inf,
            f"The {sc.name(appliance, branch)} is open, but {paths_words(found)} still "
            f"{'joins' if len(found.paths) == 1 else 'join'} its two ends.",
        ),
        WrongNumber("fault-left-out", healthy, f"{sc.ohms(healthy)} is what it would read with nothing wrong."),
        WrongNumber("ol-as-zero", 0.0, "0 Ω would be a dead short."),
        WrongNumber(
            "parallel-path",
            branch.cold_ohms,
            f"{sc.ohms(branch.cold_ohms)} would be the sound {sc.name(appliance, branch)} alone; it is open.",
        ),
        *sum_slips(found),
    ]
    slips = sc.fitting_slips(library, target, once_each(wrong), needed=["open-means-ol"], widest=width_of(ask))
    return sum_question(
        ask,
        library,
        found,
        target,
        slips,
        leads=meter.leads_in(Function.OHMS, nulled=nulled),
        title="Every wire on, one part open",
        known=f" One fault is present and nothing else is wrong: **{fault.title}**.",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{found.scene.probes[0]}** and "
            f"**{found.scene.probes[1]}**. Everything is cold. What does the meter show?"
        ),
        table=table,
        explanation=(
            f"The {sc.name(appliance, branch)} is open, but {paths_words(found)} still "
            f"{'joins' if len(found.paths) == 1 else 'join'} the two probes, so there are "
            f"{sc.ohms(found.total)} between them, and the meter does not show OL. Only with a wire lifted would it, "
            "and only then is the open part proved."
        ),
        outcome="parallel",
        competences=("C15", "C21", "C24"),
    )


def _open_alone(
    ask: Ask,
    library: Library,
    appliance: Appliance,
    fault: Fault,
    branch: Branch,
    position: str,
    meter: Meter,
    *,
    nulled: bool,
) -> Question:
    scene = sc.Scene(appliance, State(position, faults=frozenset({fault.id})), ends_of(appliance, branch))
    together = float(sc.ohms_between(scene)[0])
    lifted = frozenset[str]()
    if branch.kind is not BranchKind.WIRE or math.isfinite(together):
        frees = sc.lifts_that_free(scene, branch)
        if not frees:
            raise Unfit(f"no single wire frees {branch.name}")
        lifted = frozenset({frees[0]})
    free = replace(scene, state=replace(scene.state, lifted=lifted))
    if math.isfinite(float(sc.ohms_between(free)[0])):
        raise Unfit("something still joins the probes")
    target = shows_field(meter, math.inf, Band(math.inf, math.inf), nulled=nulled)
    name = sc.name(appliance, branch)
    wrong = [
        WrongNumber("ol-as-zero", 0.0, f"0 Ω would be a dead short. The {name} is open: nothing joins the probes."),
        WrongNumber("fault-left-out", branch.cold_ohms, f"A sound one reads {_sound(branch)}; this one is open."),
        WrongNumber(
            "parallel-path", together, f"{sc.ohms(together)} would show with every wire on, through another path."
        ),
    ]
    if branch.watts:
        volts = appliance.plate.volts
        if branch.kind is BranchKind.LAMP:
            wrong.append(WrongNumber("lamp-for-element", volts**2 / branch.watts, f"{volts:g}² ÷ {branch.watts:g}."))
        if branch.kind is BranchKind.MOTOR:
            wrong.append(WrongNumber("motor-for-element", volts**2 / branch.watts, f"{volts:g}² ÷ {branch.watts:g}."))
        wrong.append(
            WrongNumber(
                "watts-over-volts",
                branch.watts / volts,
                f"{branch.watts:g} W ÷ {volts:g} V is the current of a sound one.",
            )
        )
    rating = f", rated {sc.watts(branch.watts)} at {appliance.plate.volts:g} V," if branch.watts else ""
    slips = sc.fitting_slips(library, target, wrong)
    lift = sc.lift_words(appliance, lifted, free.probes)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="continuity",
            level=ask.level,
            title="An open part",
            prompt=(
                f"{sc.opening(appliance)} "
                f"{sc.controls_words(appliance, free.state)} {lift} One fault is present and nothing else is wrong: "
                f"**{fault.title}**.\n\n{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on "
                f"**{free.probes[0]}** and **{free.probes[1]}**, across the {name}{rating.rstrip(',')}. "
                "What does the meter show? (Write OL for over-range.)"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"The {name} is open and nothing else joins {free.probes[0]} and {free.probes[1]}, so the resistance "
                f"is more than the meter can show: OL. A sound one would read {_sound(branch)}. OL is not 0 Ω: "
                "0 Ω is a good connection."
                + (
                    f" With every wire on the meter would have shown {sc.ohms(together)} through another path, and "
                    "the fault would have been missed."
                    if math.isfinite(together)
                    else ""
                )
            ),
            working="No path between the probes: OL",
            competences=("C14", "C24"),
        ),
        library,
        branches=1 if math.isinf(together) else 2,
    )


def _sound(branch: Branch) -> str:
    """What a sound one reads: its own ohms, or next to none."""
    return sc.ohms(branch.cold_ohms) if branch.cold_ohms > 1 else "less than 0.2 Ω"
