"""Look for single failures, listed or not, that fit all readings and runs of a case: by brute force, circuit in hand.

Written without the diagnosis floor and without the floor of physical failures that stands as a gate in the making of
cases. The appliance's branches are taken over as data, and what was read and seen. Each wire, contact, plug pin, fuse,
thermostat, cut-out, heater, lamp and motor is opened, given any other ohms, welded, or made to leak at either end, one
at a time, and each reading is solved again for it: nodes and conductances, at the least and at the most that sound
parts can have. Values are gone through in cells so narrow that a reading which leaves none of a cell leaves it for good
(ohms between two points rise with those of every part).

Run it by itself over many cases, and over every case and every bench question of the book::

    python tests/independent/open_world.py --cases 2000 --jobs 2
    python tests/independent/open_world.py --book --jobs 2
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from brute_force import sample
from numpy.typing import NDArray

from probebook.appliances import Appliance, Branch, BranchKind, Fault, FaultKind, PartKind
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library, library
from probebook.diagnosis import Complaint, Measured, Observation, Ran
from probebook.meters import Function, Meter, limits

Floats = NDArray[np.float64]

#: How far in ln a sound part may lie from its file.
WITHIN = {
    BranchKind.WIRE: 0.3,
    BranchKind.CONTACT: 1.0,
    BranchKind.FUSE: 1.0,
    BranchKind.LAMP: 0.35,
    BranchKind.MOTOR: 0.2,
    BranchKind.COIL: 0.2,
    BranchKind.NEON: 0.2,
    BranchKind.INSULATION: 2.5,
}
#: A joint of less, a load less far off, and insulation of more than this are no failures.
JOINT, OFF, LEAK = 0.3, 0.1, 5e6
#: Ohms from which an ohmmeter reads nothing; and what stands for open.
NOTHING, OPEN = 1e6, 1e12
#: How bad a fault that is given may be, in ln, either way.
SEVERITY = 1.2
CELLS = np.geomspace(1e-2, OPEN, 113)
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)
TURNED = (PartKind.SELECTOR, PartKind.SWITCH, PartKind.REGULATOR)


@dataclass(frozen=True, slots=True)
class Failing:
    """A branch of other ohms, a contact welded, or a path to metalwork: from where to where, from what to what."""

    what: str
    branch: str
    ends: tuple[int, int]
    least: float
    most: float
    besides: tuple[float, float] = (math.inf, -math.inf)  # values between these are sound


def failures(appliance: Appliance) -> Iterator[Failing]:
    """Every single way to fail."""
    by_name = {b.name: b for b in appliance.branches}
    for b in appliance.branches:
        if b.kind is BranchKind.INSULATION:
            section = by_name.get(b.name.split("~")[0])
            for end in section.ends if section else ():
                yield Failing("leak", b.name.split("~")[0], (end, b.ends[1]), 0.0, LEAK)
            continue
        if math.isfinite(b.cold_ohms):
            half = math.exp(_half(b)) * (1.0 + OFF)
            if b.kind in LOADS:
                yield Failing("ohms", b.name, b.ends, 0.0, OPEN, (b.cold_ohms / half, b.cold_ohms * half))
            else:
                yield Failing("ohms", b.name, b.ends, b.cold_ohms + JOINT, OPEN)
        if b.kind is BranchKind.CONTACT:
            yield Failing("weld", b.name, b.ends, b.hot_ohms / 3.0, b.hot_ohms * 3.0)


def _half(branch: Branch) -> float:
    return math.log1p(branch.tolerance + 0.02) if branch.kind is BranchKind.ELEMENT else WITHIN[branch.kind]


def ohms_in(appliance: Appliance, item: Measured, given: Sequence[Fault], side: int) -> list[float]:
    """Ohms of each branch as the reading finds them, at the least (-1) or most (1) that sound parts may have."""
    trial = item.trial
    volts = 500.0 if trial.function is Function.INSULATION else 1.0
    closes = appliance.position(trial.position).closes
    found: list[float] = []
    for b in appliance.branches:
        r = b.cold_ohms * math.exp(side * _half(b))
        turned = b.kind is BranchKind.CONTACT and appliance.part(b.part).kind in TURNED
        if (turned and b.name not in closes) or (b.cycles and not trial.calling) or b.strikes_at > volts:
            r = math.inf
        if b.kind is BranchKind.CONTACT and b.part in trial.opened:
            r = b.hot_ohms if math.isinf(b.cold_ohms) else math.inf
        for fault in given:
            for change in () if trial.dried and fault.recovers else fault.changes:
                if change.branch == b.name:
                    r = r if change.force is None else change.force * math.exp(side * SEVERITY)
                    r = r * change.factor + change.series * math.exp(side * SEVERITY)
        if b.kind is BranchKind.INSULATION and volts < 2.0 and r > NOTHING:
            r = math.inf
        found.append(math.inf if b.part in trial.lifted else r)
    return found


def solved(n: int, ends: Sequence[tuple[int, int]], ohms: Floats, a: int, b: int) -> Floats:
    """Ohms between two nodes in each of ``k`` circuits ``(k, m)``: a held at nought, one ampere into the other."""
    near: dict[int, set[int]] = {}
    for (one, other), r in zip(ends, ohms.T, strict=True):
        if np.isfinite(r).any():
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
    reached, ahead = {a}, [a]
    while ahead:
        fresh = near.get(ahead.pop(), set()) - reached
        reached |= fresh
        ahead += sorted(fresh)
    if b not in reached:
        return np.full(len(ohms), math.inf)
    place = {node: i for i, node in enumerate(sorted(reached - {a}))}
    matrix = np.zeros((len(ohms), len(place), len(place)))
    for (one, other), r in zip(ends, ohms.T, strict=True):
        g = np.where(np.isfinite(r), 1.0 / np.maximum(r, 1e-6), 0.0)
        for node in (one, other):
            if node in place:
                matrix[:, place[node], place[node]] += g
        if one in place and other in place:
            matrix[:, place[one], place[other]] -= g
            matrix[:, place[other], place[one]] -= g
    into = np.zeros((len(ohms), len(place), 1))
    into[:, place[b]] = 1.0
    return np.asarray(np.linalg.solve(matrix, into)[:, place[b], 0])


def _cells(failing: Failing) -> tuple[Floats, Floats]:
    """Lower and upper ends of the cells of values in which it is a failure."""
    if failing.what == "weld":
        return np.array([failing.least]), np.array([failing.most])
    low, high = np.maximum(CELLS[:-1], failing.least), np.minimum(CELLS[1:], failing.most)
    least, most = failing.besides
    below, above = low < least, high > most if math.isfinite(most) else high > 0
    first = (low, np.where(below, np.minimum(high, least), -1.0))
    second = (np.maximum(low, most) if math.isfinite(most) else low, np.where(above, high, -1.0))
    lows, highs = (np.concatenate([x, y]) for x, y in zip(first, second, strict=True))
    kept = lows < highs
    return lows[kept], highs[kept]


def left_by_reading(
    appliance: Appliance, item: Measured, meter: Meter, failing: Failing, low: Floats, high: Floats, given: list[Fault]
) -> NDArray[np.bool_]:
    """Whether a reading leaves anything of each cell of values."""
    insulation = item.trial.function is Function.INSULATION
    least, most = limits(meter, item.trial.function, item.value, nulled=item.nulled)
    if not insulation and least >= NOTHING:
        least, most = NOTHING, math.inf
    if insulation and failing.what == "leak" and item.trial.dried:
        return np.ones(len(low), dtype=np.bool_)  # damp may have gone
    if insulation and failing.what == "ohms":  # a break only takes leaks away: it explains no low reading
        return np.full(len(low), _bounds(appliance, item, given)[0] <= most)
    bounds = []
    for side, values in ((-1, low), (1, high)):
        base = ohms_in(appliance, item, given, side)
        ends = [b.ends for b in appliance.branches]
        rows = np.tile(base, (len(values), 1))
        if failing.what == "ohms":
            i = appliance.branch(failing.branch)
            if math.isfinite(base[i]):
                rows[:, i] = np.where(values >= OPEN * 0.99, math.inf, values)
        else:
            ends, rows = [*ends, failing.ends], np.hstack([rows, values[:, None]])
        a, b = (appliance.terminal(t) for t in item.trial.probes)
        closed = np.isfinite(rows).all(axis=0) | ~np.isfinite(rows).any(axis=0)
        if closed.all():
            bounds.append(solved(len(appliance.terminals), ends, rows, a, b))
        else:
            some = np.isfinite(rows[:, ~closed]).all(axis=1)
            found = np.full(len(values), math.inf)
            for part in (some, ~some):
                if part.any():
                    found[part] = solved(len(appliance.terminals), ends, rows[part], a, b)
            bounds.append(found)
    return np.asarray((bounds[0] <= most) & (bounds[1] >= least))


# ---------------------------------------------------------------- in use


def watts(appliance: Appliance, position: str, failing: Failing | None, value: float, given: Sequence[Fault]) -> Floats:
    """Watts of each branch, switched on and hot, sound insulation left out."""
    low = [f.volts for f in given if f.volts]
    supply = min(low) if low else appliance.supply.volts
    closes = appliance.position(position).closes
    rows: list[tuple[int, int, float]] = []
    for b in appliance.branches:
        turned = b.kind is BranchKind.CONTACT and appliance.part(b.part).kind in TURNED
        r = math.inf if (turned and b.name not in closes) or b.kind is BranchKind.INSULATION else b.hot_ohms
        for fault in given:
            for change in fault.changes:
                if change.branch == b.name and b.kind is not BranchKind.INSULATION:
                    r = (r if change.force is None else change.force) * change.factor + change.series
        if failing and failing.what == "ohms" and failing.branch == b.name and math.isfinite(r):
            r = value if b.kind not in LOADS else r * value / b.cold_ohms
        if failing and failing.what == "weld" and failing.branch == b.name:
            r = b.hot_ohms
        rows.append((*b.ends, r if r < 1e9 else math.inf))
    held = {appliance.terminal(appliance.line): supply, appliance.terminal(appliance.neutral): 0.0}
    if appliance.earth:
        held[appliance.terminal(appliance.earth)] = 0.0
    n = len(appliance.terminals)
    matrix, right = np.eye(n) * 1e-12, np.zeros(n)
    for one, other, r in rows:
        if math.isfinite(r):
            for p, q in ((one, other), (other, one)):
                matrix[p, p] += 1.0 / r
                matrix[p, q] -= 1.0 / r
    for node, volts in held.items():
        matrix[node], matrix[node, node], right[node] = 0.0, 1.0, volts
    volts_at = np.linalg.solve(matrix, right)
    return np.array([(volts_at[p] - volts_at[q]) ** 2 / r if math.isfinite(r) else 0.0 for p, q, r in rows])


def does(how: str, usual: float, power: float, glows: bool) -> bool:
    """Whether a subject with these watts may be said to do so, with some grace."""
    trickle = 0.01 if glows else 5.0
    if usual < trickle / 2:
        return power >= trickle / 2 if how == "on when it should be off" else power <= 2 * trickle
    share = power / usual
    if how == "normal":
        return share >= 0.025 if glows else 0.78 <= share <= 1.25
    return {"off": share <= 0.1, "weak": 0.025 <= share <= 0.92, "too strong": share >= 1.08}.get(how, False)


def may_be_seen(
    appliance: Appliance, seen: Ran, failing: Failing | None, value: float, given: Sequence[Fault]
) -> tuple[bool, bool]:
    """Whether a failure may show what was seen in a position; and whether any of it that is not as usual."""
    usual, here = (watts(appliance, seen.position, f, value, g) for f, g in ((None, ()), (failing, given)))
    shown = {s.subject: s.how for s in seen.symptoms}
    subjects: dict[str, list[int]] = {}
    for i, b in enumerate(appliance.branches):
        if b.place or b.kind in (BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON):
            subjects.setdefault(b.place or b.name, []).append(i)
    stopped = {f.stops for f in given if f.stops}
    whole = any(s.subject not in ("temperature", "protection") for s in seen.symptoms)
    fits, tells = True, False
    for name, rows in subjects.items():
        if name in stopped or (name not in shown and not whole):
            continue
        glows = appliance.branches[rows[0]].kind is BranchKind.NEON
        so = does(shown.get(name, ""), float(usual[rows].sum()), float(here[rows].sum()), glows)
        fits, tells = fits and so, tells or (so and shown.get(name, "normal") != "normal")
    if "temperature" in shown and not any(f.offset for f in given):
        so = _warm(appliance, seen.position, shown["temperature"], usual, here, failing)
        fits, tells = fits and so, tells or (so and shown["temperature"] != "right")
    leaks = any(c.branch.count("~") for f in given for c in f.changes) or (failing and failing.what == "leak")
    if "protection" in shown and not leaks:
        fits = fits and (float(here.sum()) > 1.5 * appliance.supply.breaker_amps * appliance.supply.volts) is (
            shown["protection"] != "holds"
        )
    if shown.get("protection", "holds") != "holds":
        tells = tells or bool(leaks)
    return fits, tells


def _warm(appliance: Appliance, position: str, how: str, usual: Floats, here: Floats, failing: Failing | None) -> bool:
    """Whether it may get so warm: a thermostat holds what is set, unless much is missing or something does not rest."""
    heating = [i for i, b in enumerate(appliance.branches) if b.place or b.kind is BranchKind.MOTOR]
    total = max(float(usual[heating].sum()), 1e-9)
    share = float(here[heating].sum()) / total
    if how in ("right", "stays cold"):
        return (share > 0.05) is (how == "right")
    if how == "too hot":
        if failing and failing.what == "weld" and appliance.branches[appliance.branch(failing.branch)].cycles:
            opened = Failing("ohms", failing.branch, failing.ends, OPEN, OPEN)
            resting = watts(appliance, position, opened, OPEN, ())
            return float(resting[heating].sum()) < 0.98 * total
        return any(here[i] - usual[i] > 0.02 * total for i in heating)
    fans = [i for i in heating if appliance.branches[i].kind is BranchKind.MOTOR]
    slow = any(abs(here[i] - usual[i]) > 0.2 * usual[i] for i in fans)
    return share > 0.05 and (slow or share <= (0.98 if how == "never reaches it" else 0.8))


# ---------------------------------------------------------------- a case


def same(appliance: Appliance, fault: Fault) -> set[tuple[str, str]]:
    """What a fault of the file is, here; sections that meet at a tag leak alike."""
    found: set[tuple[str, str]] = set()
    if fault.kind is FaultKind.MISPLACED_WIRE:
        return found
    for change in fault.changes:
        if "~" not in change.branch:
            found.add(("weld" if fault.kind is FaultKind.STUCK_CLOSED else "ohms", change.branch))
            continue
        first = appliance.branches[appliance.branch(change.branch.split("~")[0])]
        own = [b for b in appliance.branches if b.part == first.part and b.kind is not BranchKind.INSULATION]
        met = {first.name}
        for _ in own:
            ends = {t for b in own if b.name in met for t in b.ends}
            met |= {b.name for b in own if ends & set(b.ends)}
        found |= {("leak", name) for name in met}
    return found


def fitting(
    appliance: Appliance, evidence: Sequence[Observation], meters: Sequence[Meter], given: list[Fault]
) -> list[tuple[str, str]]:
    """Every single failure that fits everything, and ``("nothing", "")`` where none is needed."""
    readings = [o for o in evidence if isinstance(o, Measured)][::-1]
    ran = [o for o in evidence if isinstance(o, Ran)]
    told = [s for o in evidence if isinstance(o, Complaint) for s in o.symptoms]
    complaints = [Ran(p, tuple(s for s in told if s.position == p)) for p in dict.fromkeys(s.position for s in told)]
    found: list[tuple[str, str]] = []
    nothing = all(_sound(appliance, o, meters, given) for o in readings) and all(
        may_be_seen(appliance, r, None, 0.0, given)[0] for r in ran
    )
    if nothing:
        found.append(("nothing", ""))
    for failing in failures(appliance):
        if (failing.what, failing.branch) in found:
            continue
        low, high = _cells(failing)
        for item in readings:
            meter = next(m for m in meters if item.trial.function in m.functions)
            kept = left_by_reading(appliance, item, meter, failing, low, high, given)
            low, high = low[kept], high[kept]
            if not len(low):
                break
        for value in np.unique(np.concatenate([low, high])).tolist():
            seen = [may_be_seen(appliance, r, failing, value, given)[0] for r in ran]
            if all(seen) and (
                not nothing or any(may_be_seen(appliance, c, failing, value, given)[1] for c in complaints)
            ):
                found.append((failing.what, failing.branch))
                break
    return found


def _sound(appliance: Appliance, item: Measured, meters: Sequence[Meter], given: Sequence[Fault]) -> bool:
    meter = next(m for m in meters if item.trial.function in m.functions)
    least, most = limits(meter, item.trial.function, item.value, nulled=item.nulled)
    if item.trial.function is not Function.INSULATION and least >= NOTHING:
        least, most = NOTHING, math.inf
    low, high = _bounds(appliance, item, given)
    return low <= most and high >= least


def _bounds(appliance: Appliance, item: Measured, given: Sequence[Fault]) -> tuple[float, float]:
    """Least and most ohms of a reading where nothing more has failed."""
    a, b = (appliance.terminal(t) for t in item.trial.probes)
    ends, n = [x.ends for x in appliance.branches], len(appliance.terminals)
    low, high = (solved(n, ends, np.array([ohms_in(appliance, item, given, side)]), a, b)[0] for side in (-1, 1))
    return float(low), float(high)


def besides_the_key(
    appliance: Appliance, truth: Iterable[str], evidence: Sequence[Observation], meters: Sequence[Meter]
) -> list[tuple[str, str]]:
    """Failures that fit and are not the key; with two faults also beside either of them."""
    faults = [appliance.fault(f) for f in truth]
    if len(faults) < 2:
        key = {what for f in faults for what in same(appliance, f)}
        plain = not any(f.kind is not FaultKind.USER_SETTING for f in faults)
        found = fitting(appliance, evidence, meters, [])
        return [f for f in found if f not in key and not (plain and f[0] == "nothing")]
    left = fitting(appliance, evidence, meters, [])
    for fault in faults:
        others = [f for f in faults if f is not fault]
        left += [f for f in fitting(appliance, evidence, meters, others) if f not in same(appliance, fault)]
    return left


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found of one case: what it is, and failures that fit beside its key."""

    name: str
    truth: tuple[str, ...]
    left: tuple[tuple[str, str], ...]


