"""Single acts on the bench and what the solutions and slips of a job are made of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from english import WORDS
from probebook.bench.log import replay, view
from probebook.bench.simulator import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.cases.generate import make_case
from probebook.cases.library import Library
from probebook.diagnosis.evidence import sights
from probebook.diagnosis.trial import look
from probebook.questions.bench.job import solved_job
from probebook.questions.bench.marking import bench_marker, grade
from probebook.questions.bench.solution import PROVE_DEAD, solution
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Question, Standing
from probebook.questions.registry import build_question

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
DEAD = list(PROVE_DEAD)


def bench(*truth: str, appliance: str = "conventional-oven") -> Bench:
    """An appliance on the bench with these faults."""
    return open_bench(BenchSpec(appliance, "bench-multimeter", truth, "acts", (), 4, 20.0), TRADE)


def done(on: Bench, acts: Sequence[str]) -> tuple[BenchState, Shown]:
    """The state, and what is shown, after these acts."""
    state, shown = on.start(), Shown("")
    for act in acts:
        state, shown = on.act(state, act)
    return state, shown


@pytest.mark.parametrize(
    ("acts", "is_done"),
    [
        (["thermostat resting"], True),
        (["thermostat calling"], False),
        (["thermostat resting", "thermostat resting"], False),
        (["thermostat resting", "thermostat calling"], True),
        (["lock off"], False),
        (["isolate", "lock off"], True),
        (["isolate", "lock off", "lock off"], False),
        (["isolate", "isolate"], False),
    ],
)
def test_what_is_so_already_is_not_done_again(acts: list[str], is_done: bool) -> None:
    """A thermostat that calls cannot be made to call, nor what is locked be locked, nor a live supply."""
    before, _ = done(bench(), acts[:-1])
    after, shown = done(bench(), acts)
    assert shown.done is is_done
    assert (after.minutes > before.minutes) is is_done


def test_an_appliance_without_a_thermostat_has_none_to_set() -> None:
    """Nothing of it calls or rests, and neither is offered."""
    plain = next(
        a for a in TRADE.appliance_ids if not any(b.cycles for b in TRADE.appliance(a).branches) and a != "kettle"
    )
    on = bench(appliance=plain)
    assert not done(on, ["thermostat resting"])[1].done
    assert "thermostat resting" not in on.acts(on.start())
    assert "thermostat resting" in bench().acts(bench().start())


def test_covers_take_their_own_time() -> None:
    """Off and on again a cover takes the seconds that the appliance's file gives it, each way."""
    on = bench()
    seconds = dict(on.appliance.covers)
    cover = next(iter(seconds))
    start, _ = done(on, DEAD)
    off, _ = done(on, [*DEAD, f"cover off: {cover}"])
    again, _ = done(on, [*DEAD, f"cover off: {cover}", f"cover on: {cover}"])
    assert off.minutes - start.minutes == pytest.approx(seconds[cover] / 60)
    assert again.minutes - off.minutes == pytest.approx(seconds[cover] / 60)
    assert view(on, off)["minutes"] == round(off.minutes, 1)


def test_a_job_starts_with_nothing_done() -> None:
    """Supply on, nothing proved, tested, open, lifted, known or concluded."""
    state = bench().start()
    flags = ("isolated", "locked", "proved", "proved_again", "untried", "nulled", "dried", "proved_dead", "dead")
    assert not any(getattr(state, flag) for flag in flags)
    assert not any((state.tested, state.uncovered, state.lifted, state.earth, state.insulated))
    assert (state.minutes, state.trials, state.acts, state.conclusion, state.bad) == (0.0, 0, 0, None, None)


def test_leads_are_nulled_once_and_only_where_they_count() -> None:
    """On ohms nulling is offered until it is done; on the insulation range it is not."""
    for acts, offered in ((["meter ohms"], True), (["meter ohms", "null leads"], False), (["meter insulation"], False)):
        on = bench()
        state, _ = done(on, [*DEAD, *acts])
        assert ("null leads" in on.acts(state)) is offered
    assert not done(bench(), [*DEAD, "meter insulation", "null leads"])[1].done


def test_a_look_shows_what_the_fault_shows_and_is_kept_where_it_tells() -> None:
    """A burnt tag is seen and counts as evidence; at a part at which nothing can be seen a look leaves none."""
    oven = TRADE.appliance("conventional-oven")
    opened = [*DEAD, "cover off: terminal cover", "cover off: rear panel"]
    told = {}
    for fault in oven.faults:
        for wire in (w.mark for w in oven.wires):
            if fault.target.startswith(wire) and len(sights(oven, wire)) > 1:
                told[fault.id] = wire
    assert told
    for fault, wire in told.items():
        state, shown = done(bench(fault), [*opened, f"look {wire}"])
        _, sound = done(bench(), [*opened, f"look {wire}"])
        assert len(state.evidence) == len(bench(fault).start().evidence) + 1
        if shown.text != sound.text:
            break
    else:
        raise AssertionError("nothing is ever seen")
    plain = next(w.mark for w in oven.wires if len(sights(oven, w.mark)) == 1)
    state, shown = done(bench(), [*opened, f"look {plain}"])
    assert shown.done
    assert state.evidence == bench().start().evidence
    assert state.trials == 1


