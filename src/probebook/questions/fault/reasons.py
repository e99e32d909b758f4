"""Why a rival is wrong, in one sentence with the case's own figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from probebook.appliances import Appliance
from probebook.cases.wording import symptom_words
from probebook.diagnosis import (
    Complaint,
    Measured,
    Posterior,
    Ran,
    Seen,
    Symptom,
    Tripped,
    band_words,
    expected,
    symptoms,
    title_of,
)
from probebook.diagnosis.symptom_table import OFF, PROTECTION
from probebook.numerics.rounding import rounded_number
from probebook.questions.fault.contrasts import Against, FaultGates
from probebook.questions.fault.facts import (
    ContrastFacts,
    FigureFacts,
    MillionFacts,
    NothingFacts,
    NumberFacts,
    ReasonFacts,
    SightFacts,
    SymptomFacts,
    SymptomsFacts,
)
from probebook.words import Phrase, Words

__all__ = ["Speaker"]

#: Symptoms that are told of one observation.
TOLD = 2


@dataclass(frozen=True, slots=True, eq=False)
class Speaker:
    """Who says why rivals are wrong: the words, the appliance and what follows from the evidence."""

    words: Words
    appliance: Appliance
    found: Posterior

    @property
    def gates(self) -> FaultGates:
        """From where on evidence counts."""
        return self.appliance.assumptions.get(FaultGates)

    def title(self, faults: frozenset[str]) -> Phrase:
        """A set of faults in words."""
        return title_of(self.appliance, sorted(faults), self.words)

    def figure(self, why: Against) -> Phrase:
        """How many times worse a rival explains: ``about 16,000``."""
        if why.told >= 1e6:
            return self.words.say(MillionFacts(), "over")
        return self.words.say(FigureFacts(rounded_number(rounded_number(why.told), 2)), "about")

    def sentence(self, why: Against) -> Phrase:
        """What speaks against a rival, to stand behind its name: 'Reading 7 would then show …'."""
        return self.words.say(self._reason(why, "then"), "alone" if why.is_enough else "with-more")

    def named(self, why: Against) -> Phrase:
        """The same as a sentence of its own: 'With …, reading 7 would show …'."""
        return self.words.say(self._reason(why, "with"), "named-alone" if why.is_enough else "named-with-more")

    def again(self, why: Against) -> Phrase:
        """The same where the reading has just been quoted: 'With … it would show …'; empty when it is no reading."""
        item = self.found.evidence[why.observation]
        return self.words.say(self._reading(why, item), "again") if isinstance(item, Measured) else Phrase("")

    def _reason(self, why: Against, form: Literal["then", "with"]) -> ReasonFacts:
        more = tuple(self._evidence(i) for i in why.more) or (self.words.say(NothingFacts(), "rarity"),)
        return ReasonFacts(self.title(why.faults), self._contrast(why, form), more)

    def _evidence(self, place: int) -> Phrase:
        if isinstance(self.found.evidence[place], Complaint):
            return self.words.say(NothingFacts(), "complaint")
        return self.words.say(NumberFacts(place), "reading")

    def _reading(self, why: Against, item: Measured) -> ContrastFacts:
        band = expected(self.appliance, item.trial, why.faults, self.found.meters, nulled=item.nulled)
        return ContrastFacts(why.observation, band_words(band, self.words), item.display, self.title(why.faults))

    def _contrast(self, why: Against, form: Literal["then", "with"]) -> Phrase:
        """What the rival would have given in place of an observation, and what was observed, as a clause."""
        item = self.found.evidence[why.observation]
        if isinstance(item, Measured):
            return self.words.say(self._reading(why, item), form)
        if isinstance(item, Seen):
            facts = SightFacts(item.at, item.what)
            return self.words.say(facts, "something" if item.what else "nothing")
        told = _told(item)
        would = {(s.position, s.subject): s.how for s in symptoms(self.appliance, why.faults)}
        differing = [s for s in told if would.get((s.position, s.subject), OFF) != s.how]
        key = "customer" if isinstance(item, Complaint) else "observation"
        parts = tuple(self.words.say(self._symptom(s, would, why), key) for s in differing[:TOLD])
        return self.words.say(SymptomsFacts(parts), "all" if parts else "vague")

    def _symptom(self, told: Symptom, would: Mapping[tuple[str, str], str], why: Against) -> SymptomFacts:
        instead = replace(told, how=would.get((told.position, told.subject), OFF))
        return SymptomFacts(
            position=self.words.noun(self.appliance.position(told.position).title),
            would=symptom_words(self.appliance, instead, self.words),
            told=symptom_words(self.appliance, told, self.words),
            observation=why.observation,
        )


def _told(item: Complaint | Ran | Tripped) -> tuple[Symptom, ...]:
    if isinstance(item, Tripped):
        return (Symptom(item.position, PROTECTION, item.how),)
    return item.symptoms
