"""Which observation rules out one of the rivals, most clearly of all."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from dataclasses import dataclass

from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.wording import observation_line
from probebook.diagnosis import Complaint
from probebook.questions.fault.facts import ObservationFacts
from probebook.questions.fault.reasons import Speaker
from probebook.questions.fault.slips import same_with_rival
from probebook.questions.frame import choice_field, option_slips
from probebook.questions.model import Field, Option, Slip

__all__ = ["decides"]

#: Observations offered beside the right one.
OTHERS = 4


@dataclass(frozen=True, slots=True)
class Decision:
    """A rival by its row, the observation that rules it out, and how much each speaks against it (ln of a factor)."""

    rival: int
    key: int
    ratios: list[float]


def _decision(speaker: Speaker, row: int, rivals: Iterable[frozenset[str]]) -> Decision | None:
    """The rival that one observation rules out most clearly; None where no single one does."""
    found, gates = speaker.found, speaker.gates
    best: tuple[float, int, int] | None = None
    for faults in rivals:
        rival = found.row(faults)
        ratios = found.log_ratios(row, rival).tolist()
        order = sorted(range(len(ratios)), key=lambda i: (-ratios[i], i))
        first, second = ratios[order[0]], ratios[order[1]] if len(order) > 1 else 0.0
        clear = min(first, math.log(1e6)) - max(second, 0.0)
        if first >= math.log(gates.enough) and clear >= math.log(gates.clearly) and order[0] > 0:
            candidate = (round(clear, 6), -rival, order[0])
            best = max(best, candidate) if best else candidate
    if best is None:
        return None
    rival = -best[1]
    return Decision(rival, best[2], found.log_ratios(row, rival).tolist())


def decides(
    case: Case, speaker: Speaker, rivals: Iterable[frozenset[str]], library: Library, rng: random.Random
) -> tuple[Field, tuple[Slip, ...]] | None:
    """The second field: which observation rules out one of the rivals; None where no single one does."""
    found = speaker.found
    decision = _decision(speaker, found.row(case.truth), rivals)
    if decision is None:
        return None
    key = decision.key
    others = [i for i in range(len(case.evidence)) if i != key]
    rng.shuffle(others)
    shown = sorted([key, *sorted(others, key=lambda i: i != 0)[:OTHERS]])
    rival = speaker.title(found.hypotheses[decision.rival].faults)
    rows = [ObservationFacts(i, _line(speaker, i), rival) for i in shown]
    options = [_option(speaker, facts, decision) for facts in rows]
    target = choice_field("decides", speaker.words.say(rows[0], "label"), options, f"o{key}")
    wrong = same_with_rival(case, speaker, rows, key, decision.ratios)
    return target, option_slips(library, target, list(wrong))


def _line(speaker: Speaker, i: int) -> str:
    return observation_line(speaker.appliance, speaker.found.evidence[i], speaker.words)


def _option(speaker: Speaker, facts: ObservationFacts, decision: Decision) -> Option:
    i = facts.reading
    heard = isinstance(speaker.found.evidence[i], Complaint)
    why = "key" if i == decision.key else "same" if decision.ratios[i] < math.log(speaker.gates.speaks) else "weaker"
    said = speaker.words.say(facts, "heard" if heard else "reading")
    return Option(f"o{i}", said, speaker.words.say(facts, why))
