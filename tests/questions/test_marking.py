from __future__ import annotations

import itertools
import math
import subprocess
import sys
from dataclasses import replace
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from question_samples import ALL, ELEMENT, OPEN, ORDER, VERDICT

from english import WORDS
from probebook.questions.marking import implied_pairs, mark
from probebook.questions.model import Field, FieldKind, FieldMark, Kind, Option, Question, Slip, Standing


def ohms(text: object) -> Any:
    """The mark of a typed resistance."""
    return mark(ELEMENT, {"ohms": text}, WORDS)


@pytest.mark.parametrize("question", ALL, ids=lambda question: question.id)
def test_the_key_earns_full_marks(question: Question) -> None:
    """The response that a question calls its key is right and earns everything."""
    marked = mark(question, question.key(), WORDS)
    assert (marked.standing, marked.marks, marked.out_of) == (Standing.RIGHT, question.marks, question.marks)
    assert marked.scored


@pytest.mark.parametrize("text", ["46 ohm", "46Ω", "0.046 kΩ", "0,0460 kohm", "46R", "46000 mohm", " 46.9 ohms "])
def test_a_right_quantity_may_be_typed_in_any_usual_spelling(text: str) -> None:
    """The nominal 230²/1150 = 46 Ω (Ohm's and the power law) is right however it is spelt."""
    assert ohms(text).standing is Standing.RIGHT


@pytest.mark.parametrize(
    "text",
    ["abc", "12 parsec", "1e999", "1e999 ohm", "-5 ohm", "nan", "nan ohm", "46 W", "46 V", "46 x", "OL", "4 6 ohm 7"],
)
def test_what_cannot_be_read_costs_nothing(text: str) -> None:
    """An unreadable quantity, or one in another unit, is told in one sentence and uses no attempt."""
    marked = ohms(text)
    assert marked.standing is Standing.UNREADABLE
    assert (marked.marks, marked.scored, marked.critical) == (0.0, False, False)
    assert marked.message.strip().endswith(".")
    assert "\n" not in marked.message


@pytest.mark.parametrize("text", ["", "   ", None])
def test_a_blank_is_asked_for_and_costs_nothing(text: object) -> None:
    """An empty field stands as blank, unscored."""
    assert ohms(text).standing is Standing.BLANK
    assert not ohms(text).scored


def test_a_bare_number_is_in_the_unit_of_its_field() -> None:
    """The unit stands beside the box, so that it need not be typed; nothing is guessed of a prefix."""
    assert ohms("46").standing is Standing.RIGHT
    assert ohms("0.046").standing is not Standing.RIGHT


@pytest.mark.parametrize(
    ("text", "wanted"), [("45 ohm", "right"), ("47 ohm", "right"), ("44.999 ohm", "wrong"), ("47.001 ohm", "wrong")]
)
def test_the_band_is_closed(text: str, wanted: str) -> None:
    """Both ends of the accepted band are right and the next value beyond is not."""
    assert ohms(text).standing == wanted


def test_a_slip_is_recognised_and_explained() -> None:
    """1150 W / 230 V = 5 A typed as ohms gets that slip's own explanation and marks."""
    marked = ohms("5 ohm")
    assert marked.fields[0].slip == "volts-for-watts"
    assert (marked.standing, marked.marks) == (Standing.SLIP, 0.0)
    assert "amps" in marked.message


def test_the_nearest_of_two_overlapping_slips_is_taken() -> None:
    """Where two slips' bands overlap, the one whose middle lies nearer speaks and sets the marks."""
    assert (ohms("26 ohm").fields[0].slip, ohms("26 ohm").marks) == ("half", 0.5)
    assert (ohms("28 ohm").fields[0].slip, ohms("28 ohm").marks) == ("near-half", 1.0)


def test_right_wins_over_a_slip_with_the_same_value() -> None:
    """A value inside the accepted band is right even where a slip gives it too."""
    clash = replace(ELEMENT, slips=(replace(ELEMENT.slips[0], band=ELEMENT.fields[0].band),))
    assert mark(clash, {"ohms": "46 ohm"}, WORDS).standing is Standing.RIGHT


def test_a_wrong_quantity_does_not_give_the_answer_away() -> None:
    """The sentence for a wrong value names neither the key nor a limit of its band."""
    message = ohms("100 ohm").message
    assert not any(figure in message for figure in ("46", "45", "47"))


@pytest.mark.parametrize(
    ("text", "wanted"), [("OL", "right"), ("open", "right"), ("∞", "right"), ("9999999 Mohm", "wrong")]
)
def test_an_open_circuit_is_told_as_the_meter_shows_it(text: str, wanted: str) -> None:
    """Where the circuit is open only an open reading is right, however large a number is typed."""
    assert mark(OPEN, {"shows": text}, WORDS).standing == wanted


