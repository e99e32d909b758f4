"""How often evidence that fits nothing is said to fit nothing, and how often evidence that fits something is.

Truths of two sorts are drawn, made and read. Inside: nothing wrong, a listed fault, a pair of them; and any single
failure of the circuit that no list has. Outside: three faults, two points bridged, an element of quite another value, a
probe on the next terminal, a meter out of order. What an outside truth does to the readings is worked out here, not by
the diagnosis floor: the very circuit with that wrong with it, each unknown by a finite difference, a normal error model
written out. Evidence *can tell* when the truth explains it a thousand times better than the best hypothesis does,
listed or not, with what is free of it where it explains most.

    python tests/independent/nothing_fits.py --inside 2000 --outside 400 --jobs 2
"""

from __future__ import annotations

import argparse
import math
import random
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from failed_circuits import draw_failure, failed, with_branches
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, FaultKind
from probebook.appliances.pairs import compatible
from probebook.cases.instance import Instance, draw_instance
from probebook.cases.library import Library, library
from probebook.diagnosis import Measured, Trial, TrialKind, posterior, trials
from probebook.diagnosis.fit import fit_of
from probebook.diagnosis.inference import Posterior, device_of
from probebook.diagnosis.open.cells import finer
from probebook.diagnosis.open.fitting import ways_besides
from probebook.diagnosis.open.weighing import OpenPosterior, open_posterior, readings_of
from probebook.diagnosis.probability.linear import Linear
from probebook.meters import Function, Meter

Floats = NDArray[np.float64]

#: Times better, from which on the evidence can tell.
TELLS = 1000.0
#: Assumed spreads, stated again: standard deviations of ln ohms.
SPREAD = {BranchKind.LAMP: 0.10, BranchKind.MOTOR: 0.05, BranchKind.NEON: 0.05, BranchKind.INSULATION: 1.50}
CONTACTS, WIRES, ALLOY = 0.30, 0.05, 0.005
INSIDE = ("listed", "off the list")
SORTS = ("three faults", "bridge", "far value", "slipped probe", "meter out of order")
#: Cells of free values in which the place that explains most is looked for.
LIKELIEST = 12
#: Ohms from which an ohmmeter reads nothing.
NOTHING = 1e6


@dataclass(frozen=True, slots=True)
class Judged:
    """Evidence drawn: its sort, whether it was said to fit nothing, and how much better the truth explains it."""

    sort: str
    said: bool
    better: float


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """What is so: the appliance, its faults, where the probes really are, and how far the meter is off."""

    appliance: Appliance
    faults: tuple[str, ...]
    probes: tuple[tuple[str, str], ...]
    gain: float = 1.0


def draw_trials(which: Appliance, rng: random.Random) -> list[Trial]:
    """Three to nine readings by ohmmeter, as somebody might take them."""
    listed = [t for t in trials(which) if t.kind is TrialKind.METER and t.function is Function.OHMS and not t.opened]
    return rng.sample(listed, min(len(listed), rng.randint(3, 9)))


def draw_tests(which: Appliance, rng: random.Random) -> list[Trial]:
    """Up to two tests of insulation."""
    listed = [t for t in trials(which) if t.kind is TrialKind.METER and t.function is Function.INSULATION]
    return rng.sample([t for t in listed if not t.dried and not t.opened], rng.randint(0, 2))


def listed_faults(which: Appliance, rng: random.Random, count: int) -> tuple[str, ...]:
    """So many faults that can be present together, drawn by their likelihood."""
    known = [f for f in which.faults if f.kind is not FaultKind.USER_SETTING]
    while True:
        chosen = {f.id: f for f in rng.choices(known, [f.likelihood for f in known], k=count)}
        faults = list(chosen.values())
        if len(faults) == count and all(compatible(which, a, b) for i, a in enumerate(faults) for b in faults[i + 1 :]):
            return tuple(sorted(chosen))


