"""Insulation readings weighed by importance draws through exact circuits, apart from the diagnosis and circuit floors.

For each hypothesis every leakage path is drawn from its lognormal, the network is eliminated node by node for all
draws at once, and the display's probability is written out. Plain draws are no reference: three readings of 2 % leave
one draw in a million. So most draws are *conditional*: of the paths that a reading reaches one is not drawn but set so
that the reading comes out as shown, within its noise; which one for which reading makes many ways of drawing, the
better ones are found by a pilot, and each draw is weighted by the density of all ways together (the balance heuristic:
Veach and Guibas 1995, SIGGRAPH 95, 419-428). The ohms readings among the evidence are weighed as
``brute_force.py`` does it.

Run it by itself to compare many random evidence sets with the posterior of the project::

    python tests/independent/insulation_draws.py --sets 60 --draws 200000
"""

from __future__ import annotations

import argparse
import itertools
import math
import random
import sys
import time
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parent))

from brute_force import SEVERITY, SLIPPED, SPREAD, Shown, listed, log_likelihood, ohms_of, shown, slipped, unknowns

from probebook.appliances import Appliance, BranchKind, FaultKind, PartKind
from probebook.cases.library import Library, library
from probebook.diagnosis import Measured, Trial, TrialKind, posterior, trials
from probebook.diagnosis.evidence import measured
from probebook.meters import Function, Meter, read

Floats = NDArray[np.float64]
#: A leakage path: the branch, and mean and deviation of ln of its siemens.
PathOf = tuple[str, float, float]

#: Hypotheses further behind the best than this, in ln, by what they have besides insulation are not drawn for.
HOPELESS = 16.0
#: Draws of the pilot a way of drawing, and how many ways are kept besides plain draws.
PILOT, WAYS = 400, 8
TEST_VOLTS = 500.0


# ---------------------------------------------------------------- circuits


def network(
    appliance: Appliance, trial: Trial, faults: frozenset[str]
) -> tuple[list[tuple[int, int, float]], dict[PathOf, tuple[int, int]]]:
    """Ends and siemens of what conducts plainly in a test, and the leakage paths with their ends."""
    closes = appliance.position(trial.position).closes
    present = [appliance.fault(f) for f in sorted(faults)]
    present = [f for f in present if not (trial.dried and f.recovers)]
    plain: list[tuple[int, int, float]] = []
    leaking: dict[PathOf, tuple[int, int]] = {}
    for branch in appliance.branches:
        ohms, deviation = branch.cold_ohms, SPREAD.get(branch.kind, 0.0)
        if branch.kind is BranchKind.CONTACT:
            kind = appliance.part(branch.part).kind
            if kind in (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR) and branch.name not in closes:
                ohms = math.inf
            if branch.cycles and not trial.calling:
                ohms = math.inf
        if branch.part in trial.opened:
            ohms = branch.hot_ohms if math.isinf(branch.cold_ohms) else math.inf
        if branch.strikes_at > TEST_VOLTS:
            ohms = math.inf
        series = 0.0
        for fault in present:
            for change in fault.changes:
                if change.branch == branch.name:
                    if change.force is not None:
                        ohms, deviation = change.force, SEVERITY.get(fault.kind, 0.0)
                    ohms *= change.factor
                    series += change.series
        ohms += series
        if branch.part in trial.lifted or math.isinf(ohms):
            continue
        if branch.kind is BranchKind.INSULATION:
            leaking[branch.name, -math.log(ohms), deviation] = branch.ends
        else:
            plain.append((*branch.ends, 1.0 / max(ohms, 1e-7)))
    return plain, leaking


def siemens_between(edges: Sequence[tuple[int, int, float | Floats]], a: int, b: int) -> Floats | float:
    """Siemens between two nodes: every other node is eliminated, its neighbours joined (star to mesh)."""
    near: dict[int, dict[int, Floats | float]] = {a: {}, b: {}}

    def join(i: int, j: int, g: Floats | float) -> None:
        near.setdefault(i, {})[j] = near.setdefault(i, {}).get(j, 0.0) + g
        near.setdefault(j, {})[i] = near.setdefault(j, {}).get(i, 0.0) + g

    for i, j, g in edges:
        if i != j:
            join(i, j, g)
    while len(near) > 2:
        # Nodes between plain conductors first: they need no arrays.
        node = min(
            (n for n in near if n not in (a, b)),
            key=lambda n: (any(isinstance(g, np.ndarray) for g in near[n].values()), len(near[n]), n),
        )
        star = near.pop(node)
        for i in star:
            del near[i][node]
        whole = sum(star.values())
        for (i, gi), (j, gj) in itertools.combinations(star.items(), 2):
            join(i, j, gi * gj / whole)
    return near[a].get(b, 0.0)