def test_part_marks_go_to_the_choices_that_deserve_some() -> None:
    """An option with part marks earns those, with the reason it is not all."""
    marked = mark(VERDICT, {"verdict": "unknown", "why": ["plate", "warm"]}, WORDS)
    assert [part.standing for part in marked.fields] == [Standing.PARTLY, Standing.RIGHT]
    assert (marked.marks, marked.standing) == (2.5, Standing.PARTLY)


@pytest.mark.parametrize(
    ("ticked", "marks"),
    [
        (["plate", "warm"], 2.0),
        (["plate"], 1.0),
        (["plate", "warm", "colour"], 1.0),
        (["plate", "colour"], 0.0),
        (["colour"], 0.0),
        (["plate", "warm", "colour", "beeper"], 0.0),
    ],
)
def test_ticks_earn_right_less_wrong_and_never_less_than_nought(ticked: list[str], marks: float) -> None:
    """Marks are (right ticks - wrong ticks) / (all right ones), floored: ticking everything earns nothing."""
    assert mark(VERDICT, {"verdict": "within", "why": ticked}, WORDS).fields[1].marks == marks


def test_a_wrong_tick_that_is_a_slip_is_explained() -> None:
    """A ticked option that shows a slip gets its advice and keeps the marks as counted."""
    part = mark(VERDICT, {"verdict": "within", "why": ["plate", "warm", "beeper"]}, WORDS).fields[1]
    assert (part.slip, part.marks) == ("silent-beeper", 1.0)


def test_a_critical_slip_takes_the_whole_question_to_nought() -> None:
    """Whatever else is right, a safety-critical mistake leaves no marks at all."""
    marked = mark(VERDICT, {"verdict": "live", "why": ["plate", "warm"]}, WORDS)
    assert (marked.marks, marked.critical, marked.standing) == (0.0, True, Standing.SLIP)
    assert "dangerous" in marked.message


def test_one_blank_part_leaves_the_whole_answer_unscored() -> None:
    """With a part blank nothing is marked, and a critical slip elsewhere is not held against the learner yet."""
    marked = mark(VERDICT, {"verdict": "live"}, WORDS)
    assert (marked.standing, marked.marks, marked.critical) == (Standing.BLANK, 0.0, False)


def test_at_the_end_of_a_paper_a_blank_part_only_loses_its_own_marks() -> None:
    """The final marking counts the parts that were answered, and a critical slip among them."""
    assert mark(VERDICT, {"verdict": "within"}, WORDS, final=True).marks == 2.0
    assert mark(VERDICT, {"verdict": "live"}, WORDS, final=True).critical
    assert mark(VERDICT, {}, WORDS, final=True).standing is Standing.BLANK


# ---------------------------------------------------------------- orders


def test_an_order_names_one_pair_the_wrong_way_round() -> None:
    """The sentence quotes both steps of a pair that is really the wrong way round."""
    marked = mark(ORDER, {"steps": ["lock", "off", "prove", "cover"]}, WORDS)
    assert marked.message == "‘Switch off at the isolator’ has to come before ‘Lock it off’."
    # Six pairs less the free one (lock, prove) are implied: five, of which one is broken.
    assert marked.marks == round(3 * 4 / 5, 2)


def test_a_critical_pair_in_the_wrong_order_fails_the_question() -> None:
    """The cover off before the proof is critical although every other pair holds."""
    marked = mark(ORDER, {"steps": ["off", "lock", "cover", "prove"]}, WORDS)
    assert (marked.critical, marked.marks, marked.fields[0].slip) == (True, 0.0, "cover-first")


@pytest.mark.parametrize(
    "given_order",
    [
        ["off", "lock"],
        ["off", "off", "lock", "cover"],
        ["off", "lock", "prove", "lid"],
        "off",
        {"off": 1},
        [1, 2, 3, 4],
    ],
)
def test_an_order_that_is_not_one_is_unreadable(given_order: object) -> None:
    """Missing, doubled and unknown steps, and things that are no list, cost nothing."""
    assert mark(ORDER, {"steps": given_order}, WORDS).standing is Standing.UNREADABLE


def graph_question(nodes: int, pairs: tuple[tuple[str, str], ...]) -> Question:
    """A question that asks for an order of a precedence graph."""
    names = [str(number) for number in range(nodes)]
    field = Field("o", FieldKind.ORDER, "Order", 1.0, names, options=tuple(Option(n, n) for n in names), before=pairs)
    return Question("g", Kind.ORDER, "o", 1, "t", "p", (field,), (), "e")


