"""What to practise next: the outcome, and the asks to follow for it."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from probebook.errors import UsageError
from probebook.learning.facts import Chosen, Endangered, InLearning
from probebook.learning.mastery import Ability, Known, expected_success, nearest
from probebook.learning.rules import Course
from probebook.numerics.rounding import rounded_number
from probebook.questions.model import Kind
from probebook.words import Noun, Phrase, Words

__all__ = ["Choice", "Options", "Template", "choose", "choose_outcome"]

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
    titles: Mapping[str, Noun],
    rng: random.Random,
    words: Words,
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
    best = nearest([(item.difficulty, item) for item in own], theta, course.success, within=course.as_good)
    rng.shuffle(best)
    rest = [item for item in own if item not in best]
    rest.sort(key=lambda item: rounded_number(abs(expected_success(theta, item.difficulty) - course.success)))
    found = known.get(outcome) or Known(course.rules(outcome).tracing.prior)
    title = titles.get(outcome) or words.noun(outcome)
    return Choice(outcome, (*best, *rest), _why(title, found, reason, words))


def _why(title: Noun, known: Known, reason: str, words: Words) -> Phrase:
    if reason == "danger":
        return words.say(Endangered(title, known.owed), "danger-one" if known.owed == 1 else "danger")
    if reason == "fresh":
        return words.say(Chosen(title), "fresh")
    if not known.lately:
        return words.say(Chosen(title), "new")
    missed, of = known.lately.count(False), len(known.lately)
    key = "none-missed" if not missed else "last-missed" if of == 1 else "all-missed" if missed == of else "missed"
    return words.say(InLearning(title, missed, of), key)
