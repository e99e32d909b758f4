"""How fast the posterior is, against a Bayesian-network library on the same case cut into classes.

Ten readings of the multifunction oven; every single fault, every pair that can be, and nothing wrong. The network of
pgmpy has the structure of the problem: what is wrong; the unknowns of making and severity that the readings share, each
cut into four classes (nodes and weights of Gauss and Hermite); ten displays, each cut into classes and depending on
what is wrong and on the unknowns that move it. The tables of probabilities are made beforehand, as is this project's
table of responses. Every case asks other readings, so what is timed is from these to the posterior: pgmpy makes the
network, checks it and infers; this project goes from displays to probabilities. The times of pgmpy's inference alone,
and of a network in which the readings are wrongly taken as independent, are printed beside it, so that nobody reads
more into the ratio than there is.

Four classes are far from enough for a meter of 0.5 % on parts of 5 %, and each class more multiplies the tables; what
is printed beside the times is how far each is from its own reference: pgmpy from plain summation over the same tables,
this project from itself with 4096 draws.

Run: ``python tests/benchmarks/posterior.py``
"""

from __future__ import annotations

import logging
import statistics
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np

from probebook.appliances import load_appliance
from probebook.diagnosis import (
    Response,
    TrialKind,
    observe,
    posterior,
    prove,
    reading,
    response,
    solve,
    specimen,
    symptoms,
    trials,
    values,
)
from probebook.meters import load_meter
from probebook.meters.likelihood import normal_cdf

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
TRUTH = "base-drift"
#: The ten readings: each element across its terminals, line to neutral in five positions, earth to metalwork.
ELEMENTS = (("E1.1", "E1.2"), ("E1.3", "E1.4"), ("E2.1", "E2.2"), ("E3.1", "E3.2"))
POSITIONS = ("lamp", "conventional", "fan-oven", "half-grill", "full-grill")
ROUNDS = 11
#: Classes of an unknown, and of a display; an unknown is a parent where a standard deviation moves ln R by this much.
LEVELS, CLASSES, MOVES = 4, 3, 0.015
#: Nodes and weights of the rule of Gauss and Hermite for a standard normal.
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(LEVELS)
WEIGHTS = WEIGHTS / WEIGHTS.sum()
#: ln of the ohms above which the multimeter shows OL, whatever they are.
OVER_RANGE = np.log(40e6)


