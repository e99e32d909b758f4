"""Which wrong pairs of steps can show in an order, each by itself."""

from __future__ import annotations

from collections.abc import Sequence

from probebook.questions.procedures import WrongPair

__all__ = ["telling"]


def telling(wrong: Sequence[WrongPair], pairs: frozenset[tuple[str, str]]) -> list[WrongPair]:
    """The wrong pairs among the steps drawn, less those that cannot show by themselves.

    A pair shows by itself when its steps can be the wrong way round while every other wrong pair is the right way
    round; otherwise the learner would always be told of the other one.
    """
    present = [w for w in wrong if (w.earlier, w.later) in pairs]
    kept: list[WrongPair] = []
    for pair in sorted(present, key=lambda w: not w.critical):
        tried = [*kept, pair]
        if all(_shows_alone(w, tried) for w in tried):
            kept.append(pair)
    return [w for w in present if w in kept]


def _shows_alone(pair: WrongPair, among: Sequence[WrongPair]) -> bool:
    """Whether the other pairs leave it open which step of a pair comes first."""
    after: dict[str, list[str]] = {}
    for other in among:
        if other is not pair:
            after.setdefault(other.earlier, []).append(other.later)
    reached, waiting = {pair.earlier}, [pair.earlier]
    while waiting:
        for step in after.get(waiting.pop(), ()):
            if step == pair.later:
                return False
            if step not in reached:
                reached.add(step)
                waiting.append(step)
    return True
