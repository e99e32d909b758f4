"""What hints are told: a formula, figures, one option that is wrong, one pair of steps."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

__all__ = [
    "BeforeHint",
    "BenchHint",
    "FiguresHint",
    "FormulaHint",
    "HintButton",
    "MethodHints",
    "NotThisHint",
    "SoManyHint",
]

HINTS = "workbook/hints"


@dataclass(frozen=True)
class HintButton(Facts, group=f"{HINTS}/button", says=("hint",)):
    """The button that asks for a hint."""


@dataclass(frozen=True)
class MethodHints(
    Facts,
    group=f"{HINTS}/method",
    says=(
        "power",
        "power-quantity",
        "power-choice",
        "reading",
        "reading-quantity",
        "reading-function-quantity",
        "reading-leads-quantity",
        "reading-insulation-quantity",
        "reading-choice",
        "verdict",
        "trace",
        "trace-choice",
        "trace-quantity",
        "order",
        "next-test",
        "bench",
        "fault",
        "miswire",
        "replacement",
        "curve",
        "stop-or-go",
        "record",
        "other",
    ),
):
    """How to go about a question of a kind."""


@dataclass(frozen=True)
class FormulaHint(Facts, group=f"{HINTS}/method", says=("formula",)):
    """The formula of a working, as it stands there: ``I = V ÷ R``."""

    formula: Phrase


@dataclass(frozen=True)
class FiguresHint(Facts, group=f"{HINTS}/step", says=("figures",)):
    """A line of the working up to its result: ``I = V ÷ R = 230 ÷ 35.5 =``."""

    line: Phrase


@dataclass(frozen=True)
class NotThisHint(Facts, group=f"{HINTS}/step", says=("not-this",)):
    """A field, and an option of it that is wrong."""

    label: Phrase
    option: Phrase


@dataclass(frozen=True)
class SoManyHint(Facts, group=f"{HINTS}/step", says=("so-many",)):
    """How many of all the options are right."""

    right: int
    all: int


@dataclass(frozen=True)
class BeforeHint(Facts, group=f"{HINTS}/step", says=("before",)):
    """Two steps, of which the one has to come before the other."""

    earlier: Phrase
    later: Phrase


@dataclass(frozen=True)
class BenchHint(Facts, group=f"{HINTS}/step", says=("bench-more",)):
    """What to mind at the end of a job on the bench."""
