"""What customers say follows from symptoms alone."""

from __future__ import annotations

import itertools
import re

import pytest

from probebook.appliances import BranchKind, FaultKind
from probebook.cases.complaints import complaint_words, draw_complaint, setting_complaint
from probebook.cases.kitchen import kitchen
from probebook.cases.library import library
from probebook.cases.seeds import stream
from probebook.diagnosis import Complaint, noticed, posterior, symptoms
from probebook.diagnosis.symptom_table import HOLDS, NORMAL, OFF, PROTECTION, TEMPERATURE

TRADE = library()
SETTING = kitchen(TRADE.folder)


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_faults_with_the_same_symptoms_get_the_same_words(appliance_id: str) -> None:
    """Two faults that show the same are complained of alike, word for word, when the draws are the same."""
    appliance = TRADE.appliance(appliance_id)
    singles = [f.id for f in appliance.faults if f.kind is not FaultKind.USER_SETTING]
    alike = [
        (a, b) for a, b in itertools.combinations(singles, 2) if noticed(appliance, [a]) == noticed(appliance, [b])
    ]
    assert alike
    for a, b in alike:
        said = []
        for fault in (a, b):
            rng = stream("words", appliance_id)
            said.append(
                complaint_words(appliance, draw_complaint(appliance, [fault], SETTING, rng), SETTING, rng, TRADE.words)
            )
        assert said[0] == said[1]


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_a_complaint_reports_what_is_there_to_notice(appliance_id: str) -> None:
    """Whatever is complained of does differ from the sound appliance, and what is praised does work."""
    appliance = TRADE.appliance(appliance_id)
    for fault in appliance.faults:
        if fault.kind is FaultKind.USER_SETTING:
            continue
        there = set(noticed(appliance, [fault.id]))
        for n in range(5):
            reported = draw_complaint(appliance, [fault.id], SETTING, stream(fault.id, n))
            assert all(s in there or s.how == NORMAL for s in reported)


def test_a_customer_speaks_of_no_part_and_no_fault() -> None:
    """No complaint has a mark (E1), an ohm, or a title of a fault in it."""
    for appliance_id in TRADE.appliance_ids:
        appliance = TRADE.appliance(appliance_id)
        titles = [f.title for f in appliance.faults]
        for fault in appliance.faults:
            rng = stream("plain", fault.id)
            sentences = complaint_words(
                appliance, draw_complaint(appliance, [fault.id], SETTING, rng), SETTING, rng, TRADE.words
            )
            assert all(s[0].isupper() and s[-1] in ".?!”" for s in sentences), sentences
            said = " ".join(sentences)
            assert not re.search(r"\b[A-Z]{1,2}\d+\b|Ω|ohm", said), said
            assert not any(title in said for title in titles)
            assert said[0].isupper()
            assert said.endswith(".")


def test_a_wrong_setting_is_missed_as_what_the_usual_one_would_do() -> None:
    """Half grill chosen for baking leaves top and base heat of the oven position missing; the grill is not missed."""
    oven = TRADE.appliance("conventional-oven")
    told = setting_complaint(oven, "half-grill", "oven")
    assert {(s.position, s.subject) for s in told if s.how == OFF} == {("oven", "top"), ("oven", "base")}


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_nobody_says_the_same_thing_twice(appliance_id: str) -> None:
    """Of a place that is heated alone, or stays cold, a customer tells the heat or the temperature, never both."""
    appliance = TRADE.appliance(appliance_id)
    places = {b.name: b.place for b in appliance.branches if b.place}
    for fault in appliance.faults:
        for n in range(12):
            told = draw_complaint(appliance, [fault.id], SETTING, stream("twice", fault.id, n))
            for symptom in (s for s in told if s.subject == "temperature"):
                worked = {places[b] for b in appliance.position(symptom.position).heats if b in places}
                amiss = {s.subject for s in told if s.position == symptom.position and s.how != NORMAL}
                if len(worked) == 1 or symptom.how == "stays cold":
                    assert not amiss & set(places.values()), told


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_nobody_calls_for_a_lamp_where_something_stays_cold(appliance_id: str) -> None:
    """A lamp is named only beside what fails to heat or turn in that position, and no light that is alight by itself.

    Common practice, no published source: a customer whose oven stays cold does not call for its red light.
    """
    appliance = TRADE.appliance(appliance_id)
    lights = {n for b in appliance.branches if b.kind in (BranchKind.LAMP, BranchKind.NEON) for n in (b.name, b.part)}
    for fault in appliance.faults:
        told = noticed(appliance, [fault.id])
        for n in range(4):
            chosen = draw_complaint(appliance, [fault.id], SETTING, stream("lamps", appliance_id, fault.id, n))
            amiss = [s for s in chosen if s.how != NORMAL]
            first = {s.position for s in amiss if s.subject in lights}
            for position in first:
                main = any(s.position == position and s.subject not in lights for s in told)
                said = any(s.subject not in lights for s in amiss)
                assert said or not main, (fault.id, chosen)
            for s in (s for s in chosen if s.how == NORMAL):
                assert not set(appliance.position(s.position).heats) <= lights, (fault.id, chosen)


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_what_trips_is_told_and_nothing_is_praised_beside_it(appliance_id: str) -> None:
    """Who speaks of a setting in which something trips says so, and says of nothing there that it works."""
    appliance = TRADE.appliance(appliance_id)
    for fault in (f.id for f in appliance.faults if f.kind is not FaultKind.USER_SETTING):
        trips = {s.position for s in symptoms(appliance, [fault]) if s.subject == PROTECTION and s.how != HOLDS}
        for n in range(8):
            told = draw_complaint(appliance, [fault], SETTING, stream("trips", fault, n))
            for position in trips & {s.position for s in told}:
                assert any(s.subject == PROTECTION for s in told if s.position == position)
                assert not any(s.how == NORMAL for s in told if s.position == position)


def test_no_warm_air_comes_where_the_fan_stands() -> None:
    """With its fan seized nobody says of a fan oven that warm air comes out at the back."""
    appliance = TRADE.appliance("fan-oven")
    for n in range(60):
        told = draw_complaint(appliance, ["fan-seized"], SETTING, stream("still", n))
        assert not any(s.subject == "ring" and s.how == NORMAL for s in told)


def test_of_two_ovens_at_once_nobody_says_how_warm_it_gets() -> None:
    """What a double oven holds is told of one oven, never of a setting that heats both."""
    appliance = TRADE.appliance("double-oven")
    for fault in ("main-contact-n-burnt", "main-thermostat-high", "ring-open"):
        for n in range(30):
            told = draw_complaint(appliance, [fault], SETTING, stream("both", fault, n))
            assert not any(s.subject == TEMPERATURE and s.position in ("both-ovens", "grill-and-main") for s in told)


def test_a_complaint_without_a_trip_speaks_against_what_trips() -> None:
    """Cold water with no word of a trip: an element that leaks is far less likely than a thermostat that stays open."""
    appliance = TRADE.appliance("immersion-heater")
    cold = tuple(s for s in noticed(appliance, ["thermostat-open"]) if s.subject == TEMPERATURE)
    found = posterior(appliance, [Complaint(cold)], (), draws=1)
    assert found.probability_of(["element-leak"]) < 0.2 * found.probability_of(["thermostat-open"])
