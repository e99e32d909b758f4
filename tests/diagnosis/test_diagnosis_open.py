"""Failures that no file lists: all of them are thought of, predicted as the circuit has them, weighed and named."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from diagnosis_samples import APPLIANCES, SCENARIOS, appliance, dense_between, meters, taken

from probebook.appliances import Appliance, BranchKind, branch_ends, controlled_ohms
from probebook.diagnosis import Complaint, Measured, Observation, Ran, Seen, explain, noticed, posterior
from probebook.diagnosis.model import model_of
from probebook.diagnosis.model import trials as all_trials
from probebook.diagnosis.open.cells import Cells, coarse, finer, rows_of
from probebook.diagnosis.open.predicting import Rows
from probebook.diagnosis.open.ways import Sort, list_ways, listed_as
from probebook.diagnosis.open.weighing import open_posterior, world_of
from probebook.diagnosis.trial import Trial, TrialKind, reading
from probebook.meters import Function
from probebook.words import Words

WORDS = Words(SCENARIOS)


def dense(which: Appliance, trial: Trial, rows: Rows, k: int, spread: np.ndarray | float = 1.0) -> float:
    """Ohms that a reading finds with a failure put into the circuit by hand; nan where its middle is open."""
    n, ends = len(which.terminals), [tuple(e) for e in branch_ends(which).tolist()]
    ohms = controlled_ohms(which, trial.position, calling=trial.calling, opened=sorted(trial.opened)) * spread
    off = np.array([b.part in trial.lifted for b in which.branches])
    ohms[off | np.array([b.kind is BranchKind.INSULATION for b in which.branches])] = math.inf
    was, e = np.isfinite(ohms), rows.branch[k]
    if e >= 0 and was[e]:
        ohms[e] = (ohms[e] if np.isnan(rows.force[k]) else rows.force[k]) + rows.added[k]
    here = ohms.tolist()
    welded, held = rows.instead[k] >= 0 and was[rows.instead[k]], rows.held[k] >= 0 and off[rows.held[k]]
    if math.isfinite(rows.path[k]) and not welded and not held:
        one, two, to = rows.between[k].tolist()
        if one != two:
            section = rows.within[k]
            if math.isinf(here[section]):
                return math.nan
            ends, here = [*ends, (one, n), (n, two)], [*here, here[section] / 2, here[section] / 2]
            here[section], one, n = math.inf, n, n + 1
        ends, here = [*ends, (one, to)], [*here, float(rows.path[k])]
    a, b = (which.terminal(t) for t in trial.probes)
    return dense_between(n, np.array(ends), np.array(here), a, b)


def ohm_trials(which: Appliance) -> list[Trial]:
    """Its readings by ohmmeter."""
    return [t for t in all_trials(which) if t.kind is TrialKind.METER and t.function is Function.OHMS]


@pytest.mark.parametrize("name", APPLIANCES)
def test_predictions_are_those_of_the_circuit(name: str) -> None:
    """Each failure put into the circuit by hand and solved by dense algebra reads the same, to 1 part in 20,000."""
    which = appliance(name)
    rng, world = random.Random(name), world_of(model_of(which))
    rows = rows_of(which, world.ways, world.cells)
    for trial in rng.sample(ohm_trials(which), 8):
        found = np.exp(world.response([trial], world.cells).ln_ohms[:, 0])
        for k in rng.sample(range(len(world.cells)), 40):
            wanted = dense(which, trial, rows, k)
            if not math.isnan(wanted):
                assert found[k] == pytest.approx(wanted, rel=5e-5, abs=1e-8), (world.ways[world.cells.way[k]], trial)


@pytest.mark.parametrize("name", ["kettle", "conventional-oven", "solid-plate"])
def test_slopes_are_those_of_the_circuit(name: str) -> None:
    """Moving the value of a failure, or all that one unknown of making moves, moves ln R as its slope says."""
    which = appliance(name)
    rng, world = random.Random(name), world_of(model_of(which))
    making, step = model_of(which).responses.making, 1e-4
    rows = rows_of(which, world.ways, world.cells)
    for trial in rng.sample(ohm_trials(which), 6):
        response = world.response([trial], world.cells)
        finite = np.flatnonzero(np.isfinite(response.ln_ohms[:, 0])).tolist()
        for k in rng.sample(finite, min(12, len(finite))):
            at = math.log(max(dense(which, trial, rows, k), 1e-9))
            for unknown in rng.sample(range(making.shape[1]), 4):
                moved = dense(which, trial, rows, k, np.exp(step * making[:, unknown]))
                if not math.isnan(moved):
                    slope = (math.log(moved) - at) / step
                    held = rows.held[k] >= 0  # a wire on a wrong terminal has the ohms of its file
                    assert response.slope[k, 0, unknown] == pytest.approx(slope, rel=0.02, abs=2e-3 + held * 0.05)


@pytest.mark.parametrize("name", APPLIANCES)
def test_every_physical_way_to_fail_is_thought_of(name: str) -> None:
    """Every wire, contact, fuse and load open; every joint; every contact welded; every section leaking; others.

    Listed by the file, or generated.
    """
    which = appliance(name)
    ways = list_ways(which)
    have = {(w.sort, w.branch) for w in ways}
    forced = {(c.branch, math.isinf(c.force)) for f in which.faults for c in f.changes if c.force is not None}
    for branch in which.branches:
        if branch.kind is BranchKind.INSULATION:
            section = branch.name.split("~")[0]
            places = [w for w in ways if w.sort is Sort.LEAK and w.branch == section]
            assert len(places) == 3
        elif math.isfinite(branch.cold_ohms):
            assert (Sort.OPEN, branch.name) in have or (branch.name, True) in forced
        if branch.kind in (BranchKind.WIRE, BranchKind.CONTACT, BranchKind.FUSE) and math.isfinite(branch.cold_ohms):
            assert (Sort.JOINT, branch.name) in have
        if branch.kind is BranchKind.ELEMENT:
            assert {(Sort.VALUE, branch.name), (Sort.TURNS, branch.name)} <= have
        if branch.kind is BranchKind.CONTACT:
            assert (Sort.WELDED, branch.name) in have or (branch.name, False) in forced
    assert any(w.sort is Sort.MOVED for w in ways)
    assert math.fsum(w.weight for w in ways) == pytest.approx(0.04)


@pytest.mark.parametrize("name", APPLIANCES)
def test_a_poor_earth_joint_is_listed(name: str) -> None:
    """The commonest real earth fault: a joint in a protective conductor, in the file of every appliance with one."""
    which = appliance(name)
    earths = {w.mark for w in which.wires if w.is_earth}
    joints = {w.branch for w in list_ways(which) if w.sort is Sort.JOINT and listed_as(which, w)}
    assert joints & earths


def test_cells_share_out_what_is_free() -> None:
    """The shares of a way's cells sum to 1, wide or cut finer, and cover its range."""
    ways = list_ways(appliance())
    cells = coarse(ways)
    for each in (cells, finer(cells)):
        whole = np.bincount(each.way, np.exp(each.ln_share))
        assert whole == pytest.approx(np.ones(len(ways)))
        for way in (w for w in range(len(ways)) if ways[w].least < ways[w].most):
            mine = each.way == way
            width = each.width[mine]
            assert width.sum() == pytest.approx(math.log(ways[way].most / ways[way].least))
            assert each.value[mine].min() == pytest.approx(ways[way].least * math.exp(width[0] / 2))


