"""Record questions: fill in the job record of a case: what was found, the readings that belong in it, the state left.

The readings after the repair are those of the same appliance, mended, read with the same instruments.
"""

from __future__ import annotations

import random

from probebook.cases.library import Library
from probebook.diagnosis import Measured, title_of
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Field, FieldKind, Option, Question, Slip
from probebook.questions.record.facts import (
    GuessFacts,
    ReadingsPlain,
    StatePlain,
    ToldFacts,
    ValueFacts,
    entry_lines,
    found_facts,
    prompt_facts,
)
from probebook.questions.record.job import Job, Stand, draw_job
from probebook.questions.record.slips import (
    UNSAFE,
    WRONG_STATES,
    found_slips,
    guess_of,
    readings_slips,
    told_slips,
)
from probebook.words.levelling import levelled, worded

__all__ = ["build_record"]

DONE = Form("record", ("C43", "C36", "C05", "C42"))
NOT_DONE = Form("record", ("C43", "C36", "C05", "C44"))
#: The right state by how the job stands.
STATES = {Stand.DONE: "back", Stand.OUTSIDE: "found", Stand.WAITS: "off"}

Part = tuple[Field, list[Slip]]


def build_record(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a record question on a case.

    Raises
    ------
    Unfit
        There is no case.
    """
    if ask.case is None:
        raise Unfit("a record is of a case")
    job = draw_job(ask.case, library, rng)
    parts = [part(job, library, rng) for part in (_found, _readings, _state, _told)]
    fields = tuple(field for field, _ in parts)
    slips = tuple(slip for _, slips in parts for slip in slips)
    done = job.stand is Stand.DONE
    keys = {
        "prompt": f"prompt.{job.stand}",
        "explanation": "explanation-mended" if done and not job.nothing_wrong else "explanation",
    }
    facts = prompt_facts(library.words, job, fields)
    shown = Parts(fields, slips, Effort(steps=len(fields)))
    return assemble(ask, library, DONE if done else NOT_DONE, facts, shown, keys=keys)


def _found(job: Job, library: Library, rng: random.Random) -> Part:
    words, facts = library.words, found_facts(library.words, job)
    wordings = {name: words.wordings(facts, f"option.{name}") for name in ("fact", "opinion", "complaint")}
    guess = guess_of(job, library)
    if guess:
        told = GuessFacts(title_of(job.appliance, guess.faults, words), facts.readings)
        wordings["guess"] = words.wordings(told, "option.guess")
    texts = zip(wordings, levelled(list(wordings.values()), 0, rng), strict=True)
    rows = [Option(name, text, words.say(facts, f"why.{name}")) for name, text in texts]
    target = choice_field("found", words.say(facts, "label"), shuffled(rows, rng), "fact")
    return target, list(option_slips(library, target, found_slips(words, facts, guess)))


def _readings(job: Job, library: Library, rng: random.Random) -> Part:
    """Which entries belong under 'readings': with place, state and value, those that prove it and those for safety."""
    words, plain = library.words, ReadingsPlain()
    proof, safety = entry_lines(words, job)
    right = [Option(f"r{n}", line, words.say(plain, "why.proof")) for n, line in enumerate(proof, 1)]
    right += [Option(f"s{n}", line, words.say(plain, "why.safety")) for n, line in enumerate(safety, 1)]
    wrong = [
        Option("no-value", rng.choice(words.wordings(plain, "option.no-value")), words.say(plain, "why.no-value")),
        Option("no-place", words.say(_a_value(job), "option.no-place"), words.say(plain, "why.no-place")),
        Option("hearsay", rng.choice(words.wordings(plain, "option.hearsay")), words.say(plain, "why.hearsay")),
    ]
    target = Field(
        key="readings",
        kind=FieldKind.CHOICES,
        label=words.say(plain, "label"),
        marks=0.0,
        answer=[o.id for o in right],
        options=shuffled([*right, *wrong], rng),
    )
    return target, readings_slips(library, [o.id for o in right[: len(proof)]], [o.id for o in right[len(proof) :]])


def _a_value(job: Job) -> ValueFacts:
    return ValueFacts([o.display for o in job.case.evidence if isinstance(o, Measured)][-1])


def _state(job: Job, library: Library, rng: random.Random) -> Part:
    words, plain, key = library.words, StatePlain(), STATES[job.stand]
    off = "off-plug" if job.appliance.supply.kind == "plug" else "off-fixed"
    slips = WRONG_STATES[job.stand]
    offered = {
        name: (
            f"option.{off if name == 'off' else name}",
            words.say(plain, "why.right") if name == key else " ".join(library.slips[slips[name]].advice),
        )
        for name in ("back", "off", "tried", "warned", "bridged", "found")
        if name == key or name in slips
    }
    if job.stand is Stand.DONE and not job.nothing_wrong:
        offered["off"] = (f"option.{off}-only", words.say(plain, "why.mended"))
    texts = worded(words, plain, {name: sentence for name, (sentence, _) in offered.items()}, key, rng)
    shown = [Option(name, text, offered[name][1]) for name, text in texts.items()]
    target = choice_field("state", words.say(plain, "label"), shuffled(shown, rng), key)
    wrong = [WrongOption(slip, name, critical=slip in UNSAFE) for name, slip in slips.items()]
    return target, list(option_slips(library, target, wrong))


def _told(job: Job, library: Library, rng: random.Random) -> Part:
    words, facts = library.words, ToldFacts(job.case.card.customer)
    right = "nothing-wrong" if job.stand is Stand.DONE and job.nothing_wrong else str(job.stand)
    sentences = {"told": f"option.{right}", **{name: f"option.{name}" for name in ("nobody", "soothed", "neighbour")}}
    texts = worded(words, facts, sentences, "told", rng, facts.customer)
    rows = [Option(name, text, words.say(facts, f"why.{name}")) for name, text in texts.items()]
    target = choice_field("told", words.say(facts, "label"), shuffled(rows, rng), "told")
    return target, list(option_slips(library, target, told_slips(words, facts)))
