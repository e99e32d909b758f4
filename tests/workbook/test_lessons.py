"""What stands round the questions of a workbook: aims, time, what comes before, words, the sheet, examples.

Population: all plans of the scenarios for what needs no questions; those that build quickly for what does.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from probebook.cases.generate import make_case
from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.learning.duration import Pace, question_minutes, told_minutes
from probebook.learning.rules import load_course
from probebook.questions.codec import read_sheet
from probebook.questions.model import Kind
from probebook.workbook.build.compiling import Compiled, compile_plan
from probebook.workbook.build.plan import Plan, load_plan, load_plans
from probebook.workbook.pages.glossary import Term, first_met, glossary, terms_in
from probebook.workbook.pages.reference import reference_page, usual_rows
from probebook.workbook.pages.walk import walk_page

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
REGIONS = sorted(path.stem for path in (SCENARIOS / "regions").glob("*.toml"))
LIBRARY = Library(SCENARIOS)
PLANS = load_plans(SCENARIOS)
QUICK = ("before-you-touch-it", "ohms-and-watts", "what-is-safe-to-look-at")


@cache
def built(name: str) -> Compiled:
    """A workbook."""
    return compile_plan(load_plan(SCENARIOS / "workbooks" / f"{name}.toml"), LIBRARY)


def cell(workbook: Compiled, name: str) -> str:
    """The text of a cell."""
    return next(found.source for found in workbook.cells if found.id == name)


# ---------------------------------------------------------------- the head


@pytest.mark.parametrize("name", QUICK)
def test_the_time_is_that_of_questions_and_lessons(name: str) -> None:
    """The minutes told are those of the questions, at least, and not twice as many; a longer workbook takes longer."""
    workbook = built(name)
    pace = LIBRARY.assumptions.get(Pace)
    asked = sum(question_minutes(question, pace) for question in workbook.questions)
    assert asked - 2.5 <= workbook.minutes <= 2 * asked
    assert workbook.minutes % 5 == 0
    hours, over = divmod(workbook.minutes, 60)
    told = [f"{over} minutes", f"{hours} h {over} min", "hour"]
    assert any(text in cell(workbook, "aims") for text in told)


def test_minutes_are_told_in_steps_of_five() -> None:
    """Nobody knows them better than that, and nothing takes no time."""
    assert [told_minutes(minutes) for minutes in (0.0, 4.0, 52.4, 52.6, 118.0)] == [5, 5, 50, 55, 120]


@pytest.mark.parametrize("name", QUICK)
def test_aims_are_what_questions_are_about(name: str) -> None:
    """Every line of the head is what an outcome makes one able to do, and at least two questions are about it."""
    workbook = built(name)
    lines = re.findall(r"^- (.*)$", cell(workbook, "aims"), re.MULTILINE)
    able = {item.able[workbook.plan.reader]: outcome for outcome, item in LIBRARY.outcomes.items()}
    asked = [question.outcome for question in workbook.questions]
    assert lines
    assert all(asked.count(able[line]) >= 2 for line in lines)


def test_an_aim_that_nothing_is_asked_about_is_refused() -> None:
    """A plan cannot promise what it does not practise."""
    plan = replace(load_plan(SCENARIOS / "workbooks" / "before-you-touch-it.toml"), aims=("record",), blocks=())
    with pytest.raises(ScenarioError, match="'record' is an aim"):
        compile_plan(plan, LIBRARY)


def test_what_comes_before_is_there_and_comes_before() -> None:
    """Workbooks come after workbooks of smaller numbers for the same reader; the head names number and title."""
    by_id = {plan.id: plan for plan in PLANS}
    for plan in PLANS:
        for name in plan.after:
            assert by_id[name].number < plan.number
            assert by_id[name].reader == plan.reader
    assert "workbook 2 (*Your meter*)" in cell(built("ohms-and-watts"), "aims")
    assert "you need nothing" in cell(built("before-you-touch-it"), "aims")


def test_prerequisites_are_practised_in_or_before_a_workbook() -> None:
    """What an aim builds on (practice.toml) is asked in the workbook that has it or in one that comes before."""
    course = load_course(SCENARIOS)
    by_id = {plan.id: plan for plan in PLANS}

    def before(plan: Plan) -> set[str]:
        return {plan.stem}.union(*(before(by_id[name]) for name in plan.after))

    asked = {
        plan.stem: Counter(q.outcome for q in read_sheet(ROOT / "answer_keys" / f"{plan.stem}.json").questions)
        for plan in PLANS
        if plan.reader == "apprentice"
    }
    for plan in PLANS:
        if plan.reader == "apprentice":
            met = {outcome for stem in before(plan) for outcome in asked[stem]}
            aims = plan.aims or [outcome for outcome, times in asked[plan.stem].items() if times > 1]
            assert {earlier for aim in aims for earlier in course.rules(aim).after} <= met, plan.stem


def test_a_workbook_that_comes_before_and_that_there_is_not_is_named(tmp_path: Path) -> None:
    """The error says which name is wrong and what there is to choose from."""
    text = (SCENARIOS / "workbooks" / "your-meter.toml").read_text("utf-8")
    folder = tmp_path / "workbooks"
    folder.mkdir()
    path = folder / "your-meter.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match="no workbook 'before-you-touch-it' to come before"):
        load_plan(path)


# ---------------------------------------------------------------- words


def test_every_explained_word_is_used_in_some_lesson() -> None:
    """A word that no lesson uses is not explained for nothing; each explanation is a sentence."""
    lessons = [block.text for plan in PLANS for block in plan.blocks if block.text]
    said = [LIBRARY.words.say_text(_facts(), text, "") for text in lessons]
    used = {term.word for term in terms_in(said, LIBRARY)}
    assert [term.word for term in glossary(LIBRARY) if term.word not in used] == []
    assert all(term.text.endswith(".") for term in glossary(LIBRARY))


def _facts() -> object:
    from probebook.regions.facts import region_facts

    return region_facts(LIBRARY.region, LIBRARY.words)


def test_words_are_found_whole_and_the_longest_first() -> None:
    """'tags' is no 'tag-team', 'OL' no 'ol', and 'parallel path' is met as a whole."""
    terms = glossary(LIBRARY)

    def met(text: str) -> list[str]:
        return [text[start:end] for start, end, _ in first_met(text, terms)]

    assert met("No tag-team here; see the tags.") == ["tags"]
    assert met("The old meter") == []
    assert met("It shows OL, open circuit.") == ["OL", "open circuit"]
    assert met("Mind a parallel path.") == ["parallel path"]
    assert list(first_met("ABC", [Term("x", ("(A", "A.C"), "signs of a pattern are letters")])) == []


@pytest.mark.parametrize("region", REGIONS)
def test_words_of_the_region_are_explained_by_their_own_name(region: str) -> None:
    """What is called otherwise elsewhere heads its explanation by the name that the lessons use there."""
    library = Library(SCENARIOS, region=region)
    heads = {term.word for term in glossary(library)}
    assert {str(library.word("rcd")), str(library.word("board"))} <= heads


# ---------------------------------------------------------------- the reference sheet


def test_usual_ohms_are_those_of_ohms_law() -> None:
    """Every row of the table: watts times ohms are volts squared, volts times amperes are watts (Ohm's law)."""
    volts = LIBRARY.region.supply.nominal
    rows = usual_rows(LIBRARY)
    assert len(rows) > 10
    for row in rows:
        assert row.hot * row.watts == pytest.approx(volts**2)
        assert row.amps * volts == pytest.approx(row.watts)
        # Nickel-chromium and iron-chromium have 0 to 11 % more resistance hot than cold (published alloy tables).
        assert 1.0 <= row.hot / row.most <= row.hot / row.least <= 1.11


@pytest.mark.parametrize("region", REGIONS)
def test_the_sheet_has_the_limits_of_its_region(region: str) -> None:
    """Volts, earth and insulation are those of the region's own rules, and each names its rule."""
    library = Library(SCENARIOS, region=region)
    page = reference_page(library, "apprentice")
    supply = library.region.rule("supply.now")
    assert f"{supply.low:.1f} V to {supply.high:.1f} V | {supply.rule}" in page
    assert f"{library.region.rule('insulation.class-i').low / 1e6:g} MΩ" in page
    assert library.region.rule("earth.metalwork").rule in page


def test_the_order_of_isolating_is_a_right_one() -> None:
    """The steps on the sheet stand in an order that the procedure allows, and end with the first cover."""
    page = reference_page(LIBRARY, "apprentice")
    places = [page.index(text) for text in ("Lock the isolator off", "all dead", "again on the same live source")]
    assert places == sorted(places)
    assert "Lift a wire of the element and measure" not in page


def test_an_owner_is_given_no_way_past_a_cover() -> None:
    """The owner's sheet has no order of isolating and says whom to call."""
    page = reference_page(LIBRARY, "owner")
    assert "cover" not in page.lower()
    assert "two-pole" not in page
    assert LIBRARY.region.emergency.number in page
    assert str(LIBRARY.word("electrician")) in page


# ---------------------------------------------------------------- worked examples


def test_every_kind_is_worked_out_somewhere() -> None:
    """For each kind of question that is asked there is a worked example in some workbook."""
    shown = {block.example for plan in PLANS for block in plan.blocks if block.example}
    shown |= {kind for plan in PLANS for block in plan.blocks if block.worked for kind in block.asks}
    asked = {block.ask for plan in PLANS for block in plan.blocks if block.ask}
    asked |= {kind for plan in PLANS for block in plan.blocks if block.case for kind in block.asks}
    assert asked - shown == set()
    forms = [
        (b.example, (b.options or {}).get("form"), (b.options or {}).get("verdict")) for p in PLANS for b in p.blocks
    ]
    for wanted in ((Kind.TRACE, "break", None), (Kind.TRACE, "volts", None), (Kind.VERDICT, "power", "cannot")):
        assert wanted in forms


def test_a_worked_decision_says_why_not_the_others() -> None:
    """Under a worked stop-or-go stand the right choice and, for every other, why it is wrong here."""
    page = next(found.source for found in built("before-you-touch-it").cells if found.id.startswith("example-"))
    assert "**Do what is proposed?** stop" in page
    assert page.count("- Not *") == 4


def test_a_case_worked_aloud_names_only_what_an_observation_rules_out() -> None:
    """Every observation is told with what the meter showed; the fault is never among those ruled out."""
    case = make_case(LIBRARY, "conventional-oven", "a test/worked", 2, truth=("base-neutral-broken",))
    page = walk_page(case, LIBRARY)
    title = str(LIBRARY.appliance(case.appliance).fault("base-neutral-broken").title)
    gone = " ".join(re.findall(r"That rules out ([^.]*)\.", page))
    assert title not in gone
    assert f"So it is: {title}" in page
    for number, item in enumerate(case.evidence):
        display = getattr(item, "display", "")
        assert number == 0 or f"**{number}. " in page
        assert display in page


def test_a_case_worked_aloud_says_that_a_figure_agrees_only_where_it_lies_in_the_band() -> None:
    """'And so it does' stands beside a figure that the band told of a sound appliance holds, and beside no other."""
    band = re.compile(r": ([\d.]+)( M?)Ω\.\*\* A sound appliance would show ([\d.]+)–([\d.]+) M?Ω(, and so it does)?")
    seen: set[bool] = set()
    for appliance in ("conventional-oven", "storage-heater", "fan-oven"):
        for seed in range(6):
            page = walk_page(make_case(LIBRARY, appliance, f"a test/band {seed}", 2), LIBRARY)
            for shown, _, low, high, agrees in band.findall(page):
                assert (float(low) <= float(shown) <= float(high)) == bool(agrees), (appliance, seed, shown, low, high)
                seen.add(bool(agrees))
    assert seen == {True, False}


def test_general_advice_is_told_once_in_a_worked_example() -> None:
    """What a worked example says of symbols in general stands under one of its wrong options, not under all."""
    pages = [cell.source for cell in built("reading-the-wiring").cells if cell.id.startswith("example-")]
    page = next(source for source in pages if "symbol" in source)
    assert page.count("- Not *") >= 5
    assert page.count("Look at the body first") == 1


def test_a_worked_case_is_asked_about_nowhere() -> None:
    """What is worked aloud is no case of a question: its seed is its own."""
    for path in sorted((SCENARIOS / "workbooks").glob("*.toml")):
        blocks = tomllib.loads(path.read_text("utf-8"))["block"]
        worked = {block["worked"] for block in blocks if "worked" in block}
        assert worked.isdisjoint(block["case"] for block in blocks if "case" in block)
