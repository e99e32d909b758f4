"""Making a case: a fault, a customer, an appliance as made, an investigation, and the proof that it is fair.

Everything is drawn from the seed. A draw that fails a gate is put back and another taken, so that a case that is issued
is determined by its evidence, not given away by the complaint, and of the level that was asked for.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np

from probebook.appliances import Appliance, FaultKind
from probebook.appliances.pairs import compatible_pairs
from probebook.cases.complaints import complaint_words, draw_complaint
from probebook.cases.course import TRIAL_LIMIT, look_into, par, recorded
from probebook.cases.gates import (
    ALONE,
    PutBack,
    check_count,
    check_guard_bands,
    check_insulation,
    check_level,
    check_proved,
    check_ranges,
    check_steady,
)
from probebook.cases.inquiry import Inquiry
from probebook.cases.kitchen import Kitchen, kitchen
from probebook.cases.library import Library
from probebook.cases.made import Made, draw_made
from probebook.cases.model import Case, JobCard
from probebook.cases.outlook import Outlook, outlook
from probebook.cases.people import draw_visit
from probebook.cases.seeds import stream
from probebook.diagnosis import Complaint, posterior, prove
from probebook.diagnosis.hypotheses import settled
from probebook.diagnosis.posterior import Posterior
from probebook.diagnosis.symptoms import Symptoms, symptoms
from probebook.errors import ScenarioError, UsageError
from probebook.meters import Meter

__all__ = ["TRIAL_LIMIT", "case_made", "case_meters", "make_case"]

#: Draws tried before a request is given up.
DRAWS = 120
#: Draws for which one truth is held to, so that what is hard to make fair does not drop out.
STAY = 4
#: Ids of the instruments: one for ohms, and the one for insulation and earth.
OHMMETERS, TESTER = (
    ("bench-multimeter", "bench-multimeter", "bench-multimeter", "pocket-multimeter"),
    "insulation-tester",
)
#: How many rivals a case keeps.
RIVALS = 14


def case_meters(case: Case, library: Library) -> tuple[Meter, ...]:
    """The instruments of a case; the first that has a function is used for it."""
    return _meters(library, case.meter)


def _meters(library: Library, meter: str) -> tuple[Meter, ...]:
    return (library.meter(TESTER), library.meter(meter))


def case_made(case: Case, library: Library) -> Made:
    """The very appliance of a case: as made, with its faults, and its instruments."""
    return _made(library.appliance(case.appliance), case.truth, _meters(library, case.meter), case.id)


def _made(appliance: Appliance, truth: Sequence[str], meters: Sequence[Meter], name: str) -> Made:
    return draw_made(appliance, truth, meters, name, stream("made", name))


def make_case(
    library: Library, appliance_id: str, seed: str, level: int, *, truth: tuple[str, ...] | None = None
) -> Case:
    """Make a case.

    Parameters
    ----------
    library, appliance_id
        The trade, and what the case is about.
    seed
        Names every draw: the same seed gives the same case.
    level
        1 (a single reading decides), 2 (two or three), 3 (a misleading parallel path, or several
        positions of the controls), 4 (two faults, or the usual cause is not the cause).
    truth
        Ids of the faults it must have; any that fits when None; empty for an appliance with nothing wrong.

    Raises
    ------
    UsageError
        There is no such appliance, fault or level.
    ScenarioError
        No draw passed the gates.
    """
    appliance = library.appliance(appliance_id)
    if level not in TRIAL_LIMIT:
        raise UsageError(f"there is no level {level}", remedy="choose 1, 2, 3 or 4")
    wanted = None if truth is None else _checked(appliance, truth)
    setting = kitchen(library.folder)
    reason = ""
    for draw in range(DRAWS):
        name = f"{appliance_id}/{seed}/{level}/{'+'.join(wanted) if wanted is not None else ''}/{draw}"
        try:
            return _draw(library, appliance, setting, name, seed, level, draw, wanted)
        except PutBack as back:
            reason = str(back)
    raise ScenarioError(
        f"no fair case of level {level} was found in {DRAWS} draws ({reason})",
        where=f"{appliance_id}, seed '{seed}'"
        + (f", {' + '.join(wanted) or 'nothing wrong'}" if wanted is not None else ""),
        remedy="ask for another level or another fault",
    )


def _checked(appliance: Appliance, truth: Sequence[str]) -> tuple[str, ...]:
    known = {f.id for f in appliance.faults}
    for fault in truth:
        if fault not in known:
            raise UsageError(
                f"the {appliance.title} has no fault '{fault}'",
                where=appliance.id,
                remedy=f"choose one of {', '.join(sorted(known))}",
            )
    return tuple(sorted(truth))


def _draw(
    library: Library,
    appliance: Appliance,
    setting: Kitchen,
    name: str,
    seed: str,
    level: int,
    draw: int,
    wanted: tuple[str, ...] | None,
) -> Case:
    rng = stream("case", name)
    truth = (
        _truth(appliance, level, stream("truth", appliance.id, seed, level, draw // STAY)) if wanted is None else wanted
    )
    meter = rng.choice(OHMMETERS)
    view = outlook(appliance, _meters(library, meter))
    row = view.rows.get(settled(appliance, truth))
    if row is None:
        raise PutBack("these faults cannot be present together")
    reported, weights = _complaint(appliance, truth, row, view, setting, level, rng)
    made = _made(appliance, truth, view.meters, name)
    inquiry = Inquiry(view, made.take, symptoms(appliance, truth), weights)
    look_into(inquiry, row, level, rng)
    evidence = (Complaint(reported), *recorded(inquiry, row, level, rng))
    found = posterior(appliance, evidence, view.meters)
    check_proved(found, row)
    check_guard_bands(appliance, evidence, view.meters)
    check_ranges(evidence, view.meters)
    check_insulation(found, row)
    check_count(level, found, row)
    check_steady(found, row, made, stream("steady", name))
    proof = prove(found, truth)
    check_level(level, truth, proof, evidence, view, row, weights)
    par_trials, par_minutes = par(Inquiry(view, made.take, symptoms(appliance, truth), weights), row, level)
    visit = draw_visit(setting, rng)
    card = JobCard(
        number=visit.number,
        customer=visit.customer,
        premises=visit.premises,
        reported=complaint_words(appliance, reported, setting, rng),
        time=visit.time,
        found=_as_found(appliance, truth, reported, rng),
    )
    return Case(
        id=name,
        seed=seed,
        appliance=appliance.id,
        meter=meter,
        level=level,
        truth=truth,
        card=card,
        evidence=evidence,
        proof=proof,
        rivals=_rivals(found, row),
        par_trials=par_trials,
        par_minutes=par_minutes,
    )


def _truth(appliance: Appliance, level: int, rng: random.Random) -> tuple[str, ...]:
    """Draw what is wrong: rarer faults more often than life has them, so that all of them are met."""
    singles = [f for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    settings = [f for f in appliance.faults if f.kind is FaultKind.USER_SETTING]
    if level == 4 and rng.random() < 0.5:
        pairs = [p for p in compatible_pairs(appliance) if not {f.id for f in settings} & set(p)]
        weight = {f.id: f.likelihood for f in appliance.faults}
        chosen = rng.choices(pairs, [(weight[a] * weight[b]) ** 0.5 for a, b in pairs])[0]
        return tuple(sorted(chosen))
    if level >= 2 and settings and rng.random() < 0.08:
        return (rng.choice(settings).id,)
    return (rng.choices(singles, [f.likelihood**0.5 for f in singles])[0].id,)


def _complaint(
    appliance: Appliance,
    truth: tuple[str, ...],
    row: int,
    view: Outlook,
    setting: Kitchen,
    level: int,
    rng: random.Random,
) -> tuple[Symptoms, np.ndarray]:
    """A complaint that does not give the fault away, and what is thought after hearing it."""
    for attempt in range(6):
        reported = () if attempt == 5 else draw_complaint(appliance, truth, setting, rng)
        score = view.prior * np.exp(view.symptoms.complaint(reported))
        weights = score / score.sum()
        if weights.max() > ALONE:
            continue
        if level == 4 and len(truth) < 2 and weights[row] >= 0.5 * weights.max():
            continue
        return reported, weights
    raise PutBack("the complaint alone gives the fault away")


def _as_found(appliance: Appliance, truth: Sequence[str], reported: Symptoms, rng: random.Random) -> str:
    """Title of the position in which the controls stood on arrival."""
    for fault in truth:
        if appliance.fault(fault).setting:
            return appliance.position(appliance.fault(fault).setting).title
    places = [s.position for s in reported] or [p.name for p in appliance.positions]
    return appliance.position(rng.choice(places)).title


def _rivals(found: Posterior, row: int) -> tuple[tuple[str, ...], ...]:
    """What would have been believed at some stage: by the best share in any part of the evidence from the first on."""
    prior = np.log([h.prior for h in found.hypotheses])
    score = prior[:, None] + np.cumsum(found.by_observation, axis=1)
    share = np.exp(score - score.max(axis=0))
    share /= share.sum(axis=0)
    best = share.max(axis=1)
    order = sorted(range(len(best)), key=lambda i: (-round(float(best[i]), 9), found.hypotheses[i].name))
    named = [tuple(sorted(found.hypotheses[i].faults)) for i in order if i != row]
    truth = found.hypotheses[row].faults
    parts = [(f,) for f in sorted(truth)] if len(truth) > 1 else []
    first = [*parts, *([()] if truth else [])]
    listed = list(dict.fromkeys([*named[:RIVALS], *first]))
    return tuple(listed)
