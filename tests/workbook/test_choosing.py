from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from workbook_demo import META, QUESTIONS

from english import WORDS
from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.diagnosis import Complaint, posterior
from probebook.diagnosis.candidates import settled
from probebook.errors import ProbebookError, UsageError
from probebook.learning.choosing import Template, choose, choose_outcome
from probebook.learning.mastery import Ability, Known, expected_success
from probebook.learning.rules import Course, load_course
from probebook.questions.codec import Sheet
from probebook.questions.model import Kind
from probebook.workbook.build.plan import Block, Plan
from probebook.workbook.practice.fresh import Order, about, fingerprint, fresh_question, rebuilt
from probebook.workbook.practice.templates import templates_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"

WATTS = Template(
    workbook="small",
    question="q01",
    kind=Kind.POWER,
    outcome="power",
    level=1,
    appliance="conventional-oven",
    difficulty=-0.5,
    options={"form": "watts", "part": "E2.heater"},
)
CASE = Template("small", "q02", Kind.FAULT, "conclude", 2, "conventional-oven", 0.5, case=True)


@pytest.fixture(scope="module")
def course() -> Course:
    """The course of the trade's own scenarios."""
    return load_course(SCENARIOS)


@pytest.fixture(scope="module")
def library() -> Library:
    """The trade's own scenarios."""
    return Library(SCENARIOS)


def drawn(known: dict[str, Known], course: Course, available: list[str], times: int = 3000) -> Counter[str]:
    """How often each outcome is chosen."""
    rng = random.Random(1)
    return Counter(choose_outcome(known, course, available, rng)[0] for _ in range(times))


# ---------------------------------------------------------------- the outcome


def test_an_outcome_waits_for_what_it_builds_on(course: Course) -> None:
    """With nothing known only outcomes without prerequisites at hand are chosen; parallel paths come later."""
    available = ["trace", "continuity", "function", "parallel"]
    assert set(drawn({}, course, available)) == {"trace", "function"}
    ready = {name: Known(course.ready, 3) for name in ("trace", "continuity", "function")}
    assert "parallel" in drawn(ready, course, available)


def test_a_prerequisite_that_cannot_be_practised_bars_nothing(course: Course) -> None:
    """Where nothing is at hand for tracing and continuity, parallel paths can be practised all the same."""
    assert set(drawn({}, course, ["parallel"])) == {"parallel"}


def test_the_weakest_is_chosen_most_often(course: Course) -> None:
    """Shares go with the square of what is missing to the goal: 0.35 and 0.15 missing are drawn 49 : 9."""
    known = {"power": Known(0.60, 4), "trace": Known(0.80, 4), "function": Known(0.97, 9)}
    found = drawn(known, course, list(known))
    assert found["function"] == 0
    assert found["power"] / found.total() == pytest.approx(49 / 58, abs=0.03)


def test_a_dangerous_answer_comes_before_everything(course: Course) -> None:
    """An outcome with something dangerous to make good is chosen whatever else is weak."""
    known = {"isolate": Known(0.99, 9, owed=1)}
    assert set(drawn(known, course, ["power", "isolate", "trace"], 50)) == {"isolate"}


def test_when_all_is_mastered_there_is_still_something_to_do(course: Course) -> None:
    """Mastered outcomes are kept fresh, and the sentence says that this is why."""
    known = {name: Known(0.97, 9) for name in ("power", "trace")}
    assert len(drawn(known, course, list(known))) == 2
    choice = choose([WATTS], known, Ability(), course, {}, random.Random(1), WORDS)
    assert "fresh" in choice.why


# ---------------------------------------------------------------- the template


def test_the_template_nearest_to_three_in_four_is_tried_first(course: Course) -> None:
    """Of ten difficulties the first tried is one whose expected success is within 0.05 of the best at 0.75."""
    bank = [
        Template("w", f"q{n:02d}", Kind.POWER, "power", 1, "kettle", -3.0 + 0.5 * n, options={"n": n})
        for n in range(12)
    ]
    for seed in range(10):
        choice = choose(bank, {}, Ability(0.3), course, {}, random.Random(seed), WORDS)
        away = [abs(expected_success(0.3, item.difficulty) - 0.75) for item in choice.templates]
        assert away[0] <= min(away) + 0.05
        assert sorted(away[3:]) == away[3:]
        assert len(choice.templates) == len(bank)