def draw_truth(which: Appliance, sort: str, taken: Sequence[Trial], rng: random.Random) -> Truth:
    """A truth of a sort."""
    probes = tuple(t.probes for t in taken)
    if sort == "listed":
        return Truth(which, listed_faults(which, rng, rng.choices((0, 1, 2), (0.1, 0.7, 0.2))[0]), probes)
    if sort == "three faults":
        return Truth(which, listed_faults(which, rng, 3), probes)
    faults = listed_faults(which, rng, rng.choice((0, 1)))
    if sort == "bridge":
        read = sorted({t for pair in probes for t in pair})
        ends = rng.sample([which.terminal(t) for t in read], 2)
        bridge = Branch("bridge", BranchKind.WIRE, (ends[0], ends[1]), 0.05, 0.05, "bridge")
        return Truth(with_branches(which, (*which.branches, bridge)), faults, probes)
    if sort == "far value":
        i = rng.choice([k for k, b in enumerate(which.branches) if b.kind is BranchKind.ELEMENT])
        factor = rng.choice((rng.uniform(0.25, 0.7), rng.uniform(1.6, 4.0)))
        other = replace(which.branches[i], cold_ohms=which.branches[i].cold_ohms * factor)
        return Truth(with_branches(which, (*which.branches[:i], other, *which.branches[i + 1 :])), faults, probes)
    if sort == "slipped probe":
        at = rng.randrange(len(taken))
        a, b = taken[at].probes
        elsewhere = rng.choice([t for t in which.terminals if t not in (a, b)])
        return Truth(which, faults, (*probes[:at], (a, elsewhere), *probes[at + 1 :]))
    return Truth(which, faults, probes, rng.choice((rng.uniform(0.6, 0.9), rng.uniform(1.1, 1.5))))


def read_all(truth: Truth, made: Instance, taken: Sequence[Trial]) -> tuple[Measured, ...]:
    """What the meter shows, entered as if the probes had been where they should."""
    really = [replace(t, probes=p) for t, p in zip(taken, truth.probes, strict=True)]
    ohms = made.ohms(really)
    shown = [made.shown(t, r * truth.gain) for t, r in zip(really, ohms, strict=True)]
    return tuple(replace(m, trial=t) for m, t in zip(shown, taken, strict=True))


def explained(
    truth: Truth, made: Instance, taken: Sequence[Trial], evidence: Sequence[Measured], meter: Meter
) -> float:
    """Ln p(displays | truth): normal about what the truth predicts, its unknowns by finite differences."""
    really = [replace(t, probes=p) for t, p in zip(taken, truth.probes, strict=True)]
    plain = replace(made, spread=np.ones(len(truth.appliance.branches)))
    ln0 = np.log(np.maximum(plain.ohms(really), 1e-9))
    columns = []
    for rows, deviation in unknowns(truth.appliance):
        spread = np.ones(len(truth.appliance.branches))
        spread[rows] = math.exp(0.01)
        moved = np.log(np.maximum(replace(plain, spread=spread).ohms(really), 1e-9))
        with np.errstate(invalid="ignore"):
            columns.append(np.where(np.isfinite(ln0), (moved - ln0) / 0.01 * deviation, 0.0))
    slope = np.stack(columns, axis=1)
    off, rows, own = [], [], []
    total = 0.0
    for m, ln, s in zip(evidence, ln0.tolist(), slope, strict=True):
        leads = meter.leads_in(m.trial.function, nulled=m.nulled)
        predicted = (math.exp(ln) * truth.gain if math.isfinite(ln) else math.inf) + leads
        if predicted >= NOTHING or math.isinf(m.value):
            alike = predicted >= NOTHING and m.value >= NOTHING
            total += 0.0 if alike else math.log(1e-5)
            continue
        used = next(r for r in meter.ranges_of(m.trial.function) if m.value <= r.full_scale * (1 + 1e-9))
        digits = used.digits * used.resolution + meter.null_residual(m.trial.function, nulled=m.nulled)
        off.append(m.value - predicted)
        rows.append(np.append(s, used.fraction_of_reading / math.sqrt(3)) * predicted)
        own.append(digits**2 / 3 + used.resolution**2 / 12)
        total += math.log(used.resolution)
    if not off:
        return total
    gap, moved = np.array(off), np.stack(rows)
    spread = moved @ moved.T + np.diag(own)
    sign, size = np.linalg.slogdet(2 * math.pi * spread)
    assert sign > 0
    return total - 0.5 * float(gap @ np.linalg.solve(spread, gap)) - 0.5 * float(size)


def unknowns(which: Appliance) -> list[tuple[list[int], float]]:
    """Branches that move together, and their standard deviation in ln."""
    found: list[tuple[list[int], float]] = []
    for i, b in enumerate(which.branches):
        if b.kind is BranchKind.ELEMENT and b.tolerance:
            found.append(([i], b.tolerance / math.sqrt(3)))
        elif b.kind in SPREAD:
            found.append(([i], b.tolerance / math.sqrt(3) or SPREAD[b.kind]))
    for kinds, deviation in (
        ((BranchKind.ELEMENT,), ALLOY),
        ((BranchKind.CONTACT, BranchKind.FUSE), CONTACTS),
        ((BranchKind.WIRE,), WIRES),
    ):
        found.append(([i for i, b in enumerate(which.branches) if b.kind in kinds], deviation))
    return found


