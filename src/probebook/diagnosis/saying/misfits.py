"""Evidence that nothing explains, in plain words: what does not fit, and what to do before anything is concluded."""

from __future__ import annotations

import math

from probebook.appliances import Branch, BranchKind
from probebook.diagnosis.evidence import Measured
from probebook.diagnosis.fit import Fit
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.off_list import read_of
from probebook.diagnosis.open.fitting import explaining_ways
from probebook.diagnosis.open.ways import Sort
from probebook.diagnosis.open.weighing import OpenPosterior, open_posterior
from probebook.diagnosis.prediction import Expected, expected
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.saying import misfit_facts as told
from probebook.diagnosis.saying.contrasts import display_of, load_alone, load_title
from probebook.diagnosis.saying.failures import element_watts
from probebook.diagnosis.saying.sentences import band_words, describe
from probebook.diagnosis.saying.ways import off_list_words
from probebook.meters import Function
from probebook.physical import reads_itself
from probebook.words import Phrase, Words

__all__ = ["aside_words", "misfit_words"]


def misfit_words(found: Posterior, fit: Fit, words: Words) -> tuple[Phrase, ...]:
    """What is to be said of evidence that fits nothing listed, sentence by sentence; nothing where it fits something.

    A failure that is on no list and explains it is named.

    Readings that contradict each other are named as such. Otherwise the one that fits least is named, with what it
    would be if it were true of an element by itself.
    """
    if fit.fits:
        return ()
    texts = told.MisfitTexts()
    if fit.against:
        named = (_contradiction(found, pair, words) for pair in fit.against)
        return (*named, words.say(texts, "comes-and-goes"), words.say(texts, "meter"))
    taken = found.evidence[fit.worst]
    assert isinstance(taken, Measured)
    sound = expected(found.model, taken.trial, (), found.meters, nulled=taken.nulled)
    ohms = _ohms(found, taken)
    element = _element(found, taken, sound, ohms, words)
    op = open_posterior(found)
    explained = off_list_words(op, words)
    last = "unlisted" if not explained else "" if _read_itself(op) else "itself"
    advice = _advice(found, taken, sound, "" if element else last)
    return (
        explained or words.say(texts, "nothing"),
        _worst(found, taken, sound, words),
        *(words.say(texts, key) for key in advice),
        *((element,) if element else ()),
    )


def _read_itself(op: OpenPosterior) -> bool:
    """Whether what every failure that explains the readings would be of is among them by itself."""
    appliance = op.found.appliance
    reads = [read_of(appliance, o.trial) for o in op.found.evidence if isinstance(o, Measured)]
    ways = [op.world.ways[way] for way in explaining_ways(op)]
    branches = {(w.branch if w.path < 0 else appliance.branches[w.path].name, w.sort is Sort.WELDED) for w in ways}
    return all(any(reads_itself(appliance, r, b, welded=welded) for r in reads) for b, welded in branches)


def _advice(found: Posterior, taken: Measured, sound: Expected, last: str) -> list[str]:
    """What to do about a reading that does not fit, and ``last`` where it is not known what else it would mean."""
    advice, ohms = ["repeat", "meter"], _ohms(found, taken)
    if taken.trial.function is Function.INSULATION:
        advice += ["leak"] if ohms < found.model.least_insulation_ohms else []
    elif ohms < sound.low:
        advice.append("parallel")
    elif ohms > sound.high and last:
        advice.append("series")
    return [*advice, last] if last else advice


def aside_words(fit: Fit, words: Words) -> Phrase:
    """What introduces the hypotheses that are left without what does not fit."""
    return words.say(told.AsideFacts(len(fit.aside)), "aside")


def _contradiction(found: Posterior, pair: tuple[int, int], words: Words) -> Phrase:
    one, other = (o for i in pair if isinstance(o := found.evidence[i], Measured))
    shown = display_of(one, found), display_of(other, found)
    return words.say(told.ContradictionFacts(describe(found.appliance, one.trial, words), *shown), "contradiction")


def _worst(found: Posterior, taken: Measured, sound: Expected, words: Words) -> Phrase:
    trial, band = describe(found.appliance, taken.trial, words), band_words(sound, words)
    facts = told.WorstFacts(trial, display_of(taken, found), band)
    return words.say(facts, "worst-sound" if sound.low <= _ohms(found, taken) <= sound.high else "worst")


def _ohms(found: Posterior, taken: Measured) -> float:
    """What is shown less the leads."""
    meter = meter_for(found.meters, taken.trial.function)
    return max(0.0, taken.value - meter.leads_in(taken.trial.function, nulled=taken.nulled))


def _element(found: Posterior, taken: Measured, sound: Expected, ohms: float, words: Words) -> Phrase | None:
    """What element has the ohms read across one by itself; None where it is none that anybody fits."""
    branch = _element_alone(found, taken, sound)
    if branch is None or not math.isfinite(ohms) or sound.low <= ohms <= sound.high:
        return None
    watts = element_watts(found, branch, ohms)
    if not watts:
        return None
    title = load_title(found.appliance, branch.name, words)
    volts = found.appliance.rated_volts(branch, found.appliance.supply.volts)
    return words.say(told.OtherElementFacts(title, ohms, watts, volts, branch.watts), "element")


def _element_alone(found: Posterior, taken: Measured, sound: Expected) -> Branch | None:
    """The element section that the probes are across, as long as nothing beside it matters."""
    name = load_alone(found, taken.trial, sound.nominal)
    branch = found.appliance.branches[found.appliance.branch(name)] if name else None
    return branch if branch is not None and branch.kind is BranchKind.ELEMENT else None
