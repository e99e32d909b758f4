"""What record questions are told: the finding, the readings, the state left, who was told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probebook.cases.wording import observation_line
from probebook.diagnosis import title_of
from probebook.questions.model import Field
from probebook.questions.record.job import Job
from probebook.words import Facts, Noun, Phrase, Words

__all__ = [
    "EntryFacts",
    "FoundFacts",
    "GuessFacts",
    "ReadingsPlain",
    "StatePlain",
    "ToldFacts",
    "ValueFacts",
    "answer_lines",
    "entry_lines",
    "found_facts",
    "prompt_facts",
    "title_words",
]


# ---------------------------------------------------------------- the question


@dataclass(frozen=True)
class RecordFacts(
    Facts,
    group="questions/record/question",
    says=("title", "prompt.done", "prompt.outside", "prompt.waits", "explanation", "explanation-mended", "working"),
):
    """The job card, the readings taken last, and the right answers: as a list, and line by line."""

    number: str
    customer: str
    premises: str
    after: tuple[Phrase, ...]
    answers: Phrase
    lines: Phrase


@dataclass(frozen=True)
class AnswerFacts(Facts, group="questions/record/answer", says=("bullet", "line")):
    """A field with the right answers in it."""

    label: Phrase
    answers: tuple[Phrase, ...]


def prompt_facts(words: Words, job: Job, fields: Sequence[Field]) -> RecordFacts:
    """What the sentences are told."""
    card = job.case.card
    return RecordFacts(
        number=card.number,
        customer=card.customer,
        premises=card.premises,
        after=tuple(observation_line(job.appliance, o, words) for o in job.after),
        answers=answer_lines(words, fields, "bullet"),
        lines=answer_lines(words, fields, "line"),
    )


def answer_lines(words: Words, fields: Sequence[Field], key: str) -> Phrase:
    """The right answers, a line for each field."""
    return Phrase("\n".join(words.say(AnswerFacts(Phrase(f.label), _right(f)), key) for f in fields))


def _right(field: Field) -> tuple[Phrase, ...]:
    wanted = [field.answer] if isinstance(field.answer, str) else list(field.answer)
    return tuple(Phrase(o.text) for o in field.options if o.id in wanted)


# ---------------------------------------------------------------- what was found


@dataclass(frozen=True)
class NoFault(Facts, group="questions/record/found", says=("no-fault",)):
    """Nothing was wrong but a setting."""


@dataclass(frozen=True)
class FoundFacts(
    Facts,
    group="questions/record/found",
    says=(
        "label",
        "option.fact",
        "option.opinion",
        "option.complaint",
        "why.fact",
        "why.opinion",
        "why.complaint",
        "why.guess",
        "here.symptom-is-cause",
    ),
):
    """The finding with the readings that show it, the appliance, and what the customer said first."""

    finding: Phrase
    readings: tuple[Phrase, ...]
    appliance: Noun
    complaint: Phrase


@dataclass(frozen=True)
class GuessFacts(Facts, group="questions/record/found", says=("option.guess",)):
    """A finding that the readings do not bear out, and the readings that are quoted with the right one."""

    finding: Phrase
    readings: tuple[Phrase, ...]


#: Readings that are quoted with the finding: the last ones, among them that of the part itself.
QUOTED = 2


def found_facts(words: Words, job: Job) -> FoundFacts:
    """What the sentences about the finding are told."""
    return FoundFacts(
        finding=title_words(words, job),
        readings=tuple(observation_line(job.appliance, o, words) for o in job.establishing[-QUOTED:]),
        appliance=words.noun(job.appliance.title),
        complaint=Phrase(job.case.card.said[0]),
    )


def title_words(words: Words, job: Job) -> Phrase:
    """What was wrong."""
    return title_of(job.appliance, job.faults, words) if job.faults else words.say(NoFault(), "no-fault")


# ---------------------------------------------------------------- readings


@dataclass(frozen=True)
class ReadingsPlain(
    Facts,
    group="questions/record/readings",
    says=(
        "label",
        "option.no-value",
        "option.hearsay",
        "why.proof",
        "why.safety",
        "why.no-value",
        "why.no-place",
        "why.hearsay",
        "here.not-recorded",
    ),
):
    """Entries without figures, and what is said of entries."""


@dataclass(frozen=True)
class EntryFacts(Facts, group="questions/record/readings", says=("option.reading", "option.at-the-end")):
    """An observation in a line."""

    line: Phrase


@dataclass(frozen=True)
class ValueFacts(Facts, group="questions/record/readings", says=("option.no-place",)):
    """A figure as a meter showed it, without its place."""

    shown: str


#: Readings that establish the finding and are offered as entries: the last ones.
ENTRIES = 3


def entry_lines(words: Words, job: Job) -> tuple[list[Phrase], list[Phrase]]:
    """The entries that belong under readings: those that establish the finding, and those for safety, each once."""
    proof = [
        words.say(EntryFacts(observation_line(job.appliance, o, words)), "option.reading")
        for o in job.establishing[-ENTRIES:]
    ]
    safety = []
    for item in job.safety:
        facts = EntryFacts(observation_line(job.appliance, item, words))
        if words.say(facts, "option.reading") not in proof:
            safety.append(words.say(facts, "option.at-the-end" if job.after else "option.reading"))
    return proof, safety


# ---------------------------------------------------------------- the state left, and who was told


@dataclass(frozen=True)
class StatePlain(
    Facts,
    group="questions/record/state",
    says=(
        "label",
        "option.back",
        "option.off-plug",
        "option.off-fixed",
        "option.off-plug-only",
        "option.off-fixed-only",
        "option.tried",
        "option.warned",
        "option.bridged",
        "option.found",
        "why.right",
        "why.mended",
    ),
):
    """Ways of leaving an appliance."""


@dataclass(frozen=True)
class ToldFacts(
    Facts,
    group="questions/record/told",
    says=(
        "label",
        "option.outside",
        "option.nothing-wrong",
        "option.done",
        "option.waits",
        "option.nobody",
        "option.soothed",
        "option.neighbour",
        "why.told",
        "why.nobody",
        "why.soothed",
        "why.neighbour",
        "here.nobody",
        "here.soothed",
    ),
):
    """Who the customer is."""

    customer: str