def shown(trial: Trial, ohms: float) -> Measured:
    """A reading entered by hand."""
    return Measured(trial, ohms, display="OL" if math.isinf(ohms) else f"{ohms:.1f} Ω")


ACROSS = shown(reading("off", "S1.2", "E1.3"), math.inf)


def test_an_unlisted_break_is_found_and_named() -> None:
    """No file lists that wire W6 breaks; a reading across it finds nothing."""
    found = explain(appliance(), (ACROSS,), meters(), words=WORDS)
    assert found.fits
    assert not found.misfit
    assert found.rows[0].title == "wire W6 from S1.2 to E1.3 open"
    assert found.rows[0].failure == "open W6"
    assert found.rows[0].probability > 0.7
    assert "No fault that the file lists explains these readings" in found.off_list[0]


@pytest.mark.parametrize("ohms", [300.0, 1200.0, 4965.0, 9000.0])
def test_a_joint_of_thousands_of_ohms_does_not_part_insulation(ohms: float) -> None:
    """A kettle's line reads a joint's ohms beside its 19 Ω; insulation is good at both ends: one joint of those.

    By hand: behind a joint of 10 kΩ a test of insulation finds 437 MΩ to 1 part in 40,000, far below its last digit.
    """
    which = appliance("kettle")
    through = (
        shown(reading("boil", "X1.L", "X1.N"), ohms),
        shown(reading("off", "E1.1", "E1.2", lifted=("W7",)), 19.0),
    )
    sound = tuple(
        Measured(reading(position, end, "X1.E", Function.INSULATION), 437e6, display="437 MΩ")
        for position, end in (("boil", "X1.L"), ("off", "X1.N"))
    )
    before, after = (open_posterior(posterior(which, e, meters())) for e in (through, (*through, *sound)))
    joints = [w.sort is Sort.JOINT for w in after.world.ways]
    assert before.unlisted[joints].sum() > 0.8
    assert after.unlisted[joints].sum() > 0.8


