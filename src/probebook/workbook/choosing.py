"""What to practise next, and a fresh question for it.

Templates are the asks of all plans whose marking sheets are at hand: the sheets say which outcome each served and how
hard it was. A fresh question is a template built with another seed; it passes the same gates as the first.
"""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.errors import ProbebookError, UsageError
from probebook.questions.frame import Ask
from probebook.questions.mastery import Ability, Course, Known, expected_success, nearest
from probebook.questions.model import Kind, Question

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.cases.model import Case
    from probebook.questions.codec import Sheet
    from probebook.workbook.plan import Plan

__all__ = [
    "Choice",
    "Fresh",
    "Order",
    "Template",
    "about",
    "choose",
    "choose_outcome",
    "fingerprint",
    "fresh_question",
    "is_unusual",
    "rebuilt",
    "templates_of",
]

#: Templates whose expected success is this little farther from the one aimed at are as good; one of them is drawn.
AS_GOOD = 0.05

#: Draws of a seed before another variation is tried.
DRAWS = 4

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
class Order:
    """What a fresh question is built from, and all it takes to build it again.

    ``case`` is the seed of its case, empty for a question that is about none.
    """

    id: str
    kind: Kind
    seed: str
    appliance: str
    level: int
    options: Options
    case: str = ""

    def to_record(self) -> dict[str, str]:
        """As a journal keeps it: text throughout."""
        return {
            "kind": str(self.kind),
            "seed": self.seed,
            "appliance": self.appliance,
            "level": str(self.level),
            "options": json.dumps(dict(self.options), sort_keys=True, ensure_ascii=False),
            "case": self.case,
        }

    @classmethod
    def from_record(cls, question_id: str, record: Mapping[str, object]) -> Order:
        """Read back what a journal kept; :class:`UsageError` when it is something else."""
        try:
            options = json.loads(str(record["options"]))
            order = cls(
                id=question_id,
                kind=Kind(str(record["kind"])),
                seed=str(record["seed"]),
                appliance=str(record["appliance"]),
                level=int(str(record["level"])),
                options=options,
                case=str(record["case"]),
            )
        except (KeyError, ValueError, RecursionError) as error:
            raise UsageError("the journal does not say how this question was made", where=question_id) from error
        if not isinstance(options, dict):
            raise UsageError("the journal does not say how this question was made", where=question_id)
        return order


@dataclass(frozen=True, slots=True)
class Fresh:
    """A fresh question with the case it is about, the template it follows, and what it was built from."""

    question: Question
    case: Case | None
    order: Order


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


# ---------------------------------------------------------------- building


def fresh_question(
    template: Template,
    library: Library,
    *,
    question_id: str,
    seed: str,
    appliances: Sequence[str] = (),
    taken: Iterable[str] = (),
    recent: Iterable[str] = (),
    unusual: bool | None = None,
) -> Fresh:
    """Build a fresh question after a template.

    Parameters
    ----------
    template, library
        What it is to be like, and the trade it draws on.
    question_id, seed
        Its id, and what its draws are named after.
    appliances
        Others it may be about; they are tried after the template's own.
    taken
        Fingerprints of questions that it must not repeat.
    recent
        What the last cases were about (see :func:`about`); another is taken where one is found.
    unusual
        Whether the cause in its case should be another than the complaint suggests first; None leaves it open. A case
        that is as wanted is taken where one is found.

    Raises
    ------
    UsageError
        No draw gave a fair question that is new.
    """
    seen, lately = set(taken), set(recent)
    fallback: Fresh | None = None
    for number, (appliance, options) in enumerate(_variations(template, library, appliances)):
        for draw in range(DRAWS):
            name = f"{seed}/{number}/{draw}"
            order = Order(
                question_id,
                template.kind,
                name,
                appliance,
                template.level,
                options,
                case=f"{name}/case" if template.case else "",
            )
            try:
                question, case = rebuilt(order, library)
            except ProbebookError:
                break  # no draw of this variation is fair
            if question.outcome != template.outcome or fingerprint(question, case) in seen:
                continue
            fresh = Fresh(question, case, order)
            if case is None or (about(case) not in lately and unusual in (None, is_unusual(case, library))):
                return fresh
            fallback = fallback or fresh
        if fallback is not None:
            return fallback
    raise UsageError("no fresh question of this sort was found", remedy="ask for whatever suits you next")


def rebuilt(order: Order, library: Library) -> tuple[Question, Case | None]:
    """The question of an order and its case: the same order gives the same question."""
    from probebook.questions.registry import build_question

    case = None
    if order.case:
        from probebook.cases.generate import make_case

        case = make_case(library, order.appliance, order.case, order.level)
    ask = Ask(order.id, order.kind, order.seed, order.level, order.appliance, order.options, case)
    return build_question(ask, library), case


def fingerprint(question: Question, case: Case | None = None) -> str:
    """Names what a learner is asked, whatever its id: the prompt, what is to be answered, the answers, the case."""
    told = [
        question.prompt,
        [[item.label, item.answer, sorted(option.text for option in item.options)] for item in question.fields],
        case.id if case else "",
    ]
    return hashlib.sha256(json.dumps(told, ensure_ascii=False).encode()).hexdigest()[:16]


def about(case: Case | None) -> str:
    """Names what is wrong in a case without saying it; empty for none."""
    if case is None:
        return ""
    return hashlib.sha256("/".join((case.appliance, *case.truth)).encode()).hexdigest()[:16]


def _variations(template: Template, library: Library, appliances: Sequence[str]) -> Iterator[tuple[str, Options]]:
    """The ask as it was; then without what names a thing of its appliance; then so on the other appliances."""
    options = template.options or {}
    names = _names(library, template.appliance)
    # A form says how something is asked, though a position of some appliance may be called the same.
    free = {key: value for key, value in options.items() if key == "form" or not _is_name(value, names)}
    yield template.appliance, options
    if free != options:
        yield template.appliance, free
    for other in appliances:
        if other != template.appliance:
            yield other, free


def _names(library: Library, appliance_id: str) -> frozenset[str]:
    appliance = library.appliance(appliance_id)
    return frozenset(
        (
            *appliance.terminals,
            *(part.mark for part in appliance.parts),
            *(wire.mark for wire in appliance.wires),
            *(branch.name for branch in appliance.branches),
            *(position.name for position in appliance.positions),
            *(fault.id for fault in appliance.faults),
        )
    )


def _is_name(value: object, names: frozenset[str]) -> bool:
    if isinstance(value, str):
        return value in names
    return isinstance(value, list | tuple) and any(item in names for item in value)


def is_unusual(case: Case, library: Library) -> bool:
    """Whether the complaint makes some other cause more than twice as likely as the true one."""
    from probebook.cases.generate import case_meters
    from probebook.diagnosis import Complaint, posterior

    heard = tuple(item for item in case.evidence if isinstance(item, Complaint))
    if not heard:
        return False
    found = posterior(library.appliance(case.appliance), heard, case_meters(case, library))
    return bool(found.probabilities[found.row(case.truth)] < 0.5 * found.probabilities.max())
