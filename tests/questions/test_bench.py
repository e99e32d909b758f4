from __future__ import annotations

import itertools
import json
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from english import WORDS
from probebook.bench.acts import split
from probebook.bench.log import replay, view
from probebook.bench.reading import metalwork
from probebook.bench.simulator import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.cases.generate import case_instance, case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import Complaint, Measured, Trial, TrialKind, posterior, reading
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.questions.bench.build import build_bench
from probebook.questions.bench.marking import bench_marker, grade
from probebook.questions.bench.solution import PROVE_DEAD
from probebook.questions.codec import decode_question, encode_question
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import FieldKind, Kind, Marked, Question, Standing
from probebook.questions.registry import build_question

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
DEAD = list(PROVE_DEAD)
CASES = [("conventional-oven", 2), ("fan-oven", 3), ("kettle", 1), ("tumble-dryer", 2)]

# Tests of earth continuity and insulation of the oven with its covers off, then closed and switched on.
TESTED = [
    "cover off: terminal cover",
    "cover off: rear panel",
    "meter continuity",
    "null leads",
    "probe X1.E M.1",
    "probe X1.E M2.1",
    "meter insulation",
    "probe X1.N X1.E",
    "controls oven",
    "probe X1.L X1.E",
]
CLOSED = ["cover on: rear panel", "cover on: terminal cover", "energise"]


def question(appliance: str, level: int, seed: str = "t") -> Question:
    """A bench question of the library."""
    return build_question(Ask("q01", Kind.BENCH, seed, level, appliance), TRADE)


def marked(asked: Question, acts: Sequence[str]) -> Marked:
    """The mark of a list of acts."""
    return mark(asked, {"job": list(acts)}, WORDS, bench=bench_marker(asked, TRADE))


def bench(truth: Sequence[str] = ("base-open",), appliance: str = "conventional-oven") -> Bench:
    """A bench with these faults."""
    return open_bench(BenchSpec(appliance, "bench-multimeter", tuple(truth), "a test", (), 4, 20.0), TRADE)


def done(on: Bench, acts: Sequence[str]) -> tuple[BenchState, Shown]:
    """The state, and what is shown, after these acts."""
    state, shown = on.start(), Shown("")
    for act in acts:
        state, shown = on.act(state, act)
    return state, shown


@pytest.mark.parametrize(("appliance", "level"), CASES)
def test_key_and_slips_earn_what_is_documented(appliance: str, level: int) -> None:
    """The key earns everything; each slip is recognised, earns its marks and gets its advice."""
    asked = question(appliance, level)
    assert marked(asked, asked.fields[0].answer).standing is Standing.RIGHT
    assert marked(asked, asked.fields[0].answer).marks == asked.marks == 8.0
    assert len({slip.slip for slip in asked.slips if not slip.critical}) >= 3
    for slip in asked.slips:
        found = marked(asked, slip.response)
        assert (found.fields[0].slip, found.marks, found.critical) == (slip.slip, slip.marks, slip.critical)
        assert slip.advice in found.fields[0].message


def test_what_can_kill_takes_everything_and_is_named() -> None:
    """After a critical failure the job earns nothing, even if everything else follows, and its step is named."""
    asked = question("conventional-oven", 2)
    dangerous = [slip for slip in asked.slips if slip.critical]
    assert {"live-ohms", "not-proved-dead", "prove-once", "untested-return", "bypass", "energised-open"} <= {
        slip.slip for slip in dangerous
    }
    for slip in dangerous:
        found = marked(asked, [*slip.response, *asked.fields[0].answer])
        assert found.critical
        assert found.marks == 0.0
        if slip.slip != "left-energised":
            assert f"Step {len(slip.response)}," in found.fields[0].message