@pytest.fixture(scope="module")
def job() -> Question:
    """A bench job on the oven."""
    return build_question(Ask("q01", Kind.BENCH, "t", 2, "conventional-oven"), TRADE)


def test_slips_of_a_job_are_the_first_that_show_them(job: Question) -> None:
    """Once each; among them leaving it on, reading in parallel, and stopping as late as one can too early."""
    slips = {slip.slip: list(slip.response) for slip in job.slips}
    assert len(slips) == len(job.slips)
    assert {"left-energised", "one-reading-enough", "rules-out-nothing"} <= set(slips)
    assert slips["left-energised"][-2] == "energise" or "energise" in slips["left-energised"]
    kettle = build_question(Ask("q01", Kind.BENCH, "t", 1, "kettle"), TRADE)
    first = next(p.mark for p in TRADE.appliance("kettle").parts if p.kind == "cut-out")
    assert next(s.response[-1] for s in kettle.slips if s.slip == "bypass") == f"bypass {first}"
    key = job.fields[0].answer
    shorter = [a for a in slips["one-reading-enough"] if a.startswith("probe")]
    whole = [a for a in key if a.startswith("probe")]
    assert shorter == whole[: len(shorter)]
    assert 0 < len(shorter) < len(whole)


def test_some_job_shows_the_parallel_path() -> None:
    """Over a few jobs the slip of reading an element with its neighbours beside it can be shown."""
    found = set()
    for appliance, level in (("storage-heater", 1), ("conventional-oven", 2), ("conventional-oven", 3)):
        found |= {s.slip for s in build_question(Ask("q01", Kind.BENCH, "p", level, appliance), TRADE).slips}
    assert {"parallel-path", "beeper-silence"} <= found


def test_effort_of_a_job_is_its_tests_and_what_may_mislead(job: Question) -> None:
    """Steps are the trials of the key; traps the ways of going wrong that are not dangerous."""
    assert job.effort is not None
    on = open_bench(BenchSpec.from_json(job.bench), TRADE)
    assert job.effort.steps == replay(on, job.fields[0].answer).state.trials > 1
    assert job.effort.traps == len({s.slip for s in job.slips if not s.critical})


@pytest.mark.parametrize("given", [None, "", []])
def test_a_job_not_begun_is_blank(job: Question, given: object) -> None:
    """Nothing given uses up no attempt."""
    assert mark(job, {"job": given}, WORDS, bench=bench_marker(job, TRADE)).standing is Standing.BLANK


def test_a_solution_opens_what_it_looks_at_and_puts_back_what_it_runs() -> None:
    """A look under a cover takes off that cover alone; left on, the appliance is whole and tested before."""
    on = bench("lamp-open")
    acts = solution(on, [look("E2")], ["lamp-open"])
    assert "look E2" in acts
    assert sum(act.startswith("cover off") for act in acts) == 1
    assert grade(on, replay(on, acts)).critical is False
    left = solution(on, [look("E2")], ["lamp-open"], left_on=True)
    assert replay(on, left).state.isolated is False
    assert "energise" in left


def test_a_wrong_fault_against_which_nothing_speaks_is_said_to_be_one_of_several() -> None:
    """Without a reading nothing speaks against a less likely fault; with one that shows it sound, that is quoted."""
    on = bench("base-open")
    bare = grade(on, replay(on, [*DEAD, "conclude lamp-open"])).notes[0]
    read = [*DEAD, "cover off: rear panel", "meter ohms", "null leads", "lift W11", "probe H1.1 H1.2"]
    against = grade(on, replay(on, [*read, "conclude lamp-open"])).notes[0]
    assert "H1" in against
    assert "H1" not in bare


def test_a_job_is_made_of_a_case_whose_complaint_is_part_of_the_proof() -> None:
    """What the customer said is no trial: the job is the readings alone, and earns all."""
    for n in range(30):
        case = make_case(TRADE, "conventional-oven", f"obs {n}", 2)
        if 0 in case.proof.observations:
            break
    found = solved_job(case, TRADE)
    assert 0 in case.proof.observations
    assert all(trial.probes or trial.at or trial.position for trial in found.trials)
    assert grade(found.bench, replay(found.bench, found.acts)).marks == found.bench.grading.whole
