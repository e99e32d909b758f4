"""Which entry of a record each slip leads to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.diagnosis import posterior
from probebook.questions.frame import WrongOption, advice
from probebook.questions.misreadings.evidence import Misreading
from probebook.questions.misreadings.slips import misreadings
from probebook.questions.model import Slip
from probebook.questions.record.facts import FoundFacts, ReadingsPlain, ToldFacts
from probebook.questions.record.job import Job, Stand
from probebook.words import Words

__all__ = ["UNSAFE", "WRONG_STATES", "found_slips", "guess_of", "readings_slips", "told_slips"]

#: Ways of leaving an appliance that could kill whoever uses it next.
UNSAFE = frozenset({"bypass", "left-energised", "untested-return"})
#: Misreadings that are written down as a guess.
GUESSES = ("usual-suspect", "one-reading-enough", "first-fault-enough")

#: The wrong states that slips lead to (option → slip), in order, by how the job stands.
WRONG_STATES: Mapping[Stand, Mapping[str, str]] = {
    Stand.DONE: {"tried": "untested-return", "warned": "left-energised", "bridged": "bypass"},
    Stand.OUTSIDE: {"tried": "untested-return", "off": "stopped-too-soon", "bridged": "bypass"},
    Stand.WAITS: {"warned": "left-energised", "tried": "untested-return", "bridged": "bypass"},
}


def guess_of(job: Job, library: Library) -> Misreading | None:
    """What somebody guesses who goes by one reading, or by what is usual; None where nobody would."""
    case = job.case
    found = posterior(job.appliance, case.evidence, case_meters(case, library))
    for slip in misreadings(library.words, case, job.appliance, found):
        if slip.slip in GUESSES and slip.faults:
            return slip
    return None


def found_slips(words: Words, facts: FoundFacts, guess: Misreading | None) -> list[WrongOption]:
    """An opinion, the complaint or a guess in place of the finding."""
    wrong = [
        WrongOption("opinion-for-fact", "opinion"),
        WrongOption("symptom-is-cause", "complaint", words.say(facts, "here.symptom-is-cause")),
    ]
    return [*wrong, WrongOption(guess.slip, "guess", guess.here)] if guess else wrong


def readings_slips(library: Library, proof: Sequence[str], safety: Sequence[str]) -> list[Slip]:
    """Hearsay for readings, and safety readings that are left out; ``proof`` and ``safety`` are ids of options."""
    opinion = advice(library, "opinion-for-fact")
    slips = [Slip("opinion-for-fact", "readings", name, opinion) for name in ("hearsay", "no-value")]
    if proof and safety:
        here = library.words.say(ReadingsPlain(), "here.not-recorded")
        slips.append(Slip("not-recorded", "readings", list(proof), advice(library, "not-recorded", here)))
    return slips


def told_slips(words: Words, facts: ToldFacts) -> list[WrongOption]:
    """Nobody told, or told nothing."""
    return [WrongOption("not-recorded", name, words.say(facts, f"here.{name}")) for name in ("nobody", "soothed")]
