"""Why a rival is wrong, in one sentence with the case's own figures and the factor by which it explains worse."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from probebook.appliances import Appliance
from probebook.cases.words import symptom_words
from probebook.diagnosis import Complaint, Measured, Observation, Posterior, Ran, Seen, Symptom, expected, symptoms
from probebook.diagnosis.hypotheses import title_of
from probebook.diagnosis.symptoms import OFF, PROTECTION
from probebook.diagnosis.trials import joined

__all__ = ["BRACKETS", "Against", "against"]

#: What the figure in brackets behind an explanation means, for the head of a list of them.
BRACKETS = "The figure in brackets says how many times less probable the evidence is with that explanation."

#: A factor at least this large lets one observation stand for all.
ALONE = 10.0
#: An observation that establishes the answer is quoted against a rival when it speaks against it by this factor.
QUOTED = 100.0
#: The truth must explain the whole evidence at least this many times better than an option that is called wrong.
SURE = 20.0


@dataclass(frozen=True, slots=True)
class Against:
    """What speaks against a rival: the observation that does so most, its factor, that of all, and the sentence.

    ``sentence`` follows the rival's name ('reading 7 would then show …'); ``named`` stands by itself ('with …, reading
    7 would show …'), and so does ``again``, for where that reading has just been quoted ('with … it would show …',
    empty when the observation is no reading). ``figure`` is the factor in words ('about 16,000').
    """

    faults: frozenset[str]
    observation: int
    factor: float
    total: float
    sentence: str
    named: str
    again: str
    figure: str


def _figure(factor: float) -> str:
    """A factor in words: ``about 16,000``."""
    if factor >= 1e6:
        return "over a million"
    return f"about {round(factor, -math.floor(math.log10(factor)) + 1):,.0f}"


def against(
    appliance: Appliance, found: Posterior, row: int, faults: frozenset[str], telling: Collection[int] = ()
) -> Against | None:
    """What speaks against a rival of the hypothesis in ``row``, quoting one of the ``telling`` observations if it can.

    None when the rival is no hypothesis or is that very one, or when too little speaks against it for it to be called
    wrong.
    """
    rival = next((i for i, h in enumerate(found.hypotheses) if h.faults == faults), None)
    if rival is None or rival == row:
        return None
    ratios = (found.by_observation[row] - found.by_observation[rival]).tolist()
    enough = [i for i in telling if ratios[i] >= math.log(QUOTED)]
    order = sorted(range(len(ratios)), key=lambda i: (i not in enough, -ratios[i], i))
    odds = math.log(found.probabilities[row] / found.probabilities[rival])
    total = math.exp(min(sum(ratios), odds + 2.0, 300.0))
    factor = math.exp(min(ratios[order[0]], 300.0))
    if total < SURE or factor < 2.0:
        return None
    if factor >= ALONE:
        end = "."
    else:
        more = [i for i in order[1:4] if ratios[i] > math.log(1.5)]
        rest = joined([_name(found.evidence[i], i) for i in more]) if more else "its rarity"
        end = f"; with {rest} that tells against it."
    would, shown = _would(appliance, found, order[0], faults)
    title = title_of(appliance, sorted(faults)) if faults else "nothing wrong"
    sentence = would.format(then=" then") + shown
    band = shown.partition("; it shows ")[0] if isinstance(found.evidence[order[0]], Measured) else ""
    return Against(
        faults,
        order[0],
        factor,
        total,
        f"{sentence[0].upper()}{sentence[1:]}{end}",
        f"With ‘{title}’, {would.format(then='')}{shown}{end}",
        f"With ‘{title}’ it would show {band}." if band else "",
        _figure(factor if factor >= ALONE else total),
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
    differing = [s for s in told if would.get((s.position, s.subject), OFF) != s.how]
    who = "what the customer says comes to" if isinstance(item, Complaint) else f"observation {place} says"
    parts = [
        f"at {appliance.position(s.position).title} you would see ‘{_as(appliance, s, would)}’, "
        f"and {who} ‘{symptom_words(appliance, s)}’"
        for s in differing[:2]
    ]
    return "", joined(parts) if parts else "what was observed fits less well"


def _as(appliance: Appliance, symptom: Symptom, would: Mapping[tuple[str, str], str]) -> str:
    """The symptom as it would be, in the words that a functional run has for it."""
    return symptom_words(appliance, replace(symptom, how=would.get((symptom.position, symptom.subject), OFF)))
