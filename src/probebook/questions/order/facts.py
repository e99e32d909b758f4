"""Which steps of a procedure are asked for, in what order they may stand, and what is told of them."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from probebook.questions.procedures import Procedure, Step
from probebook.words import Facts, Phrase, Words

__all__ = ["LineFacts", "OrderFacts", "PairFacts", "drawn_steps", "induced", "one_order", "order_facts", "reduced"]


@dataclass(frozen=True)
class OrderFacts(
    Facts,
    group="questions/order/steps",
    says=("title", "prompt", "explanation", "explanation-free", "working", "label"),
):
    """A procedure to be put in order.

    ``pairs`` are the lines that say what comes first, ``one`` and ``other`` two steps of which either may, ``lines``
    the steps in one right order.
    """

    name: Phrase
    asks: Phrase
    pairs: tuple[Phrase, ...]
    one: str
    other: str
    lines: tuple[Phrase, ...]


@dataclass(frozen=True)
class PairFacts(Facts, group="questions/order/pair", says=("line",)):
    """Two steps, in the order that has to hold."""

    earlier: str
    later: str


@dataclass(frozen=True)
class LineFacts(Facts, group="questions/order/line", says=("line",)):
    """A step and its place in a right order, counted from 1."""

    place: int
    step: str


def order_facts(
    words: Words,
    said: Mapping[str, Phrase],
    texts: Mapping[str, Phrase],
    asked: Iterable[tuple[str, str]],
    free: tuple[str, str] | None,
    answer: Sequence[str],
) -> OrderFacts:
    """What the sentences of an order are told.

    Parameters
    ----------
    words
        The words.
    said
        ``title`` and ``asks`` of the procedure.
    texts
        Text of each step by id.
    asked
        All pairs (earlier, later) that an order has to keep, but for those that follow from others.
    free
        Two steps that may stand either way round, if there are any.
    answer
        Ids of the steps in a right order.
    """
    one, other = (texts[free[0]], texts[free[1]]) if free else ("", "")
    return OrderFacts(
        name=said["title"],
        asks=said["asks"],
        pairs=tuple(words.say(PairFacts(texts[a], texts[b]), "line") for a, b in asked),
        one=one,
        other=other,
        lines=tuple(words.say(LineFacts(n, texts[step]), "line") for n, step in enumerate(answer, 1)),
    )


def induced(procedure: Procedure, steps: Iterable[str]) -> frozenset[tuple[str, str]]:
    """The pairs that must hold among some of the steps."""
    chosen = set(steps)
    return frozenset((a, b) for a, b in procedure.before if a in chosen and b in chosen)


def reduced(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """The fewest pairs from which the others follow, sorted; ``pairs`` must be closed under following."""
    every = frozenset(pairs)
    through = {(a, c) for a, b in every for b2, c in every if b == b2}
    return tuple(sorted(every - through))


def free_pair(pairs: frozenset[tuple[str, str]]) -> tuple[str, str] | None:
    """The first two steps, by id, of which either may come first; None where every order is settled."""
    steps = sorted({s for pair in pairs for s in pair})
    free = [(a, b) for n, a in enumerate(steps) for b in steps[n + 1 :] if (a, b) not in pairs and (b, a) not in pairs]
    return free[0] if free else None


def drawn_steps(procedure: Procedure, count: int, rng: random.Random) -> list[Step]:
    """The steps that are always kept and enough others, in file order."""
    kept = [s for s in procedure.steps if s.keep]
    others = [s for s in procedure.steps if not s.keep]
    rng.shuffle(others)
    chosen = {s.id for s in kept} | {s.id for s in others[: max(0, count - len(kept))]}
    return [s for s in procedure.steps if s.id in chosen]


def one_order(steps: Sequence[Step], pairs: frozenset[tuple[str, str]]) -> list[str]:
    """An order that keeps the pairs: of the steps that are free, the first of the file comes next."""
    left = [s.id for s in steps]
    order: list[str] = []
    while left:
        step = next(s for s in left if not any(b == s and a in left for a, b in pairs))
        left.remove(step)
        order.append(step)
    return order
