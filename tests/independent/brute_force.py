"""Recompute posteriors of generated cases by brute force, apart from the diagnosis and circuit floors.

Everything that turns readings into probabilities is done again here in the plainest way: each hypothesis in its
turn of a loop, each circuit as a dense set of node equations, each unknown by a finite difference, a normal error
model written out. Taken over as data: the appliance as its file describes it, what was observed, and the list of
symptoms that each hypothesis shows (checked elsewhere against energised circuits). The assumed spreads and chances
are stated again below, so that a change of them in the core is noticed here.

Run it by itself to judge many cases and print the bars::

    python tests/independent/brute_force.py --cases 2000 --redraw 500 --jobs 2
"""

from __future__ import annotations

import argparse
import itertools
import math
import sys
import time
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, PartKind
from probebook.cases.generate import case_instance, case_meters, make_case
from probebook.cases.instance import redrawn
from probebook.cases.library import Library, library
from probebook.cases.model import Case
from probebook.diagnosis import Complaint, Measured, Observation, Ran, posterior, solve, specimen
from probebook.diagnosis.model import model_of
from probebook.diagnosis.trial import Trial
from probebook.meters import Function, Meter

Floats = NDArray[np.float64]

#: Assumed weights and spreads, stated again: standard deviations of ln ohms.
NOTHING, PAIR = 0.10, 0.02
SPREAD = {BranchKind.LAMP: 0.10, BranchKind.MOTOR: 0.05, BranchKind.NEON: 0.05, BranchKind.INSULATION: 1.50}
CONTACTS, WIRES, ALLOY = 0.30, 0.05, 0.005
SEVERITY = {FaultKind.DRIFT: 0.03, FaultKind.HIGH_RESISTANCE: 0.20, FaultKind.LEAK: 0.40, FaultKind.DAMP: 0.40}
CUSTOMER_RIGHT, RUN_RIGHT, WAYS = 0.90, 0.98, 5
#: Share of readings that say nothing, and the e-folds of the scale over which they then lie.
SLIPPED, SCALE = 1e-4, 15.0
#: A reading further away than this many standard deviations counts as slipped.
FAR = 6.0
#: Hypotheses further behind the best than this, in ln, are left at their rough figure.
HOPELESS = 10.0
TEST_VOLTS = {Function.INSULATION: 500.0}

#: How sure the policy has to be before it stops where a second fault may hide behind the first.
SECOND_FAULT = 0.99998

DETERMINED, RUNNER_UP, COMPLAINT_ALONE = 0.95, 0.02, 0.6
#: Trials that a case of each level may take.
TRIALS = {1: 8, 2: 10, 3: 13, 4: 16}


@dataclass(frozen=True, slots=True)
class Judged:
    """What brute force makes of a case."""

    probability: float
    runner_up: float
    complaint_alone: float
    best: frozenset[str]


# ---------------------------------------------------------------- hypotheses


