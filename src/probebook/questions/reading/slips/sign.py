"""What goes wrong in naming the kind of a fault: the option that each slip leads to."""

from __future__ import annotations

from probebook.questions.frame import WrongOption
from probebook.questions.reading.facts.sign import SIGNS, OtherKind, SignFacts, SignKinds
from probebook.words import Words

__all__ = ["effect_slips", "kind_slips"]

#: (what it is, what it is taken for) → slip, where it is not merely another kind.
LEADS_TO = {
    ("open", "none"): "any-reading-passes",
    ("open", "short"): "ol-as-zero",
    ("open", "joint"): "wrong-kind-of-fault",
    ("none", "open"): "zero-as-open",
    ("joint", "none"): "any-reading-passes",
    ("leak", "none"): "any-reading-passes",
    ("short", "none"): "any-reading-passes",
}


def kind_slips(words: Words, facts: SignFacts, kind: str) -> list[WrongOption]:
    """The slips of what kind of fault it is."""
    told = words.say(facts, "here.kind")
    return [
        WrongOption(LEADS_TO.get((kind, other), "wrong-kind-of-fault"), other, told) for other in SIGNS if other != kind
    ]


def effect_slips(words: Words, kinds: SignKinds, kind: str) -> list[WrongOption]:
    """The slips of how it shows in use."""
    return [
        WrongOption(
            "wrong-kind-of-fault",
            other,
            words.say(
                OtherKind(words.say(kinds, f"kind.{other}")),
                "here.effect-none" if other == "none" else "here.effect",
            ),
        )
        for other in SIGNS
        if other != kind
    ]
