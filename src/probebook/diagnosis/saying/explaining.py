"""Everything there is to say about some evidence, as plain data: what is probable, what rules out what, what next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from probebook.diagnosis.effort import ARRIVED, Person, Setup
from probebook.diagnosis.evidence import Complaint, Measured, Observation, Ran, Seen
from probebook.diagnosis.fit import Fit, fit_of
from probebook.diagnosis.inference import Meters, Posterior, determined, posterior
from probebook.diagnosis.model import About
from probebook.diagnosis.off_list import off_list
from probebook.diagnosis.open.fitting import ways_besides
from probebook.diagnosis.open.weighing import OpenPosterior, open_posterior
from probebook.diagnosis.prediction import expected
from probebook.diagnosis.probability.conflicts import minimal_candidates
from probebook.diagnosis.proof import Exclusion, exclusion
from probebook.diagnosis.saying import facts as told
from probebook.diagnosis.saying.contrasts import display_of, exclusion_words, spoken_together
from probebook.diagnosis.saying.failures import besides_words
from probebook.diagnosis.saying.misfits import aside_words, misfit_words
from probebook.diagnosis.saying.sentences import band_words, describe, how_words, title_of
from probebook.diagnosis.saying.ways import Candidate, candidates
from probebook.diagnosis.value import Worth, values
from probebook.numerics.rounding import rounded_number
from probebook.words import Phrase, Words

#: How many rows of each kind are listed.
ROWS, NEXT = 12, 5


@dataclass(frozen=True, slots=True)
class Weighed:
    """One observation: in words, what a sound appliance gives, and the single faults that alone explain it.

    ``suspects`` is empty where a sound appliance explains the observation as well as anything.
    """

    text: str
    sound: str
    suspects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Against:
    """What speaks against one rival: figures, the rival in words, the contrast alone, and the whole sentence.

    ``silent`` where nothing does, neither one observation nor all of them together.
    """

    exclusion: Exclusion
    title: str
    contrast: str
    sentence: str
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Explanation:
    """What follows from evidence.

    Attributes
    ----------
    appliance
        Its id.
    determined
        Whether one hypothesis is established, beside any single failure of the circuit; never by evidence that fits
        nothing.
    rows
        The probable hypotheses, listed or not, most probable first; where no listed fault fits, those that do among
        themselves; of evidence that fits nothing, those that are left without what does not fit.
    findings
        The observations, in order.
    candidates
        The smallest sets of faults that give every telling observation one suspect: diagnosis by elimination alone.
    exclusions
        What speaks against each single rival of the most probable hypothesis.
    following
        The trials worth most a minute now, best first; none once the matter is determined.
    besides
        Where one hypothesis is established among those listed: which failures that are not explain it all as well;
        empty where there are none, and only then the matter is determined.
    unopposed
        Of which rivals nothing speaks against; empty where something does against each.
    off_list
        Of evidence that no listed fault explains and a failure that is on no list does: that, which reading fits no
        listed fault, and what to do about it, sentence by sentence. There are no exclusions and trials then.
    misfit
        Of evidence that fits nothing: that it does not, which reading fits least, and what to do about it, sentence by
        sentence. There are no candidates, exclusions and trials then.
    aside
        What introduces the rows then; empty where there are none, or where the evidence fits.
    """

    appliance: str
    determined: bool
    rows: tuple[Candidate, ...]
    findings: tuple[Weighed, ...]
    candidates: tuple[tuple[str, ...], ...]
    exclusions: tuple[Against, ...]
    following: tuple[tuple[str, Worth], ...]
    besides: str = ""
    unopposed: str = ""
    off_list: tuple[str, ...] = ()
    misfit: tuple[str, ...] = ()
    aside: str = ""

    @property
    def fits(self) -> bool:
        """Whether anything that is thought of explains the evidence."""
        return not self.misfit

    def to_json(self) -> dict[str, Any]:
        """The explanation as plain data for a script."""
        from probebook.diagnosis.trial import trial_to_json

        return {
            "appliance": self.appliance,
            "determined": self.determined,
            "fits": self.fits,
            "besides": self.besides,
            "off_list": list(self.off_list),
            "misfit": list(self.misfit),
            "aside": self.aside,
            "hypotheses": [
                {"faults": list(r.faults), "title": r.title, "probability": round(r.probability, 6)}
                | ({"failure": r.failure} if r.failure else {})
                for r in self.rows
            ],
            "findings": [{"text": f.text, "sound": f.sound, "suspects": list(f.suspects)} for f in self.findings],
            "candidates": [list(c) for c in self.candidates],
            "exclusions": [
                {
                    "faults": sorted(a.exclusion.rival),
                    "title": a.title,
                    "observation": a.exclusion.observation + 1,
                    "factor": float(f"{a.exclusion.factor:.3g}"),
                    "total": float(f"{a.exclusion.total:.3g}"),
                    "sentence": a.sentence,
                }
                for a in self.exclusions
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
    about: About,
    evidence: Sequence[Observation],
    meter: Meters,
    *,
    words: Words,
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
    found = posterior(about, evidence, meter)
    findings = tuple(_weighed(found, i, words) for i in range(len(found.evidence)))
    fit, op = fit_of(found), open_posterior(found)
    if not fit.fits:
        return _misfitting(op, fit, findings, words)
    best, settled = found.likeliest, determined(found)
    besides = besides_words(found, off_list(found), words) if settled else Phrase("")
    rivals = [i for i, h in enumerate(found.hypotheses) if len(h.faults) <= 1 and i != best]
    following = () if settled else values(found, setup=setup, person=person)[:NEXT]
    against = tuple(_against(found, best, i, words) for i in rivals) if found.evidence else ()
    silent = tuple(Phrase(a.title) for a in against if a.silent)
    return Explanation(
        appliance=found.appliance.id,
        determined=settled and not besides,
        rows=_rows(op, words),
        findings=findings,
        candidates=tuple(tuple(sorted(c)) for c in minimal_candidates(_suspected(found, findings)) if len(c) <= 2),
        exclusions=against,
        following=tuple((describe(found.appliance, w.trial, words), w) for w in following),
        besides=besides,
        unopposed=words.say(told.NothingAgainstFacts(silent), "nothing") if silent else "",
    )


def _misfitting(op: OpenPosterior, fit: Fit, findings: tuple[Weighed, ...], words: Words) -> Explanation:
    """The explanation of evidence that no listed fault fits: what does on no list, or what would be left without it."""
    found = op.found
    sentences = misfit_words(found, fit, words)
    plain = Explanation(found.appliance.id, False, (), findings, (), (), ())
    if ways := ways_besides(op, fit):
        rows = _rows(op.among(ways), words)
        return replace(plain, determined=_one_left(op, ways), rows=rows, off_list=sentences)
    kept = [o for i, o in enumerate(found.evidence) if i not in fit.aside]
    without = posterior(found.model, kept, found.meters) if kept else None
    rows = _rows(open_posterior(without), words) if without is not None and fit_of(without).fits else ()
    return replace(plain, rows=rows, misfit=sentences, aside=aside_words(fit, words) if rows else "")


def _one_left(op: OpenPosterior, ways: Sequence[int]) -> bool:
    """Whether one failure that is on no list is established: by its share, and as no other of the circuit fits."""
    settling, best = op.found.model.assumed.settling, op.world.ways[ways[0]]
    same = np.array([w.what == best.what for w in op.world.ways])
    sure = rounded_number(float(op.unlisted[same].sum())) >= settling.determined
    return sure and {f.branch for f in off_list(op.found, fits=False)} <= {best.branch}


def _rows(op: OpenPosterior, words: Words) -> tuple[Candidate, ...]:
    return candidates(op, words, op.found.model.assumed.settling.listed, ROWS)


def _against(found: Posterior, row: int, rival: int, words: Words) -> Against:
    excluded = exclusion(found, row, rival, range(len(found.evidence)))
    contrast, sentence = exclusion_words(found, excluded, words)
    title = title_of(found.appliance, excluded.rival, words)
    silent = excluded.observation < 0 and not spoken_together(found, excluded)
    return Against(excluded, title, contrast if excluded.excludes else sentence, sentence, silent)


def _suspected(found: Posterior, findings: Sequence[Weighed]) -> list[set[str]]:
    """The suspects of each telling observation, less those cleared by one that a sound appliance explains."""
    plain = [i for i, f in enumerate(findings) if not f.suspects]
    against = found.by_observation[0, plain] - found.by_observation[:, plain]
    cleared = {
        name
        for h, ratios in zip(found.hypotheses, against, strict=True)
        if len(h.faults) == 1 and ratios.max(initial=0.0) >= math.log(found.model.assumed.settling.excludes)
        for name in h.faults
    }
    return [set(f.suspects) - cleared for f in findings if f.suspects]


def _weighed(found: Posterior, place: int, words: Words) -> Weighed:
    suspect = math.log(found.model.assumed.settling.suspect)
    observation = found.evidence[place]
    likelihood = found.by_observation[:, place]
    best = float(likelihood.max())
    suspects: tuple[str, ...] = ()
    if best - float(likelihood[0]) >= suspect:
        suspects = tuple(
            name
            for h, value in zip(found.hypotheses, likelihood.tolist(), strict=True)
            if len(h.faults) == 1 and best - value < suspect
            for name in h.faults
        )
    return Weighed(say(found, observation, words), _sound(found, observation, words), suspects)


def say(found: Posterior, observation: Observation, words: Words) -> Phrase:
    """One observation in words."""
    if isinstance(observation, Measured):
        trial = describe(found.appliance, observation.trial, words)
        return words.say(told.ReadingLineFacts(trial, display_of(observation, found)), "reading")
    if isinstance(observation, Seen):
        facts = told.LookLineFacts(observation.at, observation.what)
        return words.say(facts, "look" if observation.what else "look-nothing")
    if isinstance(observation, Complaint | Ran):
        lines = tuple(
            words.say(told.SymptomLineFacts(s.position, s.subject, how_words(s.how, words)), "symptom")
            for s in observation.symptoms
        )
        return words.say(told.SymptomsLineFacts(lines), "customer" if isinstance(observation, Complaint) else "run")
    return words.say(told.TripLineFacts(observation.position, how_words(observation.how, words)), "tripped")


def _sound(found: Posterior, observation: Observation, words: Words) -> str:
    if not isinstance(observation, Measured):
        return ""
    return band_words(expected(found.model, observation.trial, (), found.meters, nulled=observation.nulled), words)
