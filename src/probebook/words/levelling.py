"""Wordings of the options of a choice, taken so that length, figures and the like do not tell the key.

An option may be worded in more than one way. Every combination of wordings puts the key at some place by each of the
:data:`CUES`: the longest, the second longest and so on. Combinations are weighted until the key is as likely at one
place as at another, by every cue (iterative proportional fitting: Deming and Stephan 1940, from memory), and one is
drawn by its weight.
"""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from probebook.words.facts import Facts
from probebook.words.words import Words

__all__ = ["CUES", "levelled", "worded"]

Said = TypeVar("Said", bound=str)

#: Combinations that are weighed; more are not looked at.
MOST = 256
#: Rounds of weighting.
ROUNDS = 24
#: Weights are drawn by in steps of this share of the whole.
STEP = 1e-6

_WORD = re.compile(r"[^\W\d_]{3,}")
_FIGURE = re.compile(r"\d+(?:[.,]\d+)?")
_MARK = re.compile(r"[,;:()]")

#: What a cue says of each text, given the words of the prompt.
Cue = Callable[[Sequence[str], frozenset[str]], list[float]]


def _words(text: str) -> frozenset[str]:
    return frozenset(word.lower() for word in _WORD.findall(text))


def _length(texts: Sequence[str], _: frozenset[str]) -> list[float]:
    return [len(text) for text in texts]


def _figures(texts: Sequence[str], _: frozenset[str]) -> list[float]:
    return [len(_FIGURE.findall(text)) for text in texts]


def _clauses(texts: Sequence[str], _: frozenset[str]) -> list[float]:
    return [len(_MARK.findall(text)) for text in texts]


def _echoes(texts: Sequence[str], prompt: frozenset[str]) -> list[float]:
    return [len(_words(text) & prompt) for text in texts]


def _echo_share(texts: Sequence[str], prompt: frozenset[str]) -> list[float]:
    return [len(_words(text) & prompt) / max(1, len(_words(text))) for text in texts]


def _likeness(texts: Sequence[str], _: frozenset[str]) -> list[float]:
    words = [_words(text) for text in texts]
    return [
        sum(len(own & other) for m, other in enumerate(words) if m != n) / max(1, len(own))
        for n, own in enumerate(words)
    ]


def _letters(texts: Sequence[str], _: frozenset[str]) -> list[float]:
    return [sum(map(len, _words(text))) / max(1, len(_words(text))) for text in texts]


#: What may tell a key by its looks: the length of its text, its figures, its clauses, the words of the prompt in it and
#: their share, the words it has in common with the other options, the length of its words.
CUES: tuple[Cue, ...] = (_letters, _likeness, _echo_share, _echoes, _figures, _clauses, _length)


def levelled(wordings: Sequence[Sequence[Said]], key: int, rng: random.Random, prompt: str = "") -> tuple[Said, ...]:
    """One wording of each option.

    Parameters
    ----------
    wordings
        For each option the ways it can be worded, at least one.
    key
        Place of the right option.
    rng
        What the combination is drawn from.
    prompt
        What is asked; the words of it that an option repeats are a cue.

    Returns
    -------
    tuple of str
        The texts, in the order of the options.
    """
    ways = list(itertools.islice(itertools.product(*wordings), MOST))
    if len(ways) == 1:
        return ways[0]
    asked = _words(prompt)
    places = [[_places(cue(texts, asked), key) for texts in ways] for cue in CUES]
    steps = [round(weight / STEP) for weight in _weights(places, len(ways))]
    drawn = rng.randrange(sum(steps))
    for texts, step in zip(ways, steps, strict=True):
        drawn -= step
        if drawn < 0:
            return texts
    raise AssertionError("the steps add up to their sum")


def worded(
    words: Words, facts: Facts, sentences: Mapping[str, str], key: str, rng: random.Random, prompt: str = ""
) -> dict[str, str]:
    """Options by id, each in one of its wordings (see :func:`levelled`).

    Parameters
    ----------
    words, facts
        The words, and what the sentences are told.
    sentences
        Option id → sentence of it.
    key
        Id of the right option.
    rng
        What the wordings are drawn from.
    prompt
        What is asked.
    """
    wordings = [words.wordings(facts, sentence) for sentence in sentences.values()]
    return dict(zip(sentences, levelled(wordings, list(sentences).index(key), rng, prompt), strict=True))


def _weights(places: Sequence[Sequence[Sequence[float]]], count: int) -> list[float]:
    """A weight for each combination, by which the key is as likely at one place as at another, by each cue."""
    weights = [1.0 / count] * count
    for _ in range(ROUNDS):
        for cue in places:
            mass = [sum(w * at[place] for w, at in zip(weights, cue, strict=True)) for place in range(len(cue[0]))]
            even = 1.0 / sum(each > 0 for each in mass)
            gain = [even / each if each > 0 else 0.0 for each in mass]
            weights = [
                w * sum(share * gain[place] for place, share in enumerate(at))
                for w, at in zip(weights, cue, strict=True)
            ]
            whole = sum(weights)
            weights = [w / whole for w in weights]
    return weights


def _places(values: Sequence[float], key: int) -> list[float]:
    """The share of the key in each place: one place of its own, or an even share of those of its equals."""
    more = sum(value > values[key] + 1e-9 for value in values)
    equal = sum(abs(value - values[key]) <= 1e-9 for value in values)
    return [1.0 / equal if more <= place < more + equal else 0.0 for place in range(len(values))]
