"""What every verdict question has in common: two fields, reasons that are each a stated thought, and the guard band."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

from probebook.cases.library import Library
from probebook.meters import Function, Meter, Outcome, Reading, Verdict
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question
from probebook.questions.owner import for_owner

__all__ = ["Reason", "accuracy_words", "drawn_outcome", "guard", "judged", "stated"]

_IDS = {Outcome.WITHIN: "within", Outcome.OUTSIDE: "outside", Outcome.CANNOT_TELL: "cannot"}


@dataclass(frozen=True, slots=True)
class Reason:
    """A wrong reason: the slip it shows, the thought as an option, and what to say of it here."""

    slip: str
    text: str
    here: str


def drawn_outcome(ask: Ask, rng: random.Random) -> Outcome:
    """The verdict wanted: as the plan says (option ``verdict``), or drawn; 'cannot be told' only from level 3."""
    wanted = ask.text("verdict")
    by_id = {name: outcome for outcome, name in _IDS.items()}
    if wanted:
        if wanted not in by_id:
            raise Unfit(f"there is no verdict '{wanted}'")
        return by_id[wanted]
    choices = [Outcome.WITHIN, Outcome.OUTSIDE] + ([Outcome.CANNOT_TELL] if ask.level >= 3 else [])
    return rng.choice(choices)


def guard(found: Verdict, wanted: Outcome, *, room: float, limits_crossed: int = 1) -> None:
    """Put a draw back unless it gives the wanted verdict with ``room`` to spare (relative to the limits).

    Within and outside keep clear of the limit by that much; 'cannot be told' reaches across it by that much.
    """
    if found.outcome is not wanted:
        raise Unfit(f"the draw is {found.outcome}, not {wanted}")
    crossed = 0
    for limit in (found.limit_low, found.limit_high):
        if not math.isfinite(limit) or limit <= 0:
            continue
        low, high = found.low - limit, found.high - limit
        if low < 0 < high:
            crossed += 1
            if min(-low, high) < room * limit:
                raise Unfit("the interval barely reaches across the limit")
        elif min(abs(low), abs(high)) < room * limit:
            raise Unfit("the interval ends too near the limit")
    if wanted is Outcome.CANNOT_TELL and crossed != limits_crossed:
        raise Unfit("the interval does not reach across the limit")


def accuracy_words(meter: Meter, function: Function, reading: Reading) -> str:
    """The accuracy statement of the range in use, as makers print it."""
    used = next(r for r in meter.ranges_of(function) if math.isclose(r.resolution, reading.resolution, rel_tol=1e-6))
    return f"±({used.fraction_of_reading * 100:g} % of reading + {used.digits:g} digits)"


def stated(meter: Meter, function: Function, reading: Reading) -> tuple[float, float]:
    """The interval a learner works out: the reading, leads taken off, give or take the accuracy statement."""
    used = next(r for r in meter.ranges_of(function) if math.isclose(r.resolution, reading.resolution, rel_tol=1e-6))
    value = reading.value - meter.leads_in(function, nulled=reading.nulled)
    width = used.accuracy(reading.value)
    return max(0.0, value - width), value + width


def judged(
    ask: Ask,
    library: Library,
    rng: random.Random,
    *,
    title: str,
    prompt: str,
    found: Verdict,
    right: str,
    reasons: Sequence[Reason],
    tempts: str,
    explanation: str,
    working: str,
    outcome: str,
    competences: tuple[str, ...],
    with_what: str = "this meter",
    unit_changes: int = 0,
) -> Question:
    """The question on a verdict.

    Parameters
    ----------
    found
        The core's verdict.
    right, reasons
        The right reason as an option, and the wrong ones.
    tempts
        The slip that leads from the key to the opposite verdict.
    with_what
        What it cannot be told with.
    """
    key = _IDS[found.outcome]
    options = (
        Option("within", "within what the rule allows"),
        Option("outside", "outside what the rule allows"),
        Option("cannot", f"cannot be told with {with_what}"),
    )
    target = choice_field("verdict", "Verdict", options, key, marks=2.0)
    wrong = [reason for number, reason in enumerate(reasons) if reason.text not in {r.text for r in reasons[:number]}]
    letters = [f"r{n}" for n in range(len(wrong) + 1)]
    rng.shuffle(letters)
    named = dict(zip(letters[1:], wrong, strict=True))
    listed = [Option(letters[0], right), *(Option(letter, reason.text) for letter, reason in named.items())]
    why = choice_field("why", "Because", shuffled(listed, rng), letters[0])
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome=outcome,
            level=ask.level,
            title=title,
            prompt=f"{prompt} "
            + ("What does that tell you, and why?" if for_owner(ask) else "Give your verdict, and the reason for it."),
            fields=(target, why),
            slips=(
                *option_slips(library, target, _verdict_slips(key, tempts, right)),
                *option_slips(
                    library, why, [WrongOption(reason.slip, letter, reason.here) for letter, reason in named.items()]
                ),
            ),
            explanation=explanation,
            working=working,
            competences=competences,
        ),
        library,
        branches=2,
        unit_changes=unit_changes,
    )


def _verdict_slips(key: str, tempts: str, right: str) -> list[WrongOption]:
    told = f"{right[0].upper()}{right[1:]}."
    if key == "cannot":
        return [
            WrongOption("meter-beyond-its-means", "within", told),
            WrongOption("meter-beyond-its-means", "outside", told),
        ]
    other = "outside" if key == "within" else "within"
    return [WrongOption(tempts, other, told), WrongOption("doubt-for-verdict", "cannot", told)]
