"""Said probability against hit rate, for truths that no file lists.

One failure is drawn that the appliance's file does not list: by the weights and ranges that are stated for such, but
put into the circuit here, as branches, and read with an instance's own tolerances and the meter's own errors. What is
said is the probability of each way to fail, given that what is wrong is on no list; it should be right as often as it
says.

    python tests/independent/said_and_hit.py --truths 2000 --jobs 2
"""

from __future__ import annotations

import argparse
import math
import random
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from failed_circuits import draw_failure, failed

from probebook.appliances import Appliance
from probebook.cases.instance import Instance, draw_instance
from probebook.cases.library import Library, library
from probebook.diagnosis import Measured, Trial, TrialKind, posterior, trials
from probebook.diagnosis.open.ways import list_ways
from probebook.diagnosis.open.weighing import open_posterior
from probebook.meters import Function, Meter

#: The most that said probability and hit rate may differ in a bin.
BAR = 0.03
#: Readings that follow up what is thought after the first ones.
FOLLOWED = 3
#: And how many deviations of chance it may be off besides, so that a bin with few in it is judged too.
DEVIATIONS = 3.0
#: A truth of which less is said is printed: the likelihood, not chance, is then to be looked at.
HOPELESS = 1e-3


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of one way to fail, whether it was so, and of which truth it was said."""

    probability: float
    hit: bool
    about: str = ""


def draw_trials(which: Appliance, rng: random.Random) -> list[Trial]:
    """Some readings by ohmmeter and now and then a test of insulation."""
    listed = meter_trials(which)
    ohms = [t for t in listed if t.function is Function.OHMS]
    tests = [t for t in listed if t.function is Function.INSULATION]
    return rng.sample(ohms, min(len(ohms), rng.randint(3, 6))) + rng.sample(tests, min(len(tests), rng.randint(0, 2)))


def meter_trials(which: Appliance) -> list[Trial]:
    """All readings of an appliance that is not dried and has no cut-out warmed."""
    return [t for t in trials(which) if t.kind is TrialKind.METER and not t.dried and not t.opened]


def followed_up(which: Appliance, said: dict[object, float], rng: random.Random) -> Trial:
    """A reading at an end of something suspected: chosen by what is thought so far, never by what is so."""
    ways = list_ways(which)
    way = rng.choices(ways, [said[w.what] + 1e-12 for w in ways])[0]
    ends = {which.terminals[t] for t in which.branches[which.branch(way.branch)].ends}
    near = [t for t in meter_trials(which) if ends & set(t.probes)]
    return rng.choice(near or meter_trials(which))


def judge(trade: Library, number: int) -> list[Said]:
    """Draw one truth, read it, and see what is said of every way to fail."""
    rng = random.Random(f"said and hit/{number}")
    names = trade.appliance_ids
    which = trade.appliance(names[number % len(names)])
    meters: tuple[Meter, ...] = (trade.meter_for("insulation"), trade.meter("bench-multimeter"))
    way, value = draw_failure(which, rng)
    made = failed(which, way, value, draw_instance(which, (), meters, f"said/{number}", rng))
    taken = draw_trials(which, rng)
    said = said_of(which, made, taken)
    for _ in range(FOLLOWED):
        taken.append(followed_up(which, said, rng))
        said = said_of(which, made, list(dict.fromkeys(taken)))
    whole = math.fsum(said.values())
    truth = f"{number} {which.id}: {way.sort} {way.branch} of {value:.4g} ohms"
    return [Said(p / whole, what == way.what, f"{truth}, said {_named(what)}") for what, p in said.items()]


def _named(what: object) -> str:
    assert isinstance(what, tuple)
    return " ".join(str(part) for part in what if part)


def said_of(which: Appliance, made: Instance, taken: Sequence[Trial]) -> dict[object, float]:
    """The probability said of each way to fail after some readings, whatever its value."""
    evidence: tuple[Measured, ...] = tuple(made.shown(t, r) for t, r in zip(taken, made.ohms(taken), strict=True))
    op = open_posterior(posterior(which, evidence, made.meters))
    found: dict[object, float] = {}
    for each, probability in zip(op.world.ways, op.unlisted.tolist(), strict=True):
        found[each.what] = found.get(each.what, 0.0) + probability
    return found


def _job(number: int) -> list[Said]:
    return judge(library(), number)


def bin_of(said: Said) -> int:
    """In which tenth it was said, to a thousandth; certainty is in the last.

    Twins that nothing tells apart have a half each but for the last digit, which is to put neither in a bin of its own.
    """
    return min(9, round(said.probability * 1000) // 100)


def bins(said: Sequence[Said]) -> list[tuple[int, float, float]]:
    """How many were said in each tenth, how probable on average, and how often it was so."""
    found = []
    for k in range(10):
        here = [s for s in said if bin_of(s) == k]
        count = max(1, len(here))
        found.append((len(here), math.fsum(s.probability for s in here) / count, sum(s.hit for s in here) / count))
    return found


def main() -> int:
    """Print the bins and return 1 where one is off by more than the bar and by more than chance."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--truths", type=int, default=2000)
    parser.add_argument("--jobs", type=int, default=1)
    given = parser.parse_args()
    if given.jobs > 1:
        with ProcessPoolExecutor(given.jobs) as pool:
            lists = list(pool.map(_job, range(given.truths), chunksize=20))
    else:
        lists = [_job(n) for n in range(given.truths)]
    off = 0
    said_of_all = [s for each in lists for s in each]
    for k, (count, said, hit) in enumerate(bins(said_of_all)):
        deviation = math.sqrt(max(said * (1 - said), 1e-9) / max(1, count))
        print(f"said {said:.3f}  hit {hit:.3f}  {count:6d} times, of which chance alone makes ±{deviation:.3f}")
        if abs(said - hit) > max(BAR, DEVIATIONS * deviation):
            off += 1
            for each in (s for s in said_of_all if bin_of(s) == k):
                print(f"  {each.probability:.3f} {'hit ' if each.hit else 'miss'} {each.about}")
    hopeless = [s for s in said_of_all if s.hit and s.probability < HOPELESS]
    print(f"truths said to have less than {HOPELESS}: {len(hopeless)}")
    for each in hopeless:
        print(f"  {each.probability:.1e} {each.about}")
    print(f"bins that are off by more than {BAR} and by more than chance: {off}")
    return int(off > 0)


if __name__ == "__main__":
    sys.exit(main())
