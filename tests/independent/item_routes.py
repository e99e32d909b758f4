"""Ways of choosing an option without doing the question, and how often each finds the key.

Written from what a learner sees: prompt, label, options in their order and their ids. Nothing here knows how a question
is built. A route that finds the key more often than an even pick among the options is a tell.
"""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

__all__ = ["ROUTES", "Shown", "Tally", "tallied", "wilson"]

#: Standard normal quantiles: two-sided 95 % and 99.9 %.
Z95, Z999 = 1.959964, 3.290527

WORD = re.compile(r"[A-Za-z]{3,}")
FIGURE = re.compile(r"\d+(?:[.,]\d+)?")
ABSOLUTE = re.compile(r"\b(?:always|never|all|any|every|nobody|nothing|only|must)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Shown:
    """A choice as it is shown: a family it is counted in, the prompt, (id, text) of each option, the key's id."""

    family: str
    prompt: str
    options: tuple[tuple[str, str], ...]
    key: str


Score = Callable[[Shown, int], float]


def _words(text: str) -> frozenset[str]:
    return frozenset(word.lower() for word in WORD.findall(text))


def _length(item: Shown, n: int) -> float:
    return len(item.options[n][1])


def _figures(item: Shown, n: int) -> float:
    return len(FIGURE.findall(item.options[n][1]))


def _place(item: Shown, n: int) -> float:
    return n


def _id(item: Shown, n: int) -> float:
    return sorted(each for each, _ in item.options).index(item.options[n][0])


def _echo(item: Shown, n: int) -> float:
    own = _words(item.options[n][1])
    return len(own & _words(item.prompt)) / max(1, len(own))


def _echoes(item: Shown, n: int) -> float:
    return len(_words(item.options[n][1]) & _words(item.prompt))


def _specific(item: Shown, n: int) -> float:
    own = _words(item.options[n][1])
    return sum(map(len, own)) / max(1, len(own))


def _like_others(item: Shown, n: int) -> float:
    own = _words(item.options[n][1])
    return sum(len(own & _words(text)) for m, (_, text) in enumerate(item.options) if m != n) / max(1, len(own))


def _absolute(item: Shown, n: int) -> float:
    return len(ABSOLUTE.findall(item.options[n][1]))


def _clauses(item: Shown, n: int) -> float:
    return len(re.findall(r"[,;:()]", item.options[n][1]))


def _middle(item: Shown, n: int) -> float:
    return -abs(n - (len(item.options) - 1) / 2)


def _median_length(item: Shown, n: int) -> float:
    lengths = sorted(len(text) for _, text in item.options)
    middle = lengths[len(lengths) // 2]
    return -abs(len(item.options[n][1]) - middle)


def _opposite(score: Score) -> Score:
    return lambda item, n: -score(item, n)


#: Name → how much an option speaks for itself; the option with the most is chosen.
ROUTES: Mapping[str, Score] = {
    "longest": _length,
    "shortest": _opposite(_length),
    "middling length": _median_length,
    "most figures": _figures,
    "fewest figures": _opposite(_figures),
    "first": _opposite(_place),
    "last": _place,
    "in the middle": _middle,
    "lowest id": _opposite(_id),
    "highest id": _id,
    "most of its words in the prompt": _echo,
    "fewest of its words in the prompt": _opposite(_echo),
    "most words of the prompt": _echoes,
    "longest words": _specific,
    "shortest words": _opposite(_specific),
    "most like the others": _like_others,
    "least like the others": _opposite(_like_others),
    "most absolute words": _absolute,
    "fewest absolute words": _opposite(_absolute),
    "most clauses": _clauses,
    "fewest clauses": _opposite(_clauses),
}


@dataclass
class Tally:
    """How often a route found the key, and how often an even pick among the options would."""

    hits: int = 0
    chances: list[float] = field(default_factory=list)

    @property
    def n(self) -> int:
        """Choices that the route was tried on."""
        return len(self.chances)

    @property
    def chance(self) -> float:
        """Share that an even pick finds."""
        return math.fsum(self.chances) / self.n

    @property
    def share(self) -> float:
        """Share that the route found."""
        return self.hits / self.n

    def bounds(self, z: float = Z95) -> tuple[float, float]:
        """Wilson bounds of the share."""
        return wilson(self.hits, self.n, z)

    def beats_chance(self, z: float = Z999) -> bool:
        """Whether chance lies below the bounds of the share."""
        return self.bounds(z)[0] > self.chance


def wilson(hits: int, n: int, z: float = Z95) -> tuple[float, float]:
    """Bounds of a share (Wilson 1927, from memory)."""
    share, square = hits / n, z * z
    middle = (share + square / (2 * n)) / (1 + square / n)
    half = z / (1 + square / n) * math.sqrt(share * (1 - share) / n + square / (4 * n * n))
    return max(0.0, middle - half), min(1.0, middle + half)


def chosen(item: Shown, score: Score, route: str, number: int = 0) -> str:
    """The id of the option that a route chooses; between equals a digest of route and number decides."""
    best = max(score(item, n) for n in range(len(item.options)))
    equal = [option for n, option in enumerate(item.options) if score(item, n) >= best - 1e-12]
    toss = hashlib.sha256(f"{route}/{number}".encode()).digest()
    return equal[int.from_bytes(toss[:4], "big") % len(equal)][0]


def tallied(items: Iterable[Shown], routes: Sequence[str] = tuple(ROUTES)) -> dict[tuple[str, str], Tally]:
    """(family, route) → tally; the family ``all`` holds every item."""
    found: dict[tuple[str, str], Tally] = {}
    for number, item in enumerate(items):
        for route in routes:
            hit = chosen(item, ROUTES[route], route, number) == item.key
            for family in (item.family, "all"):
                tally = found.setdefault((family, route), Tally())
                tally.hits += hit
                tally.chances.append(1 / len(item.options))
    return found
