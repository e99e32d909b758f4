"""Replacement questions: which line of the stock list puts it right, by rating and fit; or that no part is wanted."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, Fault, FaultKind, Part, PartKind
from probebook.appliances.naming import part_noun
from probebook.cases.library import Library
from probebook.diagnosis.places import place_of
from probebook.questions.assembling import Form, Parts, assemble, wrong_numbers
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongOption,
    choice_field,
    numeric_slips,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.job_card import plate_words
from probebook.questions.model import Band, Effort, Field, Option, Question, Slip
from probebook.questions.replacement.facts.cold import cold_facts
from probebook.questions.replacement.facts.question import (
    Plain,
    ReplacementFacts,
    fit_row,
    others_words,
    right_words,
    row_words,
)
from probebook.questions.replacement.facts.rating import rating_words
from probebook.questions.replacement.facts.why import PlainWhy
from probebook.questions.replacement.items import part_wanted
from probebook.questions.replacement.mending import fault_of, part_of
from probebook.questions.replacement.ratings import Load, OvenLamp, control_rating, rating_of
from probebook.questions.replacement.slips.cold import cold_slips
from probebook.questions.replacement.slips.kind import lines_of_its_kind
from probebook.questions.replacement.slips.line import LINK, NONE, Line
from probebook.questions.replacement.slips.other import SPARES, lines_of_other_parts
from probebook.questions.replacement.stock import Stock, stock
from probebook.words import Noun, Phrase

__all__ = ["build_replacement"]

PART = Form("part", ("C38", "C22", "C16"))
NO_PART = Form("part", ("C38", "C26"))
#: Wrong lines offered, and slips that have to lead to some of them.
WRONG, FEWEST = 5, 3
#: Kinds of part that the stock list knows the fit of.
WITH_FIT = (
    PartKind.ELEMENT,
    PartKind.LAMP,
    PartKind.NEON,
    PartKind.CUT_OUT,
    PartKind.THERMOSTAT,
    PartKind.MOTOR,
    PartKind.FUSE,
    PartKind.SELECTOR,
    PartKind.SWITCH,
    PartKind.REGULATOR,
    PartKind.RELAY,
)


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """What has to be fetched: the fault, the part (None for no part), the right line, and the wrong ones."""

    ask: Ask
    library: Library
    appliance: Appliance
    source: Stock
    fault: Fault | None
    part: Part | None
    key: Option
    lines: tuple[Line, ...]
    chosen: tuple[Line, ...]


def build_replacement(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a replacement question on a case, or on one part of the appliance when there is none.

    Option of the plan: ``part``, the mark of the part to be replaced, where there is no case.

    Raises
    ------
    Unfit
        Too few slips lead to a wrong line.
    """
    job = _job(ask, library, rng)
    facts = _facts(job)
    options = [job.key, *(Option(line.id, line.text, line.why) for line in job.chosen)]
    label = library.words.say(facts, "label")
    target = choice_field("part", label, shuffled(options, rng), job.key.id)
    wrong = [WrongOption(line.slip, line.id, line.why, critical=line.critical) for line in job.chosen if line.slip]
    if len(wrong) < FEWEST:
        raise Unfit(f"only {len(wrong)} slips lead to a wrong line of the stock list")
    fields: list[Field] = [target]
    slips: list[Slip] = list(option_slips(library, target, wrong))
    second = _cold_ohms(job.appliance, library, job.part) if job.part and ask.level >= 2 else None
    if second:
        fields.append(second[0])
        slips += second[1]
    keys = {
        "prompt": "prompt" if ask.case else "prompt-part",
        "explanation": "explanation-fault" if job.fault else "explanation",
    }
    parts = Parts(tuple(fields), tuple(slips), Effort())
    return assemble(ask, library, PART if job.part else NO_PART, facts, parts, keys=keys)


def _job(ask: Ask, library: Library, rng: random.Random) -> _Job:
    words, source, case = library.words, stock(library.folder, library.words), ask.case
    appliance = library.appliance(case.appliance if case else ask.appliance)
    fault = fault_of(case, appliance) if case else None
    part = _part(ask, appliance, fault, rng)
    because = right_words(words, part, fault)
    if part:
        right = part_wanted(words, appliance, part, source)
        key = Option(right.code, row_words(words, right), because)
    else:
        key = Option(NONE, words.say(Plain(), "no-part"), because)
    lines = tuple(_wrong_lines(ask, appliance, library, part, fault))
    return _Job(ask, library, appliance, source, fault, part, key, lines, tuple(_chosen(lines, key)))