def test_probabilities_make_a_whole_in_any_order() -> None:
    """Listed and generated together sum to 1, and the order of the evidence changes nothing."""
    which = appliance()
    evidence: tuple[Observation, ...] = (
        ACROSS,
        taken(which, reading("oven", "X1.L", "X1.N"), ()),
        Measured(reading("oven", "X1.L", "X1.E", Function.INSULATION), 80e6, display="80.0 MΩ"),
        Seen("E1"),
        Complaint(noticed(which, ["inner-open"])[:1]),
    )
    one, other = (open_posterior(posterior(which, e, meters())) for e in (evidence, evidence[::-1]))
    assert one.listed.sum() + one.unlisted.sum() == pytest.approx(1.0)
    assert other.unlisted == pytest.approx(one.unlisted, rel=1e-9, abs=1e-15)


def test_without_evidence_they_are_as_rare_as_is_said() -> None:
    """Before anything is known failures on no list have four hundredths of what all listed single faults have."""
    op = open_posterior(posterior(appliance(), (), meters()))
    single = sum(p for h, p in zip(op.found.hypotheses, op.listed, strict=True) if len(h.faults) == 1)
    assert op.unlisted.sum() / single == pytest.approx(0.04)


def test_what_is_seen_in_use_tells_of_them_too() -> None:
    """A grill whose inner circuit stays off while all else works: its wires become likelier, others less likely."""
    which = appliance()
    seen = tuple(s for s in model_of(which).symptoms(["inner-open"]) if s.position == "grill")
    op = open_posterior(posterior(which, (Ran("grill", seen),), meters()))
    before = open_posterior(posterior(which, (), meters()))
    ratio = {w.what: b / a for w, a, b in zip(op.world.ways, before.unlisted, op.unlisted, strict=True)}
    for wire in ("W6", "W9"):
        assert ratio[Sort.OPEN, wire, ()] > 5.0
    assert ratio[Sort.OPEN, "W1", ()] < 0.01


def test_a_finer_cut_changes_little() -> None:
    """The sum over the cells that are kept is what a cut of all cells three times as fine gives, to a hundredth."""
    which = appliance()
    readings = (shown(reading("oven", "X1.L", "X1.N"), 13.5), shown(reading("off", "E2.1", "E2.2"), 33.9))
    found = posterior(which, readings, meters())
    op = open_posterior(found)
    from probebook.diagnosis.inference import device_of
    from probebook.diagnosis.probability.linear import Linear

    cells: Cells = finer(finer(op.world.cells))
    known = op.world.response([m.trial for m in readings], cells)
    ln = Linear.of(known, device_of(readings, found.meters)).log_evidence(np.zeros(len(cells)), 1, 0)
    weight = np.array([w.weight for w in op.world.ways])
    whole = np.bincount(cells.way, np.exp(cells.ln_share + ln)) * weight
    best = np.flatnonzero(op.unlisted > 0.01 * op.unlisted.max())
    assert op.unlisted[best] / op.unlisted[best].sum() == pytest.approx(whole[best] / whole[best].sum(), rel=0.02)
