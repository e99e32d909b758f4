"""What a symbol stands for, and what the part does."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.questions.trace.signs import Sign
from probebook.words import Facts, Phrase

__all__ = ["SymbolFacts", "symbol_facts"]


@dataclass(frozen=True)
class SymbolFacts(
    Facts,
    group="questions/trace/symbol",
    says=(
        "title",
        "prompt",
        "label.name",
        "label.does",
        "why.name",
        "why.does",
        "here.name",
        "here.does",
        "explanation",
        "working",
        "picture.title",
        "picture.description",
    ),
):
    """A symbol in words: how it looks, what it is called, what such a part does, where it is laid down."""

    looks: Phrase
    name: Phrase
    does: Phrase
    source: Phrase


def symbol_facts(sign: Sign) -> SymbolFacts:
    """What the sentences are told of a symbol."""
    return SymbolFacts(sign.looks, sign.name, sign.does, sign.source)
