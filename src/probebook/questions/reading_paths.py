"""Reading questions about sound parts: one alone, one with others beside it, the whole appliance."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace

from probebook.appliances import Appliance, Branch, BranchKind, State
from probebook.cases.library import Library
from probebook.meters import Function
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongNumber
from probebook.questions.model import Question
from probebook.questions.reading_frame import (
    Sum,
    and_list,
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

__all__ = ["across", "beside", "supply_terminals"]

#: The older nominal voltage still quoted in the trade, and the present one.
OLDER, NOMINAL = 240.0, 230.0


def across(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A section with one wire lifted."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    branch = appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sc.sections(appliance))
    scenes = [sc.Scene(appliance, State(p), ends_of(appliance, branch)) for p in positions(ask, appliance, rng)]
    busy = [s for s in scenes if len(sc.contributors(s)) > 1]
    scene = (busy or scenes)[0] if ask.level > 1 or ask.text("position") else scenes[0]
    frees = sc.lifts_that_free(scene, branch)
    if not frees:
        raise Unfit(f"no single wire frees {branch.name}")
    lifted = rng.choice(frees)
    free = replace(scene, state=replace(scene.state, lifted=frozenset({lifted})))
    meter, nulled = ohmmeter(ask, library, rng)
    middle, band = sc.band_about(free, meter, Function.OHMS, nulled=nulled)
    target = shows_field(meter, middle, band, nulled=nulled)
    volts = appliance.plate.volts
    other = OLDER if volts == NOMINAL else NOMINAL
    together = float(sc.ohms_between(scene)[0])
    beside_it = [b for b in sc.contributors(scene) if b.name != branch.name]
    waits = bool(beside_it) and not math.isclose(together, middle, rel_tol=0.05)
    wrong = [
        WrongNumber("lifted-is-open", math.inf, "Not OL: the part itself still joins the two probes."),
        WrongNumber(
            "watts-over-volts",
            branch.watts / volts,
            f"{branch.watts:g} W ÷ {volts:g} V = {branch.watts / volts:.3g} A: that is the current.",
        ),
        WrongNumber("upside-down", branch.watts / volts**2, f"{branch.watts:g} ÷ {volts:g}² is the wrong way up."),
        WrongNumber("wrong-voltage", other**2 / branch.watts, f"That is for {other:g} V; the plate says {volts:g} V."),
    ]
    if waits:
        wrong.insert(
            0,
            WrongNumber(
                "parallel-path",
                together,
                f"{sc.ohms(together)} would show with wire {lifted} on, because {and_list(appliance, beside_it)} "
                f"{'lies' if len(beside_it) == 1 else 'lie'} beside it. The wire is off.",
            ),
        )
    siblings = [b for b in sc.sections(appliance) if b.part == branch.part]
    if len(siblings) > 1:
        both = sc.parallel(b.cold_ohms for b in siblings)
        wrong.append(
            WrongNumber(
                "whole-for-part",
                both,
                f"{sc.ohms(both)} is all circuits of {branch.part} side by side; the probes are across one of them.",
            )
        )
    slips = sc.fitting_slips(library, target, wrong, needed=["parallel-path"] if waits else [])
    hot = volts**2 / branch.watts
    trap = (
        f" With the wire on the meter would show {sc.ohms(together)}, because {and_list(appliance, beside_it)} would "
        "be measured as well."
        if waits
        else ""
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="parallel" if waits else "continuity",
            level=ask.level,
            title="One part, one wire off",
            prompt=(
                f"{sc.opening(appliance)} "
                f"{sc.controls_words(appliance, scene.state)} "
                f"{sc.lift_words(appliance, free.state.lifted, free.probes)}\n\n"
                f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{free.probes[0]}** and "
                f"**{free.probes[1]}**, across the {sc.name(appliance, branch)}, which is sound, cold and rated "
                f"**{sc.watts(branch.watts)} at {volts:g} V**. About what does the meter show?"
            ),
            fields=(target,),
            slips=slips,
            explanation=(
                f"With wire {lifted} off, nothing but the {sc.name(appliance, branch)} joins the probes. From the "
                f"plate it has {volts:g}² ÷ {branch.watts:g} = {hot:.3g} Ω at working temperature; cold it reads a "
                f"little less, about {branch.cold_ohms:.3g} Ω. With its making tolerance of "
                f"±{branch.tolerance * 100:.0f} %, anything from {sc.ohms(band.low)} to {sc.ohms(band.high)} is a "
                f"good answer.{trap}"
            ),
            working=f"R = V² ÷ P = {volts:g} × {volts:g} ÷ {branch.watts:g} = {hot:.3g} Ω, cold slightly less",
            competences=("C15", "C16", "C17") if waits else ("C16", "C17"),
        ),
        library,
        branches=1 + len(beside_it),
    )


def beside(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A part with every wire on and another path beside it."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    parts = [b for b in sc.sections(appliance) if not wanted or b.name == wanted]
    rng.shuffle(parts)
    found, branch = _beside(appliance, parts, positions(ask, appliance, rng))
    meter, nulled = ohmmeter(ask, library, rng)
    table, narrow = loads_table(found, ask)
    band = sum_band(found, meter, narrow, nulled=nulled)
    target = shows_field(meter, found.total, band, nulled=nulled)
    own = found.cold[branch.name]
    wrong = [
        WrongNumber(
            "parallel-path",
            own,
            f"{sc.ohms(own)} is the {sc.name(appliance, branch)} alone, as it would read with a wire lifted.",
        ),
        *sum_slips(found),
        WrongNumber("ol-as-zero", 0.0, "0 Ω would be a dead short; there are only loads between the probes."),
    ]
    slips = sc.fitting_slips(library, target, once_each(wrong), needed=["parallel-path"], widest=width_of(ask))
    return sum_question(
        ask,
        library,
        found,
        target,
        slips,
        leads=meter.leads_in(Function.OHMS, nulled=nulled),
        title="Every wire on",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{found.scene.probes[0]}** and "
            f"**{found.scene.probes[1]}**, across the {sc.name(appliance, branch)}. Everything is sound and cold. "
            "What does the meter show?"
        ),
        table=table,
        explanation=(
            f"In this position {paths_words(found)} {'both' if len(found.paths) == 2 else 'all'} join the two probes, "
            f"side by side. By itself the {sc.name(appliance, branch)} reads {sc.ohms(own)}; together they read "
            f"{sc.ohms(found.total)}, less than the {'smaller' if len(found.paths) == 2 else 'smallest'} of them. To "
            "measure the one, lift a wire of it."
        ),
        outcome="parallel",
        competences=("C15", "C17", "C21"),
    )


def _beside(appliance: Appliance, parts: Sequence[Branch], positions: Sequence[str]) -> tuple[Sum, Branch]:
    for position in positions:
        for branch in parts:
            scene = sc.Scene(appliance, State(position), ends_of(appliance, branch))
            if len(sc.contributors(scene)) < 2:
                continue
            try:
                found = sum_of(scene)
            except Unfit:
                continue
            if branch in found.paths and found.total < 0.9 * found.cold[branch.name]:
                return found, branch
    raise Unfit(f"the {appliance.title} has no position in which another path lies beside such a part")


def supply_terminals(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line to neutral at the incoming terminals."""
    appliance = library.appliance(ask.appliance)
    meter, nulled = ohmmeter(ask, library, rng)
    for position in positions(ask, appliance, rng):
        calling = not (ask.level >= 3 and rng.random() < 0.3)
        scene = sc.Scene(appliance, State(position, calling=calling), (appliance.line, appliance.neutral))
        try:
            found = sum_of(scene)
        except Unfit:
            continue
        if len(found.paths) >= 2 or (found.paths and not calling):
            break
    else:
        raise Unfit(f"the {appliance.title} has no position with loads side by side")
    table, narrow = loads_table(found, ask)
    target = shows_field(meter, found.total, sum_band(found, meter, narrow, nulled=nulled), nulled=nulled)
    heaviest = min(found.paths, key=lambda b: found.cold[b.name])
    own = found.cold[heaviest.name]
    wrong = [
        WrongNumber(
            "part-for-whole",
            own,
            f"{sc.ohms(own)} is the {sc.name(appliance, heaviest)} alone; {len(found.paths)} paths are closed.",
        ),
        *sum_slips(found),
    ]
    if not scene.state.calling:
        heated = float(sc.ohms_between(replace(scene, state=replace(scene.state, calling=True)))[0])
        wrong.append(
            WrongNumber("contact-ignored", heated, f"{sc.ohms(heated)} is with the thermostat calling; it does not.")
        )
    slips = sc.fitting_slips(library, target, once_each(wrong), widest=width_of(ask))
    joins = "joins" if len(found.paths) == 1 else "join"
    return sum_question(
        ask,
        library,
        found,
        target,
        slips,
        leads=meter.leads_in(Function.OHMS, nulled=nulled),
        title="Line to neutral",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{appliance.line}** (line) and "
            f"**{appliance.neutral}** (neutral) of the appliance, with the supply conductors off. Everything is sound "
            "and cold. What does the meter show?"
        ),
        table=table,
        explanation=(
            f"In this position {paths_words(found)} {joins} line to neutral"
            f"{', side by side' if len(found.paths) > 1 else ''}: {sc.ohms(found.total)}.{_left_out(found)}"
        ),
        outcome="combine",
        competences=("C17", "C21"),
    )


def _left_out(found: Sum) -> str:
    """What does not count: a neon, and what lies behind an open contact, where the appliance has such."""
    every = sc.loads(found.scene.appliance)
    said = ""
    if any(b.kind is BranchKind.NEON for b in every):
        said += " A neon does not conduct at an ohmmeter's voltage."
    if any(b.kind is not BranchKind.NEON and b not in found.paths for b in every):
        said += " A part behind an open contact is not in circuit."
    return said