@pytest.mark.parametrize(
    ("acts", "slip"),
    [
        (["meter ohms", "probe E2.1 E2.2"], "live-ohms"),
        (["isolate", "meter ohms", "probe E2.1 E2.2"], "live-ohms"),
        (["cover off: rear panel"], "not-proved-dead"),
        (["isolate", "lock off", "cover off: rear panel"], "not-proved-dead"),
        ([*DEAD[:1], *DEAD[2:], "cover off: rear panel"], "not-locked"),
        ([*DEAD[:2], *DEAD[3:], "cover off: rear panel"], "not-proved-first"),
        ([*DEAD[:5], DEAD[6], "cover off: rear panel"], "no-reference"),
        ([*DEAD[:6], "cover off: rear panel"], "prove-once"),
        ([*DEAD, "cover off: rear panel", "bypass F1"], "bypass"),
        ([*DEAD, "cover off: rear panel", "energise"], "energised-open"),
        ([*DEAD, "cover off: rear panel", "lift W10", "cover on: rear panel", "energise"], "energised-open"),
        ([*DEAD, "energise"], "untested-return"),
        (["run"], "untested-return"),
        ([*DEAD, "cover off: rear panel", "lift W15", "cover on: rear panel", "energise"], "earth-forgotten"),
        ([*DEAD, *TESTED, "lift W15", "refit W15", *CLOSED], "untested-return"),
    ],
)
def test_each_step_left_out_ends_the_job(acts: list[str], slip: str) -> None:
    """Isolate, lock off, prove, test every pair, prove again; refit, test, close: leaving any of it out is a failure.

    The order is that of published safe-isolation guidance (prove the tester before and after).
    """
    state, shown = done(bench(), acts)
    assert (state.failure, state.failed_at) == (slip, len(acts))
    assert shown.display == ""
    assert bench().acts(state) == ()


def test_the_safe_way_is_open() -> None:
    """Proved dead, tested, refitted and closed, the oven can be run; nothing counts as a failure."""
    state, shown = done(bench(), [*DEAD, *TESTED, *CLOSED, "run"])
    assert not state.failure
    assert "base element does not work" in shown.text
    assert state.trials == 5


def test_a_bad_earth_keeps_the_supply_off() -> None:
    """With the bond off, the earth reading is over its limit and putting the supply back is a failure."""
    state, _ = done(bench(["earth-off"]), [*DEAD, *TESTED, *CLOSED])
    assert state.failure == "untested-return"
    assert state.bad is not None
    assert (state.bad.function, state.bad.a) == (Function.CONTINUITY, "M2.1")


@pytest.mark.parametrize("name", ["a", "b", "c", "d"])
def test_a_poor_earth_joint_keeps_the_supply_off(name: str) -> None:
    """An oven whose earth reads about an ohm is never put back: 0.1 ohm is allowed (IEC 60335-1, clause 27.5)."""
    on = open_bench(BenchSpec("conventional-oven", "bench-multimeter", ("earth-poor",), name, (), 4, 20.0), TRADE)
    _, shown = done(on, [*DEAD, *TESTED[:5]])
    assert 0.3 < float(shown.display.split()[0]) < 3.0
    state, shown = done(on, [*DEAD, *TESTED, *CLOSED])
    assert state.failure == "untested-return"
    assert "earth continuity" in shown.text


@pytest.mark.parametrize("appliance", TRADE.appliance_ids)
def test_a_sound_earth_passes_on_every_bench(appliance: str) -> None:
    """However the instrument errs within its statement, a sound earth path of every appliance reads as good."""
    for name in "abcdef":
        on = open_bench(BenchSpec(appliance, "bench-multimeter", (), name, (), 4, 20.0), TRADE)
        covers = [f"cover off: {cover}" for cover, _ in on.appliance.covers]
        metal = sorted(metalwork(on.appliance))
        probes = [f"probe {on.appliance.earth} {t}" for t in metal]
        state, _ = done(on, [*DEAD, *covers, "meter continuity", "null leads", *probes])
        assert (state.earth, state.bad) == (frozenset(metal), None)


def test_a_meter_too_coarse_for_the_earth_path_shows_nothing_to_be_good() -> None:
    """A multimeter of 0.1 ohm a digit and ±2 digits cannot tell 0.1 ohm: its reading neither passes nor fails."""
    coarse = ["meter ohms" if act == "meter continuity" else act for act in TESTED]
    state, shown = done(bench(), [*DEAD, *coarse, *CLOSED])
    assert (state.failure, state.bad) == ("untested-return", None)
    assert "fine enough" in shown.text


def test_readings_for_safety_cost_nothing() -> None:
    """Earth, insulation and a look at the lamps leave tests and working minutes where they were; repeats count."""
    before, _ = done(bench(), ["watch lamps", "controls oven", "watch lamps", "controls off", *DEAD])
    assert (before.work_trials, before.trials) == (0, 1)
    after, _ = done(bench(), [*DEAD, *TESTED])
    assert (after.work_trials, after.trials) == (0, 4)
    again, _ = done(bench(), [*DEAD, *TESTED, TESTED[-1]])
    assert again.work_trials == 1
    assert again.work_minutes > after.work_minutes


