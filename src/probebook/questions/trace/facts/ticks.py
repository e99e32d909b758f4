"""What several forms of ticks say: a position that was traced in place of another."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Noun

__all__ = ["OtherPosition"]


@dataclass(frozen=True)
class OtherPosition(Facts, group="questions/trace/ticks", says=("position-name",)):
    """A position in which those ticks would be right, and the one the knob stands at."""

    other: Noun
    position: Noun
