"""A small sheet invented for these tests: the Alderbrook training kitchen's demonstration oven."""

from __future__ import annotations

from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip

QUANTITY = Question(
    id="q01",
    kind=Kind.POWER,
    outcome="ohms and watts",
    level=1,
    title="The base element",
    prompt="The plate says **1150 W, 230 V**. What is the resistance of the element?",
    fields=(
        Field("ohms-key", FieldKind.QUANTITY, "Resistance of the element", 2.0, "46 ohm", "ohm", band=Band(45.0, 47.0)),
    ),
    slips=(
        Slip("amps-for-ohms", "ohms-key", "5 ohm", "1150 W ÷ 230 V gives **amps**, not ohms.", band=Band(4.9, 5.1)),
    ),
    explanation="Power is V²/R, so R = V²/P = 230² / 1150 = **46 Ω**.",
    working="1. 230 × 230 = 52 900\n2. 52 900 / 1150 = 46",
)
CHOICE = Question(
    id="q02",
    kind=Kind.STOP_OR_GO,
    outcome="know when to stop",
    level=1,
    title="Go on?",
    prompt="The insulation reading is below its limit. What now?",
    fields=(
        Field(
            "verdict-key",
            FieldKind.CHOICE,
            "What do you do next, standing before the oven with its cover still on?",
            2.0,
            "opt-stop",
            options=(
                Option("opt-dry", "Switch it on for an hour and hope that the heat drives the damp out of the element"),
                Option(
                    "opt-stop",
                    "Leave it isolated, dry the element with its supply still locked off or at a place made for it, "
                    "and measure its insulation again before anybody thinks of connecting it to the supply",
                    "A damp element recovers; a damaged one does not.",
                ),
                Option("opt-half", "Note it down"),
            ),
            partial=(("opt-half", 1.0),),
        ),
    ),
    slips=(Slip("live-damp", "verdict-key", "opt-dry", "A case that leaks is never made live.", critical=True),),
    explanation="It stays off until it measures well.",
)
TICKS = Question(
    id="q03",
    kind=Kind.TRACE,
    outcome="trace a circuit",
    level=1,
    title="What is live?",
    prompt="The selector stands at *grill*.",
    fields=(
        Field(
            "live-key",
            FieldKind.CHOICES,
            "Live parts",
            2.0,
            ["opt-grill", "opt-lamp"],
            options=(
                Option("opt-base", "Base element"),
                Option("opt-grill", "Grill element, both ends of it and the wire from the selector that feeds it"),
                Option("opt-lamp", "Oven lamp"),
            ),
        ),
        Field("amps-key", FieldKind.QUANTITY, "Current", 1.0, "10 A", "A", band=Band(9.8, 10.2)),
    ),
    slips=(),
    explanation="Only the grill and the lamp.",
)
STEPS = Question(
    id="q04",
    kind=Kind.ORDER,
    outcome="isolate and prove dead",
    level=1,
    title="Before the cover",
    prompt="Put the steps in order.",
    fields=(
        Field(
            "steps-key",
            FieldKind.ORDER,
            "Steps",
            2.0,
            ["opt-off", "opt-lock", "opt-prove", "opt-cover"],
            options=(
                Option("opt-off", "Switch off at the isolator"),
                Option("opt-lock", "Lock it off and hang up the tag with your name"),
                Option("opt-prove", "Prove the tester, test between all conductors, prove the tester again"),
                Option("opt-cover", "Take off the cover"),
            ),
            before=(("opt-off", "opt-lock"), ("opt-lock", "opt-prove"), ("opt-prove", "opt-cover")),
        ),
    ),
    slips=(Slip("cover-first", "steps-key", ["opt-cover", "opt-prove"], "The cover comes off last.", critical=True),),
    explanation="Off, lock, prove, cover.",
)
QUESTIONS = (QUANTITY, CHOICE, TICKS, STEPS)
META = {"title": "Demonstration oven"}
