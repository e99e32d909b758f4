"""A fresh question after a template: the same ask with another seed, through the same gates as the first."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from probebook.errors import ProbebookError, UsageError
from probebook.learning.choosing import Options, Template
from probebook.questions.frame import Ask
from probebook.questions.model import REWORDED, Field, Kind, Question, Response

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.cases.model import Case

__all__ = ["Fresh", "Order", "about", "fingerprint", "fresh_question", "is_unusual", "rebuilt"]

#: Draws of a seed before another variation is tried. A question about a case wants more: not every case suits it.
DRAWS, CASE_DRAWS = 4, 10

#: Other appliances that a case is tried on: making cases in vain takes time.
OTHERS = 1


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
    for number, (appliance, options) in enumerate(_variations(template, library, appliances)):
        fallback: Fresh | None = None
        asked = Order(question_id, template.kind, f"{seed}/{number}", appliance, template.level, options)
        for draw, fresh in _drawn(asked, template, library, seen):
            if fallback is not None and draw >= DRAWS:
                break
            case = fresh.case
            if case is None or (about(case) not in lately and unusual in (None, is_unusual(case, library))):
                return fresh
            fallback = fallback or fresh
        if fallback is not None:
            return fallback
    raise UsageError("no fresh question of this sort was found", remedy="ask for whatever suits you next")


def _drawn(asked: Order, template: Template, library: Library, seen: set[str]) -> Iterator[tuple[int, Fresh]]:
    """Fair questions of one variation that are new, each with the number of its draw."""
    for draw in range(CASE_DRAWS if template.case else DRAWS):
        name = f"{asked.seed}/{draw}"
        order = replace(asked, seed=name, case=f"{name}/case" if template.case else "")
        try:
            question, case = rebuilt(order, library)
        except ProbebookError:
            if template.case:
                continue  # another case may suit it
            return  # no draw of this variation is fair
        if question.outcome == template.outcome and fingerprint(question, case) not in seen:
            yield draw, Fresh(question, case, order)


def rebuilt(order: Order, library: Library) -> tuple[Question, Case | None]:
    """The question of an order and its case: the same order gives the same question."""
    from probebook.learning.difficulty import rated_question

    case = None
    if order.case:
        from probebook.cases.generate import make_case

        case = make_case(library, order.appliance, order.case, order.level)
    ask = Ask(order.id, order.kind, order.seed, order.level, order.appliance, order.options, case)
    return rated_question(ask, library), case


def fingerprint(question: Question, case: Case | None = None) -> str:
    """Names what a learner is asked, whatever its id: the prompt, what is to be answered, the answers, the case.

    Options count by their texts: the same options in another order, or under other letters, are the same question;
    where options are worded in more than one way they do not count at all.
    """
    reworded = question.kind in REWORDED
    asked = [
        [item.label, *([] if reworded and item.options else [_in_words(item), sorted(o.text for o in item.options)])]
        for item in question.fields
    ]
    told = [question.prompt, asked, case.id if case else ""]
    return hashlib.sha256(json.dumps(told, ensure_ascii=False).encode()).hexdigest()[:16]


def _in_words(item: Field) -> Response:
    """The answer with the texts of options in place of their ids."""
    texts = {option.id: option.text for option in item.options}
    if isinstance(item.answer, str):
        return texts.get(item.answer, item.answer)
    return [texts.get(each, each) for each in item.answer]


def about(case: Case | None) -> str:
    """Names what is wrong in a case without saying it; empty for none."""
    if case is None:
        return ""
    return hashlib.sha256("/".join((case.appliance, *case.truth)).encode()).hexdigest()[:16]


def _variations(template: Template, library: Library, appliances: Sequence[str]) -> Iterator[tuple[str, Options]]:
    """The ask as it was; then without what names a thing of its appliance; then so on the other appliances.

    A situation that is named is met by another of the same person first: told of another appliance it is the same.
    """
    options = template.options or {}
    names = _names(library, template.appliance)
    # A form says how something is asked, though a position of some appliance may be called the same.
    free = {key: value for key, value in options.items() if key == "form" or not _is_name(value, names)}
    others = [name for name in appliances if name != template.appliance]
    if "situation" in options:
        kept = {key: value for key, value in free.items() if key != "situation"}
        person = _person(str(options["situation"]), library)
        open_to_all = {**kept, "person": person, "outcome": template.outcome}
        for name in (template.appliance, *others):
            yield name, open_to_all
    else:
        yield template.appliance, options
    if free != options:
        yield template.appliance, free
    for other in others[:OTHERS] if template.case else others:
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


def _person(situation: str, library: Library) -> str:
    """Whose situation it is."""
    from probebook.questions.procedure_files import load_situations

    return next(s.person for s in load_situations(library.folder, library.words) if s.id == situation)


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
