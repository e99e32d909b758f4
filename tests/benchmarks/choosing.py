"""How many questions our choice of practice needs until simulated learners know everything, against other orders.

What is simulated: learners of knowledge tracing (``tests/learning/simulated_learners.py``), with four sets of figures:

- *as the course thinks*: the figures of ``scenarios/practice.toml``, by which our choice itself reckons;
- *a published example*: known before 0.3, learnt 0.5, guess 0.4, slip 0.1 for every outcome
  (github.com/junchenfeng/learning-scientist, assessment/bkt/preview.md), while the course reckons with its own;
- *all sorts*: for each learner and outcome figures drawn between none and the published caps on guess (0.3) and slip
  (0.1) (tongyuzhou.com/bkt-static), known before 0.05 to 0.5, learnt 0.05 to 0.4;
- *what builds on what*: as the course thinks, but an outcome is learnt at a fifth of its rate while something that it
  builds on is not known. The fifth is invented.

What it can say: whether the rule of choosing wastes questions on people who are as the model says. What it cannot:
whether people are. Nobody forgets here, nobody tires, every question of an outcome teaches alike, how hard it is plays
no part, and no answer is dangerous.

The same learners are given to every way, and differences to our choice are taken learner by learner. ``learnt``: until
everything is really known; ``believed``: until everything counts as mastered; ``false``: outcomes then not known.

Run: ``python tests/benchmarks/choosing.py [learners]``
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "learning"))

from simulated_learners import WAYS, Run, Simulated, interval, run  # noqa: E402

from probebook.learning.rules import Course, Tracing, load_course  # noqa: E402

LEARNERS = 200
EXAMPLE = Tracing(prior=0.3, learn=0.5, guess=0.4, slip=0.1)

#: The figures of an outcome in the eyes of the course, as they are for one learner.
Figures = Callable[[Tracing, random.Random], Tracing]


def as_thought(tracing: Tracing, rng: random.Random) -> Tracing:
    """What the course reckons with."""
    del rng
    return tracing


def example(tracing: Tracing, rng: random.Random) -> Tracing:
    """The published example."""
    del tracing, rng
    return EXAMPLE


def drawn(tracing: Tracing, rng: random.Random) -> Tracing:
    """Figures within the published caps."""
    del tracing
    return Tracing(rng.uniform(0.05, 0.5), rng.uniform(0.05, 0.4), rng.uniform(0.0, 0.3), rng.uniform(0.0, 0.1))


WORLDS: dict[str, tuple[Figures, float]] = {
    "as the course thinks": (as_thought, 1.0),
    "a published example": (example, 1.0),
    "all sorts": (drawn, 1.0),
    "what builds on what": (as_thought, 0.2),
}


def learner(number: int, world: str, course: Course) -> Simulated:
    """The learner of that number: the same for every way of choosing."""
    figures, held = WORLDS[world]
    rng = random.Random(f"{world}/{number}")
    tracing = {name: figures(course.rules(name).tracing, rng) for name in course.outcomes}
    return Simulated(tracing, {name: rules.after for name, rules in course.outcomes.items()}, held, rng)


def told(values: list[float]) -> str:
    """A mean and its interval."""
    mean, half = interval(values)
    return f"{mean:7.1f} ± {half:4.1f}"


def main() -> None:
    """Print, for each world and each way, the questions needed and the difference to our choice."""
    course = load_course(ROOT / "scenarios")
    learners = int(sys.argv[1]) if len(sys.argv) > 1 else LEARNERS
    print(f"{len(course.outcomes)} outcomes, {learners} learners, mean and 95 % confidence interval")
    for world in WORLDS:
        print(f"\n{world}")
        print(f"  {'':<30} {'learnt':>14} {'less ours':>16} {'believed':>15} {'less ours':>16} {'false':>14}")
        own: list[Run] = []
        for name, way in WAYS.items():
            runs = [
                run(learner(number, world, course), way, course, random.Random(f"{name}/{world}/{number}"))
                for number in range(learners)
            ]
            own = own or runs
            pairs = list(zip(runs, own, strict=True)) if runs is not own else []
            more = told([one.learnt - other.learnt for one, other in pairs]) if pairs else ""
            later = told([one.believed - other.believed for one, other in pairs]) if pairs else ""
            learnt, believed, false = (
                told([float(getattr(one, key)) for one in runs]) for key in ("learnt", "believed", "false")
            )
            print(f"  {name:<30} {learnt} {more:>16} {believed} {later:>16} {false}")


if __name__ == "__main__":
    main()
