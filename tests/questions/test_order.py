"""Orders against a general graph library: every topological sort earns full marks, nothing else does."""

from __future__ import annotations

import itertools
import random
import re
import shutil
from pathlib import Path

import networkx as nx
import pytest
from bank_checks import asked, sample

from english import WORDS
from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Question
from probebook.questions.order.facts import induced, reduced
from probebook.questions.procedure_files import load_procedures
from probebook.questions.procedures import Procedure

TRADE = library()
PROCEDURES = load_procedures(TRADE.folder)
IDS = [p.id for p in PROCEDURES]


def _graph(question: Question) -> nx.DiGraph:
    field = question.fields[0]
    graph = nx.DiGraph()
    graph.add_nodes_from(option.id for option in field.options)
    graph.add_edges_from(field.before)
    return graph


@pytest.mark.parametrize("procedure", PROCEDURES, ids=IDS)
def test_pairs_of_a_part_of_a_procedure(procedure: object) -> None:
    """The pairs among some steps are networkx's transitive closure cut down to them, the fewest its reduction."""
    assert isinstance(procedure, Procedure)
    graph = nx.DiGraph((earlier, step.id) for step in procedure.steps for earlier in step.after)
    graph.add_nodes_from(step.id for step in procedure.steps)
    closure = nx.transitive_closure_dag(graph)
    assert set(procedure.before) == set(closure.edges)
    rng = random.Random(procedure.id)
    for _ in range(20):
        chosen = rng.sample([s.id for s in procedure.steps], 5)
        part = closure.subgraph(chosen)
        assert induced(procedure, chosen) == set(part.edges)
        assert set(reduced(induced(procedure, chosen))) == set(nx.transitive_reduction(part).edges)


@pytest.mark.parametrize("form", IDS)
def test_every_topological_sort_is_right(form: str) -> None:
    """All topological sorts that networkx enumerates earn full marks; of all other orders none does."""
    for _, question in itertools.islice(sample(TRADE, Kind.ORDER, form, levels=(1,), seeds=1), 2):
        right = {tuple(order) for order in nx.all_topological_sorts(_graph(question))}
        options = [option.id for option in question.fields[0].options]
        orders = list(itertools.permutations(options))
        if len(orders) > 800:
            orders = [*random.Random(form).sample(orders, 600), *right]
        for order in orders:
            marked = mark(question, {"order": list(order)}, WORDS)
            assert (marked.marks == question.marks) is (order in right)


@pytest.mark.parametrize("form", IDS)
def test_dangerous_pairs_fail_the_question(form: str) -> None:
    """With a safety-critical pair the wrong way round the whole question earns nothing, whatever the rest is."""
    for _, question in sample(TRADE, Kind.ORDER, form, levels=(2, 4), seeds=1):
        for slip in question.slips:
            if slip.critical:
                later, earlier = slip.response
                order = [option for option in question.fields[0].answer if option != later]
                order.insert(order.index(earlier), later)
                marked = mark(question, {"order": order}, WORDS)
                assert marked.critical
                assert marked.marks == 0


def test_safe_isolation_as_published() -> None:
    """The published sequence (isolate, lock, prove the tester, test, prove it again, open) is right at every level.

    Electricity at Work Regulations 1989, regs 12 to 14; HSE GS38, 4th edition.
    """
    published = [
        "Find every supply of the appliance", "Switch off at the isolator", "Lock the isolator off",
        "Hang the caution notice", "Prove the two-pole tester on", "At the connection unit test",
        "Prove the two-pole tester again", "Take the first cover off", "Lift a wire of the element",
    ]  # fmt: skip
    for level in (1, 2, 3, 4):
        question = asked(TRADE, Kind.ORDER, "isolate-fixed", "conventional-oven", level, "published")
        assert question is not None
        texts = {option.text: option.id for option in question.fields[0].options}
        order = [texts[text] for start in published for text in texts if text.startswith(start)]
        assert len(order) == len(texts)
        assert mark(question, {"order": order}, WORDS).marks == question.marks