def test_a_look_at_the_lamps_is_safe_and_shows_lamps_alone() -> None:
    """Whole and with its supply on, lamp and neon can be looked at before isolating; of the heat nothing is shown."""
    state, shown = done(bench(), ["controls oven", "watch lamps"])
    assert not state.failure
    assert shown.text.startswith("Lamps, oven (top and bottom heat): ")
    assert "lamp" in shown.text
    assert "element" not in shown.text
    assert "temperature" not in shown.text
    dark, _ = done(bench(["lamp-open"]), ["controls oven", "watch lamps"])
    assert {s.subject for s in dark.evidence[-1].symptoms} == {"H1", "H2"}
    off, shown = done(bench(), ["isolate", "controls oven", "watch lamps"])
    assert not shown.done
    assert off.trials == 0


def test_a_faulty_appliance_left_on_takes_everything() -> None:
    """Whoever finds a fault and leaves it switched on earns nothing; a wrong setting is none of the appliance's."""
    on = bench()
    left = grade(on, replay(on, [*DEAD, *TESTED, *CLOSED, "run", "conclude base-open"]))
    assert (left.slip, left.critical, left.marks) == ("left-energised", True, 0.0)
    guess = grade(on, replay(on, ["conclude base-open"]))
    assert (guess.slip, guess.critical, guess.marks) == ("left-energised", True, 0.0)
    user = bench(["user-setting"])
    assert not grade(user, replay(user, ["conclude user-setting"])).critical


def test_marks_for_safety_are_earned_by_the_proof_of_dead() -> None:
    """Isolated and locked off without a test for dead earns no safety marks; proved dead earns them all."""
    on = bench()
    assert grade(on, replay(on, ["isolate", "lock off", "conclude base-open"])).safety == 0.0
    assert grade(on, replay(on, [*DEAD, "conclude base-open"])).safety == on.grading.safety


def test_readings_are_those_of_the_case() -> None:
    """The bench shows for every reading of a case's record what the record says: it is the same appliance."""
    for level in (1, 3):
        case = make_case(TRADE, "fan-oven", "t", level)
        on = open_bench(BenchSpec(case.appliance, case.meter, case.truth, case.id), TRADE)
        taken = [o for o in case.evidence if isinstance(o, Measured)]
        assert taken
        assert [on.shown_by(o.trial, nulled=True) for o in taken] == taken
        made = case_instance(case, TRADE)
        assert [made.take(o.trial) for o in taken] == taken


def test_evidence_that_fits_nothing_listed_is_said_to() -> None:
    """A base element of 33.8 Ω that reads 63 Ω on the bench has no listed fault, and the verdict says so."""
    on = bench()
    ready = [*DEAD, "cover off: rear panel", "meter ohms", "null leads", "lift W10", "probe E2.1 E2.2"]
    log = replay(on, [*ready, "conclude base-open"])
    assert not any("explains these readings" in note for note in grade(on, log).notes)
    odd = tuple(replace(o, value=63.0, display="63.0 Ω") if isinstance(o, Measured) else o for o in log.state.evidence)
    said = " ".join(grade(on, replace(log, state=replace(log.state, evidence=odd))).notes)
    assert "No fault that the file lists explains these readings" in said
    assert "shows 63.0 Ω" in said
    assert "an element of about 800 W at 230 V reads cold" in " ".join(said.split())


def test_lifting_a_wire_frees_the_part() -> None:
    """A sound 1500 W element reads its cold ohms across its terminals with W10 off.

    230²/1500 = 35.3 Ω hot; 80/20 nickel-chromium is 1.06 to 1.075 times its cold ohms hot (published alloy tables), the
    making tolerance is 5 %: 31.1 to 35.0 Ω cold, and one digit either side.
    """
    on = bench(["lamp-open"])
    ready = [*DEAD, "cover off: rear panel", "meter ohms", "null leads", "lift W10"]
    _, shown = done(on, [*ready, "probe E2.1 E2.2"])
    assert 31.0 <= float(shown.display.split()[0]) <= 35.2


