"""Symbols that are taken for one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from probebook.questions.frame import WrongOption
from probebook.questions.trace.facts.symbols import symbol_facts
from probebook.questions.trace.signs import Sign
from probebook.words import Words

__all__ = ["symbol_slips"]


def symbol_slips(
    words: Words, rivals: Sequence[Sign], options: Mapping[str, str], asked: Literal["name", "does"]
) -> list[WrongOption]:
    """The wrong options (symbol id → option id) for the name or for what the part does."""
    return [WrongOption("wrong-symbol", options[s.id], words.say(symbol_facts(s), f"here.{asked}")) for s in rivals]
