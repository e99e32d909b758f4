"""The last gate of a case: a part is condemned by a reading of itself, and nothing that no file lists fits as well."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from probebook.appliances import Appliance
from probebook.cases.condemning import condemned, own_places, unlisted, unread
from probebook.cases.gates import PutBack, check_condemned
from probebook.cases.generate import case_instance, case_meters, make_case
from probebook.cases.library import library
from probebook.cases.trial_table import TrialTable, trial_table
from probebook.diagnosis import Complaint, Measured, Observation, Ran, Trial, reading
from probebook.diagnosis.symptom_table import Symptom
from probebook.meters import Function
from probebook.physical import Mode

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")
METERS = (TRADE.meter_for("insulation"), TRADE.meter_for("bench"))


def view_of(appliance: Appliance) -> TrialTable:
    """The trials on an appliance with the two usual instruments."""
    return trial_table(appliance, METERS)


def ohms(position: str, a: str, b: str, value: float, *lifted: str, calling: bool = True) -> Measured:
    """An ohms reading with the leads nulled."""
    return Measured(reading(position, a, b, lifted=lifted, calling=calling), value, nulled=True)


def insulation(position: str, a: str, b: str, value: float, *lifted: str) -> Measured:
    """An insulation reading."""
    return Measured(reading(position, a, b, Function.INSULATION, lifted=lifted), value)


GRILL = ohms("grill", "E1.1", "E1.2", 45.6)
LOW = insulation("oven", "X1.L", "X1.E", 0.05e6)
CHAIN = ohms("oven", "X1.L", "S1.P2", 210.0)

#: Key, what was thought to prove it, the reading that does, and the same reading as it would be with the part sound.
OLD = [
    ("inner-open", GRILL, ohms("off", "E1.3", "E1.4", math.inf, "W9"), ohms("off", "E1.3", "E1.4", 37.4, "W9")),
    (
        "base-leak",
        LOW,
        insulation("off", "E2.2", "M.1", 0.05e6, "W7", "W10"),
        insulation("off", "E2.2", "M.1", 300e6, "W7", "W10"),
    ),
    ("cutout-open", CHAIN, ohms("off", "F1.1", "F1.2", math.inf), ohms("off", "F1.1", "F1.2", 0.0)),
]


@pytest.mark.parametrize(("fault", "afar", "own", "sound"), OLD, ids=[row[0] for row in OLD])
def test_what_was_condemned_from_afar_is_put_back(fault: str, afar: Measured, own: Measured, sound: Measured) -> None:
    """A grill circuit read across the other, a leak from line, a cut-out from a chain: not without the part."""
    view = view_of(OVEN)
    with pytest.raises(PutBack, match="without a reading of it"):
        check_condemned(view, [fault], (afar,))
    assert unlisted(OVEN, [fault], (afar,), METERS)
    dried = (after_drying(own),) if own.trial.function is Function.INSULATION else ()
    check_condemned(view, [fault], (afar, own, *dried))
    with pytest.raises(PutBack, match="fits as well"):
        check_condemned(view, [fault], (afar, sound, *map(after_drying, (sound,) if dried else ())))


def after_drying(low: Measured) -> Measured:
    """The same reading, as low, after drying out."""
    return replace(low, trial=replace(low.trial, dried=True))


def test_a_leak_is_not_named_before_it_was_dried_out() -> None:
    """What reads low may be damp: dry it, read the same again, then decide (published guidance of element makers)."""
    low = insulation("off", "E2.2", "M.1", 0.05e6, "W7", "W10")
    for elsewhere in ((), (after_drying(LOW),)):
        with pytest.raises(PutBack, match="dried out"):
            check_condemned(view_of(OVEN), ["base-leak"], (LOW, low, *elsewhere))
    check_condemned(view_of(OVEN), ["base-leak"], (LOW, low, after_drying(low)))


def test_a_reading_with_another_path_beside_it_is_not_of_the_part_itself() -> None:
    """The base element read at oven, where the top element stands beside it, is not read; with its wire off it is."""
    assert unread(OVEN, ["base-open"], [ohms("oven", "E2.1", "E2.2", 45.0)]) == [("E2.heater", False)]
    assert unread(OVEN, ["base-open"], [ohms("oven", "E2.1", "E2.2", math.inf, "W10")]) == []
    assert unread(OVEN, ["thermostat-welded"], [ohms("off", "B1.1", "B1.2", 0.0)]) == [("B1", True)]
    assert unread(OVEN, ["thermostat-welded"], [ohms("off", "B1.1", "B1.2", 0.0, calling=False)]) == []


def test_of_a_seized_motor_the_winding_is_read() -> None:
    """A fan that stands still is not called seized before its winding was read, with one of its wires off."""
    fan = TRADE.appliance("fan-oven")
    motor = next(b for b in fan.branches if b.name == "M1")
    a, b = (fan.terminals[t] for t in motor.ends)
    assert unread(fan, ["fan-seized"], []) == [("M1", False)]
    wire = next(w.mark for w in fan.wires if a in (w.start, w.end))
    assert unread(fan, ["fan-seized"], [ohms("off", a, b, motor.cold_ohms, wire)]) == []


def test_a_wire_in_a_wrong_place_is_read_where_it_went() -> None:
    """The feed on the neighbouring tag: nought from that tag to the element, not only an open wire."""
    broken = ohms("off", "S1.3", "E2.1", math.inf)
    assert unread(OVEN, ["feeds-crossed"], [broken]) == [("W7>S1.2", False)]
    there = ohms("off", "S1.2", "E2.1", 0.0)
    check_condemned(view_of(OVEN), ["feeds-crossed"], (broken, there))


def test_of_two_faults_each_is_read_and_each_alone_is_not_enough() -> None:
    """Base and lamp open: with one of them read the other may be anything in its path; with both it is settled."""
    base, lamp = ohms("off", "E2.1", "E2.2", math.inf, "W10"), ohms("off", "H1.1", "H1.2", math.inf, "W11")
    truth = ["base-open", "lamp-open"]
    with pytest.raises(PutBack, match="without a reading"):
        check_condemned(view_of(OVEN), truth, (base,))
    check_condemned(view_of(OVEN), truth, (base, lamp))
    assert Mode.NONE in {f.mode for f, given in unlisted(OVEN, truth, (base,), METERS) if given}


def test_a_setting_is_proved_by_what_clears_the_complaint() -> None:
    """A base said to stay cold: with nothing read its path may be broken; with a run that shows it warm it is not."""
    told = Complaint((Symptom("oven", "base", "off"),))
    with pytest.raises(PutBack, match="fits as well"):
        check_condemned(view_of(OVEN), ["user-setting"], (told,))
    shown = [("top", "normal"), ("base", "normal"), ("H1", "normal"), ("H2", "normal"), ("temperature", "right")]
    run = Ran("oven", tuple(Symptom("oven", what, how) for what, how in (*shown, ("protection", "holds"))))
    check_condemned(view_of(OVEN), ["user-setting"], (told, run))


def test_readings_are_added_until_the_key_alone_is_left() -> None:
    """To a reading afar the own reading is added, last; nothing is added where all is settled; one may not do."""
    case = make_case(TRADE, "conventional-oven", "added", 2, truth=("inner-open",))
    made, view = case_instance(case, TRADE), trial_table(OVEN, case_meters(case, TRADE))
    afar: tuple[Observation, ...] = (made.take(GRILL.trial),)
    added = condemned(view, case.truth, afar, made.takes, 3)
    assert added is not None
    assert own_places(OVEN, case.truth, (*afar, *added)) == {"E1.inner": len(added)}
    assert condemned(view, case.truth, (*afar, *added), made.takes, 0) == ()
    hidden = ("low-supply",)
    assert condemned(view, hidden, (), made.takes, 1) is None


def test_no_part_is_condemned_unread_in_any_case() -> None:
    """Cases of every appliance pass the gate as they stand, and their own readings are part of the proof."""
    for appliance_id in TRADE.appliance_ids:
        for level in (1, 2, 4):
            case = make_case(TRADE, appliance_id, "condemned", level)
            appliance = TRADE.appliance(appliance_id)
            check_condemned(trial_table(appliance, case_meters(case, TRADE)), case.truth, case.evidence)
            own: Sequence[int] = list(own_places(appliance, case.truth, case.evidence).values())
            assert set(own) <= set(case.proof.observations)
            assert all(isinstance(case.evidence[i], Measured) for i in own)


def test_a_leak_is_read_from_its_section_with_all_its_wires_off() -> None:
    """The reading added for a leak lifts every wire of the section; one wire left on joins others and is not enough."""
    view = view_of(OVEN)
    asked: list[Trial] = []

    def takes(trials: Sequence[Trial]) -> list[Measured]:
        asked.extend(trials)
        return [Measured(trial, 0.05e6) for trial in trials]

    assert condemned(view, ["base-leak"], (LOW,), takes, 0) is not None
    assert asked[-1].lifted == {"W7", "W10"}
    assert asked[-1].function is Function.INSULATION
