"""Minutes of a job and the rules of who may do what."""

from __future__ import annotations

import pytest
from diagnosis_samples import APPLIANCES, appliance

from probebook.diagnosis import Person, Setup, TrialKind, after, look, minutes, model_of, objection, run, safe, trials
from probebook.diagnosis.effort import Objection, covers_for
from probebook.diagnosis.trial import reading
from probebook.meters import Function

#: Minutes of work, as the assumptions of the library have them.
MINUTES = model_of(appliance()).assumed.minutes


def test_isolating_and_covers_are_paid_once() -> None:
    """The first dead reading costs isolation and its cover; the next behind the same cover only its probing."""
    which = appliance()
    cover = dict(which.covers)["rear panel"] / 60
    first = reading("off", "E2.1", "E2.2")
    assert minutes(which, first) == pytest.approx(MINUTES.isolate + cover + MINUTES.probe)
    then = after(which, first)
    assert then == Setup(True, frozenset({"rear panel"}), frozenset(), "off")
    assert minutes(which, reading("off", "E1.1", "E1.2"), then) == pytest.approx(MINUTES.probe)


def test_lifting_refitting_and_making_whole_are_paid() -> None:
    """Lifting a wire costs a lift, refitting it another, and a run costs refitting, covers and restoring the supply."""
    which = appliance()
    lifted = reading("off", "E2.1", "E2.2", lifted={"W10"})
    plain = reading("off", "E2.1", "E2.2")
    assert minutes(which, lifted) - minutes(which, plain) == pytest.approx(MINUTES.lift)
    then = after(which, lifted)
    assert minutes(which, plain, then) == pytest.approx(MINUTES.lift + MINUTES.probe)
    whole = minutes(which, run("oven"), then) - minutes(which, run("oven"))
    assert whole == pytest.approx(MINUTES.lift + dict(which.covers)["rear panel"] / 60 + MINUTES.restore)
    assert not after(which, run("oven"), then).isolated


def test_drying_is_paid_once() -> None:
    """Drying out is paid the first time an insulation reading after drying is wanted."""
    which = appliance()
    wet = reading("off", "X1.N", "X1.E", Function.INSULATION)
    dry = reading("off", "X1.N", "X1.E", Function.INSULATION, dried=True)
    assert minutes(which, dry) - minutes(which, wet) == pytest.approx(MINUTES.dry_out)
    assert minutes(which, dry, after(which, dry)) == minutes(which, wet, after(which, wet))


def test_a_wire_is_lifted_at_the_end_that_is_open_to_hand() -> None:
    """A wire that ends behind two covers needs neither beyond the one already off."""
    which = appliance()
    assert covers_for(which, reading("off", "E2.1", "E2.2", lifted={"W7"})) == {"rear panel"}
    assert covers_for(which, look("W7"), {"control panel"}) == frozenset()
    assert len(covers_for(which, look("W7"))) == 1


@pytest.mark.parametrize("name", APPLIANCES)
def test_nothing_energised_before_earth_and_insulation_are_proved(name: str) -> None:
    """No run or record is safe before that, nor ever for an owner; every dead test is open to an apprentice."""
    which = appliance(name)
    for trial in trials(which):
        energised = trial.kind in (TrialKind.RUN, TrialKind.RECORD)
        assert safe(which, trial) is not energised
        assert safe(which, trial, proved=True)
        if energised:
            assert not safe(which, trial, person=Person.OWNER, proved=True)
            assert objection(which, trial) is Objection.NOT_PROVED


def test_an_owner_stops_at_the_cover() -> None:
    """An owner is refused what is behind a cover, and what is on fixed wiring even without one."""
    oven = appliance()
    assert objection(oven, reading("off", "E2.1", "E2.2"), person=Person.OWNER) is Objection.OWNER_OPENS
    trial = reading("off", "X1.L", "X1.N")
    uncovered = Setup(True, covers_for(oven, trial))
    assert objection(oven, trial, uncovered, person=Person.OWNER) is Objection.OWNER_FIXED_WIRING


def test_what_was_dried_stays_dry_after_a_run() -> None:
    """Drying out is paid once: neither a run nor a look makes the appliance wet again."""
    which = appliance()
    dry = reading("off", which.neutral, which.earth, Function.INSULATION, dried=True)
    setup = after(which, run("oven"), after(which, dry))
    assert setup.dried
    assert minutes(which, dry, setup) < MINUTES.dry_out
