"""Questions invented for these tests: a 1150 W element at 230 V (46.0 Ω), a choice, ticks and an order."""

from __future__ import annotations

import math

from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip

ELEMENT = Question(
    id="q01",
    kind=Kind.POWER,
    outcome="ohms and watts",
    level=1,
    title="The base element of the Alderbrook oven",
    prompt="The plate says **1150 W, 230 V**. What is its resistance, hot?",
    fields=(Field("ohms", FieldKind.QUANTITY, "Resistance", 2.0, "46 ohm", unit="ohm", band=Band(45.0, 47.0)),),
    slips=(
        Slip("volts-for-watts", "ohms", "5 ohm", "That divides watts by volts: it is amps.", band=Band(4.9, 5.1)),
        Slip("half", "ohms", "23 ohm", "That halves it.", marks=0.5, band=Band(20.0, 30.0)),
        Slip("near-half", "ohms", "28 ohm", "That is something else.", marks=1.0, band=Band(26.0, 30.0)),
    ),
    explanation="R = V²/P = 230²/1150 = 46 Ω.",
    working="230 × 230 = 52 900; 52 900 / 1150 = 46.",
    competences=("C16", "C17"),
)

OPEN = Question(
    id="q02",
    kind=Kind.READING,
    outcome="read continuity and OL",
    level=1,
    title="An open element",
    prompt="What does the meter show?",
    fields=(
        Field(
            "shows",
            FieldKind.QUANTITY,
            "Reading",
            1.0,
            "OL",
            unit="ohm",
            band=Band(math.inf, math.inf),
            allow_open=True,
        ),
    ),
    slips=(),
    explanation="Nothing joins the two ends.",
)

VERDICT = Question(
    id="q03",
    kind=Kind.VERDICT,
    outcome="judge tolerance",
    level=2,
    title="Verdict",
    prompt="Is it within its tolerance?",
    fields=(
        Field(
            "verdict",
            FieldKind.CHOICE,
            "Verdict",
            2.0,
            "within",
            options=(
                Option("within", "Within its tolerance", "48 Ω lies inside."),
                Option("outside", "Outside its tolerance"),
                Option("unknown", "It cannot be told with this meter", "The meter is good enough."),
                Option("live", "Switch on and measure again in ohms"),
            ),
            partial=(("unknown", 0.5),),
        ),
        Field(
            "why",
            FieldKind.CHOICES,
            "Reasons",
            2.0,
            ["plate", "warm"],
            options=(
                Option("plate", "The plate gives it"),
                Option("warm", "It was cold"),
                Option("colour", "Its colour"),
                Option("beeper", "The beeper was silent"),
            ),
        ),
    ),
    slips=(
        Slip("ohms-live", "verdict", "live", "Ohms are never measured on a live circuit.", critical=True),
        Slip("silent-beeper", "why", "beeper", "The beeper is silent above its threshold."),
    ),
    explanation="It is within.",
)

ORDER = Question(
    id="q04",
    kind=Kind.ORDER,
    outcome="isolate and prove dead",
    level=1,
    title="Before the cover comes off",
    prompt="Put the steps in order.",
    fields=(
        Field(
            "steps",
            FieldKind.ORDER,
            "Steps",
            3.0,
            ["off", "lock", "prove", "cover"],
            options=(
                Option("cover", "Take the cover off."),
                Option("off", "Switch off at the isolator."),
                Option("prove", "Prove it dead."),
                Option("lock", "Lock it off."),
            ),
            before=(("off", "lock"), ("off", "prove"), ("lock", "cover"), ("prove", "cover")),
        ),
    ),
    slips=(
        Slip("cover-first", "steps", ["cover", "prove"], "The cover stays on until it is proved dead.", critical=True),
    ),
    explanation="Off, locked, proved, then the cover.",
)

ALL = (ELEMENT, OPEN, VERDICT, ORDER)
