"""The course of a case: every gate is asked on the way, limits count to the trial, and the record holds what it may."""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np
import pytest

from probebook.cases import generate, investigating
from probebook.cases.gates import PutBack
from probebook.cases.generate import case_meters, make_case
from probebook.cases.instance import Instance, draw_instance
from probebook.cases.investigating import condemn, look_into, par, recorded
from probebook.cases.investigation import Investigation, misleading, unremarkable
from probebook.cases.library import library
from probebook.cases.model import Case
from probebook.cases.trial_table import TrialTable, trial_table
from probebook.diagnosis import Measured, Trial, posterior, reading
from probebook.diagnosis.effort import minutes
from probebook.diagnosis.trial import TrialKind
from probebook.errors import ScenarioError
from probebook.meters import Function

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")
METERS = (TRADE.meter_for("insulation"), TRADE.meter_for("bench"))

GATES = (
    *("check_proved", "check_guard_bands", "check_ranges", "check_insulation", "check_count", "check_level"),
    *("check_steady", "look_into", "condemn", "par"),
)


@pytest.fixture
def first(monkeypatch: pytest.MonkeyPatch) -> str:
    """A seed of which the first draw passes every gate, with a reading added that condemns; only it is tried now."""
    monkeypatch.setattr(generate, "DRAWS", 1)
    for n in range(60):
        try:
            case = make_case(TRADE, "kettle", f"gates {n}", 2)
        except ScenarioError:
            continue
        if case.evidence[-1].trial.lifted or len(case.proof.observations) > 3:
            return f"gates {n}"
    raise AssertionError("no draw passes")


@pytest.mark.parametrize("gate", GATES)
def test_every_gate_is_asked(first: str, monkeypatch: pytest.MonkeyPatch, gate: str) -> None:
    """A draw that passes as it is comes to nothing as soon as any one gate objects, with that gate's reason."""

    def objects(*_: object, **__: object) -> None:
        raise PutBack(f"objection of {gate}")

    monkeypatch.setattr(generate, gate, objects)
    with pytest.raises(ScenarioError, match=f"objection of {gate}"):
        make_case(TRADE, "kettle", first, 2)


@pytest.mark.parametrize("gate", ["check_proved", "check_guard_bands", "check_ranges"])
def test_what_is_added_passes_the_gates_too(first: str, monkeypatch: pytest.MonkeyPatch, gate: str) -> None:
    """What condemns is read after the investigation: the record with it, and its own readings, pass again."""
    asked: list[int] = []
    inner: Callable[..., None] = getattr(generate, gate)

    def counting(*given: object) -> None:
        asked.append(len(given))
        inner(*given)
        if len(asked) == 2:
            raise PutBack("second objection")

    monkeypatch.setattr(generate, gate, counting)
    with pytest.raises(ScenarioError, match="second objection"):
        make_case(TRADE, "kettle", first, 2)