def test_the_steps_that_matter_are_always_asked() -> None:
    """Finding every supply, the lock, the tester proved twice and a test where hands go are in every question."""
    for level, seed in itertools.product((1, 2, 3, 4), range(4)):
        question = asked(TRADE, Kind.ORDER, "isolate-fixed", "solid-plate", level, f"kept {seed}")
        assert question is not None
        texts = " ".join(option.text for option in question.fields[0].options)
        for word in ("Find every supply", "Lock the isolator", "tester on a known", "tester again", "own terminals"):
            assert word in texts
        assert len(question.fields[0].options) == max(7, 4 + level)


@pytest.mark.parametrize(
    ("find", "write", "told"),
    [
        ('after = ["ohms"]', 'after = ["nowhere"]', "there is no step 'nowhere'"),
        (
            'after = ["prove", "cool", "look"]',
            'after = ["prove", "cool", "look", "write"]',
            "the steps run in a circle",
        ),
        ('earlier = "unplug"\nlater = "cover"', 'earlier = "cover"\nlater = "unplug"', "nothing says that 'cover'"),
        ('id = "isolate-plug"', 'id = "other"', "differs from the file's name"),
    ],
)
def test_a_bad_procedure_is_refused(tmp_path: Path, find: str, write: str, told: str) -> None:
    """A procedure with an unknown step, a circle, a pair it does not forbid or another name is refused by name."""
    folder = tmp_path / "text" / "en" / "procedures"
    folder.mkdir(parents=True)
    path = folder / "isolate-plug.toml"
    shutil.copy(TRADE.folder / "text" / "en" / "procedures" / "isolate-plug.toml", path)
    text = path.read_text("utf-8")
    assert find in text
    path.write_text(text.replace(find, write, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"isolate-plug\.toml") as caught:
        load_procedures(tmp_path)
    assert told in str(caught.value)


def test_what_is_explained_is_what_is_required() -> None:
    """Each 'a before b' of an explanation holds in the key, the working is the key, and a free pair is free."""
    seen = 0
    for _, question in sample(TRADE, Kind.ORDER, "", levels=(2, 4)):
        field = question.fields[0]
        texts = {option.text: option.id for option in field.options}
        closure = nx.transitive_closure_dag(_graph(question))
        for earlier, later in re.findall(r"^- ‘(.+)’ before ‘(.+)’$", question.explanation, re.M):
            assert closure.has_edge(texts[earlier], texts[later])
            seen += 1
        free = re.search(r"Which of ‘(.+)’ and ‘(.+)’ comes first makes no difference", question.explanation)
        if free:
            assert not closure.has_edge(texts[free[1]], texts[free[2]])
            assert not closure.has_edge(texts[free[2]], texts[free[1]])
        assert [texts[line.split(". ", 1)[1]] for line in question.working.splitlines()] == field.answer
    assert seen >= 20


@pytest.mark.parametrize(
    ("procedure", "earlier", "later", "holds"),
    [
        ("insulation-test", "earth", "press", True),  # towards metal without earth, everything passes
        ("insulation-test", "release", "link-off", True),  # discharged before it is touched
        ("isolate-plug", "prove", "cover", True),  # a proof of dead on a plug too
        ("isolate-fixed", "identify", "off", True),
        ("isolate-fixed", "cover", "ohms", True),
        ("return-to-service", "earth-test", "covers", False),  # either first, both before the supply
        ("return-to-service", "covers", "on", True),
        ("return-to-service", "earth-test", "on", True),
        ("owner-look", "look", "leave", False),  # leaving it off straight away is never too early
        ("owner-look", "off", "leave", True),
        ("fit-a-plug", "cores", "grip", False),  # the cord grip before or after terminating
    ],
)
def test_what_a_safe_order_asks_and_what_it_leaves_free(procedure: str, earlier: str, later: str, holds: bool) -> None:
    """The order demands what safety demands (HSE GS38, 4th edition; in-service testing notes), and nothing more."""
    found = next(p for p in load_procedures(TRADE.folder, TRADE.words) if p.id == procedure)
    assert (later in _after(found, earlier)) is holds


def _after(procedure: Procedure, step: str) -> set[str]:
    """Ids of the steps that must come after a step, directly or by others between."""
    found: set[str] = set()
    fresh = {step}
    while fresh:
        fresh = {s.id for s in procedure.steps if fresh & set(s.after)} - found
        found |= fresh
    return found
