from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from probebook.cases.generate import case_made, case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import Complaint, Measured, posterior, reading
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.questions.bench import build_bench
from probebook.questions.bench_acts import DIAL, split
from probebook.questions.bench_core import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.questions.bench_log import key_of, replay, table, view
from probebook.questions.bench_marking import bench_marker, grade
from probebook.questions.bench_solution import PROVE_DEAD
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
    return mark(asked, {"job": list(acts)}, bench=bench_marker(asked, TRADE))


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
    assert state.bad.startswith("earth continuity")


def test_readings_are_those_of_the_case() -> None:
    """The bench shows for every reading of a case's record what the record says: it is the same appliance."""
    for level in (1, 3):
        case = make_case(TRADE, "fan-oven", "t", level)
        on = open_bench(BenchSpec(case.appliance, case.meter, case.truth, case.id), TRADE)
        taken = [o for o in case.evidence if isinstance(o, Measured)]
        assert taken
        assert [on.shown_by(o.trial, nulled=True) for o in taken] == taken
        made = case_made(case, TRADE)
        assert [made.take(o.trial) for o in taken] == taken


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
        "from probebook.questions.bench_core import BenchSpec, open_bench\n"
        "from probebook.questions.bench_log import replay\n"
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
    found = mark(asked, {"job": given}, bench=bench_marker(asked, TRADE))
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


def test_a_table_holds_displays_and_no_fault() -> None:
    """A table of readings gives what the bench would show, and names no fault."""
    on = bench()
    shown = table(on, positions=("off", "oven"), lifts=(frozenset(), frozenset(("W10",))), terminals=("E2.1", "E2.2"))
    assert len(shown) == 2 * 2 * len(DIAL)
    trial = reading("off", "E2.1", "E2.2", lifted=("W10",))
    assert shown[key_of(trial, nulled=True)] == "OL"
    written = json.dumps(shown)
    assert not any(fault.id in written or fault.title in written for fault in on.appliance.faults)
    assert set(shown) == {key_of(reading(p, "E2.1", "E2.2", f, lifted=w), nulled=True)
                          for p in ("off", "oven") for w in ((), ("W10",)) for f in Function
                          if f in DIAL}  # fmt: skip


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
    asked = question("kettle", 1)
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
