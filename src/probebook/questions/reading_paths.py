"""Reading questions about paths: a part alone, a part with others beside it, an open part, the whole appliance."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, State
from probebook.cases.library import Library
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongNumber, quantity_field
from probebook.questions.model import Band, Field, Question, Slip

__all__ = ["across", "beside", "opened", "supply_terminals"]

#: The older nominal voltage still quoted in the trade, and the present one.
OLDER, NOMINAL = 240.0, 230.0

OPENING = (FaultKind.OPEN, FaultKind.BROKEN_WIRE, FaultKind.STUCK_OPEN)


def _meter(ask: Ask, library: Library, rng: random.Random) -> tuple[Meter, bool]:
    """The ohmmeter and whether its leads are nulled: the good one up to level 2, any sound one above."""
    wanted = ask.text("meter") or ("bench-multimeter" if ask.level < 3 else _one_of(rng))
    meter = library.meter(wanted)
    return meter, meter.can_null


def _one_of(rng: random.Random) -> str:
    return rng.choice(["bench-multimeter", "pocket-multimeter"])


def _positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    wanted = ask.text("position")
    if wanted:
        return [appliance.position(wanted).name]
    names = [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def _shows(meter: Meter, value: float, band: Band, *, nulled: bool) -> Field:
    """The field for a reading: the key is typed as the meter displays it."""
    field = quantity_field("shows", "Reading", "ohm", value, low=band.low, high=band.high, allow_open=True)
    shown = read(meter, Function.OHMS, value, nulled=nulled)
    if shown.overload != math.isinf(value):
        raise Unfit(f"the {meter.title} cannot show {sc.ohms(value)}")
    return replace(field, answer=shown.display)


def across(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A section with one wire lifted."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    branch = appliance.branches[appliance.branch(wanted)] if wanted else rng.choice(sc.sections(appliance))
    scenes = [sc.Scene(appliance, State(p), _ends(appliance, branch)) for p in _positions(ask, appliance, rng)]
    busy = [s for s in scenes if len(sc.contributors(s)) > 1]
    scene = (busy or scenes)[0] if ask.level > 1 or ask.text("position") else scenes[0]
    frees = sc.lifts_that_free(scene, branch)
    if not frees:
        raise Unfit(f"no single wire frees {branch.name}")
    lifted = rng.choice(frees)
    free = replace(scene, state=replace(scene.state, lifted=frozenset({lifted})))
    meter, nulled = _meter(ask, library, rng)
    middle, band = sc.band_about(free, meter, Function.OHMS, nulled=nulled)
    target = _shows(meter, middle, band, nulled=nulled)
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
                f"{sc.ohms(together)} would show with wire {lifted} on, because {_and(appliance, beside_it)} "
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
        f" With the wire on the meter would show {sc.ohms(together)}, because {_and(appliance, beside_it)} would be "
        "measured as well."
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
            working=f"R = V² ÷ P = {volts:g} × {volts:g} ÷ {branch.watts:g} = {hot:.4g} Ω, cold slightly less",
            competences=("C15", "C16", "C17") if waits else ("C16", "C17"),
        ),
        library,
        branches=1 + len(beside_it),
    )


def _and(appliance: Appliance, branches: Sequence[Branch]) -> str:
    names = [f"the {sc.name(appliance, b)}" for b in branches]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


# ---------------------------------------------------------------- several paths


@dataclass(frozen=True, slots=True)
class _Sum:
    """Several loads side by side between the probes, and what a learner is told of them."""

    scene: sc.Scene
    paths: tuple[Branch, ...]
    cold: Mapping[str, float]
    total: float


def _sum(scene: sc.Scene) -> _Sum:
    """What lies between the probes; Unfit unless it is loads side by side."""
    paths = sc.contributors(scene)
    if not paths:
        raise Unfit("nothing joins the probes")
    cold = {b.name: _cold(scene, b) for b in sc.loads(scene.appliance)}
    total = float(sc.ohms_between(scene)[0])
    if not math.isclose(total, sc.parallel(cold[b.name] for b in paths), rel_tol=0.01):
        raise Unfit("the paths between the probes are not simply side by side")
    return _Sum(scene, tuple(paths), cold, total)


def _cold(scene: sc.Scene, branch: Branch) -> float:
    faulted = {c.branch for f in scene.state.faults for c in scene.appliance.fault(f).changes}
    if branch.name in faulted or branch.kind is BranchKind.NEON:
        return math.inf
    return branch.cold_ohms


def _listed(found: _Sum, ask: Ask) -> tuple[str, float]:
    """The table of the loads, and the relative width to accept: narrow when the ohms of each are given."""
    given = ask.level < 3
    appliance = found.scene.appliance
    cold = {
        b.name: b.cold_ohms
        for b in sc.loads(appliance)
        if b.kind is not BranchKind.NEON and (given or b.kind is not BranchKind.ELEMENT)
    }
    return sc.ratings_table(appliance, [b for b in sc.loads(appliance) if b.kind is not BranchKind.NEON], cold), (
        0.02 if given else 0.0
    )


def _sum_band(found: _Sum, meter: Meter, narrow: float, *, nulled: bool) -> Band:
    if not narrow:
        return sc.band_about(found.scene, meter, Function.OHMS, nulled=nulled)[1]
    leads = meter.leads_in(Function.OHMS, nulled=nulled)
    room = sc.half_width(meter, Function.OHMS, found.total, nulled=nulled) + narrow * found.total
    return Band(max(0.0, found.total - room), found.total + leads + room)


def _sum_slips(found: _Sum) -> list[WrongNumber]:
    """What goes wrong where paths lie side by side, whatever the question about them."""
    appliance, values = found.scene.appliance, [found.cold[b.name] for b in found.paths]
    n = len(values)
    series = math.fsum(values)
    adding = " + ".join(f"{v:.3g}" for v in values)
    wrong = [WrongNumber("series-for-parallel", series, f"{adding} = {series:.4g} Ω would be one after the other.")]
    wrong += [
        WrongNumber(
            "one-over-n", value / n, f"{value:.3g} Ω ÷ {n} would hold if all {n} paths were equal; they are not."
        )
        for value in values
    ]
    least = max(found.paths, key=lambda b: found.cold[b.name])
    if n > 2:
        left = sc.parallel(v for b, v in zip(found.paths, values, strict=True) if b is not least)
        wrong.append(
            WrongNumber("part-for-whole", left, f"The {sc.name(appliance, least)} is in circuit too; you left it out.")
        )
    rest = [b for b in sc.loads(appliance) if math.isfinite(found.cold[b.name]) and b not in found.paths]
    if rest:
        every = sc.parallel([*values, *(found.cold[b.name] for b in rest)])
        wrong.append(WrongNumber("all-for-some", every, f"{sc.ohms(every)} is every part in the table at once."))
    return wrong


def _deduplicated(slips: Sequence[WrongNumber]) -> list[WrongNumber]:
    seen: set[str] = set()
    kept = []
    for item in slips:
        if item.slip not in seen:
            seen.add(item.slip)
            kept.append(item)
    return kept


def _reckoning(found: _Sum) -> str:
    values = [found.cold[b.name] for b in found.paths]
    if len(values) == 1:
        return f"One path: {values[0]:.3g} Ω"
    return f"1 ÷ ({' + '.join(f'1/{v:.3g}' for v in values)}) = {found.total:.3g} Ω"


def _paths_words(found: _Sum) -> str:
    return _and(found.scene.appliance, found.paths)


def beside(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A part with every wire on and another path beside it."""
    appliance = library.appliance(ask.appliance)
    wanted = ask.text("part")
    parts = [b for b in sc.sections(appliance) if not wanted or b.name == wanted]
    rng.shuffle(parts)
    found, branch = _beside(appliance, parts, _positions(ask, appliance, rng))
    meter, nulled = _meter(ask, library, rng)
    table, narrow = _listed(found, ask)
    band = _sum_band(found, meter, narrow, nulled=nulled)
    target = _shows(meter, found.total, band, nulled=nulled)
    own = found.cold[branch.name]
    wrong = [
        WrongNumber(
            "parallel-path",
            own,
            f"{sc.ohms(own)} is the {sc.name(appliance, branch)} alone, as it would read with a wire lifted.",
        ),
        *_sum_slips(found),
        WrongNumber("ol-as-zero", 0.0, "0 Ω would be a dead short; there are only loads between the probes."),
    ]
    slips = sc.fitting_slips(library, target, _deduplicated(wrong), needed=["parallel-path"])
    return _sum_question(
        ask,
        library,
        found,
        target,
        slips,
        title="Every wire on",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{found.scene.probes[0]}** and "
            f"**{found.scene.probes[1]}**, across the {sc.name(appliance, branch)}. Everything is sound and cold. "
            "What does the meter show?"
        ),
        table=table,
        explanation=(
            f"In this position {_paths_words(found)} all join the two probes, side by side. By itself the "
            f"{sc.name(appliance, branch)} reads {sc.ohms(own)}; together they read {sc.ohms(found.total)}, less than "
            "the smallest of them. To measure the one, lift a wire of it."
        ),
        outcome="parallel",
        competences=("C15", "C17", "C21"),
    )


