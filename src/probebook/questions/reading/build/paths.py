"""Reading questions about sound parts: one alone, one with others beside it, the whole appliance."""

from __future__ import annotations

import random

from probebook.appliances import State
from probebook.cases.library import Library
from probebook.meters import Function
from probebook.questions import scene as sc
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Effort, Question, Slip
from probebook.questions.pictures import diagram
from probebook.questions.reading.build.draws import (
    Ohmmeter,
    draw_ohmmeter,
    draw_positions,
    draw_section,
    is_given,
    limits_of,
)
from probebook.questions.reading.facts.paths import (
    Alone,
    across_facts,
    beside_facts,
    beside_one,
    still_waits,
    supply_facts,
)
from probebook.questions.reading.facts.sums import (
    Shown,
    Sum,
    ends_of,
    is_hot,
    sum_band,
    sum_facts,
    sum_of,
    sum_steps,
)
from probebook.questions.reading.slips.paths import across_slips, beside_slips, supply_slips

__all__ = ["build_across", "build_beside", "build_supply", "slip_width", "sum_parts", "sum_shown"]

ALONE = Form("continuity", ("C16", "C17"))
ALONE_OF_SEVERAL = Form("parallel", ("C15", "C16", "C17"))
BESIDE = Form("parallel", ("C15", "C17", "C21"))
SUPPLY = Form("combine", ("C17", "C21"))


def build_across(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A section with one wire lifted."""
    words, appliance = library.words, library.appliance(ask.appliance)
    alone = _alone(ask, library, rng)
    ohmmeter = draw_ohmmeter(ask, library, rng)
    middle, band = sc.band_about(alone.free, ohmmeter.meter, Function.OHMS, nulled=ohmmeter.nulled)
    target = ohmmeter.shown(words, middle, band).field
    supply = library.region.supply
    other = supply.quoted if appliance.plate.volts == supply.nominal else supply.nominal
    facts, trap = across_facts(words, alone, ohmmeter.told(words), band, other)
    slips = sc.fitting_slips(
        library,
        target,
        across_slips(words, alone, facts, trap),
        needed=["parallel-path"] if alone.waits else [],
    )
    parts = Parts((target,), slips, Effort(paths=1 + len(alone.beside)))
    return assemble(ask, library, ALONE_OF_SEVERAL if alone.waits else ALONE, facts, parts)


def _alone(ask: Ask, library: Library, rng: random.Random) -> Alone:
    appliance = library.appliance(ask.appliance)
    branch = draw_section(ask, appliance, rng)
    scenes = [sc.Scene(appliance, State(p), ends_of(appliance, branch)) for p in draw_positions(ask, appliance, rng)]
    busy = [s for s in scenes if len(sc.contributors(s)) > 1]
    scene = (busy or scenes)[0] if ask.level > 1 or ask.text("position") else scenes[0]
    frees = sc.lifts_that_free(scene, branch)
    if not frees:
        raise Unfit(f"no single wire frees {branch.name}")
    together = float(sc.ohms_between(scene)[0])
    beside = tuple(b for b in sc.contributors(scene) if b.name != branch.name)
    lifted = rng.choice(frees)
    found = Alone(branch, scene, lifted, together, beside, waits=False)
    alone = float(sc.ohms_between(found.free)[0])
    return Alone(
        branch, scene, lifted, together, beside, still_waits(together, alone, beside, limits_of(library).waits)
    )


def sum_shown(ask: Ask, library: Library, found: Sum, ohmmeter: Ohmmeter) -> Shown:
    """What the ohmmeter shows of loads side by side, with the field to answer."""
    narrow = limits_of(library).narrow if is_given(ask, library) else 0.0
    band = sum_band(found, ohmmeter.meter, narrow, nulled=ohmmeter.nulled)
    return ohmmeter.shown(library.words, found.total, band)


def slip_width(ask: Ask, library: Library) -> float:
    """Relative width of a slip's band: wide where a learner may start from hot or from cold ohms."""
    limits = limits_of(library)
    return limits.slip_width if is_given(ask, library) else limits.slip_width_rated


def sum_parts(ask: Ask, library: Library, found: Sum, shown: Shown, slips: tuple[Slip, ...]) -> Parts:
    """The parts of a question about loads side by side."""
    state = found.scene.state
    effort = Effort(len(found.paths) + 1, sum_steps(shown), int(is_hot(found, given=is_given(ask, library))))
    pictures = diagram(library.words, ask, found.appliance, state.position, state.lifted)
    return Parts((shown.field,), slips, effort, pictures)


def build_beside(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A part with every wire on and another path beside it."""
    words, appliance = library.words, library.appliance(ask.appliance)
    wanted = ask.text("part")
    parts = [b for b in sc.sections(appliance) if not wanted or b.name == wanted]
    rng.shuffle(parts)
    found, branch = beside_one(appliance, parts, draw_positions(ask, appliance, rng), limits_of(library).beside)
    ohmmeter = draw_ohmmeter(ask, library, rng)
    shown = sum_shown(ask, library, found, ohmmeter)
    facts = beside_facts(words, sum_facts(words, found, shown, given=is_given(ask, library)), found, branch)
    wrong = beside_slips(words, found, facts)
    slips = sc.fitting_slips(library, shown.field, wrong, needed=["parallel-path"], widest=slip_width(ask, library))
    keys = {"explanation": "explanation-two"} if len(found.paths) == 2 else None
    return assemble(ask, library, BESIDE, facts, sum_parts(ask, library, found, shown, slips), keys=keys)


def build_supply(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line to neutral at the incoming terminals."""
    words, appliance = library.words, library.appliance(ask.appliance)
    ohmmeter = draw_ohmmeter(ask, library, rng)
    found = _line_to_neutral(ask, library, rng)
    shown = sum_shown(ask, library, found, ohmmeter)
    facts = supply_facts(words, sum_facts(words, found, shown, given=is_given(ask, library)), found)
    wrong = supply_slips(words, found, facts)
    slips = sc.fitting_slips(library, shown.field, wrong, widest=slip_width(ask, library))
    keys = {"prompt": "prompt-plug"} if appliance.supply.kind == "plug" else None
    return assemble(ask, library, SUPPLY, facts, sum_parts(ask, library, found, shown, slips), keys=keys)


def _line_to_neutral(ask: Ask, library: Library, rng: random.Random) -> Sum:
    appliance, resting = library.appliance(ask.appliance), limits_of(library).resting
    for position in draw_positions(ask, appliance, rng):
        calling = is_given(ask, library) or rng.random() >= resting
        scene = sc.Scene(appliance, State(position, calling=calling), (appliance.line, appliance.against))
        try:
            found = sum_of(scene)
        except Unfit:
            continue
        if len(found.paths) >= 2 or (found.paths and not calling):
            return found
    raise Unfit(f"the {appliance.title} has no position with loads side by side")