@pytest.mark.parametrize(
    ("known", "said"),
    [
        (
            Known(0.62, 4, lately=(False, True, False)),
            "You have missed two of the last three on ‘ohms and watts’.",
        ),
        (Known(0.31, 2, lately=(False, False)), "You have missed the last two on ‘ohms and watts’."),
        (Known(0.31, 1, lately=(False,)), "You have missed the last one on ‘ohms and watts’."),
        (
            Known(0.62, 2, lately=(True, True)),
            "Your last answers on ‘ohms and watts’ were right. A few more will make you sure of it.",
        ),
        (
            Known(0.62, 1, lately=(True,)),
            "Your last answer on ‘ohms and watts’ was right. A few more will make you sure of it.",
        ),
        (Known(0.2), "You have not practised ‘ohms and watts’ yet."),
        (Known(0.97, 9), "You are sure of everything here. This one keeps ‘ohms and watts’ fresh."),
    ],
)
def test_a_choice_is_explained_in_plain_words(known: Known, said: str, course: Course) -> None:
    """A learner reads which outcome it is and why, and no figure of the model."""
    titles = {"power": "ohms and watts"}
    choice = choose([WATTS], {"power": known}, Ability(), course, titles, random.Random(1), WORDS)
    assert choice.why == said


def test_nothing_to_choose_from_is_said_in_a_sentence(course: Course) -> None:
    """Without templates there is an error with a remedy and no traceback."""
    with pytest.raises(UsageError, match="nothing to practise"):
        choose([], {}, Ability(), course, {}, random.Random(1), WORDS)


def test_a_sheet_that_does_not_fit_its_plan_is_left_out() -> None:
    """Templates come from plan and sheet of one build; kinds in another order show that they are not."""
    kinds = [question.kind for question in QUESTIONS]
    blocks = tuple(Block(f"block[{n}]", ask=kind, appliance="kettle") for n, kind in enumerate(kinds))
    plan = Plan("demo", 1, "Demo", "apprentice", "", "s", "kettle", blocks)
    sheet = Sheet(META, QUESTIONS)
    found = templates_of([plan], {"01-demo": sheet})
    assert [item.question for item in found] == [question.id for question in QUESTIONS]
    assert [item.outcome for item in found] == [question.outcome for question in QUESTIONS]
    assert templates_of([plan], {"01-demo": Sheet(META, QUESTIONS[::-1])}) == ()
    assert templates_of([plan], {}) == ()


# ---------------------------------------------------------------- the question


