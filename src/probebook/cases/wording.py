"""Observations in words for people who read a job record: parts by title and mark, controls, wires, what was shown."""

from __future__ import annotations

from probebook.appliances import Appliance
from probebook.appliances.naming import load_noun, probes_place, subject_noun
from probebook.cases import facts as told
from probebook.diagnosis import Complaint, Measured, Observation, Ran, Seen, Symptom, Trial, Tripped
from probebook.diagnosis.places import pushed_or_warmed
from probebook.diagnosis.saying.sentences import how_words
from probebook.diagnosis.symptom_table import HOLDS, NORMAL, PROTECTION, RIGHT, TEMPERATURE
from probebook.diagnosis.trial import by_number
from probebook.meters import Function
from probebook.words import Phrase, Words

__all__ = [
    "controls",
    "function_words",
    "load_words",
    "observation_line",
    "probes",
    "run_words",
    "symptom_words",
    "wires_off",
]


def probes(appliance: Appliance, a: str, b: str, words: Words) -> str:
    """Where the probes are: across a named part, or from one named terminal to another."""
    return probes_place(words, appliance, a, b)


def load_words(appliance: Appliance, name: str, words: Words) -> str:
    """A load by title: ``base element``, ``inner circuit of the top element``."""
    return str(load_noun(words, appliance, name))


def controls(appliance: Appliance, trial: Trial, words: Words) -> Phrase:
    """How the controls stood, thermostats and cut-outs included."""
    parts = [appliance.position(trial.position).title]
    if not trial.calling:
        parts.append(words.say(told.RestingFacts(), "resting"))
    pushed, warmed = pushed_or_warmed(appliance, trial)
    if warmed:
        parts.append(words.say(told.WarmedFacts(warmed), "warmed"))
    if pushed:
        parts.append(words.say(told.WarmedFacts(pushed), "pushed"))
    return words.say(told.ControlsFacts(tuple(parts)), "whole")


def wires_off(trial: Trial, words: Words) -> Phrase:
    """Which wires were off, and whether it had been dried; a dash for none."""
    if not trial.lifted:
        return words.say(told.NoWiresFacts(), "none-dried" if trial.dried else "none")
    return words.say(told.WiresOffFacts(_marks(trial)), "off-dried" if trial.dried else "off")


def _marks(trial: Trial) -> tuple[str, ...]:
    return tuple(sorted(trial.lifted, key=by_number))


def function_words(appliance: Appliance, item: Measured, words: Words) -> Phrase:
    """What the meter was set to, and how its leads stood."""
    if item.trial.function is Function.INSULATION:
        return words.say(told.InsulationFacts(appliance.region.test_volts), "insulation")
    return words.say(told.DialFacts(item.trial.function), "nulled" if item.nulled else "not-nulled")


def symptom_words(appliance: Appliance, symptom: Symptom, words: Words) -> Phrase:
    """One symptom as a repairer would write it down."""
    key = symptom.how.replace(" ", "-")
    if symptom.subject == PROTECTION:
        if symptom.how == HOLDS:
            return words.say(told.HoldsFacts(), "holds")
        return words.say(told.TripsFacts(how_words(symptom.how, words)), "trips")
    if symptom.subject == TEMPERATURE:
        return words.say(told.TemperatureFacts(), key)
    return words.say(told.SymptomFacts(subject_noun(words, appliance, symptom.subject)), key)


def run_words(appliance: Appliance, item: Ran, words: Words) -> Phrase:
    """What a functional run showed, what is amiss first."""
    ordered = sorted(item.symptoms, key=lambda s: s.how in (NORMAL, RIGHT, HOLDS))
    return words.say(told.ShownFacts(tuple(symptom_words(appliance, s, words) for s in ordered)), "run")


def observation_line(appliance: Appliance, item: Observation, words: Words) -> Phrase:
    """One observation in a line, short enough to be chosen from a list."""
    if isinstance(item, Measured):
        return _reading_line(appliance, item, words)
    if isinstance(item, Seen):
        if item.what:
            return words.say(told.LookLineFacts(item.at, item.what), "look")
        return words.say(told.EmptyLookFacts(item.at), "look-nothing")
    if isinstance(item, Complaint):
        return words.say(told.PlainLineFacts(), "customer")
    position = appliance.position(item.position).title
    if isinstance(item, Tripped):
        return words.say(told.TripLineFacts(position, how_words(item.how, words)), "tripped")
    return words.say(told.RunLineFacts(position, run_words(appliance, item, words)), "run")


def _reading_line(appliance: Appliance, item: Measured, words: Words) -> Phrase:
    trial = item.trial
    circumstances = [controls(appliance, trial, words)]
    if trial.lifted:
        circumstances.append(words.say(told.LiftedFacts(_marks(trial)), "lifted"))
    if trial.dried:
        circumstances.append(words.say(told.PlainLineFacts(), "dried"))
    facts = told.ReadingLineFacts(trial.function, *trial.probes, tuple(circumstances), item.display)
    return words.say(facts, "reading")