def _beside(appliance: Appliance, parts: Sequence[Branch], positions: Sequence[str]) -> tuple[_Sum, Branch]:
    for position in positions:
        for branch in parts:
            scene = sc.Scene(appliance, State(position), _ends(appliance, branch))
            if len(sc.contributors(scene)) < 2:
                continue
            try:
                found = _sum(scene)
            except Unfit:
                continue
            if branch in found.paths and found.total < 0.9 * found.cold[branch.name]:
                return found, branch
    raise Unfit(f"the {appliance.title} has no position in which another path lies beside such a part")


def _sum_question(
    ask: Ask,
    library: Library,
    found: _Sum,
    target: Field,
    slips: tuple[Slip, ...],
    *,
    title: str,
    asks: str,
    table: str,
    explanation: str,
    outcome: str,
    competences: tuple[str, ...],
    known: str = "",
) -> Question:
    appliance, state = found.scene.appliance, found.scene.state
    hot = any(b.kind is BranchKind.ELEMENT for b in found.paths) and ask.level >= 3
    note = (
        f" Elements reckoned from the plate (V² ÷ W) come out a little higher; up to {sc.ohms(target.band.high)} is "
        "accepted."
        if hot and target.band is not None
        else ""
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome=outcome,
            level=ask.level,
            title=title,
            prompt=(
                f"{sc.opening(appliance)} {sc.controls_words(appliance, state)} "
                f"{sc.lift_words(appliance, state.lifted, found.scene.probes)}{known}\n\n{table}\n\n"
                f"Use the wiring diagram. {asks}"
            ),
            fields=(target,),
            slips=slips,
            explanation=explanation + note,
            working=_reckoning(found),
            competences=competences,
        ),
        library,
        branches=len(found.paths) + 1,
        unit_changes=1 if hot else 0,
    )


