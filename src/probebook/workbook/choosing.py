"""What to practise next: the outcome, and the asks to follow for it.

Templates are the asks of all plans whose marking sheets are at hand: the sheets say which outcome each served and how
hard it was.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.errors import UsageError
from probebook.questions.course import Course
from probebook.questions.mastery import Ability, Known, expected_success, nearest
from probebook.questions.model import Kind

if TYPE_CHECKING:
    from probebook.questions.codec import Sheet
    from probebook.workbook.plan import Plan

__all__ = ["Choice", "Options", "Template", "choose", "choose_outcome", "templates_of"]

#: Templates whose expected success is this little farther from the one aimed at are as good; one of them is drawn.
AS_GOOD = 0.05

Options = Mapping[str, "str | float | bool | Sequence[str]"]


@dataclass(frozen=True, slots=True)
class Template:
    """An ask of a plan, as something to be asked again.

    ``workbook`` and ``question`` name where it was asked first; ``case`` tells that it is asked about a case.
    """

    workbook: str
    question: str
    kind: Kind
    outcome: str
    level: int
    appliance: str
    difficulty: float
    case: bool = False
    options: Options | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen: the templates to try in turn, and why, as a sentence."""

    outcome: str
    templates: tuple[Template, ...]
    why: str


# ---------------------------------------------------------------- templates


def templates_of(plans: Iterable[Plan], sheets: Mapping[str, Sheet]) -> tuple[Template, ...]:
    """Every question that the sheets hold, as a template; plans and sheets that do not belong together are left out."""
    found: list[Template] = []
    for plan in plans:
        sheet = sheets.get(plan.stem)
        asks = list(_asks(plan))
        if sheet is None or [kind for kind, *_ in asks] != [question.kind for question in sheet.questions]:
            continue
        for (kind, level, appliance, is_case, options), question in zip(asks, sheet.questions, strict=True):
            found.append(
                Template(
                    workbook=plan.stem,
                    question=question.id,
                    kind=kind,
                    outcome=question.outcome,
                    level=level,
                    appliance=appliance,
                    difficulty=question.difficulty,
                    case=is_case,
                    options=options,
                )
            )
    return tuple(found)


def _asks(plan: Plan) -> Iterator[tuple[Kind, int, str, bool, Options]]:
    for block in plan.blocks:
        kinds = [block.ask] * block.times if block.ask else list(block.asks)
        for kind in kinds:
            if kind is not None:
                yield kind, block.level, block.appliance, bool(block.case), block.options or {}


# ---------------------------------------------------------------- choosing


def choose_outcome(
    known: Mapping[str, Known], course: Course, available: Iterable[str], rng: random.Random
) -> tuple[str, str]:
    """The outcome to practise, and what speaks for it: ``danger``, ``weak`` or ``fresh``.

    An outcome that was endangered comes first. Otherwise one is drawn of those below mastery whose own prerequisites
    are ready (a prerequisite that nothing is at hand for counts as ready), by weights that go with the square of what
    is missing. When all are mastered one is drawn by what is least sure.
    """
    order = {outcome: place for place, outcome in enumerate(course.outcomes)}
    names = sorted(set(available), key=lambda name: (order.get(name, len(order)), name))
    belief = {name: known.get(name) or Known(course.rules(name).tracing.prior) for name in names}
    for name in names:
        if belief[name].owed:
            return name, "danger"
    unmastered = [name for name in names if not belief[name].mastered(course.goal)]
    ready = [
        name
        for name in unmastered
        if all(belief[earlier].probability >= course.ready for earlier in course.rules(name).after if earlier in belief)
    ]
    pool, why = (ready or unmastered, "weak") if unmastered else (names, "fresh")
    top = course.goal if unmastered else 1.0
    weights = [max(top - belief[name].probability, 0.01) ** 2 for name in pool]
    return rng.choices(pool, weights)[0], why


def choose(
    templates: Sequence[Template],
    known: Mapping[str, Known],
    ability: Ability,
    course: Course,
    titles: Mapping[str, str],
    rng: random.Random,
) -> Choice:
    """Choose what suits the learner next: the outcome, then the templates whose expected success is nearest the aim.

    Raises
    ------
    UsageError
        There is nothing to choose from.
    """
    if not templates:
        raise UsageError("there is nothing to practise here", remedy="build the workbooks and their answer keys")
    outcome, reason = choose_outcome(known, course, (item.outcome for item in templates), rng)
    own = [item for item in templates if item.outcome == outcome]
    theta = ability.of(outcome)
    best = nearest([(item.difficulty, item) for item in own], theta, course.success, within=AS_GOOD)
    rng.shuffle(best)
    rest = [item for item in own if item not in best]
    rest.sort(key=lambda item: abs(expected_success(theta, item.difficulty) - course.success))
    found = known.get(outcome) or Known(course.rules(outcome).tracing.prior)
    return Choice(outcome, (*best, *rest), _why(titles.get(outcome, outcome), found, course, reason))


def _why(title: str, known: Known, course: Course, reason: str) -> str:
    if reason == "danger":
        times = "one faultless question" if known.owed == 1 else f"{known.owed} faultless questions in a row"
        return f"An answer about ‘{title}’ would have been dangerous. {times[:1].upper()}{times[1:]} make that good."
    if reason == "fresh":
        return f"Everything here is at {course.goal:g} or above. This one keeps ‘{title}’ fresh."
    said = f"You have ‘{title}’ at {known.probability:.2f}" if known.answers else f"‘{title}’ is not practised yet"
    return f"{said}; {course.goal:g} counts as mastered."
