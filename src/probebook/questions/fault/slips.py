"""The wrong options of a fault question: where named slips lead, and the rivals that nobody has to slip for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from probebook.cases.model import Case
from probebook.diagnosis import Complaint
from probebook.questions.fault.contrasts import Against, against
from probebook.questions.fault.facts import ObservationFacts
from probebook.questions.fault.reasons import Speaker
from probebook.questions.frame import Unfit, WrongOption
from probebook.questions.misreadings.evidence import Misreading
from probebook.questions.misreadings.slips import misreadings
from probebook.words import Phrase

__all__ = ["Rivals", "option_id", "rivals_of", "same_with_rival", "unlike"]


def option_id(faults: Iterable[str]) -> str:
    """Id of the option that names these faults."""
    return "+".join(sorted(faults)) or "nothing-wrong"


@dataclass(frozen=True, slots=True, eq=False)
class Rivals:
    """The wrong options in order, each with what speaks against it, and the slips that lead to some of them."""

    against: dict[frozenset[str], Against]
    slips: tuple[WrongOption, ...]


def rivals_of(case: Case, speaker: Speaker) -> Rivals:
    """The wrong options of a case.

    Raises
    ------
    Unfit
        Fewer than three slips lead to a wrong answer that can be told from the right one.
    """
    found, gates = speaker.found, speaker.gates
    row = found.row(case.truth)
    truth = found.hypotheses[row].faults
    telling = [i for i in case.proof.observations if i > 0]
    reasons: dict[frozenset[str], Against] = {}
    wrong: list[WrongOption] = []
    for slip in misreadings(speaker.words, case, speaker.appliance, found):
        if len(wrong) >= gates.wrong or slip.faults in reasons or unlike(slip.faults, truth):
            continue
        why = against(gates, found, row, slip.faults, telling)
        if why is None:
            continue
        reasons[slip.faults] = why
        quoted = against(gates, found, row, slip.faults, [slip.reading]) if slip.reading else why
        wrong.append(WrongOption(slip.slip, option_id(slip.faults), _here(slip, quoted or why, speaker)))
    if len(wrong) < gates.slips:
        raise Unfit(f"only {len(wrong)} slips lead to a wrong answer here")
    for rival in (*case.rivals, ()):
        faults = frozenset(rival)
        if len(reasons) < gates.wrong and faults not in reasons and faults != truth and not unlike(faults, truth):
            why = against(gates, found, row, faults, telling)
            if why is not None:
                reasons[faults] = why
    return Rivals(reasons, tuple(wrong))


def unlike(faults: frozenset[str], truth: frozenset[str]) -> bool:
    """Whether a rival looks out of place: two faults where one is asked for, unless it shares one with the truth."""
    return len(faults) > 1 and (len(truth) < 2 or not faults & truth)


def _here(slip: Misreading, why: Against, speaker: Speaker) -> Phrase:
    """What went wrong and what speaks against it; a reading that has just been quoted is not quoted again."""
    again = speaker.again(why)
    if not again or slip.reading != why.observation:
        return Phrase(f"{slip.here} {speaker.named(why)}")
    told = slip.slip == "any-reading-passes" and not slip.faults
    return slip.here if told else Phrase(f"{slip.here} {again}")


def same_with_rival(
    case: Case, speaker: Speaker, shown: Iterable[ObservationFacts], key: int, ratios: list[float]
) -> Iterator[WrongOption]:
    """Slips of the second field: observations that would be the same with the rival."""
    for facts in shown:
        i = facts.reading
        if i == key or abs(ratios[i]) >= math.log(speaker.gates.speaks):
            continue
        if isinstance(case.evidence[i], Complaint):
            yield WrongOption("symptom-is-cause", f"o{i}", speaker.words.say(facts, "would-say"))
        else:
            yield WrongOption("rules-out-nothing", f"o{i}", speaker.words.say(facts, "would-show"))
