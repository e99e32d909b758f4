"""What reading questions share: the meter, loads side by side between the probes, and how that goes wrong."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.library import Library
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongNumber, quantity_field
from probebook.questions.model import Band, Field, Question, Slip

__all__ = [
    "Sum",
    "and_list",
    "ends_of",
    "loads_table",
    "ohmmeter",
    "once_each",
    "paths_words",
    "positions",
    "shows_field",
    "sum_band",
    "sum_of",
    "sum_question",
    "sum_slips",
    "width_of",
]


def ohmmeter(ask: Ask, library: Library, rng: random.Random) -> tuple[Meter, bool]:
    """The ohmmeter and whether its leads are nulled: the good one up to level 2, any sound one above."""
    wanted = ask.text("meter") or ("bench-multimeter" if ask.level < 3 else _one_of(rng))
    meter = library.meter(wanted)
    return meter, meter.can_null


def _one_of(rng: random.Random) -> str:
    return rng.choice(["bench-multimeter", "pocket-multimeter"])


def positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    """Names of the positions to try: the one asked for, or all in a drawn order."""
    wanted = ask.text("position")
    if wanted:
        return [appliance.position(wanted).name]
    names = [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def ends_of(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    """The two terminals of a branch."""
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def shows_field(meter: Meter, value: float, band: Band, *, nulled: bool) -> Field:
    """The field for a reading: the key is typed as the meter displays it."""
    field = quantity_field("shows", "Reading", "ohm", value, low=band.low, high=band.high, allow_open=True)
    shown = read(meter, Function.OHMS, value, nulled=nulled)
    if shown.overload != math.isinf(value):
        raise Unfit(f"the {meter.title} cannot show {sc.ohms(value)}")
    return replace(field, answer=shown.display)


def and_list(appliance: Appliance, branches: Sequence[Branch]) -> str:
    """Branches in words, each with its article."""
    names = [f"the {sc.name(appliance, b)}" for b in branches]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


@dataclass(frozen=True, slots=True)
class Sum:
    """Several loads side by side between the probes, and what a learner is told of them."""

    scene: sc.Scene
    paths: tuple[Branch, ...]
    cold: Mapping[str, float]
    total: float


def sum_of(scene: sc.Scene) -> Sum:
    """What lies between the probes; Unfit unless it is loads side by side."""
    paths = sc.contributors(scene)
    if not paths:
        raise Unfit("nothing joins the probes")
    cold = {b.name: _cold(scene, b) for b in sc.loads(scene.appliance)}
    total = float(sc.ohms_between(scene)[0])
    if not math.isclose(total, sc.parallel(cold[b.name] for b in paths), rel_tol=0.01):
        raise Unfit("the paths between the probes are not simply side by side")
    return Sum(scene, tuple(paths), cold, total)


def _cold(scene: sc.Scene, branch: Branch) -> float:
    faulted = {c.branch for f in scene.state.faults for c in scene.appliance.fault(f).changes}
    if branch.name in faulted or branch.kind is BranchKind.NEON:
        return math.inf
    return branch.cold_ohms


def loads_table(found: Sum, ask: Ask) -> tuple[str, float]:
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


def sum_band(found: Sum, meter: Meter, narrow: float, *, nulled: bool) -> Band:
    """The readings to accept: ``narrow`` (relative) where the ohms are given, else from the making tolerance."""
    if not narrow:
        return sc.band_about(found.scene, meter, Function.OHMS, nulled=nulled)[1]
    leads = meter.leads_in(Function.OHMS, nulled=nulled)
    room = sc.half_width(meter, Function.OHMS, found.total, nulled=nulled) + narrow * found.total
    return Band(max(0.0, found.total - room), found.total + leads + room)


def sum_slips(found: Sum) -> list[WrongNumber]:
    """What goes wrong where paths lie side by side, whatever the question about them."""
    appliance, values = found.scene.appliance, [found.cold[b.name] for b in found.paths]
    n = len(values)
    series = math.fsum(values)
    adding = " + ".join(f"{v:.3g}" for v in values)
    wrong = [WrongNumber("series-for-parallel", series, f"{adding} = {series:.3g} Ω would be one after the other.")]
    wrong += [
        WrongNumber(
            "one-over-n",
            value / n,
            f"{value:.3g} Ω ÷ {n} would hold if {'both' if n == 2 else f'all {n}'} paths were equal; they are not.",
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


def once_each(slips: Sequence[WrongNumber]) -> list[WrongNumber]:
    """The first of each slip."""
    seen: set[str] = set()
    kept = []
    for item in slips:
        if item.slip not in seen:
            seen.add(item.slip)
            kept.append(item)
    return kept


def _reckoning(found: Sum) -> str:
    values = [found.cold[b.name] for b in found.paths]
    if len(values) == 1:
        return f"One path: {values[0]:.3g} Ω"
    return f"1 ÷ ({' + '.join(f'1/{v:.3g}' for v in values)}) = {found.total:.3g} Ω"


def paths_words(found: Sum) -> str:
    """What lies between the probes, in words."""
    return and_list(found.scene.appliance, found.paths)


def sum_question(
    ask: Ask,
    library: Library,
    found: Sum,
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
    leads: float = 0.0,
) -> Question:
    """The question about loads side by side: its prompt begins with the state and the table, ``asks`` ends it.

    ``leads`` are the ohms of the test leads that the meter shows as well.
    """
    appliance, state = found.scene.appliance, found.scene.state
    hot = any(b.kind is BranchKind.ELEMENT for b in found.paths) and ask.level >= 3
    note = (
        f" Elements reckoned from the plate (V² ÷ W) come out a little higher; up to {sc.ohms(target.band.high)} is "
        "accepted."
        if hot and target.band is not None
        else ""
    )
    worked = "Where the table gives no ohms, work them out from the rating. " if "| – |" in table else ""
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
                f"Use the wiring diagram. {worked}{asks}"
            ),
            fields=(target,),
            slips=slips,
            explanation=f"{explanation}{_with_leads(target, leads)}{note}",
            working=_reckoning(found) + (f"\nwith {leads:g} Ω of leads: {target.answer}" if leads else ""),
            competences=competences,
            pictures=sc.diagram(ask, appliance, state.position, state.lifted),
        ),
        library,
        branches=len(found.paths) + 1,
        unit_changes=1 if hot else 0,
    )


def _with_leads(target: Field, leads: float) -> str:
    return (
        f" This meter cannot null its leads: their {leads:g} Ω come on top, and it shows {target.answer}."
        if leads
        else ""
    )


def width_of(ask: Ask) -> float:
    """Relative width of a slip's band: wide where a learner may start from hot or from cold ohms."""
    return 0.06 if ask.level >= 3 else 0.03