@dataclass(frozen=True)
class Test:
    """A test under a hypothesis: network, leakage paths it may reach, and the ohms in series with each that it does."""

    plain: list[tuple[int, int, float]]
    leaking: dict[PathOf, tuple[int, int]]
    probes: tuple[int, int]
    series: dict[PathOf, float]

    @classmethod
    def of(cls, appliance: Appliance, trial: Trial, faults: frozenset[str]) -> Test:
        """Set up the network; which paths are reached shows when they alone conduct."""
        plain, leaking = network(appliance, trial, faults)
        a, b = (appliance.terminal(t) for t in trial.probes)
        series = {}
        for path, ends in leaking.items():
            alone = siemens_between([*plain, (*ends, 1e-6)], a, b) - siemens_between(plain, a, b)
            if alone > 1e-12:
                series[path] = max(1.0 / alone - 1e6, 0.0)
        return cls(plain, leaking, (a, b), series)

    def siemens(self, values: dict[PathOf, Floats]) -> Floats | float:
        """Siemens between the probes with these of the leakage paths, for all draws."""
        edges = [(*ends, values[path]) for path, ends in self.leaking.items()]
        return siemens_between([*self.plain, *edges], *self.probes)


# ---------------------------------------------------------------- draws


def display_chance(item: Shown, siemens: Floats | float, gain: Floats) -> Floats:
    """Probability of a display for what lies at the probes and a gain."""
    ohms = 1.0 / np.maximum(siemens, 1e-30) * np.exp(gain * item.gain)
    if math.isinf(item.value):
        chance = below((ohms - item.top - item.step / 2.0) / item.noise)
    elif item.value == 0.0:
        chance = below((item.step / 2.0 - ohms) / item.noise)
    else:
        z = (ohms - item.value) / item.noise
        chance = np.exp(-0.5 * np.minimum(z * z, 1400.0)) * item.step / item.noise / math.sqrt(2.0 * math.pi)
    return (1.0 - SLIPPED) * chance + math.exp(slipped(item))


def below(z: Floats) -> Floats:
    """The standard normal distribution function."""
    return 0.5 * np.array([math.erfc(-x / math.sqrt(2.0)) for x in np.clip(np.ravel(z), -40, 40)]).reshape(np.shape(z))


#: A way of drawing: for some readings, in order, the path that is set by them.
Way = tuple[tuple[int, PathOf], ...]


def ways_of(tests: Sequence[Test], items: Sequence[Shown]) -> list[Way]:
    """All ways of drawing in which each reading in its turn has but one path to be set."""
    found: dict[frozenset[tuple[int, PathOf]], Way] = {frozenset(): ()}
    numbers = [i for i, item in enumerate(items) if math.isfinite(item.value) and item.value > 0.0]
    for size in range(1, len(numbers) + 1):
        for order in itertools.permutations(numbers, size):
            for chosen in itertools.product(*(tests[i].series for i in order)):
                if len(set(chosen)) < size:
                    continue
                later = [set(chosen[k + 1 :]) for k in range(size)]
                if all(not later[k] & set(tests[i].series) for k, i in enumerate(order)):
                    way = tuple(zip(order, chosen, strict=True))
                    found.setdefault(frozenset(way), way)
    return list(found.values())