def test_no_complaint_that_gives_too_much_away_is_used(first: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where even saying nothing gives it away the draw is put back; each of six complaints is asked about."""
    asked: list[float] = []

    def always(*given: object) -> bool:
        asked.append(float(np.max(given[-1])))
        return True

    monkeypatch.setattr(generate, "gives_away", always)
    with pytest.raises(ScenarioError, match="complaint alone"):
        make_case(TRADE, "kettle", first, 2)
    assert len(asked) == 6


# ---------------------------------------------------------------- the investigation


@pytest.fixture(scope="module")
def view() -> TrialTable:
    """The trials on the oven with the two usual instruments."""
    return trial_table(OVEN, METERS)


def made(truth: str, name: str = "a") -> Instance:
    """An oven with a fault."""
    return draw_instance(OVEN, [truth], METERS, name, random.Random(name))


def job(view: TrialTable, truth: str, name: str = "a") -> Investigation:
    """An investigation of an oven with a fault, of which nothing was heard."""
    here = made(truth, name)
    return Investigation(view, here.take, view.model.symptoms([truth]), view.prior / view.prior.sum())


def row(view: TrialTable, truth: str) -> int:
    """The row of a fault."""
    return view.rows[frozenset({truth})]


def suspected(view: TrialTable, *names: str) -> np.ndarray:
    """As likely one of these as the other, and next to nothing else."""
    weights = np.full(len(view.rows), 1e-9)
    for name in names:
        weights[row(view, name)] = 1.0 / len(names)
    return weights / weights.sum()


def test_at_level_one_the_part_itself_is_read_once(view: TrialTable) -> None:
    """Base element or lamp: one reading of the base element decides; a thermostat that reads low no ohms decide."""
    here = job(view, "base-open")
    here.weights = suspected(view, "base-open", "lamp-open")
    look_into(here, row(view, "base-open"), 1, random.Random(1))
    ((_, item),) = here.steps
    assert isinstance(item, Measured)
    assert set(item.trial.probes) == {"E2.1", "E2.2"}
    assert here.settled
    low = job(view, "thermostat-low")
    low.weights = suspected(view, "thermostat-low", "lamp-open")
    with pytest.raises(PutBack, match="no single reading"):
        look_into(low, row(view, "thermostat-low"), 1, random.Random(1))


@pytest.mark.parametrize("level", [2, 3, 4])
def test_an_investigation_has_just_so_many_trials(
    view: TrialTable, monkeypatch: pytest.MonkeyPatch, level: int
) -> None:
    """With as many trials as it takes it comes to its end; with one less it is put back."""
    base = row(view, "base-open")
    whole = job(view, "base-open")
    look_into(whole, base, level, random.Random(3))
    count = len(whole.steps)
    assert whole.settled
    assert count >= 2
    monkeypatch.setattr(investigating, "trial_limit", lambda *_: count)
    again = job(view, "base-open")
    look_into(again, base, level, random.Random(3))
    assert [c for c, _ in again.steps] == [c for c, _ in whole.steps]
    monkeypatch.setattr(investigating, "trial_limit", lambda *_: count - 1)
    if level != 2:  # two or three readings that decide are taken whatever the limit
        with pytest.raises(PutBack, match="no conclusion"):
            look_into(job(view, "base-open"), base, level, random.Random(3))


def test_par_takes_the_best_trials_and_what_condemns(view: TrialTable, monkeypatch: pytest.MonkeyPatch) -> None:
    """A further reading counts with its own minutes, one that was taken does not; too few trials are put back."""
    base = row(view, "base-open")
    plain = par(job(view, "base-open"), base, 2, [])
    walked = job(view, "base-open")
    assert investigating._go_on(walked, None, base, 2)
    assert plain == (len(walked.steps), pytest.approx(walked.spent))
    taken = [view.trials[c] for c, _ in walked.steps]
    assert par(job(view, "base-open"), base, 2, taken) == plain
    fresh = next(t for t in view.trials if t not in taken and t.kind is TrialKind.METER)
    more = par(job(view, "base-open"), base, 2, [*taken, fresh])
    assert more == (plain[0] + 1, pytest.approx(plain[1] + minutes(view.model, fresh, walked.setup)))
    with pytest.raises(PutBack, match="longer than the level allows"):
        par(job(view, "base-open"), row(view, "lamp-open"), 2, [])
    monkeypatch.setattr(investigating, "trial_limit", lambda *_: plain[0] - 1)
    with pytest.raises(PutBack, match="longer than the level allows"):
        par(job(view, "base-open"), base, 2, [])


def test_what_cannot_be_condemned_is_put_back(view: TrialTable) -> None:
    """With the part read a level 1 case needs nothing more; from afar only, no reading may part the rest."""
    here = made("inner-open")
    own = here.take(reading("off", "E1.3", "E1.4", lifted=("W9",)))
    assert condemn(view, here, 1, (own,)) == ()
    supply = draw_instance(OVEN, ["low-supply"], METERS, "a", random.Random(1))
    with pytest.raises(PutBack, match="not listed"):
        condemn(view, supply, 1, ())


def test_level_three_begins_with_a_reading_that_misleads(view: TrialTable) -> None:
    """Where a reading across a load is misled by another path, one such is taken first at level 3 and not at 2."""
    base = row(view, "base-open")
    about = set(misleading(view, base))
    assert about
    for n in range(4):
        third = job(view, "base-open")
        look_into(third, base, 3, random.Random(n))
        assert third.steps[0][0] in about - third.barred
    second = job(view, "base-open")
    look_into(second, base, 2, random.Random(3))
    assert second.barred
    assert not second.barred & second.done


def test_a_misleading_reading_is_well_off_the_load_itself(view: TrialTable) -> None:
    """All wires on, in ohms, across a load whose own ohms it misses by over 15 %: by what the parts' ohms come to."""
    base = row(view, "base-open")
    own = {b.name: b.cold_ohms for b in OVEN.branches}
    found = misleading(view, base)
    for column in found:
        trial = view.trials[column]
        assert not trial.lifted
        assert trial.function is Function.OHMS
        names = [b.name for b in OVEN.branches if {OVEN.terminals[t] for t in b.ends} == set(trial.probes)]
        assert any(n in own and abs(view.ln_shown[base, column] - np.log(own[n])) > 0.15 for n in names)
    only = misleading(view, base, ["E2.heater"])
    assert set(only) < set(found)
    assert all(set(view.trials[c].probes) == {"E2.1", "E2.2"} for c in only)


def test_the_record_holds_the_course_and_a_little_that_is_good(view: TrialTable) -> None:
    """Every step in its order, one to three good readings besides, safety readings first and none of a part twice."""
    base = row(view, "base-open")
    done = job(view, "base-open")
    look_into(done, base, 2, random.Random(3))
    good = {view.trials[c] for c in unremarkable(view, base)}
    safety = {view.trials[c] for c in view.safety}
    steps = [o for _, o in done.steps]
    counts, with_safety = set(), 0
    for n in range(60):
        record = recorded(done, base, 2, random.Random(n))
        trials: list[Trial] = [o.trial for o in record if isinstance(o, Measured)]
        assert [o for o in record if o in steps] == steps
        assert len(set(trials)) == len(trials)
        beside = [t for t in trials if t not in {s.trial for s in steps if isinstance(s, Measured)}]
        extra = [t for t in beside if t not in safety]
        assert set(extra) <= good
        counts.add(len(extra))
        parts = [frozenset(t.probes) for t in trials if t.lifted]
        assert len(set(parts)) == len(parts)
        first_safety = [t for t in trials if t in safety]
        assert first_safety in ([], list(trials[: len(first_safety)]))
        assert len(first_safety) in (0, len(safety))
        with_safety += bool(first_safety)
    assert counts <= {0, 1, 2, 3}
    assert 3 in counts
    assert 20 < with_safety < 55


# ---------------------------------------------------------------- the appliance as made


def test_errors_are_drawn_by_trial_but_leads_once() -> None:
    """Nulled, 50 Ω shows now this, now that, either side; not nulled, leads read high alike in every trial."""
    here = made("base-open")
    trials = [reading(p.name, "E1.1", "E1.2", lifted=w) for p in OVEN.positions for w in ((), ("W5",), ("W6",))]
    nulled = [here.shown(t, 50.0).value for t in trials]
    assert min(nulled) < np.mean(nulled) < max(nulled)
    assert max(nulled) - min(nulled) >= 0.2
    together = here.together(Function.OHMS)
    plain = {here.shown(t, 0.0, nulled=False).display for t in trials}
    assert plain == {together}


def test_what_is_made_is_within_its_tolerances() -> None:
    """Elements lie within nine tenths of their tolerance beside the alloy's share, which is common to all of them."""
    elements = [i for i, b in enumerate(OVEN.branches) if b.kind == "element"]
    tolerance = OVEN.branches[elements[0]].tolerance
    seen = np.array([draw_instance(OVEN, [], METERS, "a", random.Random(n)).spread for n in range(400)])
    ratio = np.log(seen[:, elements[0]] / seen[:, elements[1]])
    widest = np.log((1 + 0.9 * tolerance) / (1 - 0.9 * tolerance))
    assert 0.8 * widest < np.abs(ratio).max() <= widest
    assert (seen > 0).all()
    assert len({tuple(s) for s in seen}) == 400


def test_a_fault_is_as_bad_as_it_happens_to_be() -> None:
    """A drifted element reads more or less than its file says, never for the better; its neighbours are as ever."""
    base = OVEN.fault("base-drift").changes[0]
    factors = []
    for n in range(100):
        here = draw_instance(OVEN, ["base-drift"], METERS, "a", random.Random(n))
        (change,) = here.appliance.fault("base-drift").changes
        factors.append(change.factor / base.factor)
        other = here.appliance.fault("base-leak")
        assert other == OVEN.fault("base-leak")
    assert min(factors) < 1.0 < max(factors)
    assert max(factors) * min(factors) == pytest.approx(1.0, abs=0.1)


def test_a_case_can_be_read_by_the_core_alone(first: str) -> None:
    """What a case says of itself follows from its evidence: the key first, its rivals beside it, none of them it."""
    case: Case = make_case(TRADE, "kettle", first, 2)
    found = posterior(TRADE.appliance("kettle"), case.evidence, case_meters(case, TRADE))
    assert found.ranked()[0][0].faults == frozenset(case.truth)
    assert case.truth not in case.rivals
    assert () in case.rivals
    assert len(set(case.rivals)) == len(case.rivals)