def test_leads_are_in_a_reading_until_nulled() -> None:
    """Wire W10 end to end reads more by the 0.2 Ω of the leads, that the meter's own file states, before nulling."""
    on = bench(["lamp-open"])
    ready = [*DEAD, "cover off: rear panel", "cover off: terminal cover", "meter ohms"]
    _, before = done(on, [*ready, "probe E2.2 X1.N"])
    _, after = done(on, [*ready, "null leads", "probe E2.2 X1.N"])
    assert float(before.display.split()[0]) - float(after.display.split()[0]) == pytest.approx(0.2, abs=0.11)


def test_no_reading_lies_below_its_own_leads() -> None:
    """A meter that cannot null shows its leads with the probes together, and never less between any two terminals."""
    for name in "abcdef":
        on = open_bench(BenchSpec("conventional-oven", "pocket-multimeter", (), name, (), 4, 20.0), TRADE)
        together = float(on.made.together(Function.OHMS).split()[0])
        assert 0.4 <= together <= 0.5
        pairs = itertools.combinations(on.appliance.terminals, 2)
        trials = [Trial(TrialKind.METER, "oven", function=Function.OHMS, probes=pair) for pair in pairs]
        read = [on.shown_by(trial, nulled=False).display for trial in trials]
        numbers = [float(shown.split()[0]) for shown in read if shown.endswith(" Ω")]
        assert len(numbers) > 20
        assert min(numbers) >= together


def test_the_beeper_is_silent_on_a_sound_element() -> None:
    """Continuity across a sound element does not beep, and across its earth bond it does."""
    on = bench(["lamp-open"])
    _, element = done(on, [*DEAD, "cover off: rear panel", "meter continuity", "lift W10", "probe E2.1 E2.2"])
    _, bond = done(on, [*DEAD, *TESTED[:5]])
    assert element.text.endswith("no beep.")
    assert bond.text.endswith(", beeps.")


def test_same_acts_same_log(fresh_python: Callable[..., str]) -> None:
    """A job replayed, in another interpreter with another hash seed too, gives the same displays and minutes."""
    acts = [*DEAD, *TESTED, *CLOSED, "run", "conclude base-open"]
    here = replay(bench(), acts)
    assert here == replay(bench(), acts)
    code = (
        "from pathlib import Path\n"
        "from probebook.cases.library import Library\n"
        "from probebook.bench.simulator import BenchSpec, open_bench\n"
        "from probebook.bench.log import replay\n"
        f"trade = Library(Path({str(TRADE.folder)!r}))\n"
        "spec = BenchSpec('conventional-oven', 'bench-multimeter', ('base-open',), 'a test', (), 4, 20.0)\n"
        f"log = replay(open_bench(spec, trade), {acts!r})\n"
        "print([s.shown.text for s in log.steps], round(log.state.minutes, 6))"
    )
    told = f"{[s.shown.text for s in here.steps]} {round(here.state.minutes, 6)}"
    assert fresh_python(code, PYTHONHASHSEED="1") == fresh_python(code, PYTHONHASHSEED="2") == told


def test_another_name_is_another_specimen() -> None:
    """The name of a bench draws how its parts were made and how its meter errs."""
    trial = reading("off", "E1.3", "E1.4", lifted=("W9",))
    specs = [BenchSpec("conventional-oven", "bench-multimeter", (), name) for name in "abcdef"]
    assert len({open_bench(spec, TRADE).shown_by(trial, nulled=True).value for spec in specs}) > 3


def test_haste_in_proving_dead_earns_nothing_and_care_costs_nothing() -> None:
    """Proving and testing ten times over leaves every mark as it was."""
    asked = question("kettle", 1)
    careful = [*DEAD, *(DEAD[2:] * 10), *list(asked.fields[0].answer)[len(DEAD) :]]
    assert marked(asked, careful).marks == asked.marks


