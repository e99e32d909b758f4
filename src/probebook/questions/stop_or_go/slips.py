"""What a wrong decision and a wrong next step show in a situation."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from probebook.questions.frame import WrongOption
from probebook.questions.procedures import Choice, Situation

__all__ = ["decision_slip", "next_slips"]


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
