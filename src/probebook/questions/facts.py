"""What the sentences of marking are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = [
    "Bare",
    "Because",
    "Dangerous",
    "DangerousBecause",
    "PartOfAnswer",
    "PartsRight",
    "Plain",
    "Ticks",
    "TooEarly",
    "Unread",
]


@dataclass(frozen=True)
class Because(Facts, group="questions/marking/part", says=("right-because", "partly-because", "wrong-because")):
    """The reason that stands with an option."""

    why: Phrase


@dataclass(frozen=True)
class Bare(Facts, group="questions/marking/part", says=("right", "partly", "wrong")):
    """An option or a field without a reason."""


@dataclass(frozen=True)
class Plain(
    Facts,
    group="questions/marking/plain",
    says=(
        "not-readable",
        "on-the-bench",
        "nothing-typed",
        "nothing-chosen",
        "nothing-ticked",
        "nothing-ordered",
        "steps-missing",
        "not-open",
        "nothing-joins",
        "check-figures",
    ),
):
    """Sentences that need no facts."""


@dataclass(frozen=True)
class Ticks(Facts, group="questions/marking/ticks", says=("count",)):
    """Right ticks, wrong ticks, and right ones that were left out."""

    good: int
    bad: int
    left: int


@dataclass(frozen=True)
class TooEarly(Facts, group="questions/marking/order", says=("too-early",)):
    """Two steps that stand the wrong way round."""

    earlier: Phrase
    later: Phrase


@dataclass(frozen=True)
class Unread(
    Facts,
    group="questions/marking/unread",
    says=(
        "not-a-number",
        "too-long",
        "nothing",
        "unprintable",
        "unreadable",
        "no-unit",
        "unknown-unit",
        "other-quantity",
        "metres-for-ohms",
        "raised",
        "spread",
        "limit",
        "too-large",
        "below-zero",
        "too-small",
    ),
):
    """A quantity that cannot be read: the text as quoted, the unit given and wanted, the sign of the wanted one."""

    shown: str
    given: Phrase
    wanted: Phrase
    sign: str


@dataclass(frozen=True)
class Dangerous(Facts, group="questions/marking/whole", says=("critical",)):
    """What a critical slip costs."""


@dataclass(frozen=True)
class DangerousBecause(Facts, group="questions/marking/whole", says=("critical-because",)):
    """What a critical slip costs, with its advice."""

    advice: Phrase


@dataclass(frozen=True)
class PartOfAnswer(Facts, group="questions/marking/whole", says=("part",)):
    """The label of a part and what is said of it."""

    label: Phrase
    message: Phrase


@dataclass(frozen=True)
class PartsRight(Facts, group="questions/marking/parts", says=("both-right", "all-right", "some-right")):
    """How many parts are right."""

    right: int
    out_of: int