def test_a_guess_earns_less_than_a_supported_conclusion() -> None:
    """The right fault with no reading taken earns less than half; what was known is told as a probability.

    The probability is that of the posterior from the complaint alone, worked out apart.
    """
    case = make_case(TRADE, "conventional-oven", "t", 2)
    asked = build_bench(Ask("q01", Kind.BENCH, "t", 2, case.appliance, {}, case), TRADE, random.Random(0))
    conclusion = asked.fields[0].answer[-1]
    guess = ["isolate", "lock off", conclusion]
    on = open_bench(BenchSpec.from_json(asked.bench), TRADE)
    found = grade(on, replay(on, guess))
    alone = posterior(TRADE.appliance(case.appliance), case.evidence[:1], case_meters(case, TRADE))
    assert isinstance(case.evidence[0], Complaint)
    assert found.probability == pytest.approx(alone.probability_of(case.truth))
    assert found.marks < asked.marks / 2
    assert found.slip == "one-reading-enough"


def test_support_follows_the_posterior_of_the_learners_own_readings() -> None:
    """More of the solution's readings never leave a right conclusion with fewer marks for support."""
    asked = question("fan-oven", 3)
    on = open_bench(BenchSpec.from_json(asked.bench), TRADE)
    key = list(asked.fields[0].answer)
    probes = [i for i, act in enumerate(key) if act.startswith("probe ")]
    grades = [grade(on, replay(on, [*key[: i + 1], key[-1]])) for i in probes]
    assert grades[-1].support <= grade(on, replay(on, key)).support == 2.0
    for found in grades:
        assert (found.support == 2.0) == (found.probability >= 0.95)


@pytest.mark.parametrize(
    "given",
    [
        "conclude base-open",
        [1, 2],
        ["conclude base-open", None],
        [["isolate"]],
        {"isolate": 1},
        ["no such act"],
        ["isolate"] * 601,
        ["probe " + "x" * 200],
        object(),
    ],
)
def test_rubbish_is_unreadable_and_never_an_exception(given: object) -> None:
    """Whatever an answer holds, the result is a mark; what is no list of acts is not scored."""
    asked = question("kettle", 1)
    found = mark(asked, {"job": given}, WORDS, bench=bench_marker(asked, TRADE))
    assert found.standing is Standing.UNREADABLE
    assert not found.scored


@pytest.mark.parametrize(
    "acts",
    [
        ["probe X9.L", "conclude base-open"],
        ["probe X1.L X1.L", "conclude base-open"],
        ["controls nowhere", "lift W99", "look Z", "cover off: moon", "meter clock", "conclude base-open"],
        ["conclude no-such-fault", "conclude base-open"],
    ],
)
def test_what_cannot_be_done_changes_nothing(acts: list[str]) -> None:
    """Acts on things that are not there are passed over, in a sentence."""
    log = replay(bench(), acts)
    assert [step.act for step in log.steps] == ["conclude base-open"]
    assert log.state.minutes == 0.0


def test_an_unfinished_job_is_not_marked() -> None:
    """Nothing done, or no conclusion yet, is blank: no attempt is used up."""
    asked = question("kettle", 1)
    assert marked(asked, []).standing is Standing.BLANK
    assert marked(asked, DEAD).standing is Standing.BLANK


def test_what_a_front_end_sees_is_plain_and_tells_nothing() -> None:
    """The view of a state is JSON and is the same whatever is wrong; so is the list of acts."""
    states = []
    for truth in (["base-open"], ["lamp-open"], []):
        on = bench(truth)
        state, _ = done(on, [*DEAD, "cover off: rear panel"])
        states.append(json.dumps(view(on, state)))
        assert all(split(act) for act in on.acts(state))
    assert len(set(states)) == 1


def test_the_question_carries_its_bench_through_json() -> None:
    """JSON gives the question back, and its bench can be set up from it alone; rubbish is refused in a sentence."""
    asked = replace(question("kettle", 1), effort=None)
    again = decode_question(json.loads(json.dumps(encode_question(asked))))
    assert again == asked
    assert again.fields[0].kind is FieldKind.BENCH
    assert marked(again, again.fields[0].answer).marks == 8.0
    for text in ("", "{}", "[]", '{"appliance": 1}'):
        with pytest.raises(UsageError):
            BenchSpec.from_json(text)


def test_case_of_the_plan_goes_on_the_bench() -> None:
    """With a case, the appliance on the bench is that of the case."""
    case: Case = make_case(TRADE, "kettle", "p", 2)
    asked = build_question(Ask("q01", Kind.BENCH, "p", 2, "kettle", {}, case), TRADE)
    assert asked.case == case.id
    assert BenchSpec.from_json(asked.bench).truth == case.truth
    assert math.isfinite(asked.difficulty)
