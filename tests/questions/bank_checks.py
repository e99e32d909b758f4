"""What holds of every question whatever its kind, checked without the code that built it."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence

import networkx as nx

from english import WORDS
from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.learning.difficulty import rated_question
from probebook.questions.codec import decode_question, encode_question
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldKind, Kind, Question, Slip, Standing

#: Where a sentence ends.
SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z])")
#: What would show that a number or a word was not thought of.
SLOPPY = re.compile(r"\bnan\b|\binf\b|None|e\+\d|[{}]|\bTrue\b|\bFalse\b|  +[a-z]|= [A-Z][a-z]")


def asked(
    library: Library, kind: Kind, form: str, appliance: str, level: int, seed: str, **more: str
) -> Question | None:
    """The question of a request, or None when this appliance makes no fair one."""
    options = {"form": form, **more} if form else dict(more)
    try:
        return rated_question(Ask("q07", kind, seed, level, appliance, options), library)
    except ScenarioError as error:
        if "no fair" not in str(error):
            raise
        return None


def sample(
    library: Library,
    kind: Kind,
    form: str,
    *,
    levels: tuple[int, ...] = (1, 3),
    seeds: int = 2,
    appliances: Sequence[str] = (),
    **more: str,
) -> Iterator[tuple[str, Question]]:
    """Questions of a form over appliances (all unless named), some levels and seeds, with the appliance of each."""
    for appliance, level, seed in itertools.product(appliances or library.appliance_ids, levels, range(seeds)):
        question = asked(library, kind, form, appliance, level, f"seed {seed}", **more)
        if question is not None:
            yield appliance, question


def check(question: Question, library: Library, competences: frozenset[str]) -> None:
    """Everything that must hold of any question."""
    full = mark(question, question.key(), WORDS)
    assert full.standing is Standing.RIGHT, full.message
    assert full.marks == question.marks == full.out_of
    assert question.outcome in library.outcomes
    assert question.competences
    assert competences.issuperset(question.competences)
    assert decode_question(encode_question(question)) == question
    assert len({(slip.slip, str(slip.response)) for slip in question.slips}) >= 3
    assert math.isfinite(question.difficulty)
    for text in texts(question):
        assert not SLOPPY.search(text), text
        said = [s.strip().lower() for s in SENTENCE.split(text) if len(s) > 12]
        assert len(said) == len(set(said)), text
    for slip in question.slips:
        check_slip(question, slip, library)


def texts(question: Question) -> Iterator[str]:
    """All that a learner reads of a question."""
    yield from (question.title, question.prompt, question.explanation)
    for field in question.fields:
        yield field.label
        for option in field.options:
            yield from (option.text, option.why)
    for slip in question.slips:
        yield slip.advice


def check_slip(question: Question, slip: Slip, library: Library) -> None:
    """A slip is a named one, its answer is told by its own advice and earns what is documented."""
    note = library.slips[slip.slip]
    assert all(sentence in slip.advice for sentence in note.advice)
    field = question.field(slip.field)
    if field.kind is FieldKind.QUANTITY:
        assert field.band is not None
        assert slip.band is not None
        assert slip.band.high < field.band.low or slip.band.low > field.band.high
    response = one_pair_wrong(question, field, slip) if field.kind is FieldKind.ORDER else slip.response
    marked = mark(question, {**question.key(), field.key: response}, WORDS)
    found = next(part for part in marked.fields if part.key == field.key)
    assert found.standing is Standing.SLIP, (slip, found)
    assert found.message == slip.advice
    if slip.critical:
        assert marked.critical
        assert marked.marks == 0
    elif field.kind is FieldKind.ORDER:
        assert 0 <= found.marks < field.marks
    else:
        assert found.marks == slip.marks < field.marks


def one_pair_wrong(question: Question, field: Field, slip: Slip) -> list[str]:
    """An order in which the slip's pair is the wrong way round and every other slip's pair the right way round."""
    graph = nx.DiGraph()
    graph.add_nodes_from(option.id for option in field.options)
    later, earlier = slip.response
    graph.add_edge(later, earlier)
    others = [tuple(reversed(s.response)) for s in question.slips if s.field == field.key and s is not slip]
    graph.add_edges_from(others)
    return list(nx.lexicographical_topological_sort(graph))


def position_of(library: Library, appliance: str, question: Question) -> str:
    """The position that a prompt names, by its title."""
    title = re.search(r"The controls stand at \*\*(.+?)\*\*", question.prompt)
    assert title is not None, question.prompt
    named = [p.name for p in library.appliance(appliance).positions if p.title == title[1]]
    assert len(named) == 1, title[1]
    return named[0]


def figures(text: str, pattern: str) -> list[float]:
    """The numbers that a pattern with one group finds."""
    return [float(found) for found in re.findall(pattern, text)]