def timed(action: Callable[[], object], times: int) -> float:
    """Median milliseconds of an action."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        taken.append((time.perf_counter() - start) * 1e3)
    return statistics.median(taken)


def in_turn(*actions: Callable[[], object]) -> list[float]:
    """Median milliseconds of each of some actions that take turns, so that whatever else runs slows them alike."""
    taken = [[timed(action, 1) for action in actions] for _ in range(ROUNDS)]
    return [statistics.median(column) for column in zip(*taken, strict=True)]


def main() -> None:
    """Print times, ratios and how far each is off."""
    warnings.simplefilter("ignore")
    logging.disable(logging.CRITICAL)
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    which = load_appliance(SCENARIOS / "appliances" / "multifunction-oven.toml")
    meters = [load_meter(SCENARIOS / "meters" / f"{m}.toml") for m in ("bench-multimeter", "insulation-tester")]
    every = [t for t in trials(which) if t.kind is TrialKind.METER]
    start = time.perf_counter()
    response(which, every)
    symptoms(which, ())
    table_ms = (time.perf_counter() - start) * 1e3
    ten = [*(reading("off", *ends) for ends in ELEMENTS), *(reading(p, which.line, which.neutral) for p in POSITIONS)]
    ten.append(reading("off", which.earth, "CH.1"))
    item = specimen(which, [TRUTH], seed=1)
    evidence = [observe(item, t, meters) for t in ten]

    prior = posterior(which, (), meters)
    weights = prior.probabilities
    known = response(which, ten)
    displays, unknowns = classes(known), known.unknowns
    row = prior.row([TRUTH])
    shown = {f"r{i}": int(t[row][(LEVELS // 2,) * len(parents)].argmax()) for i, (parents, t) in enumerate(displays)}

    def network() -> VariableElimination:
        made = DiscreteBayesianNetwork()
        made.add_node("wrong")
        made.add_cpds(TabularCPD("wrong", len(weights), weights[:, None]))
        for name in unknowns:
            made.add_node(name)
            made.add_cpds(TabularCPD(name, LEVELS, WEIGHTS[:, None]))
        for i, (parents, table) in enumerate(displays):
            names = ["wrong", *(unknowns[u] for u in parents)]
            made.add_edges_from((name, f"r{i}") for name in names)
            flat = table.reshape(-1, CLASSES).T
            made.add_cpds(TabularCPD(f"r{i}", CLASSES, flat, names, [len(weights)] + [LEVELS] * len(parents)))
        return VariableElimination(made)

    def star() -> VariableElimination:
        made = DiscreteBayesianNetwork([("wrong", f"r{i}") for i in range(len(ten))])
        made.add_cpds(TabularCPD("wrong", len(weights), weights[:, None]))
        for i, (parents, table) in enumerate(displays):
            alone = np.einsum("hjc,j->ch", table.reshape(len(weights), -1, CLASSES), weights_of(len(parents)).ravel())
            made.add_cpds(TabularCPD(f"r{i}", CLASSES, alone, ["wrong"], [len(weights)]))
        return VariableElimination(made)

    def infer(from_network: VariableElimination) -> np.ndarray:
        return np.asarray(from_network.query(["wrong"], evidence=shown, show_progress=False).values)

    ready, ready_star = network(), star()
    apart = float(np.abs(infer(ready) - by_sum(weights, displays, shown)).max())
    whole_ms, query_ms, star_ms, star_query_ms, ours_ms = in_turn(
        lambda: infer(network()),
        lambda: infer(ready),
        lambda: infer(star()),
        lambda: infer(ready_star),
        lambda: posterior(which, evidence, meters),
    )
    found = posterior(which, evidence, meters)
    drawn = float(np.abs(found.probabilities - posterior(which, evidence, meters, draws=4096).probabilities).max())
    solved = solve(item, meters)
    solve_ms = timed(lambda: solve(item, meters), 9)

    prove_ms, value_ms = timed(lambda: prove(found, [TRUTH]), 9), timed(lambda: values(prior), 15)

    ratio = whole_ms / ours_ms
    print(f"{which.title}: {len(weights)} hypotheses, {len(unknowns)} unknowns, {len(every)} readings in the table")
    print("posterior over all hypotheses from ten readings:")
    print(f"  pgmpy, network made and inferred           {whole_ms:9.1f} ms    (off by {apart:.0e})")
    print(f"    of which inference                       {query_ms:9.1f} ms    {query_ms / ours_ms:9.1f} ×")
    print(f"  pgmpy, readings taken as independent       {star_ms:9.1f} ms    {star_ms / ours_ms:9.1f} ×")
    print(f"    of which inference                       {star_query_ms:9.1f} ms    {star_query_ms / ours_ms:9.1f} ×")
    print(f"  this project                               {ours_ms:9.2f} ms    (off by {drawn:.0e})")
    print(f"  ratio                                      {ratio:9.1f} ×")
    print(f"table of responses and symptoms, once        {table_ms:9.1f} ms")
    print(f"value of every trial                         {value_ms:9.2f} ms")
    print(f"proof from ten readings                      {prove_ms:9.2f} ms")
    print(f"case solved by the policy, {solved.trials:2d} trials         {solve_ms:9.2f} ms")


def classes(known: Response) -> list[tuple[list[int], np.ndarray]]:
    """For each reading the unknowns that move it, and the probability of each class of display.

    The table has one axis for what is wrong, one of four classes for each of the unknowns, and one for the display,
    which is cut at even shares of what the hypotheses predict and has a deviation of 0.5 % of its own.
    """
    found = []
    for t in range(known.ln_ohms.shape[1]):
        shown = known.ln_ohms[:, t] < OVER_RANGE
        parents = [u for u in range(len(known.unknowns)) if np.abs(known.slope[shown, t, u]).max(initial=0) > MOVES]
        ln = np.clip(known.ln_ohms[:, t], -7, 25)
        cuts = np.quantile(ln, np.arange(1, CLASSES) / CLASSES) + 1e-3
        middle = ln.reshape(-1, *[1] * len(parents))
        for axis, u in enumerate(parents, start=1):
            shape = [1] * (len(parents) + 1)
            shape[axis] = LEVELS
            slope = known.slope[:, t, u].reshape(-1, *[1] * len(parents))
            middle = middle + slope * NODES.reshape(shape)
        below = normal_cdf((cuts - middle[..., None]) / 0.005)
        edge = np.zeros((*middle.shape, 1))
        table = np.diff(np.concatenate([edge, below, edge + 1], axis=-1), axis=-1)
        found.append((parents, 0.999 * table + 0.001 / CLASSES))
    return found


def weights_of(count: int) -> np.ndarray:
    """Joint weights of so many unknowns of four classes."""
    joint = np.ones(())
    for _ in range(count):
        joint = np.multiply.outer(joint, WEIGHTS)
    return joint


def by_sum(weights: np.ndarray, displays: list[tuple[list[int], np.ndarray]], shown: dict[str, int]) -> np.ndarray:
    """The posterior by one summation over all tables."""
    arguments: list[object] = [weights, [0]]
    for i, (parents, table) in enumerate(displays):
        arguments += [table[..., shown[f"r{i}"]], [0, *(u + 1 for u in parents)]]
    for u in sorted({u for parents, _ in displays for u in parents}):
        arguments += [WEIGHTS, [u + 1]]
    joint = np.einsum(*arguments, [0], optimize="greedy")
    return np.asarray(joint / joint.sum())


if __name__ == "__main__":
    main()