class Drawing:
    """Draws for one hypothesis."""

    def __init__(self, tests: Sequence[Test], items: Sequence[Shown], seed: int) -> None:
        self.tests, self.items = tests, items
        self.paths = sorted({path for test in tests for path in test.leaking})
        self.rng = np.random.default_rng(seed)

    def sum_of(self, i: int, values: dict[PathOf, Floats], without: PathOf | None = None) -> Floats | float:
        """Siemens of a reading as the plain sum of the paths it reaches."""
        parts = (
            values[p] / (1.0 + r * values[p]) if r > 1e3 else values[p]
            for p, r in self.tests[i].series.items()
            if p != without
        )
        return sum(parts)

    def draw(self, way: Way, count: int) -> tuple[dict[PathOf, Floats], Floats, NDArray[np.bool_]]:
        """Siemens of all paths and the gain; which draws are possible at all."""
        gain = self.rng.standard_normal(count)
        values = {p: np.exp(p[1] + p[2] * self.rng.standard_normal(count)) for p in self.paths}
        good = np.ones(count, dtype=np.bool_)
        for i, path in way:
            item = self.items[i]
            ohms = (item.value + item.noise * self.rng.standard_normal(count)) / np.exp(gain * item.gain)
            left = 1.0 / np.maximum(ohms, 1.0) - self.sum_of(i, values, path)
            series = self.tests[i].series[path]
            if series > 1e3:
                left = left / np.where(1.0 - series * left > 0.0, 1.0 - series * left, -1.0)
            good &= (left > 0.0) & (ohms > 1.0)
            values[path] = np.where(left > 0.0, left, 1e-12)
        return values, gain, good

    def log_prior(self, path: PathOf, values: dict[PathOf, Floats]) -> Floats:
        """Ln of the density of ln of siemens of a path."""
        z = (np.log(values[path]) - path[1]) / path[2]
        return -0.5 * z * z - math.log(path[2] * math.sqrt(2.0 * math.pi))

    def log_ratio(self, way: Way, values: dict[PathOf, Floats], gain: Floats) -> Floats:
        """Ln of the density of a way of drawing over that of plain draws."""
        total = np.zeros(len(gain))
        for i, path in way:
            item, series = self.items[i], self.tests[i].series[path]
            whole = self.sum_of(i, values)
            at = values[path]
            slope = at / (1.0 + series * at) ** 2 if series > 1e3 else at
            lift = np.exp(gain * item.gain) / whole
            z = (lift - item.value) / item.noise
            density = -0.5 * np.minimum(z * z, 1400.0) + np.log(lift / item.noise / math.sqrt(2.0 * math.pi))
            total += density + np.log(slope / whole) - self.log_prior(path, values)
        return total

    def chance(self, values: dict[PathOf, Floats], gain: Floats) -> Floats:
        """Probability of all displays at each draw."""
        total = np.ones(len(gain))
        for test, item in zip(self.tests, self.items, strict=True):
            total = total * display_chance(item, test.siemens(values), gain)
        return total

    def estimate(self, count: int) -> tuple[float, float]:
        """Probability of all displays from so many draws, and its standard error."""
        if not any(test.series for test in self.tests):
            values, gain, _ = self.draw((), 64)
            return float(self.chance(values, gain).mean()), 0.0
        ways = ways_of(self.tests, self.items)
        if len(ways) > WAYS + 1:
            worth = []
            for way in ways:
                values, gain, good = self.draw(way, PILOT)
                weight = (
                    self.chance(values, gain) * np.exp(np.minimum(-self.log_ratio(way, values, gain), 600.0)) * good
                )
                # The mean of the square root counts on a way that is good now and then, not once.
                worth.append(float(np.sqrt(weight).mean()))
            order = sorted(range(1, len(ways)), key=lambda k: -worth[k])[:WAYS]
            ways = [(), *(ways[k] for k in order)]
        each = max(count // len(ways), 1)
        found: list[Floats] = []
        for way in ways:
            values, gain, good = self.draw(way, each)
            together = np.logaddexp.reduce([self.log_ratio(w, values, gain) for w in ways], axis=0)
            found.append(self.chance(values, gain) * np.exp(-together) * good)
        means = [float(weights.sum() / each) for weights in found]
        errors = [float(weights.var() / each) for weights in found]
        return math.fsum(means), math.sqrt(math.fsum(errors))


# ---------------------------------------------------------------- posteriors


@dataclass(frozen=True)
class Reference:
    """Probabilities of the hypotheses, and the standard error of each."""

    probabilities: dict[frozenset[str], float]
    errors: dict[frozenset[str], float]


def reference(
    appliance: Appliance, evidence: Sequence[Measured], meters: Sequence[Meter], draws: int, seed: int
) -> Reference:
    """The posterior by importance draws."""
    items = [shown(o, meters) for o in evidence]
    tests = [i for i in items if i.trial.function is Function.INSULATION]
    plain = [i for i in items if i.trial.function is not Function.INSULATION]
    prior = listed(appliance)
    score = {h: math.log(p) for h, p in prior.items()}
    if plain:
        rough = {h: s + log_likelihood(appliance, plain, h, rough=True) for h, s in score.items()}
        best = max(rough.values())
        score = {
            h: s + log_likelihood(appliance, plain, h, rough=False) if rough[h] > best - HOPELESS else rough[h]
            for h, s in score.items()
        }
    top = max(score.values())
    known: dict[object, tuple[float, float]] = {}
    weights, errors = {}, {}
    for h, s in score.items():
        if s < top - HOPELESS:
            weights[h], errors[h] = 0.0, 0.0
            continue
        under = [Test.of(appliance, item.trial, h) for item in tests]
        key = tuple(_alike(test) for test in under)
        if key not in known:
            # The same draws for the same circuit in every run.
            known[key] = Drawing(under, tests, seed ^ zlib.crc32(repr(key).encode())).estimate(draws)
        mean, error = known[key]
        weights[h], errors[h] = mean * math.exp(s - top), error * math.exp(s - top)
    whole = math.fsum(weights.values())
    shares = {h: w / whole for h, w in weights.items()}
    # Hypotheses drawn for together move together; this counts each for itself, which is near enough for a check.
    return Reference(shares, {h: errors[h] / whole * (1.0 - shares[h]) for h in shares})


def _alike(test: Test) -> object:
    """Equal for tests that find the same in the same paths: what is plain counts where the paths see it."""
    series = tuple(sorted((path, round(ohms, 0)) for path, ohms in test.series.items()))
    return series, round(float(siemens_between(test.plain, *test.probes)), 15)


_WEIGHED: dict[object, float] = {}


def weighed(appliance: Appliance, tests: Sequence[Shown], faults: frozenset[str], draws: int = 4000) -> float:
    """Ln of the probability of insulation readings under a hypothesis, drawn for once for all that see the same."""
    under = [Test.of(appliance, item.trial, faults) for item in tests]
    alike = tuple(_alike(test) for test in under)
    key = (alike, tuple(tests))
    if key not in _WEIGHED:
        mean, _ = Drawing(under, tests, zlib.crc32(repr(alike).encode())).estimate(draws)
        _WEIGHED[key] = math.log(max(mean, 1e-300))
    return _WEIGHED[key]


def random_evidence(
    appliance: Appliance, meters: Sequence[Meter], rng: random.Random, insulation: int
) -> list[Measured]:
    """Readings of an appliance of which a hypothesis is true, one in three of insulation; parts drawn at random."""
    prior = listed(appliance)
    faults = rng.choices(list(prior), weights=[p if len(h) < 2 else p * 5.0 for h, p in prior.items()])[0]
    if rng.random() < 0.5:
        faults = frozenset([rng.choice([f.id for f in appliance.faults if f.kind in (FaultKind.LEAK, FaultKind.DAMP)])])
    every = [t for t in trials(appliance) if t.kind is TrialKind.METER]
    of_insulation = [t for t in every if t.function is Function.INSULATION]
    others = [t for t in every if t.function is not Function.INSULATION]
    chosen = [*rng.sample(of_insulation, insulation), *rng.sample(others, 2 * insulation)]
    theta = {name: rng.gauss(0.0, 1.0) for name in unknowns(appliance, faults)}
    gain = max(-1.0, min(1.0, rng.gauss(0.0, 1.0 / math.sqrt(3.0))))
    found = []
    for trial in chosen:
        meter = next(m for m in meters if trial.function in m.functions)
        ohms = ohms_of(appliance, trial, faults, theta)
        found.append(measured(trial, read(meter, trial.function, ohms, gain=gain, wobble=rng.uniform(-1.0, 1.0))))
    return found


def sample(trade: Library, count: int, seed: str = "insulation") -> list[tuple[Appliance, list[Measured], list[Meter]]]:
    """So many random evidence sets, over all appliances with metalwork, two or three readings of insulation in each."""
    meters = [trade.meter_for(role) for role in ("bench", "insulation")]
    found = []
    for n in range(count):
        rng = random.Random(f"{seed} {n}")
        appliance = trade.appliance(trade.appliance_ids[n % len(trade.appliance_ids)])
        found.append((appliance, random_evidence(appliance, meters, rng, 1 + n % 3), meters))
    return found


def compare(
    appliance: Appliance, evidence: list[Measured], meters: list[Meter], draws: int, seed: int = 1
) -> tuple[float, float, float]:
    """The largest difference in probability, the largest standard error of the reference, and its likeliest."""
    found = posterior(appliance, evidence, meters)
    wanted = reference(appliance, evidence, meters, draws, seed)
    apart = {h: abs(found.probability_of(h) - p) for h, p in wanted.probabilities.items()}
    return max(apart.values()), max(wanted.errors.values()), max(wanted.probabilities.values())


def main() -> int:
    """Compare many sets and print the differences; 1 when one is more than 0.01 where the draws repeat."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--sets", type=int, default=60)
    parser.add_argument("--draws", type=int, default=200_000)
    parser.add_argument("--seed", default="insulation")
    given = parser.parse_args()
    missed = steady = 0
    worst = 0.0
    for n, (appliance, evidence, meters) in enumerate(sample(library(), given.sets, given.seed)):
        began = time.process_time()
        apart, error, best = compare(appliance, evidence, meters, given.draws)
        repeats = error < 0.003
        steady += repeats
        missed += repeats and apart > 0.01
        worst = max(worst, apart if repeats else 0.0)
        tests = [o.display for o in evidence if o.trial.function is Function.INSULATION]
        word = "noisy" if not repeats else "MISSED" if apart > 0.01 else ""
        took = time.process_time() - began
        print(
            f"{n:3d} {appliance.id:20s} apart {apart:.4f} error {error:.4f} best {best:.3f} {word:6s} {took:5.1f} s"
            f"  {', '.join(tests)}",
            flush=True,
        )
    print(f"{steady} of {given.sets} repeat within 0.003; the worst of these is {worst:.4f} apart, {missed} above 0.01")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
