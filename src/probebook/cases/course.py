"""The course of a case: the readings that decide, as many as its level asks for, and what else stands in the record."""

from __future__ import annotations

import random

import numpy as np

from probebook.cases.gates import PutBack
from probebook.cases.inquiry import (
    Inquiry,
    decisive,
    investigate,
    misleading,
    nearly_decisive,
    suspect_second,
    together,
    unremarkable,
)
from probebook.diagnosis import Observation
from probebook.diagnosis.effort import minutes

__all__ = ["TRIAL_LIMIT", "look_into", "par", "recorded"]

#: Trials in which a good investigation must be able to settle a case, by level.
TRIAL_LIMIT = {1: 8, 2: 10, 3: 13, 4: 16}


def look_into(inquiry: Inquiry, row: int, level: int, rng: random.Random) -> None:
    """Take the readings that decide, as many as the level asks for."""
    view = inquiry.view
    if level == 1:
        choices = decisive(view, inquiry.weights, row)
        if not choices:
            raise PutBack("no single reading decides")
        inquiry.do(rng.choice(choices))
        return
    inquiry.barred = frozenset(nearly_decisive(view, inquiry.weights, row))
    if level >= 3:
        about = [c for c in misleading(view, row) if c not in inquiry.barred]
        if about:
            inquiry.do(rng.choice(about))
    if level == 2 or (level == 3 and rng.random() < 0.5):
        _take_few(inquiry, row, level, rng)
    if not _go_on(inquiry, rng, row, level):
        raise PutBack("the investigation comes to no conclusion")


def _go_on(inquiry: Inquiry, rng: random.Random | None, row: int, level: int) -> bool:
    """Investigate to the end; where two faults are present, on past the first. False when that is too long."""
    most = TRIAL_LIMIT[level]
    if not investigate(inquiry, rng, most):
        return False
    if len(list(inquiry.view.rows)[row]) > 1 and int(np.argmax(inquiry.weights)) != row:
        return suspect_second(inquiry) and investigate(inquiry, rng, most)
    return True


def par(inquiry: Inquiry, row: int, level: int) -> tuple[int, float]:
    """Trials and minutes of an investigation that always does what is worth most a minute."""
    if not _go_on(inquiry, None, row, level) or int(np.argmax(inquiry.weights)) != row:
        raise PutBack("a good investigation takes longer than the level allows")
    return len(inquiry.steps), inquiry.spent


def _take_few(inquiry: Inquiry, row: int, level: int, rng: random.Random) -> None:
    """Take two readings that together decide, or one that tells something and then two, where there are such."""
    view = inquiry.view
    if level == 2 and rng.random() < 0.4:
        bits = view.information(inquiry.weights)[: view.readings]
        bits[[*inquiry.barred, *(i for i, t in enumerate(view.trials[: view.readings]) if t.dried)]] = 0.0
        telling = np.flatnonzero(bits > 0.3 * bits.max())
        if len(telling):
            inquiry.do(int(rng.choice(telling.tolist())))
    for attempt in range(2):
        pairs = together(view, inquiry.weights, row, {*inquiry.barred, *inquiry.done})
        if pairs and not inquiry.settled:
            for column in _in_order(inquiry, rng.choice(pairs), rng):
                inquiry.do(column)
            return
        bits = view.information(inquiry.weights)[: view.readings]
        bits[[*inquiry.barred, *inquiry.done]] = 0.0
        if level == 2 and (attempt or len(inquiry.done) or bits.max() <= 0.0):
            raise PutBack("no two or three readings decide")
        if bits.max() <= 0.0:
            return
        inquiry.do(int(np.argmax(bits)))


def _in_order(inquiry: Inquiry, pair: tuple[int, int], rng: random.Random) -> tuple[int, ...]:
    """The one that takes less first."""
    first, second = (minutes(inquiry.view.appliance, inquiry.view.trials[c], inquiry.setup) for c in pair)
    return pair if first < second or (first == second and rng.random() < 0.5) else pair[::-1]


def recorded(inquiry: Inquiry, row: int, level: int, rng: random.Random) -> tuple[Observation, ...]:
    """What stands in the record: the investigation, safety readings, and some that show nothing amiss."""
    view = inquiry.view
    done = inquiry.done
    most = rng.randint(1, 3 if level < 3 else 2)
    free = {frozenset(view.trials[c].probes) for c in done if view.trials[c].lifted}
    plain = [c for c in unremarkable(view, row) if c not in done | inquiry.barred]
    extra: list[int] = []
    for column in rng.sample(plain, len(plain)):
        about = frozenset(view.trials[column].probes)
        if len(extra) < most and not (view.trials[column].lifted and about in free):
            extra.append(column)
            if view.trials[column].lifted:
                free.add(about)
    wanted = rng.random() < 0.6 or not extra
    safety = [c for c in view.safety if c not in done | inquiry.barred] if wanted else []
    body = [o for _, o in inquiry.steps]
    for column in extra:
        body.insert(rng.randrange(len(body)) if len(body) > 1 else 0, inquiry.take(view.trials[column]))
    return (*(inquiry.take(view.trials[c]) for c in safety), *body)
