"""Orders against a general graph library: every topological sort earns full marks, nothing else does."""

from __future__ import annotations

import itertools
import random
import shutil
from pathlib import Path

import networkx as nx
import pytest
from bank_checks import asked, sample

from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Question
from probebook.questions.order import induced, reduced
from probebook.questions.procedures import load_procedures

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
    from probebook.questions.procedures import Procedure

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
            marked = mark(question, {"order": list(order)})
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
                marked = mark(question, {"order": order})
                assert marked.critical
                assert marked.marks == 0


def test_safe_isolation_as_published() -> None:
    """The published sequence (isolate, lock, prove the tester, test, prove it again, open) is right at every level.

    Electricity at Work Regulations 1989, regs 12 to 14; HSE GS38, 4th edition.
    """
    published = [
        "Find which circuit feeds", "Tell the people", "Switch the circuit off", "Lock the isolator off",
        "Hang the caution notice", "Prove the two-pole tester on", "At the connection unit test",
        "Prove the two-pole tester again", "Take the first cover off", "Lift a wire of the element",
    ]  # fmt: skip
    for level in (1, 2, 3, 4):
        question = asked(TRADE, Kind.ORDER, "isolate-fixed", "conventional-oven", level, "published")
        assert question is not None
        texts = {option.text: option.id for option in question.fields[0].options}
        order = [texts[text] for start in published for text in texts if text.startswith(start)]
        assert len(order) == len(texts)
        assert mark(question, {"order": order}).marks == question.marks


def test_the_steps_that_matter_are_always_asked() -> None:
    """Proving the tester before and after, the lock and the cover are in every question on isolation."""
    for level, seed in itertools.product((1, 2, 3, 4), range(4)):
        question = asked(TRADE, Kind.ORDER, "isolate-fixed", "solid-plate", level, f"kept {seed}")
        assert question is not None
        texts = " ".join(option.text for option in question.fields[0].options)
        for word in ("Lock the isolator", "tester on a known", "tester again", "Take the first cover"):
            assert word in texts
        assert len(question.fields[0].options) == 4 + level


@pytest.mark.parametrize(
    ("find", "write", "told"),
    [
        ('after = ["ohms"]', 'after = ["nowhere"]', "there is no step 'nowhere'"),
        ('after = ["cool", "look"]', 'after = ["cool", "look", "write"]', "the steps run in a circle"),
        ('earlier = "unplug"\nlater = "cover"', 'earlier = "cover"\nlater = "unplug"', "nothing says that 'cover'"),
        ('id = "isolate-plug"', 'id = "other"', "differs from the file's name"),
    ],
)
def test_a_bad_procedure_is_refused(tmp_path: Path, find: str, write: str, told: str) -> None:
    """A procedure with an unknown step, a circle, a pair it does not forbid or another name is refused by name."""
    folder = tmp_path / "procedures"
    folder.mkdir()
    path = folder / "isolate-plug.toml"
    shutil.copy(TRADE.folder / "procedures" / "isolate-plug.toml", path)
    text = path.read_text("utf-8")
    assert find in text
    path.write_text(text.replace(find, write, 1), "utf-8")
    with pytest.raises(ScenarioError, match=r"isolate-plug\.toml") as caught:
        load_procedures(tmp_path)
    assert told in str(caught.value)