def at_best(found: Posterior, op: OpenPosterior) -> float:
    """Ln p(displays | hypothesis) of the one that does best: a listed one, or one of the circuit at its best value."""
    listed = float(found.log_evidence.max())
    plain, _ = readings_of(found)
    if not len(op.cells):
        return listed
    explained = op.weight / np.exp(op.cells.ln_share) / np.array([w.weight for w in op.world.ways])[op.cells.way]
    cells = finer(finer(op.cells.of(np.argsort(-explained, kind="stable")[:LIKELIEST])))
    known = Linear.of(op.world.response([m.trial for m in plain], cells), device_of(plain, found.meters))
    return max(listed, float(known.log_evidence(np.zeros(len(cells)), 1, 0).max()))


def is_unexplained(found: Posterior, op: OpenPosterior) -> bool:
    """Whether the evidence is said to fit nothing, listed or not."""
    fit = fit_of(found)
    return not fit.fits and not ways_besides(op, fit)


def judge(trade: Library, sort: str, number: int) -> Judged:
    """Draw one truth of a sort, read it, and see what is said."""
    rng = random.Random(f"nothing fits/{sort}/{number}")
    names = trade.appliance_ids
    which = trade.appliance(names[number % len(names)])
    meter = trade.meter("bench-multimeter")
    meters = (trade.meter_for("insulation"), meter)
    taken = draw_trials(which, rng)
    if sort == "off the list":
        taken += draw_tests(which, rng)
        made = draw_instance(which, (), meters, f"{sort}/{number}", rng)
        evidence = tuple(failed(which, *draw_failure(which, rng), made).takes(taken))
        found = posterior(which, evidence, meters)
        return Judged(sort, is_unexplained(found, open_posterior(found)), 0.0)
    taken += draw_tests(which, rng) if sort == "listed" else []
    truth = draw_truth(which, sort, taken, rng)
    made = draw_instance(truth.appliance, truth.faults, meters, f"{sort}/{number}", rng)
    evidence = read_all(truth, made, taken)
    found = posterior(which, evidence, meters)
    op = open_posterior(found)
    better = 0.0 if sort in INSIDE else explained(truth, made, taken, evidence, meter) - at_best(found, op)
    return Judged(sort, is_unexplained(found, op), better)


def _job(task: tuple[str, int]) -> Judged:
    return judge(library(), *task)


def tasks(inside: int, outside: int) -> list[tuple[str, int]]:
    """What is to be drawn."""
    within = [(INSIDE[n % len(INSIDE)], n // len(INSIDE)) for n in range(inside)]
    return within + [(SORTS[n % len(SORTS)], n // len(SORTS)) for n in range(outside)]


def rates(judged: Sequence[Judged]) -> tuple[float, float, int, int]:
    """Share said wrongly of what fits; share said of what can be told; how many can be told, and are outside."""
    inside = [j for j in judged if j.sort in INSIDE]
    outside = [j for j in judged if j.sort not in INSIDE]
    telling = [j for j in outside if j.better >= math.log(TELLS)]
    wrong = sum(j.said for j in inside) / max(1, len(inside))
    right = sum(j.said for j in telling) / max(1, len(telling))
    return wrong, right, len(telling), len(outside)


def main() -> int:
    """Print the rates and return 1 where a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--inside", type=int, default=2000)
    parser.add_argument("--outside", type=int, default=400)
    parser.add_argument("--jobs", type=int, default=1)
    given = parser.parse_args()
    todo = tasks(given.inside, given.outside)
    if given.jobs > 1:
        with ProcessPoolExecutor(given.jobs) as pool:
            judged = list(pool.map(_job, todo, chunksize=20))
    else:
        judged = [_job(task) for task in todo]
    wrong, right, telling, outside = rates(judged)
    print(f"inside: {given.inside} drawn, said to fit nothing {100 * wrong:.2f} % (bar 1 %)")
    print(f"outside: {outside} drawn, {telling} can be told, of these said {100 * right:.1f} % (bar 95 %)")
    all_of, told, said = (Counter(j.sort for j in judged if keep(j)) for keep in (_any, _tells, _tells_and_said))
    for sort in INSIDE:
        of_sort = [j for j in judged if j.sort == sort]
        print(f"  {sort:20} {len(of_sort):4d} drawn {sum(j.said for j in of_sort):4d} said")
    for sort in SORTS:
        print(f"  {sort:20} {all_of[sort]:4d} drawn {told[sort]:4d} can be told {said[sort]:4d} said")
    return int(wrong > 0.01 or right < 0.95)


def _any(judged: Judged) -> bool:
    return True


def _tells(judged: Judged) -> bool:
    return judged.better >= math.log(TELLS)


def _tells_and_said(judged: Judged) -> bool:
    return _tells(judged) and judged.said


if __name__ == "__main__":
    sys.exit(main())