def listed(appliance: Appliance) -> dict[frozenset[str], float]:
    """Prior of nothing wrong, of each fault, and of each two that do not lay hold of the same thing."""
    total = sum(f.likelihood for f in appliance.faults)
    real = [f for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    settings = sum(f.likelihood for f in appliance.faults if f.kind is FaultKind.USER_SETTING)
    prior = {frozenset[str](): NOTHING + settings / total}
    for f in real:
        prior[frozenset({f.id})] = f.likelihood / total
    for a, b in itertools.combinations(real, 2):
        if not _holds(a) & _holds(b):
            prior[frozenset({a.id, b.id})] = PAIR * (a.likelihood / total) * (b.likelihood / total)
    whole = sum(prior.values())
    return {faults: weight / whole for faults, weight in prior.items()}


def _holds(fault: Fault) -> set[str]:
    if fault.changes:
        return {c.branch for c in fault.changes}
    return {"the supply"} if fault.volts else {fault.target or "the user"}


# ---------------------------------------------------------------- circuits


def branch_values(
    appliance: Appliance, trial: Trial, faults: Iterable[str], theta: dict[str, float]
) -> list[tuple[int, int, float]]:
    """Both ends and the ohms of every branch that conducts, with unknowns at ``theta`` standard deviations."""
    volts = TEST_VOLTS.get(trial.function, 1.0)
    closes = appliance.position(trial.position).closes
    present = [appliance.fault(f) for f in sorted(faults)]
    present = [f for f in present if not (trial.dried and f.recovers)]
    slots = {f.id: i for i, f in enumerate(f for f in present if f.kind in SEVERITY)}
    found: list[tuple[int, int, float]] = []
    for branch in appliance.branches:
        ohms = branch.cold_ohms * math.exp(_spread(branch, theta))
        if branch.kind is BranchKind.CONTACT:
            part = appliance.part(branch.part)
            if part.kind in (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR) and branch.name not in closes:
                ohms = math.inf
            if branch.cycles and not trial.calling:
                ohms = math.inf
        if branch.part in trial.opened:
            ohms = branch.hot_ohms if math.isinf(branch.cold_ohms) else math.inf
        if branch.strikes_at > volts:
            ohms = math.inf
        ohms = _with_faults(branch, ohms, present, slots, theta)
        if branch.part in trial.lifted or not math.isfinite(ohms):
            continue
        found.append((branch.ends[0], branch.ends[1], max(ohms, 1e-7)))
    return found


def _spread(branch: Branch, theta: dict[str, float]) -> float:
    if branch.kind is BranchKind.ELEMENT:
        own = branch.tolerance / math.sqrt(3.0)
        return theta.get(branch.name, 0.0) * own + theta.get("alloy", 0.0) * ALLOY
    if branch.kind in SPREAD:
        return theta.get(branch.name, 0.0) * SPREAD[branch.kind]
    if branch.kind in (BranchKind.CONTACT, BranchKind.FUSE):
        return theta.get("contacts", 0.0) * CONTACTS
    return theta.get("wires", 0.0) * WIRES


def _with_faults(
    branch: Branch, ohms: float, present: Sequence[Fault], slots: dict[str, int], theta: dict[str, float]
) -> float:
    forced: float | None = None
    factor, series = 1.0, 0.0
    for fault in present:
        bad = (
            math.exp(theta.get(f"severity {slots[fault.id]}", 0.0) * SEVERITY[fault.kind]) if fault.id in slots else 1.0
        )
        for change in fault.changes:
            if change.branch != branch.name:
                continue
            if change.force is not None:
                force = change.force * bad if math.isfinite(change.force) else change.force
                both = (force,) if forced is None else (forced, force)
                forced = math.inf if math.inf in both else min(both)
            if change.factor != 1.0:
                factor *= change.factor * bad
            series += change.series * bad
    return (ohms if forced is None else forced) * factor + series


def resistance(count: int, branches: Sequence[tuple[int, int, float]], a: int, b: int) -> float:
    """Ohms between two nodes: follow what conducts, then solve the node equations with one held at 0 V."""
    near: dict[int, list[int]] = {}
    for one, other, _ in branches:
        near.setdefault(one, []).append(other)
        near.setdefault(other, []).append(one)
    reached, ahead = {a}, [a]
    while ahead:
        for node in near.get(ahead.pop(), []):
            if node not in reached:
                reached.add(node)
                ahead.append(node)
    if b not in reached:
        return math.inf
    order = {node: i for i, node in enumerate(sorted(reached - {b}))}
    matrix = np.zeros((len(order), len(order)))
    for one, other, ohms in branches:
        if one not in reached or one == other:
            continue
        for node in (one, other):
            if node in order:
                matrix[order[node], order[node]] += 1.0 / ohms
        if one in order and other in order:
            matrix[order[one], order[other]] -= 1.0 / ohms
            matrix[order[other], order[one]] -= 1.0 / ohms
    current = np.zeros(len(order))
    current[order[a]] = 1.0
    return float(np.linalg.solve(matrix, current)[order[a]])


def ohms_of(appliance: Appliance, trial: Trial, faults: Iterable[str], theta: dict[str, float]) -> float:
    """Ohms at the probe tips."""
    a, b = (appliance.terminal(t) for t in trial.probes)
    return resistance(len(appliance.terminals), branch_values(appliance, trial, faults, theta), a, b)


# ---------------------------------------------------------------- readings


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading with what the instrument's statement says of it."""

    trial: Trial
    value: float
    leads: float
    noise: float
    gain: float
    step: float
    top: float


def shown(item: Measured, meters: Sequence[Meter]) -> Shown:
    """The reading and its instrument."""
    meter = next(m for m in meters if item.trial.function in m.functions)
    ranges = meter.ranges_of(item.trial.function)
    used = next((r for r in ranges if item.value <= r.full_scale * (1 + 1e-9)), ranges[-1])
    digits = used.digits * used.resolution + meter.null_residual(item.trial.function, nulled=item.nulled)
    return Shown(
        trial=item.trial,
        value=item.value,
        leads=meter.leads_in(item.trial.function, nulled=item.nulled),
        noise=math.sqrt(digits**2 / 3.0 + used.resolution**2 / 12.0),
        gain=used.fraction_of_reading / math.sqrt(3.0),
        step=used.resolution,
        top=ranges[-1].full_scale,
    )


def unknowns(appliance: Appliance, faults: Iterable[str]) -> list[str]:
    """Names of what nobody knows under a hypothesis."""
    own = [b.name for b in appliance.branches if b.kind in SPREAD or (b.kind is BranchKind.ELEMENT and b.tolerance)]
    severe = sum(appliance.fault(f).kind in SEVERITY for f in faults)
    return [*own, "alloy", "contacts", "wires", *(f"severity {i}" for i in range(severe))]


def slipped(item: Shown) -> float:
    """ln probability of a display that says nothing."""
    if math.isinf(item.value) or item.value == 0:
        return math.log(SLIPPED * 0.1)
    return math.log(SLIPPED * 0.8 / SCALE * min(1.0, item.step / item.value))


def over_range(at: float, deviation: float, top: float) -> float:
    """Probability that what is at the terminals, log-normal about ``at``, is beyond the top of the range."""
    if math.isinf(at):
        return 1.0
    return 0.5 * math.erfc((math.log(top) - math.log(at)) / max(deviation, 1e-9) / math.sqrt(2.0))


def log_likelihood(appliance: Appliance, items: Sequence[Shown], faults: frozenset[str], *, rough: bool) -> float:
    """ln p(all displays | hypothesis).

    Jointly normal in the logarithm of what is shown, or in what is shown itself where it is hardly more than noise.
    Displays too far away count as slipped, and so do numbers where there should be none. ``rough`` leaves the unknowns
    out and allows for them with a wide noise.
    """
    tests = [s for s in items if s.trial.function is Function.INSULATION]
    if tests and not rough:
        # Paths in parallel are nothing linear in the logarithm: importance draws through exact circuits.
        from insulation_draws import weighed

        rest = [s for s in items if s.trial.function is not Function.INSULATION]
        plain = log_likelihood(appliance, rest, faults, rough=False) if rest else 0.0
        return plain + weighed(appliance, tests, faults)
    middle = [ohms_of(appliance, s.trial, faults, {}) + s.leads for s in items]
    names = [] if rough else unknowns(appliance, faults)
    kept = [i for i, at in enumerate(middle) if math.isfinite(at)]
    slope = np.zeros((len(items), len(names)))
    for i in kept:
        for column, name in enumerate(names):
            up, down = (ohms_of(appliance, items[i].trial, faults, {name: h}) + items[i].leads for h in (0.5, -0.5))
            slope[i, column] = math.log(up) - math.log(down) if math.isfinite(up + down) else 0.0
    total = 0.0
    numbers: list[int] = []
    beyond: list[int] = []
    for i, (item, at) in enumerate(zip(items, middle, strict=True)):
        if math.isinf(item.value):
            beyond.append(i)
        elif item.value == 0.0 and math.isfinite(at):
            # A display of nought takes in all that would round to less.
            below = 0.5 * math.erfc((at - item.step / 2.0) / item.noise / math.sqrt(2.0))
            total += math.log((1.0 - SLIPPED) * below + math.exp(slipped(item)))
        elif math.isinf(at) or over_range(at, _deviation(item, slope[i], rough=rough), item.top) > 1.0 - 1e-9:
            total += slipped(item)
        else:
            numbers.append(i)
    if numbers:
        total += _numbers(items, middle, slope, numbers, rough=rough)
    return total + _beyond(items, middle, slope, numbers, beyond, rough=rough)


def _deviation(item: Shown, slope: Floats, *, rough: bool) -> float:
    wide = 2.0 if item.trial.function is Function.INSULATION else 0.15
    return wide if rough else math.hypot(float(np.linalg.norm(slope)), item.gain)


def _beyond(
    items: Sequence[Shown],
    middle: Sequence[float],
    slope: Floats,
    numbers: Sequence[int],
    beyond: Sequence[int],
    *,
    rough: bool,
) -> float:
    """ln p of the displays over range, given those that are numbers.

    Insulation readings are of nearly the same paths: what takes one over range takes the others.
    """
    known = [i for i in numbers if min(items[i].value, middle[i]) > 4.0 * items[i].noise]
    off = np.array([math.log(items[i].value / middle[i]) for i in known])
    own = np.array([(items[i].noise / items[i].value) ** 2 + items[i].gain ** 2 for i in known])
    known_slope = slope[known] if known else np.zeros((0, slope.shape[1]))
    total, insulation = 0.0, 0.0
    for i in beyond:
        item, at, spread = items[i], middle[i], _deviation(items[i], slope[i], rough=rough)
        if known and not rough and math.isfinite(at):
            covariance = known_slope @ known_slope.T + np.diag(own)
            far = np.abs(off) > FAR * np.sqrt(np.diag(covariance))
            across = np.where(far, 0.0, known_slope @ slope[i])
            pull = np.linalg.solve(covariance, across)
            at = at * math.exp(float(pull @ np.where(far, 0.0, off)))
            spread = math.sqrt(max(spread**2 - float(pull @ across), item.gain**2 / 10.0))
        chance = math.log((1.0 - SLIPPED) * over_range(at, spread, item.top) + math.exp(slipped(item)))
        if item.trial.function is Function.INSULATION:
            insulation = min(insulation, chance)
        else:
            total += chance
    return total + insulation


def _numbers(
    items: Sequence[Shown], middle: Sequence[float], slope: Floats, at: Sequence[int], *, rough: bool
) -> float:
    """ln p of the displays that are numbers."""
    off, noise, weight, step = (np.zeros(len(at)) for _ in range(4))
    for row, i in enumerate(at):
        item = items[i]
        insulation = item.trial.function is Function.INSULATION
        logarithmic = insulation or min(item.value, middle[i]) > 4.0 * item.noise
        off[row] = math.log(item.value / middle[i]) if logarithmic else item.value - middle[i]
        weight[row] = 1.0 if logarithmic else middle[i]
        noise[row] = item.noise / (item.value if logarithmic else 1.0)
        step[row] = item.step / (item.value if logarithmic else 1.0)
        if rough:
            noise[row] = math.hypot(noise[row], (2.0 if insulation else 0.15) * weight[row])
    gains = {key: n for n, key in enumerate(dict.fromkeys(items[i].trial.function for i in at))}
    full = np.zeros((len(at), slope.shape[1] + len(gains)))
    for row, i in enumerate(at):
        full[row, : slope.shape[1]] = slope[i] * weight[row]
        full[row, slope.shape[1] + gains[items[i].trial.function]] = items[i].gain * weight[row]
    covariance = full @ full.T + np.diag(noise**2)
    near = np.abs(off) <= FAR * np.sqrt(np.diag(covariance))
    total = sum(slipped(items[i]) for i, fits in zip(at, near, strict=True) if not fits)
    if near.any():
        block = covariance[np.ix_(near, near)]
        square = off[near] @ np.linalg.solve(block, off[near])
        _, ln_det = np.linalg.slogdet(block)
        total += float(-0.5 * (square + ln_det + near.sum() * math.log(2 * math.pi)) + np.log(step[near]).sum())
    return total


def told(appliance: Appliance, item: Observation, faults: frozenset[str]) -> float:
    """ln p(what is said or seen | hypothesis)."""
    if not isinstance(item, Complaint | Ran):
        raise TypeError(f"brute force knows nothing of {item!r}")
    right = CUSTOMER_RIGHT if isinstance(item, Complaint) else RUN_RIGHT
    so = set(model_of(appliance).symptom_table[faults])
    return sum(math.log(right) if s in so else math.log((1 - right) / (WAYS - 1)) for s in item.symptoms)


# ---------------------------------------------------------------- cases


def judged(case: Case, trade: Library) -> Judged:
    """The posterior of a case."""
    appliance = trade.appliance(case.appliance)
    meters = case_meters(case, trade)
    items = [shown(o, meters) for o in case.evidence if isinstance(o, Measured)]
    words = [o for o in case.evidence if not isinstance(o, Measured)]
    prior = listed(appliance)
    heard = {h: math.log(p) + sum(told(appliance, o, h) for o in words) for h, p in prior.items()}
    alone = {
        h: math.log(p) + sum(told(appliance, o, h) for o in words if isinstance(o, Complaint)) for h, p in prior.items()
    }
    rough = {h: s + log_likelihood(appliance, items, h, rough=True) for h, s in heard.items()}
    best = max(rough.values())
    score = {
        h: heard[h] + log_likelihood(appliance, items, h, rough=False) if rough[h] > best - HOPELESS else rough[h]
        for h in prior
    }
    share = _shares(score)
    truth = frozenset(f for f in case.truth if appliance.fault(f).kind is not FaultKind.USER_SETTING)
    return Judged(
        probability=share[truth],
        runner_up=max(p for h, p in share.items() if h != truth),
        complaint_alone=max(_shares(alone).values()),
        best=max(share, key=lambda h: share[h]),
    )


def _shares(score: dict[frozenset[str], float]) -> dict[frozenset[str], float]:
    top = max(score.values())
    weight = {h: math.exp(s - top) for h, s in score.items()}
    whole = sum(weight.values())
    return {h: w / whole for h, w in weight.items()}


def same_key(case: Case, trade: Library, times: int = 20) -> tuple[int, int]:
    """How often the key stays, and stays determined, when the instruments' errors are drawn anew this many times."""
    appliance = trade.appliance(case.appliance)
    meters = case_meters(case, trade)
    made = case_instance(case, trade)
    places = [i for i, o in enumerate(case.evidence) if isinstance(o, Measured)]
    ohms = made.ohms([case.evidence[i].trial for i in places])  # type: ignore[union-attr]
    kept = settled = 0
    for n in range(times):
        again = redrawn(made, f"{case.id}/again {n}")
        evidence = list(case.evidence)
        for i, value in zip(places, ohms, strict=True):
            evidence[i] = again.shown(case.evidence[i].trial, value)  # type: ignore[union-attr]
        found = posterior(appliance, evidence, meters)
        first = found.ranked()[0][0].faults
        if first == found.hypotheses[found.row(case.truth)].faults:
            kept += 1
            settled += found.determined
    return kept, settled


def policy_trials(case: Case, trade: Library) -> tuple[int, bool]:
    """Trials that the core's policy takes from the complaint on, and whether it finds the fault."""
    appliance = trade.appliance(case.appliance)
    heard = [o for o in case.evidence if isinstance(o, Complaint)]
    seed = sum(case.id.encode())
    enough = 0.95 if len(case.truth) < 2 else SECOND_FAULT
    done = solve(specimen(appliance, case.truth, seed), case_meters(case, trade), evidence=heard, enough=enough)
    return done.trials, done.solved


def sample(trade: Library, count: int, seed: str = "independent") -> list[tuple[str, str, int]]:
    """Appliance, seed and level of so many cases, spread evenly."""
    pairs = itertools.cycle(itertools.product((1, 2, 3, 4), trade.appliance_ids))
    return [(appliance, f"{seed} {n}", level) for n, (level, appliance) in zip(range(count), pairs, strict=False)]


@dataclass(frozen=True, slots=True)
class Line:
    """One case in the tally."""

    asked: tuple[str, str, int]
    truth: tuple[str, ...]
    result: Judged
    right: bool
    kept: int
    settled: int
    trials: int
    solved: bool


def _one(job: tuple[tuple[str, str, int], bool, bool]) -> Line:
    (appliance, seed, level), redraw, policy = job
    trade = library()
    case = make_case(trade, appliance, seed, level)
    result = judged(case, trade)
    kinds = {f: trade.appliance(appliance).fault(f).kind for f in case.truth}
    truth = frozenset(f for f, kind in kinds.items() if kind is not FaultKind.USER_SETTING)
    kept, settled = same_key(case, trade) if redraw else (0, 0)
    trials, solved = policy_trials(case, trade) if policy else (0, True)
    return Line((appliance, seed, level), case.truth, result, result.best == truth, kept, settled, trials, solved)


def main() -> int:
    """Judge many cases and print the bars; 1 when one is missed."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--redraw", type=int, default=500)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--seed", default="independent")
    given = parser.parse_args()
    wanted = sample(library(), given.cases, given.seed)
    jobs = [(asked, n < given.redraw, True) for n, asked in enumerate(wanted)]
    began = time.perf_counter()
    with ProcessPoolExecutor(given.jobs) as pool:
        lines = list(pool.map(_one, jobs, chunksize=20))
    firm = [x for x in lines if x.right and x.result.probability >= DETERMINED and x.result.runner_up <= RUNNER_UP]
    told_apart = [x for x in lines if x.result.complaint_alone <= COMPLAINT_ALONE + 1e-9]
    within = [x for x in lines if x.solved and x.trials <= TRIALS[x.asked[2]]]
    again = lines[: given.redraw]
    steady = [x for x in again if x.kept == 20]
    print(f"{len(lines)} cases over {len(library().appliance_ids)} appliances in {time.perf_counter() - began:.0f} s")
    print(f"determined by brute force:      {len(firm)} of {len(lines)}")
    print(f"  lowest probability of a key:  {min(x.result.probability for x in lines):.4f}")
    print(f"  highest of a runner-up:       {max(x.result.runner_up for x in lines):.4f}")
    print(f"complaint alone at most 0.6:    {len(told_apart)} of {len(lines)}")
    print(f"policy within the level's limit: {len(within)} of {len(lines)}")
    print(f"key kept under 20 redraws:      {len(steady)} of {len(again)}")
    if again:
        print(f"  redraws still determined:     {sum(x.settled for x in again)} of {20 * len(again)}")
    for x in lines:
        if x not in firm or x not in told_apart or x not in within or (x in again and x not in steady):
            r = x.result
            print(
                f"  {x.asked}: {' + '.join(x.truth) or 'nothing wrong'}: {r.probability:.4f}, {r.runner_up:.4f}, "
                f"complaint {r.complaint_alone:.3f}, policy {x.trials} {'solved' if x.solved else 'not solved'}, "
                f"kept {x.kept}; best {' + '.join(sorted(r.best)) or 'nothing wrong'}"
            )
    return 0 if len(firm) == len(told_apart) == len(within) == len(lines) and len(steady) == len(again) else 1


if __name__ == "__main__":
    sys.exit(main())
