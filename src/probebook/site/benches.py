"""The benches of a static folder: cases whose job can be done faultlessly on a table, drawn from a seed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question

__all__ = ["APPLIANCES", "PracticeBench", "practice_benches"]

#: What stands on the benches, in turn. Left out are ovens whose many wires make their table too slow to work out.
APPLIANCES = (
    "kettle",
    "conventional-oven",
    "immersion-heater",
    "solid-plate",
    "fan-oven",
    "eye-level-grill",
    "radiant-hob-zone",
    "storage-heater",
    "tumble-dryer",
    "washing-machine",
)
#: How hard the cases of a round through the appliances are.
LEVELS = (1, 2)
#: So many draws are made for one bench before the next appliance is taken.
DRAWS = 6


@dataclass(frozen=True, slots=True)
class PracticeBench:
    """A bench with its question: the instruments err alike in every reading, so that a table can hold them."""

    bench: Bench
    question: Question


def practice_benches(
    library: Library, seed: str, count: int, done: Callable[[str], object] | None = None
) -> Iterator[PracticeBench]:
    """So many benches, the same for the same seed.

    Raises
    ------
    ScenarioError
        A whole round through appliances and levels gave no bench.
    """
    made = turn = failed = 0
    while made < count:
        appliance, level = APPLIANCES[turn % len(APPLIANCES)], LEVELS[turn // len(APPLIANCES) % len(LEVELS)]
        found = _first(library, f"{seed}/{turn}", appliance, level)
        turn += 1
        if isinstance(found, PracticeBench):
            made, failed = made + 1, 0
            yield found
            if done is not None:
                done(found.bench.appliance.id)
            continue
        failed += 1
        if failed == len(APPLIANCES) * len(LEVELS):
            raise ScenarioError(
                f"no bench could be made in a whole round of {failed} tries; the last: {found.message}",
                where=found.where,
                remedy=found.remedy,
            ) from found


def _first(library: Library, seed: str, appliance: str, level: int) -> PracticeBench | ScenarioError:
    """The first draw on which a bench can be made, or why the last could not."""
    last = ScenarioError("nothing was drawn")
    for draw in range(DRAWS):
        try:
            return _drawn(library, f"{seed}/{draw}", appliance, level)
        except ScenarioError as error:
            last = error
    return last


def _drawn(library: Library, seed: str, appliance: str, level: int) -> PracticeBench:
    """A bench with steady instruments, on which its model investigation earns all marks."""
    question = build_question(Ask("job", Kind.BENCH, seed, level, appliance, {"steady": True}), library)
    return PracticeBench(open_bench(BenchSpec.from_json(question.bench), library), question)