# ---------------------------------------------------------------- faults and the whole appliance


def _opening(appliance: Appliance, ask: Ask, rng: random.Random) -> list[tuple[Fault, Branch]]:
    wanted = ask.text("fault")
    found = [
        (f, appliance.branches[appliance.branch(f.changes[0].branch)])
        for f in appliance.faults
        if f.kind in OPENING and len(f.changes) == 1 and (not wanted or f.id == wanted)
    ]
    rng.shuffle(found)
    return found


def opened(ask: Ask, library: Library, rng: random.Random) -> Question:
    """A stated fault that opens a path, with the wire off or with everything on."""
    appliance = library.appliance(ask.appliance)
    faults = _opening(appliance, ask, rng)
    positions = _positions(ask, appliance, rng)
    meter, nulled = _meter(ask, library, rng)
    if ask.level > 1:
        for position in positions:
            for fault, branch in faults:
                state = State(position, faults=frozenset({fault.id}))
                scene = sc.Scene(appliance, state, _ends(appliance, branch))
                try:
                    return _still_joined(ask, library, _sum(scene), fault, branch, meter, nulled=nulled)
                except Unfit:
                    continue
    for fault, branch in faults:
        try:
            return _open_alone(ask, library, appliance, fault, branch, rng.choice(positions), meter, nulled=nulled)
        except Unfit:
            continue
    raise Unfit(f"the {appliance.title} has no open fault that makes a fair question here")