def looked_at(asked: tuple[str, str, int], trade: Library | None = None) -> Looked:
    """A generated case."""
    trade = trade or library()
    case = make_case(trade, *asked)
    appliance = trade.appliance(case.appliance)
    left = besides_the_key(appliance, case.truth, case.evidence, case_meters(case, trade))
    return Looked(case.id, case.truth, tuple(left))


def book_of(stem: str) -> list[Looked]:
    """Every case and every bench question of a workbook; its other questions are numbered and not built."""
    from probebook.bench.log import replay
    from probebook.bench.simulator import open_bench
    from probebook.bench.state import BenchSpec
    from probebook.questions.frame import Ask
    from probebook.questions.model import Kind
    from probebook.questions.registry import build_question
    from probebook.workbook.build.plan import load_plans

    trade = library()
    plan = next(p for p in load_plans(trade.folder, trade.words) if p.stem == stem)
    found: list[Looked] = []
    cases, number = 0, 0
    for block in plan.blocks_in(trade.region.id):
        case = None
        if block.case:
            cases += 1
            seed = f"{plan.id}/{plan.seed}/{block.case}"
            case = make_case(trade, block.appliance, seed, block.level, truth=block.truth)
            appliance = trade.appliance(case.appliance)
            left = besides_the_key(appliance, case.truth, case.evidence, case_meters(case, trade))
            found.append(Looked(f"{stem} case {cases}", case.truth, tuple(left)))
        for kind in block.asks if block.case else (block.ask,) * block.times if block.ask else ():
            number += 1
            if kind is not Kind.BENCH:
                continue
            about = case.appliance if case else block.appliance
            ask = Ask(f"q{number:02d}", kind, f"{plan.id}/{plan.seed}", block.level, about, block.options or {}, case)
            question = build_question(ask, trade)
            bench = open_bench(BenchSpec.from_json(question.bench), trade)
            evidence = replay(bench, question.fields[0].answer).state.evidence
            left = besides_the_key(bench.appliance, bench.spec.truth, evidence, bench.meters)
            found.append(Looked(f"{stem} {question.id} (bench)", tuple(bench.spec.truth), tuple(left)))
    return found


def main() -> int:
    """Look at many cases, or at the book, and print what fits beside a key; 1 when anything does."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--seed", default="open world")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--book", action="store_true", help="every case and bench key of the workbooks instead")
    given = parser.parse_args()
    trade, began = library(), time.perf_counter()
    with ProcessPoolExecutor(given.jobs) as pool:
        if given.book:
            from probebook.workbook.build.plan import load_plans

            stems = [p.stem for p in load_plans(trade.folder, trade.words)]
            lines = [x for part in pool.map(book_of, stems) for x in part]
        else:
            lines = list(pool.map(looked_at, sample(trade, given.cases, given.seed), chunksize=10))
    left = [x for x in lines if x.left]
    print(f"{len(lines)} looked at in {time.perf_counter() - began:.0f} s; beside {len(left)} keys something else fits")
    for x in left:
        print(f"  {x.name}: {' + '.join(x.truth) or 'nothing wrong'}: {', '.join(map(' '.join, x.left[:8]))}")
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
