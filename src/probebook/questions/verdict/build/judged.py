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
from probebook.words import Facts, Phrase, Words
from probebook.words.levelling import levelled

__all__ = ["Judgement", "judged", "suffixed"]

#: What may be found of a value and its limit.
VERDICTS = ("within", "outside", "cannot")
#: Beside the reasons of the other verdicts so many others are offered at most.
THOUGHTS = 2


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
    true
        A verdict whose own reason is true here all the same, so that it is no wrong one; empty for none.
    """

    conformity: Conformity
    reasons: tuple[Reason, ...]
    tempts: str
    means: str = "meter"
    true: str = ""

    @property
    def others(self) -> tuple[str, ...]:
        """The verdicts whose own reasons are untrue here: wrong reasons of the form of the right one."""
        return tuple(v for v in VERDICTS if v not in (str(self.conformity), self.true))


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
    wrongly = verdict_slips(key, judgement.tempts)
    thoughts = {f"right.{name}": (wrongly[name], told) for name in judgement.others}
    thoughts |= {r.why: (r.slip, words.say(facts, r.here)) for r in _thought(judgement, words, facts, rng)}
    letters = [f"r{n}" for n in range(len(thoughts) + 1)]
    rng.shuffle(letters)
    wordings = [words.wordings(facts, each) for each in (f"right.{key}", *thoughts)]
    texts = levelled(wordings, 0, rng, words.say(facts, keys.get("prompt", "prompt")))
    listed = [Option(letter, text) for letter, text in zip(letters, texts, strict=True)]
    why = choice_field("why", words.say(offered, "why"), shuffled(listed, rng), letters[0])
    wrong = [
        WrongOption(slip, letter, here) for letter, (slip, here) in zip(letters[1:], thoughts.values(), strict=True)
    ]
    verdicts = [WrongOption(slip, name, told) for name, slip in wrongly.items()]
    slips = (*option_slips(library, target, verdicts), *option_slips(library, why, wrong))
    return assemble(ask, library, form, facts, Parts((target, why), slips, effort), keys=keys)


def _thought(judgement: Judgement, words: Words, facts: Facts, rng: random.Random) -> list[Reason]:
    """The wrong reasons that are offered beside those of the other verdicts: the first always, others at random."""
    different: dict[str, Reason] = {}
    for reason in judgement.reasons:
        different.setdefault(words.say(facts, reason.why), reason)
    first, *rest = different.values()
    return [first, *rng.sample(rest, min(THOUGHTS - 1, len(rest)))]


def suffixed(ask: Ask, *, leads: bool, key: str = "prompt") -> str:
    """The sentence for an owner, for leads that are in the reading, or the plain one."""
    return f"{key}-owner" if for_owner(ask) else f"{key}-leads" if leads else key
