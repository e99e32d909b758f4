"""What speaks against a rival, in words with the numbers a learner can check."""

from __future__ import annotations

import math

from probebook.appliances import Appliance
from probebook.diagnosis.candidates import Hypothesis
from probebook.diagnosis.evidence import Complaint, Measured, Observation, Ran, Seen, Tripped
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.prediction import display, expected
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.proof import Exclusion
from probebook.diagnosis.saying import facts as told
from probebook.diagnosis.saying.sentences import band_words, how_words, subject_words, title_of
from probebook.diagnosis.symptom_table import OFF, PROTECTION, Symptom
from probebook.diagnosis.trial import Trial, by_number
from probebook.numerics.rounding import rounded_number
from probebook.words import Phrase, Words

__all__ = ["contrast", "display_of", "exclusion_words", "load_alone", "load_title", "spoken_together"]

#: A factor from here up is more than anybody counts; below the second it is told to a tenth.
MANY, FEW = 1e6, 10


def exclusion_words(found: Posterior, exclusion: Exclusion, words: Words) -> tuple[Phrase, Phrase]:
    """What speaks against a rival: the contrast by itself, and the sentence with how much it tells.

    The contrast is empty where nothing speaks against the rival, or only all of the evidence together does.
    """
    rival = title_of(found.appliance, exclusion.rival, words)
    if exclusion.observation < 0:
        if spoken_together(found, exclusion):
            return Phrase(""), words.say(told.TogetherFacts(rival, _times(exclusion.together, words)), "together")
        return Phrase(""), words.say(told.NothingAgainstFacts((rival,)), "nothing")
    other = found.hypotheses[found.row(exclusion.rival)]
    said = contrast(found.appliance, found.evidence[exclusion.observation], found, other, words)
    facts = told.AgainstFacts(said, rival, _times(exclusion.factor, words))
    return said, words.say(facts, "excludes" if exclusion.excludes else "speaks")


def spoken_together(found: Posterior, exclusion: Exclusion) -> bool:
    """Whether all of the evidence together speaks against a rival."""
    return rounded_number(exclusion.together) >= found.model.assumed.settling.speaks


def _times(factor: float, words: Words) -> Phrase:
    if factor >= MANY:
        return words.say(told.ManyTimesFacts(), "million")
    if factor < FEW:
        return words.say(told.TimesFacts(factor), "few")
    return words.say(told.TimesFacts(rounded_number(rounded_number(factor), 2)), "about")


def contrast(
    appliance: Appliance, observation: Observation, found: Posterior, rival: Hypothesis, words: Words
) -> Phrase:
    """What the rival would have given in place of the observation, and what was observed: one sentence."""
    if isinstance(observation, Measured):
        return _against_reading(observation, found, rival, words)
    if isinstance(observation, Seen):
        facts = told.SeenFacts(observation.at, observation.what)
        return words.say(facts, "look" if observation.what else "look-nothing")
    symptoms = _symptoms_of(observation)
    would = {(s.position, s.subject): s.how for s in found.model.symptoms(rival.faults)}
    differing = [s for s in symptoms if would.get((s.position, s.subject)) != s.how]
    who = "customer" if isinstance(observation, Complaint) else "run"
    if not differing:
        return words.say(told.ToldSameFacts(title_of(appliance, rival.faults, words)), f"{who}-same")
    parts = [
        told.ToldPartFacts(
            subject_words(appliance, s.subject, words),
            next((p.title for p in appliance.positions if p.name == s.position), s.position),
            how_words(s.how, words),
            how_words(would.get((s.position, s.subject), OFF), words),
        )
        for s in differing[:3]
    ]
    return words.say(told.ToldFacts(tuple(words.say(part, "told-part") for part in parts)), who)


def _symptoms_of(observation: Ran | Complaint | Tripped) -> tuple[Symptom, ...]:
    if isinstance(observation, Tripped):
        return (Symptom(observation.position, PROTECTION, observation.how),)
    return observation.symptoms


def _against_reading(observation: Measured, found: Posterior, rival: Hypothesis, words: Words) -> Phrase:
    trial, appliance = observation.trial, found.appliance
    with_rival = expected(found.model, trial, rival.faults, found.meters, nulled=observation.nulled)
    sound = expected(found.model, trial, (), found.meters, nulled=observation.nulled)
    shown, where = display_of(observation, found), _where(trial, words)
    band = band_words(with_rival, words)
    if sound.ends != with_rival.ends or not math.isfinite(sound.nominal):
        return words.say(told.RivalReadingFacts(title_of(appliance, rival.faults, words), band, where, shown), "rival")
    load = load_alone(found, trial, sound.nominal)
    if load:
        return words.say(told.SoundReadingFacts(load_title(appliance, load, words), band, where, shown), "sound")
    position = appliance.position(trial.position).title
    return words.say(told.SoundWholeFacts(band, where, position, shown), "sound-whole")


def load_alone(found: Posterior, trial: Trial, ohms: float) -> str:
    """The load that the probes are across, as long as nothing beside it matters; else empty."""
    appliance, share = found.appliance, found.model.assumed.settling.alone
    for branch in appliance.branches:
        if branch.watts > 0 and {appliance.terminals[e] for e in branch.ends} == set(trial.probes):
            return branch.name if math.isclose(ohms, branch.cold_ohms, rel_tol=share) else ""
    return ""


def load_title(appliance: Appliance, load: str, words: Words) -> str:
    """A load in words: its part, or the circuit of it where the part has several."""
    branch = appliance.branches[appliance.branch(load)]
    title = appliance.part(branch.part).title
    section = branch.name.removeprefix(branch.part).lstrip(".")
    several = sum(b.part == branch.part and b.watts > 0 for b in appliance.branches) > 1
    return words.say(told.SoundLoadFacts(section, title), "load-section") if several and section else title


def _where(trial: Trial, words: Words) -> Phrase:
    """Where and how a reading was taken, to follow 'would read 52 Ω'."""
    key = "-".join(["where", *(["off"] if trial.lifted else []), *(["dried"] if trial.dried else [])])
    return words.say(told.WhereFacts(*trial.probes, tuple(sorted(trial.lifted, key=by_number))), key)


def display_of(observation: Measured, found: Posterior) -> str:
    """The display of a reading; worked out where only a number was given."""
    if observation.display:
        return observation.display
    function = observation.trial.function
    meter = meter_for(found.meters, function)
    leads = meter.leads_in(function, nulled=observation.nulled)
    return display(meter, function, max(0.0, observation.value - leads), nulled=observation.nulled)
