"""A question put together from facts: the text says title, prompt, explanation and working; Python says which figures.

Every builder ends here. It hands over the form (what is taught), the facts (what was computed) and the parts (what is
to be answered, which slips are known, how much work it is); the sentences come from the group of the facts, and what an
answer earns from ``scenarios/assumptions.toml``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, TypeVar

from probebook.assumptions import Assumed, Assumptions
from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.questions.frame import Ask, WrongNumber, WrongOption
from probebook.questions.model import Effort, Field, FieldKind, Question, Slip
from probebook.words import Facts, Words

__all__ = [
    "Form",
    "Marks",
    "Parts",
    "assemble",
    "declared_numbers",
    "marked",
    "wrong_numbers",
    "wrong_options",
]

T = TypeVar("T", bound=Facts)


@dataclass(frozen=True, slots=True)
class Form:
    """One form of a kind of question: the outcome it teaches and the competences it can show.

    Attributes
    ----------
    outcome
        Id from ``scenarios/outcomes.toml``.
    competences
        Ids from ``scenarios/competences.toml`` that an answer can be failed for lack of.
    """

    outcome: str
    competences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Parts:
    """What is to be answered and what belongs to it.

    Attributes
    ----------
    fields, slips
        The fields in order, and the slips that are known in them.
    effort
        What makes it hard, as its builder counts it.
    pictures
        (file name, SVG text) shown with the prompt.
    bench
        JSON that the virtual bench is set up from; empty for all other kinds.
    level
        Level of difficulty; the level asked for where None.
    """

    fields: tuple[Field, ...]
    slips: tuple[Slip, ...]
    effort: Effort
    pictures: tuple[tuple[str, str], ...] = ()
    bench: str = ""
    level: int | None = None


#: Where a sentence of a question is found in the group of its facts, unless a builder names another.
KEYS: Mapping[str, str] = {name: name for name in ("title", "prompt", "explanation", "working")}


def assemble(
    ask: Ask, library: Library, form: Form, facts: Facts, parts: Parts, *, keys: Mapping[str, str] | None = None
) -> Question:
    """The question that these facts and parts make.

    Parameters
    ----------
    ask, library
        The request, and the trade with its words.
    form, parts
        What is taught, and what is to be answered.
    facts
        Every figure and name that the sentences print; their group holds the sentences.
    keys
        Sentences to say in place of ``title``, ``prompt``, ``explanation`` and ``working``, such as
        ``{"prompt": "prompt-owner"}``; an empty key leaves that text empty.

    Raises
    ------
    ScenarioError
        The text of the language lacks a sentence or names an unknown fact.
    """
    chosen = {**KEYS, **(keys or {})}
    level = ask.level if parts.level is None else parts.level
    said = {name: library.words.say(facts, key) if key else "" for name, key in chosen.items()}
    return Question(
        id=ask.id,
        kind=ask.kind,
        outcome=form.outcome,
        level=level,
        title=said["title"],
        prompt=said["prompt"],
        fields=marked(library.assumptions, ask.kind, level, parts.fields),
        slips=parts.slips,
        explanation=said["explanation"],
        working=said["working"],
        competences=form.competences,
        case=ask.case.id if ask.case is not None else "",
        pictures=parts.pictures,
        bench=parts.bench,
        effort=parts.effort,
    )


@dataclass(frozen=True)
class Marks(Assumed, table="questions.marks"):
    """Marks of answers.

    ``figure`` for a typed figure, ``ticks`` for a list that is ticked, ``alone`` for the option of a question that asks
    nothing else, ``beside`` for an option beside other answers, ``step`` for each step put in order. ``own`` says
    otherwise of single answers, as ``kind.field``, or as ``kind.field.level`` of one level alone.
    """

    figure: Annotated[float, "1"]
    ticks: Annotated[float, "1"]
    alone: Annotated[float, "1"]
    beside: Annotated[float, "1"]
    step: Annotated[float, "1"]
    own: Annotated[Mapping[str, float], "1"]


def _own(assumptions: Assumptions, kind: str, field: str, level: int) -> float | None:
    """Marks of one answer of a kind of question where they are its own; None where the usual ones hold."""
    own = assumptions.get(Marks).own
    return own.get(f"{kind}.{field}.{level}", own.get(f"{kind}.{field}"))


def marked(assumptions: Assumptions, kind: str, level: int, fields: Sequence[Field]) -> tuple[Field, ...]:
    """Fields with their marks; the virtual bench keeps those of its grading."""
    usual = assumptions.get(Marks)
    found = []
    for field in fields:
        own = _own(assumptions, kind, field.key, level)
        if field.kind is FieldKind.BENCH:
            found.append(field)
        else:
            found.append(replace(field, marks=_usual(usual, field, len(fields)) if own is None else own))
    return tuple(found)


def _usual(usual: Marks, field: Field, fields: int) -> float:
    match field.kind:
        case FieldKind.QUANTITY:
            return usual.figure
        case FieldKind.CHOICES:
            return usual.ticks
        case FieldKind.ORDER:
            return usual.step * len(field.options)
        case _:
            return usual.alone if fields == 1 else usual.beside


def wrong_numbers(
    words: Words,
    facts: Facts,
    values: Mapping[str, float],
    *,
    critical: Iterable[str] = (),
    keys: Mapping[str, str] | None = None,
) -> list[WrongNumber]:
    """What each slip computes here (slip id → SI value), with its sentence ``here.<slip>`` where the text has one.

    ``critical`` names the slips that fail the whole question, ``keys`` other sentences than ``here.<slip>``.
    """
    grave, other = set(critical), keys or {}
    return [
        WrongNumber(slip, value, _here(words, facts, other.get(slip, f"here.{slip}")), critical=slip in grave)
        for slip, value in values.items()
    ]


def declared_numbers(library: Library, facts: T, paths: Mapping[str, Callable[[T], float]]) -> dict[str, float]:
    """What the slips that ``text/en/slips.toml`` declares on this form compute here (slip id → SI value).

    A slip may name a form and one of its known wrong paths (``on = [{ form = "power/watts", path = "halved" }]``); it
    then needs no code. ``paths`` are the wrong paths that the form can compute from its facts.

    Raises
    ------
    ScenarioError
        A slip names a path that the form does not know.
    """
    form = facts.group_.removeprefix("questions/")
    found: dict[str, float] = {}
    for note in library.slips.values():
        for wanted, path in note.on:
            if wanted != form:
                continue
            if path not in paths:
                raise ScenarioError(
                    f"the form '{form}' knows no wrong path '{path}'",
                    where=f"slips.toml: {note.id}.on",
                    remedy=f"choose one of {', '.join(sorted(paths))}",
                )
            found[note.id] = paths[path](facts)
    return found


def wrong_options(
    words: Words,
    facts: Facts,
    options: Mapping[str, str],
    *,
    critical: Iterable[str] = (),
    keys: Mapping[str, str] | None = None,
) -> list[WrongOption]:
    """The option that each slip leads to (slip id → option id), each with its sentence ``here.<slip>``.

    ``critical`` names the slips that fail the whole question, ``keys`` other sentences than ``here.<slip>``.
    """
    grave, other = set(critical), keys or {}
    return [
        WrongOption(slip, option, _here(words, facts, other.get(slip, f"here.{slip}")), critical=slip in grave)
        for slip, option in options.items()
    ]


def _here(words: Words, facts: Facts, key: str) -> str:
    return words.say(facts, key) if words.has(type(facts), key) else ""
