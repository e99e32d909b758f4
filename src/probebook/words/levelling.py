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
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from probebook.words.facts import Facts
from probebook.words.words import Words

__all__ = ["CUES", "levelled", "worded"]

Said = TypeVar("Said", bound=str)

#: Combinations that are weighed; more are not looked at.
MOST = 256
#: Rounds of weighting.
ROUNDS = 8
#: Weights are drawn by in steps of this share of the whole.
STEP = 1e-6
#: Values no further apart are equal.
NEAR = 1e-9

_WORD = re.compile(r"[^\W\d_]{3,}")
_FIGURE = re.compile(r"\d+(?:[.,]\d+)?")
_MARK = re.compile(r"[,;:()]")

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


@lru_cache(maxsize=4096)
def _words(text: str) -> frozenset[str]:
    return frozenset(word.lower() for word in _WORD.findall(text))


@dataclass(frozen=True, slots=True)
class _Offered:
    """Texts, which of them each combination takes for each option ``(combinations, options)``, and the words asked."""

    texts: Sequence[str]
    chosen: IntArray
    prompt: frozenset[str]

    def each(self, value: Callable[[str], float]) -> FloatArray:
        """A value of each text, by combination and option."""
        return np.array([value(text) for text in self.texts], dtype=np.float64)[self.chosen]


def _length(offered: _Offered) -> FloatArray:
    return offered.each(len)


def _figures(offered: _Offered) -> FloatArray:
    return offered.each(lambda text: len(_FIGURE.findall(text)))


def _clauses(offered: _Offered) -> FloatArray:
    return offered.each(lambda text: len(_MARK.findall(text)))


def _echoes(offered: _Offered) -> FloatArray:
    return offered.each(lambda text: len(_words(text) & offered.prompt))


def _echo_share(offered: _Offered) -> FloatArray:
    return offered.each(lambda text: len(_words(text) & offered.prompt) / max(1, len(_words(text))))


def _likeness(offered: _Offered) -> FloatArray:
    words = [_words(text) for text in offered.texts]
    common = np.array([[len(own & other) for other in words] for own in words])
    chosen = offered.chosen
    shared: FloatArray = common[chosen[:, :, None], chosen[:, None, :]].sum(axis=2) - common[chosen, chosen]
    return np.asarray(shared / offered.each(lambda text: max(1, len(_words(text)))))


def _letters(offered: _Offered) -> FloatArray:
    return offered.each(lambda text: sum(map(len, _words(text))) / max(1, len(_words(text))))


#: What may tell a key by its looks: the length of its text, its figures, its clauses, the words of the prompt in it and
#: their share, the words it has in common with the other options, the length of its words.
CUES: tuple[Callable[[_Offered], FloatArray], ...] = (
    _letters,
    _likeness,
    _echo_share,
    _echoes,
    _figures,
    _clauses,
    _length,
)


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
    texts_of = list(dict.fromkeys(text for texts in ways for text in texts))
    place_of = {text: place for place, text in enumerate(texts_of)}
    offered = _Offered(
        texts_of, np.array([[place_of[t] for t in texts] for texts in ways], dtype=np.intp), _words(prompt)
    )
    steps = [round(weight / STEP) for weight in _weights([_places(cue(offered), key) for cue in CUES]).tolist()]
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


def _weights(places: Sequence[FloatArray]) -> FloatArray:
    """A weight for each combination, by which the key is as likely at one place as at another, by each cue.

    Sums run along the first axis, where numpy adds in order: the same bits on every processor.
    """
    # A place where no combination puts the key has no share; a cue that always puts it at one has nothing to weigh.
    met = [at[:, at.any(axis=0)] for at in places]
    telling = [(at, at.T.copy(), 1.0 / at.shape[1]) for at in met if (at != at[0]).any()]
    weights = np.full(len(places[0]), 1.0 / len(places[0]))
    for _ in range(ROUNDS):
        for at, turned, even in telling:
            mass = (weights[:, None] * at).sum(axis=0)
            weights = weights * ((even / mass)[:, None] * turned).sum(axis=0)
    return weights


def _places(values: FloatArray, key: int) -> FloatArray:
    """The share of the key in each place: one place of its own, or an even share of those of its equals.

    ``values`` by combination and option; the shares by combination and place.
    """
    own = values[:, key, None]
    more, equal = (values > own + NEAR).sum(axis=1), (np.abs(values - own) <= NEAR).sum(axis=1)
    place = np.arange(values.shape[1])
    return np.asarray(((more[:, None] <= place) & (place < (more + equal)[:, None])) / equal[:, None])
