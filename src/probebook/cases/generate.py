"""Making a case: a fault, a customer, an appliance as made, an investigation, and the proof that it is fair.

Everything is drawn from the seed. A draw that fails a gate is put back and another taken, so that a case that is issued
is determined by its evidence, not given away by the complaint, and of the level that was asked for.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import Appliance, FaultKind
from probebook.appliances.pairs import compatible_pairs
from probebook.cases.assumed import Drawing
from probebook.cases.complaints import complaint_words, draw_complaint
from probebook.cases.condemning import dried_places, own_places
from probebook.cases.gates import (
    PutBack,
    check_count,
    check_fits,
    check_guard_bands,
    check_insulation,
    check_level,
    check_proved,
    check_ranges,
    check_steady,
    gives_away,
)
from probebook.cases.instance import Instance, draw_instance
from probebook.cases.investigating import condemn, look_into, par, recorded
from probebook.cases.investigation import Investigation
from probebook.cases.kitchen import Kitchen, kitchen
from probebook.cases.library import Library
from probebook.cases.model import Case, JobCard
from probebook.cases.people import draw_visit
from probebook.cases.seeds import stream
from probebook.cases.trial_table import TrialTable, is_earth, trial_table
from probebook.diagnosis import Complaint, Evidence, Proof, posterior, prove
from probebook.diagnosis.candidates import settled
from probebook.diagnosis.evidence import Measured, trial_of
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.symptom_table import Symptoms
from probebook.errors import ScenarioError, UsageError
from probebook.meters import Function, Meter
from probebook.numerics.rounding import rounded
from probebook.words import Words

__all__ = ["LEVELS", "OHMMETERS", "TESTER", "case_instance", "case_meters", "make_case"]

LEVELS = (1, 2, 3, 4)

#: Draws tried before a request is given up.
DRAWS = 120
#: Draws for which one truth is held to, so that what is hard to make fair does not drop out.
STAY = 4
#: Roles of the instruments: one for ohms, drawn from these, and the one for insulation and earth.
OHMMETERS, TESTER = ("bench", "bench", "bench", "pocket"), "insulation"


def case_meters(case: Case, library: Library) -> tuple[Meter, ...]:
    """The instruments of a case; the first that has a function is used for it."""
    return _meters(library, case.meter)


def _meters(library: Library, meter: str) -> tuple[Meter, ...]:
    return (library.meter_for(TESTER), library.meter(meter))


def case_instance(case: Case, library: Library) -> Instance:
    """The very appliance of a case: as made, with its faults, and its instruments."""
    return _made(library.appliance(case.appliance), case.truth, _meters(library, case.meter), case.id)


def _made(appliance: Appliance, truth: Sequence[str], meters: Sequence[Meter], name: str) -> Instance:
    return draw_instance(appliance, truth, meters, name, stream("made", name))


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
    if level not in LEVELS:
        raise UsageError(f"there is no level {level}", remedy="choose 1, 2, 3 or 4")
    wanted = None if truth is None else _checked(appliance, truth)
    wish = _Wish(appliance, seed, level, wanted)
    reason = ""
    for draw in range(DRAWS):
        try:
            return _draw(library, wish, draw)
        except PutBack as back:
            reason = str(back)
    raise ScenarioError(
        f"no fair case of level {level} was found in {DRAWS} draws ({reason})",
        where=f"{appliance_id}, seed '{seed}'"
        + (f", {' + '.join(wanted) or 'nothing wrong'}" if wanted is not None else ""),
        remedy="ask for another level or another fault",
    )


@dataclass(frozen=True, slots=True)
class _Wish:
    """What case is asked for; ``wanted`` are the faults it must have, any where None."""

    appliance: Appliance
    seed: str
    level: int
    wanted: tuple[str, ...] | None

    def name(self, draw: int) -> str:
        """Identity of a draw, which fixes it."""
        wanted = "+".join(self.wanted) if self.wanted is not None else ""
        return f"{self.appliance.id}/{self.seed}/{self.level}/{wanted}/{draw}"

    def truth_of(self, draw: int) -> tuple[str, ...]:
        """The faults of a draw; one truth is held to for several, so that what is hard to make fair stays in."""
        if self.wanted is not None:
            return self.wanted
        return _truth(
            self.appliance, self.level, stream("truth", self.appliance.id, self.seed, self.level, draw // STAY)
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


@dataclass(frozen=True, slots=True, eq=False)
class _Draft:
    """One draw: what is wrong, what the customer reports, what is thought after hearing it, and the very appliance."""

    name: str
    level: int
    truth: tuple[str, ...]
    row: int
    view: TrialTable
    made: Instance
    reported: Symptoms
    heard: np.ndarray

    def investigation(self) -> Investigation:
        """An investigation of it, not begun."""
        return Investigation(self.view, self.made.take, self.view.model.symptoms(self.truth), self.heard)


def _draw(library: Library, wish: _Wish, draw: int) -> Case:
    name = wish.name(draw)
    rng = stream("case", name)
    truth = wish.truth_of(draw)
    meter = library.meter_for(rng.choice(OHMMETERS))
    setting = kitchen(library.folder, library.words)
    draft = _draft(wish, name, truth, _meters(library, meter.id), setting, rng)
    evidence, found = _investigated(draft, rng)
    way = prove(found, truth)
    check_level(draft.level, truth, way, evidence, draft.view, draft.row, draft.heard)
    evidence, found, own = _condemned(draft, evidence, found)
    proof = _proof(draft.level, found, truth, way, own)
    trials = [t for i in sorted(own) if (t := trial_of(evidence[i])) is not None]
    par_trials, par_minutes = par(draft.investigation(), draft.row, draft.level, trials)
    return Case(
        id=name,
        seed=wish.seed,
        appliance=wish.appliance.id,
        meter=meter.id,
        level=draft.level,
        truth=truth,
        card=_card(draft, setting, library.words, rng),
        evidence=evidence,
        proof=proof,
        rivals=_rivals(found, draft.row),
        par_trials=par_trials,
        par_minutes=par_minutes,
    )


def _proof(level: int, found: Posterior, truth: tuple[str, ...], way: Proof, own: set[int]) -> Proof:
    """The proof by what leads to the key and the readings of its own parts; at level 1 one of these is enough."""
    heard = {i for i in way.observations if level > 1 or isinstance(found.evidence[i], Complaint)}
    if heard | own == set(way.observations):  # nothing was added
        return way
    proof = prove(found, truth, sorted(heard | own))
    if not proof.established:
        raise PutBack("the proof falls short")
    return proof


def _draft(
    wish: _Wish, name: str, truth: tuple[str, ...], meters: tuple[Meter, ...], setting: Kitchen, rng: random.Random
) -> _Draft:
    view = trial_table(wish.appliance, meters)
    row = view.rows.get(settled(wish.appliance, truth))
    if row is None:
        raise PutBack("these faults cannot be present together")
    reported, heard = _complaint(view, truth, row, setting, wish.level, rng)
    made = _made(wish.appliance, truth, view.meters, name)
    return _Draft(name, wish.level, truth, row, view, made, reported, heard)


def _investigated(draft: _Draft, rng: random.Random) -> tuple[Evidence, Posterior]:
    """What stands in the record, and what follows from it; PutBack when a gate is not passed."""
    job, model, row = draft.investigation(), draft.view.model, draft.row
    look_into(job, row, draft.level, rng)
    evidence = _in_order(draft, (Complaint(draft.reported), *recorded(job, row, draft.level, rng)))
    found = posterior(model, evidence, draft.view.meters)
    check_proved(found, row)
    check_guard_bands(model, evidence, draft.view.meters)
    check_ranges(model.appliance, evidence, draft.view.meters)
    check_insulation(found, row)
    check_count(draft.level, found, row)
    return evidence, found


def _condemned(draft: _Draft, evidence: Evidence, found: Posterior) -> tuple[Evidence, Posterior, set[int]]:
    """The record with what condemns added, what follows from it, and places of the readings of the parts themselves."""
    view, model, row = draft.view, draft.view.model, draft.row
    further = condemn(view, draft.made, draft.level, evidence)
    if further:
        evidence = _in_order(draft, (*evidence, *further))
        found = posterior(model, evidence, view.meters)
        check_proved(found, row)
        check_guard_bands(model, further, view.meters)
        check_ranges(model.appliance, further, view.meters)
    check_fits(found)
    check_steady(found, row, draft.made, stream("steady", draft.name))
    own = {i for i in own_places(view.appliance, draft.truth, evidence).values() if i >= 0}
    own |= {i for i in dried_places(view.appliance, draft.truth, evidence).values() if i >= 0}
    return evidence, found, own | {i for i, o in enumerate(evidence) if any(o is each for each in further)}


def _in_order(draft: _Draft, evidence: Evidence) -> Evidence:
    """The record as it is kept: earth continuity before any insulation, what was read after drying out behind all else.

    Towards metal that no earth reaches every insulation test passes, and nothing is as damp again as it was.
    """
    view = draft.view
    tested = [i for i, o in enumerate(evidence) if isinstance(o, Measured) and o.trial.function is Function.INSULATION]
    if tested:
        late = [o for o in evidence[tested[0] :] if isinstance(o, Measured) and is_earth(view.appliance, o.trial)]
        earth = [o for o in evidence if isinstance(o, Measured) and is_earth(view.appliance, o.trial)]
        wanted = (view.trials[c] for c in view.safety if is_earth(view.appliance, view.trials[c]))
        first = late if earth else [draft.made.take(trial) for trial in wanted]
        rest = [o for o in evidence[tested[0] :] if all(o is not each for each in late)]
        evidence = (*evidence[: tested[0]], *first, *rest)
    return tuple(sorted(evidence, key=lambda o: isinstance(o, Measured) and o.trial.dried))


def _card(draft: _Draft, setting: Kitchen, words: Words, rng: random.Random) -> JobCard:
    appliance = draft.view.appliance
    visit = draw_visit(setting, rng, words)
    return JobCard(
        number=visit.number,
        customer=visit.customer,
        premises=visit.premises,
        said=complaint_words(appliance, draft.reported, setting, rng, words),
        time=visit.time,
        found=_as_found(appliance, draft.truth, draft.reported, rng),
    )


def _truth(appliance: Appliance, level: int, rng: random.Random) -> tuple[str, ...]:
    """Draw what is wrong: rarer faults more often than life has them, so that all of them are met."""
    singles = [f for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    settings = [f for f in appliance.faults if f.kind is FaultKind.USER_SETTING]
    assumed = appliance.assumptions.get(Drawing)
    power = assumed.rarer_power
    if level == 4 and rng.random() < assumed.pairs:
        pairs = [p for p in compatible_pairs(appliance) if not {f.id for f in settings} & set(p)]
        weight = {f.id: f.likelihood for f in appliance.faults}
        chosen = rng.choices(pairs, [(weight[a] * weight[b]) ** power for a, b in pairs])[0]
        return tuple(sorted(chosen))
    if level >= 2 and settings and rng.random() < assumed.settings:
        return (rng.choice(settings).id,)
    return (rng.choices(singles, [f.likelihood**power for f in singles])[0].id,)


def _complaint(
    view: TrialTable, truth: tuple[str, ...], row: int, setting: Kitchen, level: int, rng: random.Random
) -> tuple[Symptoms, np.ndarray]:
    """A complaint that does not give the fault away, and what is thought after hearing it."""
    appliance = view.appliance
    for attempt in range(6):
        reported = () if attempt == 5 else draw_complaint(appliance, truth, setting, rng)
        score = view.prior * np.exp(view.symptoms.complaint(reported))
        weights = score / score.sum()
        if not gives_away(appliance, level, truth, row, weights):
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
    best = rounded(share.max(axis=1)).tolist()
    order = sorted(range(len(best)), key=lambda i: (-best[i], found.hypotheses[i].name))
    named = [tuple(sorted(found.hypotheses[i].faults)) for i in order if i != row]
    truth = found.hypotheses[row].faults
    parts = [(f,) for f in sorted(truth)] if len(truth) > 1 else []
    first = [*parts, *([()] if truth else [])]
    listed = list(dict.fromkeys([*named[: found.appliance.assumptions.get(Drawing).rivals], *first]))
    return tuple(listed)
