"""What a symbol of a circuit diagram stands for, and what such a part does."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import Literal

from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Field, Option, Question, Slip
from probebook.questions.trace.facts.symbols import symbol_facts
from probebook.questions.trace.signs import RIVALS, Sign, load_signs
from probebook.questions.trace.slips.symbols import symbol_slips
from probebook.words import Words

__all__ = ["build_symbol"]

FORM = Form("trace", ("C19",))
#: How much larger a symbol is drawn by itself than in a diagram.
SCALE = 1.8


def build_symbol(ask: Ask, library: Library, rng: random.Random) -> Question:
    """What a symbol stands for and what the part does (option ``part`` names one symbol of the file)."""
    signs = load_signs(library.folder, library.words)
    wanted = ask.text("part")
    names = [s.id for s in signs.values() if not wanted or s.id == wanted]
    if not names:
        raise Unfit(f"there is no symbol '{wanted}'")
    sign = signs[rng.choice(names)]
    others = [signs[name] for name in sign.like]
    spare = [s for s in signs.values() if s is not sign and s not in others]
    rng.shuffle(spare)
    offered = [sign, *[*others, *spare][:RIVALS]]
    ids = {s.id: f"s{n}" for n, s in enumerate(rng.sample(offered, len(offered)))}
    name, name_slips = _part(library, offered, ids, "name", rng)
    does, does_slips = _part(library, offered, ids, "does", rng)
    shown = f"{ask.id}-symbol"
    pictures = ((f"{shown}.svg", _drawn(library.words, sign, shown)),)
    parts = Parts((name, does), (*name_slips, *does_slips), Effort(), pictures)
    return assemble(ask, library, FORM, symbol_facts(sign), parts)


def _part(
    library: Library,
    offered: Sequence[Sign],
    ids: Mapping[str, str],
    asked: Literal["name", "does"],
    rng: random.Random,
) -> tuple[Field, tuple[Slip, ...]]:
    """One of the two choices, the first of those offered being right; and its slips."""
    words, sign = library.words, offered[0]
    label = words.say(symbol_facts(sign), f"label.{asked}")
    options = [Option(ids[s.id], getattr(s, asked), words.say(symbol_facts(s), f"why.{asked}")) for s in offered]
    field = choice_field(asked, label, shuffled(options, rng), ids[sign.id])
    return field, option_slips(library, field, symbol_slips(words, offered[1:], ids, asked))


def _drawn(words: Words, sign: Sign, prefix: str) -> str:
    """The symbol by itself; its title says how it looks and not what it is."""
    from probebook.drawings import symbols
    from probebook.drawings.svg import Box, document

    drawn = getattr(symbols, sign.draw)(**sign.settings)
    box, room = drawn.box, 24.0
    left, top = SCALE * (min(box.left, -20.0) - room), SCALE * (box.top - room)
    view = Box(left, top, SCALE * (box.right + room), SCALE * (box.bottom + room))
    body = [f'<g transform="scale({SCALE:g})">{drawn.svg}</g>']
    facts = symbol_facts(sign)
    title, description = words.say(facts, "picture.title"), words.say(facts, "picture.description")
    return document(view, title, description, body, prefix=prefix)