def _part(ask: Ask, appliance: Appliance, fault: Fault | None, rng: random.Random) -> Part | None:
    """The part to be replaced; None when no part is wanted."""
    if ask.case is None:
        wanted = ask.text("part")
        heaters = [p for p in appliance.parts if p.kind is PartKind.ELEMENT]
        return appliance.part(wanted) if wanted else rng.choice(heaters)
    return part_of(appliance, fault) if fault else None


def _wrong_lines(
    ask: Ask, appliance: Appliance, library: Library, part: Part | None, fault: Fault | None
) -> Iterator[Line]:
    words, source = library.words, stock(library.folder, library.words)
    if part:
        yield from lines_of_its_kind(words, appliance, part, fault, source)
    if ask.case:
        yield from lines_of_other_parts(ask.case, appliance, library, part, source)
    if ask.case and part:
        yield Line("", NONE, words.say(Plain(), "no-part"), words.say(PlainWhy(), "remake"))


def _chosen(lines: Sequence[Line], key: Option) -> list[Line]:
    """The first line of every slip, then others, all different."""
    chosen: list[Line] = []
    texts = {key.text} if key.id != NONE else set()
    ids = {key.id}
    seen: set[str] = set()
    for again in (False, True):
        for line in lines:
            fresh = line.text not in texts and line.id not in ids
            if len(chosen) < WRONG and fresh and (again or (line.slip and line.slip not in seen)):
                chosen.append(line)
                texts.add(line.text)
                ids.add(line.id)
                seen.add(line.slip)
    return chosen


# ---------------------------------------------------------------- what the sentences are told


def _facts(job: _Job) -> ReplacementFacts:
    words, nothing = job.library.words, Noun("", "")
    return ReplacementFacts(
        appliance=words.noun(job.appliance.title),
        part=part_noun(words, job.part) if job.part else nothing,
        plate=plate_words(words, job.appliance),
        fits=_fits(job),
        key=Phrase(job.key.text),
        why=Phrase(job.key.why),
        fault=words.noun(job.fault.title) if job.fault else nothing,
        others=others_words(words, ((_brief(job, line), line.why) for line in job.chosen)),
    )


def _brief(job: _Job, line: Line) -> Phrase:
    """The code of a line, or the words of what is no part."""
    plain = {NONE: "no-part-brief", LINK: "link"}
    return job.library.words.say(Plain(), plain[line.id]) if line.id in plain else Phrase(line.id)


def _fits(job: _Job) -> Phrase:
    """Rows for the part to be replaced, and for those whose lines are offered or might be on a case."""
    words, appliance = job.library.words, job.appliance
    codes = {line.id for line in job.lines if line.slip}
    rows = []
    for part in appliance.parts:
        if part.kind not in WITH_FIT:
            continue
        item = part_wanted(words, appliance, part, job.source)
        spare = job.ask.case is not None and part.kind in SPARES
        if spare or item.code in codes or (job.part and part.mark == job.part.mark):
            rows.append(fit_row(words, item, part, _marking(job, part)))
    return Phrase("\n".join(rows))


def _marking(job: _Job, part: Part) -> Phrase:
    """What can be read on the part in it: the figures of a control; of a load only where it is a wrong one."""
    words, appliance, fault = job.library.words, job.appliance, job.fault
    if fault and fault.kind is FaultKind.WRONG_PART and place_of(appliance, fault) == part.mark:
        return rating_words(words, rating_of(appliance, part, scale=1.0 / next(c.factor for c in fault.changes)))
    rating = control_rating(part) or rating_of(appliance, part)
    return words.say(Plain(), "worn-off") if isinstance(rating, Load | OvenLamp) else rating_words(words, rating)


# ---------------------------------------------------------------- what the new part should read


def _cold_ohms(appliance: Appliance, library: Library, part: Part) -> tuple[Field, tuple[Slip, ...]] | None:
    """What the new part should read before it is wired in, for an element of one circuit."""
    found = cold_facts(library.words, appliance, part)
    if found is None:
        return None
    facts, ohms = found
    label = library.words.say(facts, "label")
    target = quantity_field("ohms", label, "ohm", ohms.cold, accepted=Band(ohms.low, ohms.high))
    try:
        return target, numeric_slips(library, target, wrong_numbers(library.words, facts, cold_slips(facts, ohms)))
    except Unfit:
        return None