def _still_joined(
    ask: Ask, library: Library, found: _Sum, fault: Fault, branch: Branch, meter: Meter, *, nulled: bool
) -> Question:
    appliance = found.scene.appliance
    sound = replace(found.scene, state=replace(found.scene.state, faults=frozenset()))
    healthy = float(sc.ohms_between(sound)[0])
    table, narrow = _listed(found, ask)
    target = _shows(meter, found.total, _sum_band(found, meter, narrow, nulled=nulled), nulled=nulled)
    wrong = [
        WrongNumber(
            "open-means-ol",
            math.inf,
            f"The {sc.name(appliance, branch)} is open, but {_paths_words(found)} still "
            f"{'joins' if len(found.paths) == 1 else 'join'} its two ends.",
        ),
        WrongNumber("fault-left-out", healthy, f"{sc.ohms(healthy)} is what it would read with nothing wrong."),
        WrongNumber("ol-as-zero", 0.0, "0 Ω would be a dead short."),
        WrongNumber(
            "parallel-path",
            branch.cold_ohms,
            f"{sc.ohms(branch.cold_ohms)} would be the sound {sc.name(appliance, branch)} alone; it is open.",
        ),
        *_sum_slips(found),
    ]
    slips = sc.fitting_slips(library, target, _deduplicated(wrong), needed=["open-means-ol"])
    return _sum_question(
        ask,
        library,
        found,
        target,
        slips,
        title="Open, and yet a number",
        known=f" One fault is present and nothing else is wrong: **{fault.title}**.",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{found.scene.probes[0]}** and "
            f"**{found.scene.probes[1]}**. Everything is cold. What does the meter show?"
        ),
        table=table,
        explanation=(
            f"The {sc.name(appliance, branch)} is open, but {_paths_words(found)} still "
            f"{'joins' if len(found.paths) == 1 else 'join'} the two probes, so the meter shows "
            f"{sc.ohms(found.total)} and not OL. Only with a wire lifted would it show OL, and only then is the open "
            "part proved."
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
    scene = sc.Scene(appliance, State(position, faults=frozenset({fault.id})), _ends(appliance, branch))
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
    target = _shows(meter, math.inf, Band(math.inf, math.inf), nulled=nulled)
    name = sc.name(appliance, branch)
    sound = "a sound one" if branch.cold_ohms > 1 else "good contact"
    wrong = [
        WrongNumber("ol-as-zero", 0.0, f"0 Ω would be a dead short. The {name} is open: nothing joins the probes."),
        WrongNumber("fault-left-out", branch.cold_ohms, f"{sc.ohms(branch.cold_ohms)} is {sound}; this one is open."),
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
                f"is more than the meter can show: OL. A sound one would read {sc.ohms(branch.cold_ohms)}. OL is not "
                "0 Ω: 0 Ω is a good connection."
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


def supply_terminals(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Line to neutral at the incoming terminals."""
    appliance = library.appliance(ask.appliance)
    meter, nulled = _meter(ask, library, rng)
    for position in _positions(ask, appliance, rng):
        calling = not (ask.level >= 3 and rng.random() < 0.3)
        scene = sc.Scene(appliance, State(position, calling=calling), (appliance.line, appliance.neutral))
        try:
            found = _sum(scene)
        except Unfit:
            continue
        if len(found.paths) >= 2 or (found.paths and not calling):
            break
    else:
        raise Unfit(f"the {appliance.title} has no position with loads side by side")
    table, narrow = _listed(found, ask)
    target = _shows(meter, found.total, _sum_band(found, meter, narrow, nulled=nulled), nulled=nulled)
    heaviest = min(found.paths, key=lambda b: found.cold[b.name])
    own = found.cold[heaviest.name]
    wrong = [
        WrongNumber(
            "part-for-whole",
            own,
            f"{sc.ohms(own)} is the {sc.name(appliance, heaviest)} alone; {len(found.paths)} paths are closed.",
        ),
        *_sum_slips(found),
    ]
    if not scene.state.calling:
        heated = float(sc.ohms_between(replace(scene, state=replace(scene.state, calling=True)))[0])
        wrong.append(
            WrongNumber("contact-ignored", heated, f"{sc.ohms(heated)} is with the thermostat calling; it does not.")
        )
    slips = sc.fitting_slips(library, target, _deduplicated(wrong))
    joins = "joins" if len(found.paths) == 1 else "join"
    return _sum_question(
        ask,
        library,
        found,
        target,
        slips,
        title="Line to neutral",
        asks=(
            f"{sc.meter_words(meter, Function.OHMS, nulled=nulled)} The probes are on **{appliance.line}** (line) and "
            f"**{appliance.neutral}** (neutral) of the appliance, with the supply conductors off. Everything is sound "
            "and cold. What does the meter show?"
        ),
        table=table,
        explanation=(
            f"In this position {_paths_words(found)} {joins} line to neutral"
            f"{', side by side' if len(found.paths) > 1 else ''}: {sc.ohms(found.total)}. A neon does not conduct at "
            "an ohmmeter's voltage, and a part behind an open contact is not in circuit."
        ),
        outcome="combine",
        competences=("C17", "C21"),
    )
