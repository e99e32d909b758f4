"""Hypotheses, trials, symptoms, bands and objections in words."""

from __future__ import annotations

from collections.abc import Iterable

from probebook.appliances import Appliance
from probebook.diagnosis.effort import Objection
from probebook.diagnosis.places import pushed_or_warmed
from probebook.diagnosis.prediction import Expected
from probebook.diagnosis.saying import facts as told
from probebook.diagnosis.symptom_table import PROTECTION, TEMPERATURE
from probebook.diagnosis.trial import Trial, TrialKind, by_number
from probebook.words import Phrase, Words

__all__ = ["band_words", "describe", "how_words", "objection_words", "subject_words", "title_of"]


def title_of(appliance: Appliance, faults: Iterable[str], words: Words) -> Phrase:
    """A set of faults in words, as the appliance's file puts them; KeyError for an unknown fault."""
    titles = tuple(appliance.fault(f).title for f in sorted(faults))
    return words.say(told.FaultsFacts(titles), "faults") if titles else words.say(told.SoundFacts(), "nothing")


def describe(appliance: Appliance, trial: Trial, words: Words) -> Phrase:
    """The trial in a few words, as a job record would have it."""
    if trial.kind is TrialKind.LOOK:
        title = next((part.title for part in appliance.parts if part.mark == trial.at), "")
        if title:
            return words.say(told.LookFacts(title, trial.at), "look")
        return words.say(told.WireLookFacts(trial.at), "look-wire")
    position = next((p.title for p in appliance.positions if p.name == trial.position), trial.position)
    controls = words.say(told.ControlsFacts(position), "controls" if trial.calling else "controls-resting")
    if trial.kind is not TrialKind.METER:
        return words.say(told.EnergisedFacts(controls), trial.kind.value)
    circumstances = [controls]
    if trial.lifted:
        circumstances.append(words.say(told.LiftedFacts(tuple(sorted(trial.lifted, key=by_number))), "lifted"))
    pushed, warmed = pushed_or_warmed(appliance, trial)
    if warmed:
        circumstances.append(words.say(told.WarmedFacts(warmed), "warmed"))
    if pushed:
        circumstances.append(words.say(told.WarmedFacts(pushed), "pushed"))
    if trial.dried:
        circumstances.append(words.say(told.DriedFacts(), "dried"))
    return words.say(told.ReadingFacts(trial.function, *trial.probes, tuple(circumstances)), "reading")


def how_words(how: str, words: Words) -> Phrase:
    """How a subject does, by its id."""
    return words.say(told.HowFacts(), how.replace(" ", "-"))


def subject_words(appliance: Appliance, subject: str, words: Words) -> Phrase:
    """What a symptom is about, with its article."""
    for part in appliance.parts:
        if part.mark == subject:
            return words.say(told.PartSubjectFacts(part.title), "part")
    if subject in (PROTECTION, TEMPERATURE):
        return words.say(told.SubjectFacts(), subject)
    return words.say(told.PlaceSubjectFacts(subject), "heat")


def band_words(expected: Expected, words: Words) -> Phrase:
    """The band a display is expected in: ``50.1–55.3 Ω``."""
    low, high, joined_by_dash = expected.ends
    if low == high:
        return Phrase(low)
    return words.say(told.BandFacts(low, high), "span" if joined_by_dash else "apart")


def objection_words(objection: Objection, words: Words) -> Phrase:
    """Why a person may not do a trial."""
    return words.say(told.ObjectionFacts(), objection.value)
