"""What the customer says: some of the symptoms there are to notice, put into words by symptom and never by fault."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence

from probebook.appliances import Appliance, BranchKind, FaultKind
from probebook.cases.assumed import Complaining
from probebook.cases.facts import AmissFacts, BothFacts, LeadsFacts, SinceFacts, VagueFacts, WellFacts
from probebook.cases.kitchen import FILE, Kitchen
from probebook.diagnosis.model import noticed, symptoms
from probebook.diagnosis.symptom_table import (
    COLD,
    HOLDS,
    NORMAL,
    OFF,
    PROTECTION,
    SHORT_OF,
    TEMPERATURE,
    UNWANTED,
    Symptom,
    Symptoms,
)
from probebook.heating.installed import cavities_heated
from probebook.regions.facts import region_facts
from probebook.words import Phrase, Words

__all__ = ["complaint_words", "draw_complaint", "setting_complaint"]


def setting_complaint(appliance: Appliance, setting: str, usual: str) -> Symptoms:
    """What somebody misses who left the controls at ``setting`` and expects what the ``usual`` position does.

    The appliance is sound: what the usual position would work and this one does not is reported as off. It stays cold
    only where nothing heats in this one.
    """
    sound = symptoms(appliance, ())
    here = {s.subject: s.how for s in sound if s.position == setting}
    warm = any(appliance.branches[appliance.branch(name)].place for name in appliance.position(setting).heats)
    found: list[Symptom] = []
    for symptom in (s for s in sound if s.position == usual):
        if symptom.subject == TEMPERATURE:
            found.append(Symptom(usual, TEMPERATURE, SHORT_OF if warm else COLD))
        elif symptom.how == NORMAL and here.get(symptom.subject) != NORMAL:
            found.append(Symptom(usual, symptom.subject, OFF))
    return tuple(found)


def draw_complaint(appliance: Appliance, faults: Iterable[str], setting: Kitchen, rng: random.Random) -> Symptoms:
    """Some of what these faults let a customer notice, in one or two positions; none where there is nothing to notice.

    Now and then a thing that works is mentioned as well. Nobody calls for a lamp where something fails to heat or turn.
    """
    manner, assumed = setting.manner(appliance), appliance.assumptions.get(Complaining)
    left = [f for f in faults if appliance.fault(f).kind is FaultKind.USER_SETTING]
    told = _to_tell(appliance, faults, left, setting)
    if not told:
        return ()
    positions = list(dict.fromkeys(s.position for s in told))
    weights = [assumed.usual_position if p == manner.usual else 1.0 for p in positions]
    first = rng.choices(positions, weights)[0]
    main = [s for s in told if s.subject not in _lights(appliance)]
    chosen = set(_apart(appliance, _picked([s for s in told if s.position == first], main, rng)))
    there = _elsewhere(told, main, first)
    if there and len(chosen) < assumed.most and rng.random() < assumed.elsewhere:
        chosen.add(rng.choice(there))
    chosen = _with_trips(told, chosen)
    if not left and rng.random() < assumed.works and (sound := _works(appliance, faults, chosen, setting)):
        chosen.add(rng.choice(sound))
    return symptoms_in_order(appliance, chosen)


def _picked(here: Sequence[Symptom], main: Sequence[Symptom], rng: random.Random) -> list[Symptom]:
    """One or two of what there is to notice in a position, what heats or turns among them where that fails."""
    picked = rng.sample(here, min(len(here), rng.randint(1, 2)))
    graver = [s for s in here if s in main]
    if graver and not any(s in graver for s in picked):
        picked[0] = rng.choice(graver)
    return picked


def _with_trips(told: Sequence[Symptom], chosen: set[Symptom]) -> set[Symptom]:
    """What was chosen, and what trips in those positions: nobody leaves that out, and it says how warm it gets."""
    trips = {s.position: s for s in told if s.subject == PROTECTION and s.position in {c.position for c in chosen}}
    kept = {s for s in chosen if s.position not in trips or s.subject != TEMPERATURE}
    return kept | set(trips.values())


def _elsewhere(told: Iterable[Symptom], main: Sequence[Symptom], first: str) -> list[Symptom]:
    """What is to be noticed in other positions than the first, lights only where nothing graver is."""
    graver = {s.position for s in main}
    return [s for s in told if s.position != first and (s in main or s.position not in graver)]


def _lights(appliance: Appliance) -> frozenset[str]:
    """Names and parts of the lamps and neons."""
    lights = [b for b in appliance.branches if b.kind in (BranchKind.LAMP, BranchKind.NEON)]
    return frozenset(name for b in lights for name in (b.name, b.part))


def _to_tell(appliance: Appliance, faults: Iterable[str], left: list[str], setting: Kitchen) -> list[Symptom]:
    """What can be told of faults, some of them settings ``left`` by a user: where people have words for it.

    Of a position in which nothing heats people say that it stays cold; nobody names one heater of several then. Where
    two cavities are heated at once it is not said how 'it' does: that would be of neither.
    """
    manner = setting.manner(appliance)
    told = noticed(appliance, faults)
    if left and not told:
        told = setting_complaint(appliance, appliance.fault(left[0]).setting, manner.usual)
    said = [s for s in told if s.position in manner.leads and setting.says(appliance, s.subject, s.how)]
    several = {s.position for s in said if cavities_heated(appliance, s.position) > 1}
    said = [s for s in said if s.subject != TEMPERATURE or s.position not in several]
    cold = {s.position for s in said if (s.subject, s.how) == (TEMPERATURE, COLD)}
    heaters = {b.place for b in appliance.branches if b.place}
    return [s for s in said if s.position not in cold or s.how != OFF or s.subject not in heaters]


def _works(appliance: Appliance, faults: Iterable[str], chosen: set[Symptom], setting: Kitchen) -> list[Symptom]:
    """What works all the same and can be mentioned beside what was chosen; not that a light alone is alight.

    Where something trips nothing goes on working, and where a fan stands no warmth is felt of what it should blow.
    """
    manner, taken = setting.manner(appliance), {c.subject for c in chosen}
    lights = _lights(appliance)
    working = {p.name for p in appliance.positions if any(name not in lights for name in p.heats)}
    everything = symptoms(appliance, faults)
    heaters = {b.place for b in appliance.branches if b.place}
    working -= {s.position for s in everything if s.subject == PROTECTION and s.how != HOLDS}
    still = _still(appliance, everything)
    return [
        s
        for s in everything
        if s.how == NORMAL
        and not (s.subject in heaters and s.position in still)
        and s.position in manner.leads
        and s.position in working
        and s.subject not in taken
        and setting.says(appliance, s.subject, s.how)
    ]


def _still(appliance: Appliance, everything: Iterable[Symptom]) -> set[str]:
    """Positions in which a fan stands or turns amiss."""
    motors = {b.name for b in appliance.branches if b.kind is BranchKind.MOTOR}
    return {s.position for s in everything if s.subject in motors and s.how not in (NORMAL, UNWANTED)}


def _apart(appliance: Appliance, chosen: list[Symptom]) -> list[Symptom]:
    """Symptoms that do not say the same thing twice: a heater, or the temperature it alone makes, but not both."""
    heaters = [s for s in chosen if any(b.place == s.subject for b in appliance.branches)]
    for symptom in chosen:
        if symptom.subject != TEMPERATURE or not heaters:
            continue
        worked = appliance.position(symptom.position).heats
        places = {b.place for b in appliance.branches if b.place and b.name in worked}
        if symptom.how == COLD or len(places) == 1:
            return [s for s in chosen if s is not symptom]
    return chosen


def symptoms_in_order(appliance: Appliance, chosen: Iterable[Symptom]) -> Symptoms:
    """Symptoms by position as the file lists them, then what is amiss before what is well."""
    place = {p.name: i for i, p in enumerate(appliance.positions)}
    return tuple(sorted(chosen, key=lambda s: (place[s.position], s.how == NORMAL, s.subject)))


def complaint_words(
    appliance: Appliance, reported: Symptoms, setting: Kitchen, rng: random.Random, words: Words
) -> tuple[str, ...]:
    """The complaint as the customer puts it, sentence by sentence."""
    manner, assumed = setting.manner(appliance), appliance.assumptions.get(Complaining)
    if not reported:
        return (words.say_text(VagueFacts(words.noun(manner.thing)), rng.choice(setting.vague), FILE),)
    sentences: list[str] = []
    alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for position in dict.fromkeys(s.position for s in reported):
        alike.setdefault(tuple((s.subject, s.how) for s in reported if s.position == position), []).append(position)
    said: set[str] = set()

    def put(subject: str, how: str) -> str:
        """A way to say it, another one where that was said of another setting already."""
        ways = setting.says(appliance, subject, how)
        way = rng.choice(ways)
        fresh = next((other for other in ways if other not in said), way)
        way = fresh if way in said else way
        said.add(way)
        return way

    amiss_first = sorted(alike.items(), key=lambda told: all(how == NORMAL for _, how in told[0]))
    for here, positions in amiss_first:
        amiss = tuple(put(subject, how) for subject, how in here if how != NORMAL)
        well = tuple(put(subject, how) for subject, how in here if how == NORMAL)
        lead = words.say(LeadsFacts(tuple(manner.leads[p] for p in positions)), "leads")
        local = _in_region(words, appliance)
        sentences.append(_told(words, lead, tuple(map(local, amiss)), tuple(map(local, well))))
    if rng.random() < assumed.since:
        sentences.append(words.say(SinceFacts(rng.choice(setting.since)), "since"))
    if rng.random() < assumed.remark:
        sentences.append(rng.choice(setting.remarks))
    return tuple(sentences)


def _in_region(words: Words, appliance: Appliance) -> Callable[[str], str]:
    """What a customer says with the words of the region in its holes."""

    def said(phrase: str) -> str:
        return words.say_text(region_facts(appliance.region, words), phrase, FILE) if "{" in phrase else phrase

    return said


def _told(words: Words, lead: Phrase, amiss: tuple[str, ...], well: tuple[str, ...]) -> Phrase:
    if amiss and well:
        return words.say(BothFacts(lead, amiss, well), "both")
    return words.say(AmissFacts(lead, amiss), "amiss") if amiss else words.say(WellFacts(lead, well), "well")
