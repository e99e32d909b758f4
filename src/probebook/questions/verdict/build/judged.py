"""What every verdict question has in common: two fields, and reasons that are each a stated thought."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass

from probebook.cases.library import Library
from probebook.meters import Conformity
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.owner import for_owner
from probebook.questions.verdict.slips.reason import Reason, verdict_slips
from probebook.words import Facts, Phrase
from probebook.words.levelling import levelled

__all__ = ["Judgement", "judged", "suffixed"]


@dataclass(frozen=True)
class OptionFacts(
    Facts,
    group="questions/verdict/options",
    says=("verdict", "why", "within", "outside", "cannot-meter", "cannot-resistor"),
):
    """The verdicts that may be chosen."""


@dataclass(frozen=True)
class Told(Facts, group="questions/verdict/options", says=("told",)):
    """The right reason, as an option has it."""

    right: Phrase


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict and what tempts away from it.

    Attributes
    ----------
    conformity
        The key.
    reasons
        The wrong reasons.
    tempts
        The slip that leads from the key to the opposite verdict.
    means
        What it cannot be told with: ``meter`` or ``resistor``.
    """

    conformity: Conformity
    reasons: tuple[Reason, ...]
    tempts: str
    means: str = "meter"


def judged(
    ask: Ask,
    library: Library,
    rng: random.Random,
    form: Form,
    facts: Facts,
    judgement: Judgement,
    effort: Effort,
    keys: Mapping[str, str],
) -> Question:
    """The question on a verdict; ``keys`` as :func:`~probebook.questions.assembling.assemble`."""
    words, key = library.words, judgement.conformity
    offered = OptionFacts()
    sentences = {"within": "within", "outside": "outside", "cannot": f"cannot-{judgement.means}"}
    options = [Option(name, words.say(offered, sentence)) for name, sentence in sentences.items()]
    target = choice_field("verdict", words.say(offered, "verdict"), options, str(key))
    right = words.say(facts, f"right.{key}")
    told = words.say(Told(right), "told")
    thoughts: dict[str, Reason] = {}
    for reason in judgement.reasons:
        thoughts.setdefault(words.say(facts, reason.why), reason)
    letters = [f"r{n}" for n in range(len(thoughts) + 1)]
    rng.shuffle(letters)
    wordings = [words.wordings(facts, each) for each in (f"right.{key}", *(r.why for r in thoughts.values()))]
    texts = levelled(wordings, 0, rng, words.say(facts, keys.get("prompt", "prompt")))
    listed = [Option(letter, text) for letter, text in zip(letters, texts, strict=True)]
    why = choice_field("why", words.say(offered, "why"), shuffled(listed, rng), letters[0])
    wrong = [
        WrongOption(reason.slip, letter, words.say(facts, reason.here))
        for letter, reason in zip(letters[1:], thoughts.values(), strict=True)
    ]
    verdicts = [WrongOption(slip, name, told) for name, slip in verdict_slips(key, judgement.tempts).items()]
    slips = (*option_slips(library, target, verdicts), *option_slips(library, why, wrong))
    return assemble(ask, library, form, facts, Parts((target, why), slips, effort), keys=keys)


def suffixed(ask: Ask, *, leads: bool, key: str = "prompt") -> str:
    """The sentence for an owner, for leads that are in the reading, or the plain one."""
    return f"{key}-owner" if for_owner(ask) else f"{key}-leads" if leads else key
