"""Why a rival is wrong, in one sentence with the case's own figures and the factor by which it explains worse."""

from __future__ import annotations

import math
from dataclasses import dataclass

from probebook.appliances import Appliance
from probebook.cases.words import subject_words
from probebook.diagnosis import Complaint, Measured, Observation, Posterior, Ran, Seen, Symptom, expected, symptoms
from probebook.diagnosis.hypotheses import title_of
from probebook.diagnosis.symptoms import PROTECTION, TEMPERATURE
from probebook.diagnosis.trials import joined

__all__ = ["Against", "against", "times"]

#: A factor at least this large lets one observation stand for all.
ALONE = 10.0
#: The truth must explain the whole evidence at least this many times better than an option that is called wrong.
SURE = 20.0


@dataclass(frozen=True, slots=True)
class Against:
    """What speaks against a rival: the observation that does so most, its factor, that of all, and the sentence.

    ``sentence`` follows the rival's name ('reading 7 would then show …'); ``named`` stands by itself ('with …, reading
    7 would show …').
    """

    faults: frozenset[str]
    observation: int
    factor: float
    total: float
    sentence: str
    named: str


def times(factor: float) -> str:
    """A factor in words: ``about 16,000 times``."""
    if factor >= 1e6:
        return "more than a million times"
    if factor < 10:
        return f"{factor:.1f} times"
    return f"about {round(factor, -math.floor(math.log10(factor)) + 1):,.0f} times"


def against(appliance: Appliance, found: Posterior, row: int, faults: frozenset[str]) -> Against | None:
    """What speaks against a rival of the hypothesis in ``row``.

    None when the rival is no hypothesis or is that very one, or when too little speaks against it for it to be called
    wrong.
    """
    rival = next((i for i, h in enumerate(found.hypotheses) if h.faults == faults), None)
    if rival is None or rival == row:
        return None
    ratios = (found.by_observation[row] - found.by_observation[rival]).tolist()
    order = sorted(range(len(ratios)), key=lambda i: (-ratios[i], i))
    odds = math.log(found.probabilities[row] / found.probabilities[rival])
    total = math.exp(min(sum(ratios), odds + 2.0, 300.0))
    factor = math.exp(min(ratios[order[0]], 300.0))
    if total < SURE or factor < 2.0:
        return None
    if factor >= ALONE:
        end = f" ({times(factor)} less probable)."
    else:
        more = [i for i in order[1:4] if ratios[i] > math.log(1.5)]
        rest = joined([_name(found.evidence[i], i) for i in more]) if more else "its rarity"
        end = f"; with {rest} that makes it {times(total)} less probable than the right answer."
    would, shown = _would(appliance, found, order[0], faults)
    title = title_of(appliance, sorted(faults)) if faults else "nothing wrong"
    sentence = would.format(then=" then") + shown
    return Against(
        faults,
        order[0],
        factor,
        total,
        f"{sentence[0].upper()}{sentence[1:]}{end}",
        f"With ‘{title}’, {would.format(then='')}{shown}{end}",
    )


def _name(item: Observation, place: int) -> str:
    return "the complaint" if isinstance(item, Complaint) else f"reading {place}"


def _would(appliance: Appliance, found: Posterior, place: int, faults: frozenset[str]) -> tuple[str, str]:
    """What the rival would have given in place of an observation (``{then}`` after its verb), and what was observed."""
    item = found.evidence[place]
    if isinstance(item, Measured):
        band = expected(appliance, item.trial, faults, found.meters, nulled=item.nulled).text
        return f"reading {place} would{{then}} show ", f"{band}; it shows {item.display}"
    if isinstance(item, Seen):
        there = item.what or "nothing to see"
        return "a look at ", f"{item.at} would show something else; there is {there}"
    told = (Symptom(item.position, PROTECTION, item.how),) if not isinstance(item, Complaint | Ran) else item.symptoms
    would = {(s.position, s.subject): s.how for s in symptoms(appliance, faults)}
    differing = [s for s in told if would.get((s.position, s.subject), "off") != s.how]
    who = "the customer says" if isinstance(item, Complaint) else f"observation {place} says"
    parts = [
        f"{_subject(appliance, s)} at {appliance.position(s.position).title} would be "
        f"‘{would.get((s.position, s.subject), 'off')}’ and {who} ‘{s.how}’"
        for s in differing[:2]
    ]
    return "", joined(parts) if parts else "what was observed is explained no better"


def _subject(appliance: Appliance, symptom: Symptom) -> str:
    if symptom.subject in (PROTECTION, TEMPERATURE):
        return f"the {symptom.subject}"
    return f"the {subject_words(appliance, symptom.subject)}"
