"""Wrong connections that a named slip leads to, and checks that are wrongly passed or failed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from probebook.cases.library import Library
from probebook.meters import Function
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit, WrongOption, advice
from probebook.questions.miswire.facts import ChecksFacts, Plain, SoundFacts, against
from probebook.questions.miswire.refitted import Refitted
from probebook.questions.miswire.refitting import AS_DRAWN, Miswiring
from probebook.questions.model import Slip
from probebook.words import Words

__all__ = ["amiss_slips", "wrong_connections"]

#: Slips that have to lead somewhere for the question to be fair.
FEWEST = 3


@dataclass(frozen=True, slots=True)
class _Way:
    """A wrong way of judging: the slip, the connections it may lead to, and the check it overlooks."""

    slip: str
    fits: Callable[[Refitted, Miswiring], bool]
    at: Callable[[Refitted, Miswiring], int | None]


def _fits_one(scene: Refitted, m: Miswiring) -> bool:
    """Tells itself in some of the checks in which the key shows, but not in all."""
    told = scene.apart(m)
    return bool(told and set(scene.amiss(scene.key)) & set(scene.amiss(m)) - set(told))


def _joins(scene: Refitted, m: Miswiring) -> bool:
    return scene.shorts(m) in scene.apart(m)


def _same_wires(scene: Refitted, m: Miswiring) -> bool:
    """Looks right on the drawing: shows in no check, or moves the wires that are moved."""
    moved = {wire for wire, _, _ in scene.key.moves}
    return bool(scene.apart(m) and (not scene.amiss(m) or moved & {wire for wire, _, _ in m.moves}))


_WAYS = (
    _Way("one-reading-enough", _fits_one, lambda _scene, _m: None),
    _Way("short-ignored", _joins, lambda scene, m: scene.shorts(m)),
    _Way("reads-the-drawing", _same_wires, lambda _scene, _m: None),
)


def wrong_connections(words: Words, scene: Refitted, others: Sequence[Miswiring]) -> dict[Miswiring, WrongOption]:
    """The connection that each slip leads to, each wrong by a check.

    Raises
    ------
    Unfit
        Too few slips lead to one.
    """
    wrong: dict[Miswiring, WrongOption] = {}
    if scene.apart(AS_DRAWN):
        slip = "earth-forgotten" if scene.key.off else "any-reading-passes"
        here = against(words, scene, AS_DRAWN)
        wrong[AS_DRAWN] = WrongOption(slip, AS_DRAWN.key, here, critical=bool(scene.key.off))
    for way in _WAYS:
        found = [m for m in others if m not in wrong and way.fits(scene, m)]
        if found:
            chosen = min(found, key=lambda m: len(scene.apart(m)))
            here = sw.together(words.say(Plain(), way.slip), against(words, scene, chosen, way.at(scene, chosen)))
            wrong[chosen] = WrongOption(way.slip, chosen.key, here)
    if len(wrong) < FEWEST:
        raise Unfit("too few slips lead to a wrong connection")
    return wrong


def amiss_slips(library: Library, scene: Refitted, rows: Sequence[SoundFacts], amiss: Sequence[int]) -> list[Slip]:
    """Checks that are failed though they agree within tolerance, or passed because they show a number."""
    slips: list[Slip] = []
    near = [
        i for i in _numbers(scene, range(len(rows))) if i not in amiss and scene.wanted[i].function is Function.OHMS
    ]
    if near:
        worst = max(near, key=lambda i: abs(scene.shown[i].value - scene.nominal[AS_DRAWN][i]))
        here = library.words.say(rows[worst], "here.exact-match")
        slips.append(Slip("exact-match", "amiss", f"c{worst + 1}", advice(library, "exact-match", here)))
    missed = _numbers(scene, amiss)
    if missed and len(missed) < len(amiss):
        here = library.words.say(ChecksFacts(), "here.any-reading-passes")
        left = [f"c{i + 1}" for i in amiss if i not in missed]
        slips.append(Slip("any-reading-passes", "amiss", left, advice(library, "any-reading-passes", here)))
    return slips


def _numbers(scene: Refitted, places: Iterable[int]) -> list[int]:
    """Those of the checks that show a number, not OL."""
    return [i for i in places if math.isfinite(scene.shown[i].value)]
