"""What a wrong decision and a wrong next step show in a situation."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypedDict

from probebook.questions.frame import WrongOption
from probebook.questions.procedures import Choice, Situation

__all__ = ["decision_slip", "next_slips", "out_of_turn"]


class Wrongly(TypedDict):
    """What a choice shows, and whether it fails the question."""

    slip: str
    critical: bool


def decision_slip(situation: Situation, because: str) -> WrongOption:
    """What the wrong decision shows: going on where one has to stop may be critical, stopping never is."""
    return WrongOption(
        situation.slip,
        "stop" if situation.go else "go",
        because,
        critical=situation.critical and not situation.go,
    )


def next_slips(named: Mapping[str, Choice], said: Callable[[str], str]) -> list[WrongOption]:
    """What each wrong next step shows, by its letter."""
    return [
        WrongOption(choice.slip, letter, said(choice.here), critical=choice.critical)
        for letter, choice in named.items()
        if choice.slip
    ]


def out_of_turn(here: Situation, other: Situation) -> Wrongly:
    """What doing the right thing of an ``other`` situation shows ``here``, and whether it fails the question.

    Where one has to stop it is what going on shows. Where one may go on it is acting before its time, stopping without
    need, or a step that another has to come before.
    """
    if not here.go:
        return {"slip": here.slip, "critical": here.critical and bool(other.acts)}
    if other.acts:
        return {"slip": other.acts, "critical": True}
    return {"slip": "done-too-early" if other.go else "stopped-too-soon", "critical": False}