@given(
    st.integers(2, 5).flatmap(
        lambda n: st.tuples(st.just(n), st.sets(st.sampled_from(list(itertools.combinations(range(n), 2))), min_size=1))
    )
)
def test_exactly_the_topological_orders_score_full_marks(graph: tuple[int, set[tuple[int, int]]]) -> None:
    """Over every permutation, full marks go to networkx's topological sorts of the precedence graph and to no other."""
    nodes, edges = graph
    question = graph_question(nodes, tuple((str(a), str(b)) for a, b in sorted(edges)))
    digraph = nx.DiGraph()
    digraph.add_nodes_from(range(nodes))
    digraph.add_edges_from(edges)
    valid = {tuple(map(str, order)) for order in nx.all_topological_sorts(digraph)}
    full = {
        order
        for order in itertools.permutations([str(n) for n in range(nodes)])
        if mark(question, {"o": list(order)}, WORDS).marks == 1.0
    }
    assert full == valid


@given(st.sets(st.tuples(st.integers(0, 5), st.integers(0, 5)).filter(lambda pair: pair[0] < pair[1])))
def test_implied_pairs_are_the_transitive_closure(edges: set[tuple[int, int]]) -> None:
    """The pairs that follow from the given ones are networkx's transitive closure."""
    expected = {(str(a), str(b)) for a, b in nx.transitive_closure(nx.DiGraph(sorted(edges))).edges}
    assert implied_pairs([(str(a), str(b)) for a, b in edges]) == expected


# ---------------------------------------------------------------- robustness

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=12,
)
IDS = ["off", "lock", "prove", "cover", "within", "live", "plate", "warm", "46 ohm", "OL"]


@given(
    st.dictionaries(
        st.sampled_from(["ohms", "shows", "verdict", "why", "steps", "x"]),
        JSON | st.lists(st.sampled_from(IDS)) | st.text(alphabet="0123456789.,eE+-kMmΩRohm ∞"),
    )
)
def test_no_response_makes_marking_fail(response: dict[str, Any]) -> None:
    """Whatever JSON a response holds, each question gives a mark from 0 to its maximum, and only right earns it all."""
    for question in ALL:
        for final in (False, True):
            marked = mark(question, response, WORDS, final=final)
            assert 0 <= marked.marks <= marked.out_of
            assert (marked.marks == marked.out_of) == (marked.standing is Standing.RIGHT)
            assert marked.message
            assert marked.scored or marked.marks == 0


@pytest.mark.parametrize("response", [None, [], "x", 3, {1: 2}])
def test_a_response_that_is_no_table_is_blank(response: Any) -> None:
    """A response that is no table of fields is taken as blank."""
    assert mark(ELEMENT, response, WORDS).standing is Standing.BLANK


@given(st.floats(min_value=1e-3, max_value=1e9))
def test_a_typed_value_is_right_exactly_within_the_band(value: float) -> None:
    """Over many values, standing right and lying in the closed band are the same thing."""
    assert (ohms(f"{value!r} ohm").standing is Standing.RIGHT) == (45.0 <= value <= 47.0)


def test_a_bench_part_is_marked_by_the_one_who_ran_the_bench() -> None:
    """A bench field goes to the marker given, and is unreadable without one."""
    field = Field("b", FieldKind.BENCH, "Bench", 2.0, "x")
    question = replace(ELEMENT, fields=(field,), slips=(Slip("s", "b", "x", "Careful.", critical=True),))
    assert mark(question, {"b": "log"}, WORDS).standing is Standing.UNREADABLE
    assert (
        mark(question, {"b": "log"}, WORDS, bench=lambda f, _: FieldMark(f.key, Standing.PARTLY, 1.0, "Half.")).marks
        == 1.0
    )
    slipped = mark(question, {"b": "log"}, WORDS, bench=lambda f, _: FieldMark(f.key, Standing.SLIP, 1.0, "No.", "s"))
    assert (slipped.critical, slipped.marks) == (True, 0.0)


def test_marking_loads_no_heavy_library() -> None:
    """Importing the marking loads neither numpy nor pint, so that the first cell of a workbook is quick."""
    code = (
        "import sys, probebook.questions.marking, probebook.questions.codec;"
        "print([name for name in ('numpy', 'pint', 'pydantic') if name in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"


def test_an_infinite_slip_band_is_recognised() -> None:
    """A slip that reads a sound part as open is recognised by the open reading itself."""
    band = OPEN.fields[0].band
    field = replace(ELEMENT.fields[0], allow_open=True)
    question = replace(
        ELEMENT, fields=(field,), slips=(Slip("read-as-open", "ohms", "OL", "It is not open.", band=band),)
    )
    assert mark(question, {"ohms": "OL"}, WORDS).fields[0].slip == "read-as-open"
    assert math.isinf(OPEN.fields[0].band.low)  # type: ignore[union-attr]
