"""Everything there is to say about some evidence, as plain data: what is probable, what rules out what, what next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from probebook.appliances import Appliance
from probebook.diagnosis.conflicts import minimal_candidates
from probebook.diagnosis.effort import ARRIVED, Person, Setup
from probebook.diagnosis.evidence import Complaint, Measured, Observation, Ran, Seen
from probebook.diagnosis.hypotheses import title_of
from probebook.diagnosis.posterior import Meters, Posterior, determined, posterior
from probebook.diagnosis.prediction import expected
from probebook.diagnosis.proof import EXCLUDES, Exclusion, exclusion, expected_display
from probebook.diagnosis.trials import describe
from probebook.diagnosis.value import Worth, values

#: Hypotheses below this probability are not listed.
LISTED = 0.001
#: How many rows of each kind are listed.
ROWS, NEXT = 12, 5
#: An observation tells of a fault when some hypothesis explains it this many times better than a sound appliance.
TELLING = 10.0


@dataclass(frozen=True, slots=True)
class Row:
    """One hypothesis and its probability."""

    faults: tuple[str, ...]
    title: str
    probability: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One observation: in words, what a sound appliance gives, and the single faults that alone explain it.

    ``suspects`` is empty where a sound appliance explains the observation as well as anything.
    """

    text: str
    sound: str
    suspects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """What follows from evidence.

    Attributes
    ----------
    appliance
        Its id.
    determined
        Whether one hypothesis is established.
    rows
        The probable hypotheses, most probable first.
    findings
        The observations, in order.
    candidates
        The smallest sets of faults that give every telling observation one suspect: diagnosis by elimination alone.
    exclusions
        What speaks against each single rival of the most probable hypothesis.
    following
        The trials worth most a minute now, best first; none once the matter is determined.
    """

    appliance: str
    determined: bool
    rows: tuple[Row, ...]
    findings: tuple[Finding, ...]
    candidates: tuple[tuple[str, ...], ...]
    exclusions: tuple[Exclusion, ...]
    following: tuple[tuple[str, Worth], ...]

    def to_json(self) -> dict[str, Any]:
        """The explanation as plain data for a script."""
        from probebook.diagnosis.trials import trial_to_json

        return {
            "appliance": self.appliance,
            "determined": self.determined,
            "hypotheses": [
                {"faults": list(r.faults), "title": r.title, "probability": round(r.probability, 6)} for r in self.rows
            ],
            "findings": [{"text": f.text, "sound": f.sound, "suspects": list(f.suspects)} for f in self.findings],
            "candidates": [list(c) for c in self.candidates],
            "exclusions": [
                {
                    "faults": sorted(e.rival),
                    "title": e.title,
                    "observation": e.observation + 1,
                    "factor": float(f"{e.factor:.3g}"),
                    "total": float(f"{e.total:.3g}"),
                    "sentence": e.sentence,
                }
                for e in self.exclusions
            ],
            "next": [
                {
                    "text": text,
                    "trial": trial_to_json(worth.trial),
                    "bits": round(worth.bits, 4),
                    "minutes": round(worth.minutes, 2),
                }
                for text, worth in self.following
            ],
        }


def explain(
    appliance: Appliance,
    evidence: Sequence[Observation],
    meter: Meters,
    *,
    setup: Setup = ARRIVED,
    person: Person = Person.APPRENTICE,
) -> Explanation:
    """Explain evidence: posterior, what ruled out what, best next trials.

    Raises
    ------
    KeyError
        A reading names a position, wire or terminal that the appliance does not have.
    UsageError
        No instrument has a function that was used.
    """
    found = posterior(appliance, evidence, meter)
    ranked = found.ranked()
    findings = tuple(_finding(found, i) for i in range(len(found.evidence)))
    best = found.row(ranked[0][0].faults)
    settled = determined(found)
    rivals = [i for i, h in enumerate(found.hypotheses) if len(h.faults) <= 1 and i != best]
    following = () if settled else values(found, setup=setup, person=person)[:NEXT]
    return Explanation(
        appliance=appliance.id,
        determined=settled,
        rows=tuple(
            Row(tuple(sorted(h.faults)), title_of(appliance, h.faults), p) for h, p in ranked[:ROWS] if p >= LISTED
        ),
        findings=findings,
        candidates=tuple(tuple(sorted(c)) for c in minimal_candidates(_suspected(found, findings)) if len(c) <= 2),
        exclusions=tuple(exclusion(found, best, i, range(len(found.evidence))) for i in rivals)
        if found.evidence
        else (),
        following=tuple((describe(appliance, w.trial), w) for w in following),
    )


def _suspected(found: Posterior, findings: Sequence[Finding]) -> list[set[str]]:
    """The suspects of each telling observation, less those cleared by one that a sound appliance explains."""
    plain = [i for i, f in enumerate(findings) if not f.suspects]
    against = found.by_observation[0, plain] - found.by_observation[:, plain]
    cleared = {
        name
        for h, ratios in zip(found.hypotheses, against, strict=True)
        if len(h.faults) == 1 and ratios.max(initial=0.0) >= math.log(EXCLUDES)
        for name in h.faults
    }
    return [set(f.suspects) - cleared for f in findings if f.suspects]


def _finding(found: Posterior, place: int) -> Finding:
    observation = found.evidence[place]
    likelihood = found.by_observation[:, place]
    best = float(likelihood.max())
    suspects: tuple[str, ...] = ()
    if best - float(likelihood[0]) >= math.log(TELLING):
        suspects = tuple(
            name
            for h, value in zip(found.hypotheses, likelihood.tolist(), strict=True)
            if len(h.faults) == 1 and best - value < math.log(TELLING)
            for name in h.faults
        )
    return Finding(say(found, observation), _sound(found, observation), suspects)


def say(found: Posterior, observation: Observation) -> str:
    """One observation in words."""
    appliance = found.appliance
    if isinstance(observation, Measured):
        shown = observation.display or expected_display(observation, found)
        return f"{describe(appliance, observation.trial)}: {shown}"
    if isinstance(observation, Seen):
        return f"look at {observation.at}: {observation.what or 'nothing to see'}"
    if isinstance(observation, Complaint | Ran):
        head = "the customer says" if isinstance(observation, Complaint) else "functional run"
        return f"{head}: " + "; ".join(f"{s.position}, {s.subject}: {s.how}" for s in observation.symptoms)
    return f"{observation.position}: {observation.how}"


def _sound(found: Posterior, observation: Observation) -> str:
    if not isinstance(observation, Measured):
        return ""
    return expected(found.appliance, observation.trial, (), found.meters, nulled=observation.nulled).text