def test_an_order_gives_the_same_question_in_another_process(
    library: Library, fresh_python: Callable[..., str]
) -> None:
    """What the journal keeps builds the same question again, whatever the hash seed, locale and time zone."""
    fresh = fresh_question(WATTS, library, question_id="practice-1", seed="a")
    record = fresh.order.to_record()
    assert all(isinstance(value, str) for value in record.values())
    code = (
        "from pathlib import Path\nfrom probebook.cases.library import Library\n"
        "from probebook.workbook.practice.fresh import Order, fingerprint, rebuilt\n"
        f"order = Order.from_record('practice-1', {record!r})\n"
        f"print(fingerprint(*rebuilt(order, Library(Path({str(SCENARIOS)!r})))))"
    )
    for environment in ({"PYTHONHASHSEED": "1"}, {"PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "LC_ALL": "C"}):
        assert fresh_python(code, **environment) == fingerprint(fresh.question)


@pytest.mark.parametrize(
    "spoilt",
    [{}, {"kind": "riddle"}, {"level": "two"}, {"options": "[1]"}, {"options": "{"}, {"options": "[" * 5000}],
)
def test_a_spoilt_record_is_refused(library: Library, spoilt: dict[str, str]) -> None:
    """A journal line that anybody may have written leads to an error with one sentence, never to a traceback."""
    record = {**fresh_question(WATTS, library, question_id="p", seed="a").order.to_record(), **spoilt}
    if not spoilt:
        del record["seed"]
    with pytest.raises(UsageError, match="does not say how this question was made"):
        Order.from_record("practice-1", record)


def test_fresh_questions_do_not_repeat(library: Library) -> None:
    """Twenty fresh questions of one sort are twenty different questions, on other appliances when one is used up."""
    ohms = Template("w", "q1", Kind.POWER, "power", 1, "kettle", 0.0, options={"form": "ohms"})
    taken: set[str] = set()
    for number in range(20):
        fresh = fresh_question(
            ohms,
            library,
            question_id=f"practice-{number}",
            seed=f"s{number}",
            appliances=library.appliance_ids,
            taken=taken,
        )
        assert fresh.question.outcome == "power"
        assert fingerprint(fresh.question) not in taken
        taken.add(fingerprint(fresh.question))


def test_a_form_is_kept_though_a_position_is_called_the_same(library: Library) -> None:
    """'lamp' is a position of the multifunction oven and a form of reading: the fresh question keeps the form."""
    lamp = Template("w", "q1", Kind.READING, "power", 1, "multifunction-oven", 0.0, options={"form": "lamp"})
    first = fresh_question(lamp, library, question_id="practice-1", seed="s")
    second = fresh_question(
        lamp,
        library,
        question_id="practice-2",
        seed="t",
        appliances=["fan-oven"],
        taken=[fingerprint(first.question)],
    )
    assert second.order.options == {"form": "lamp"}
    assert "lamp" in second.question.prompt


def test_what_has_run_out_is_said_in_a_sentence(library: Library) -> None:
    """When no draw is new the learner is told so."""
    ohms = Template("w", "q1", Kind.POWER, "power", 1, "kettle", 0.0, options={"form": "no such form"})
    with pytest.raises(ProbebookError, match="no fresh question of this sort"):
        fresh_question(ohms, library, question_id="practice-1", seed="s")


def test_a_fresh_case_passes_the_gates(library: Library) -> None:
    """The cause is at 0.95 or more and its runner-up at 0.02 or less, when recomputed from the case's evidence."""
    fresh = fresh_question(CASE, library, question_id="practice-1", seed="gates")
    case = fresh.case
    assert case is not None
    appliance = library.appliance(case.appliance)
    found = posterior(appliance, case.evidence, case_meters(case, library)).ranked()
    assert found[0][0].faults == settled(appliance, case.truth)
    assert found[0][1] >= 0.95
    assert found[1][1] <= 0.02
    again, same = rebuilt(fresh.order, library)
    assert same is not None
    assert (same.truth, again.prompt) == (case.truth, fresh.question.prompt)


@pytest.mark.parametrize("unusual", [True, False])
def test_the_usual_cause_is_the_cause_or_not_as_asked(library: Library, unusual: bool) -> None:
    """Asked for an unusual cause, the complaint makes another twice as likely; for a usual one, mostly not."""
    as_asked = 0
    for number in range(5):
        fresh = fresh_question(CASE, library, question_id="practice-1", seed=f"u{number}", unusual=unusual)
        case = fresh.case
        assert case is not None
        appliance = library.appliance(case.appliance)
        heard = tuple(item for item in case.evidence if isinstance(item, Complaint))
        belief = {
            hypothesis.faults: share
            for hypothesis, share in posterior(appliance, heard, case_meters(case, library)).ranked()
        }
        as_asked += (belief[settled(appliance, case.truth)] < max(belief.values()) / 2) == unusual
    assert as_asked >= 3


def test_a_case_about_the_same_thing_is_avoided(library: Library) -> None:
    """What a recent case was about is not asked again while something else is found."""
    first = fresh_question(CASE, library, question_id="practice-1", seed="r")
    second = fresh_question(CASE, library, question_id="practice-1", seed="r", recent=[about(first.case)])
    assert about(second.case) != about(first.case)
