"""A test as an option puts it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance
from probebook.appliances.naming import probes_place, terminal_tag
from probebook.diagnosis import Trial, TrialKind
from probebook.diagnosis.trial import by_number
from probebook.meters import Function
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["trial_words"]


@dataclass(frozen=True)
class PlaceFacts(Facts, group="questions/next_test/trial", says=("look-part", "look-wire", "run", "record")):
    """A part or wire to be looked at, or a position to be tried."""

    place: Noun
    mark: str


@dataclass(frozen=True)
class ReadingFacts(Facts, group="questions/next_test/reading", says=("ohms", "continuity")):
    """A reading between two places, and how the appliance stands, as clauses."""

    between: Phrase
    states: tuple[Phrase, ...]


@dataclass(frozen=True)
class InsulationFacts(ReadingFacts, group="questions/next_test/reading", says=("insulation",)):
    """A reading of insulation, with the voltage of the test."""

    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class SupplyFacts(Facts, group="questions/next_test/reading", says=("supply",)):
    """Two terminals of the supply, by what they are and by their marks."""

    first: Noun
    second: Noun
    a: str
    b: str


@dataclass(frozen=True)
class StateFacts(Facts, group="questions/next_test/reading", says=("controls", "resting", "off", "on", "dried")):
    """How the controls stand and which wires are off."""

    position: Noun
    wires: tuple[str, ...]


def trial_words(words: Words, appliance: Appliance, trial: Trial) -> Phrase:
    """A test as an option puts it."""
    if trial.kind is TrialKind.LOOK:
        if any(w.mark == trial.at for w in appliance.wires):
            return words.say(PlaceFacts(Noun("", ""), trial.at), "look-wire")
        return words.say(PlaceFacts(words.noun(appliance.part(trial.at).title), trial.at), "look-part")
    position = words.noun(appliance.position(trial.position).title)
    if trial.kind is not TrialKind.METER:
        return words.say(PlaceFacts(position, ""), "run" if trial.kind is TrialKind.RUN else "record")
    state = StateFacts(position, tuple(sorted(trial.lifted, key=by_number)))
    keys = [
        "controls",
        *([] if trial.calling else ["resting"]),
        "off" if trial.lifted else "on",
        *(["dried"] if trial.dried else []),
    ]
    states = tuple(words.say(state, key) for key in keys)
    between = _between(words, appliance, *trial.probes)
    if trial.function is Function.INSULATION:
        return words.say(InsulationFacts(between, states, appliance.region.test_volts), "insulation")
    return words.say(ReadingFacts(between, states), trial.function.value)


def _between(words: Words, appliance: Appliance, a: str, b: str) -> Phrase:
    """Where the probes are: at the supply terminals by what they are, else as a job record has it."""
    first, second = (terminal_tag(words, appliance, t) for t in (a, b))
    if first and second:
        return words.say(SupplyFacts(first, second, a, b), "supply")
    return Phrase(probes_place(words, appliance, a, b))
