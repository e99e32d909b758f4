"""What the customer says: some of the symptoms there are to notice, put into words by symptom and never by fault."""

from __future__ import annotations

import random
from collections.abc import Iterable

from probebook.appliances import Appliance, FaultKind
from probebook.cases.kitchen import Kitchen
from probebook.diagnosis.symptoms import COLD, NORMAL, OFF, SHORT_OF, TEMPERATURE, Symptom, Symptoms, noticed, symptoms

__all__ = ["complaint_words", "draw_complaint", "setting_complaint"]


def setting_complaint(appliance: Appliance, setting: str, usual: str) -> Symptoms:
    """What somebody misses who left the controls at ``setting`` and expects what the ``usual`` position does.

    The appliance is sound: what the usual position would work and this one does not is reported as off.
    """
    sound = symptoms(appliance, ())
    here = {s.subject: s.how for s in sound if s.position == setting}
    found: list[Symptom] = []
    for symptom in (s for s in sound if s.position == usual):
        if symptom.subject == TEMPERATURE:
            found.append(Symptom(usual, TEMPERATURE, SHORT_OF if TEMPERATURE in here else COLD))
        elif symptom.how == NORMAL and here.get(symptom.subject) != NORMAL:
            found.append(Symptom(usual, symptom.subject, OFF))
    return tuple(found)


def draw_complaint(
    appliance: Appliance, faults: Iterable[str], setting: Kitchen, rng: random.Random, *, most: int = 3
) -> Symptoms:
    """Some of what these faults let a customer notice, in one or two positions; none where there is nothing to notice.

    Now and then a thing that works is mentioned as well.
    """
    manner = setting.manner(appliance)
    left = [f for f in faults if appliance.fault(f).kind is FaultKind.USER_SETTING]
    told = list(noticed(appliance, faults))
    if left and not told:
        told = list(setting_complaint(appliance, appliance.fault(left[0]).setting, manner.usual))
    told = [s for s in told if s.position in manner.leads and setting.says(appliance, s.subject, s.how)]
    if not told:
        return ()
    positions = list(dict.fromkeys(s.position for s in told))
    weights = [3.0 if p == manner.usual else 1.0 for p in positions]
    first = rng.choices(positions, weights)[0]
    here = [s for s in told if s.position == first]
    chosen = set(_apart(appliance, rng.sample(here, min(len(here), rng.randint(1, 2)))))
    there = [s for s in told if s.position != first]
    if there and len(chosen) < most and rng.random() < 0.4:
        chosen.add(rng.choice(there))
    if not left and rng.random() < 0.3:
        sound = [
            s
            for s in symptoms(appliance, faults)
            if s.how == NORMAL
            and s.position in manner.leads
            and s.subject not in {c.subject for c in chosen}
            and setting.says(appliance, s.subject, s.how)
        ]
        if sound:
            chosen.add(rng.choice(sound))
    return tuple(s for s in symptoms_in_order(appliance, chosen))


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


def complaint_words(appliance: Appliance, reported: Symptoms, setting: Kitchen, rng: random.Random) -> str:
    """The complaint as the customer puts it."""
    manner = setting.manner(appliance)
    if not reported:
        return rng.choice(setting.vague).format(thing=manner.thing)
    sentences: list[str] = []
    alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for position in dict.fromkeys(s.position for s in reported):
        alike.setdefault(tuple((s.subject, s.how) for s in reported if s.position == position), []).append(position)
    for here, positions in alike.items():
        amiss = [rng.choice(setting.says(appliance, subject, how)) for subject, how in here if how != NORMAL]
        well = [rng.choice(setting.says(appliance, subject, how)) for subject, how in here if how == NORMAL]
        clause = ", but ".join(" and ".join(part) for part in (amiss, well) if part)
        lead = " and ".join(manner.leads[p] for p in positions)
        sentences.append(f"{lead[0].upper()}{lead[1:]}, {clause}.")
    if rng.random() < 0.6:
        sentences.append(f"It has been like this {rng.choice(setting.since)}.")
    if rng.random() < 0.5:
        sentences.append(rng.choice(setting.remarks))
    return " ".join(sentences)
