"""Every form of question, over all appliances: the key earns full marks, each slip is told as itself."""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from collections.abc import Callable

import pytest
from bank_checks import asked, check, sample

from probebook.cases.library import Library, library
from probebook.questions.codec import encode_question
from probebook.questions.model import Kind
from probebook.questions.power import build as power
from probebook.questions.procedure_files import load_procedures
from probebook.questions.reading import build as reading
from probebook.questions.trace import build as trace
from probebook.questions.verdict import build as verdict

TRADE = library()

#: Form, and on how many of the appliances it must be possible at least.
FORMS: list[tuple[Kind, str]] = [
    *((Kind.READING, form) for form in reading.FORMS),
    *((Kind.POWER, form) for form in power.FORMS),
    *((Kind.VERDICT, form) for form in verdict.FORMS),
    *((Kind.TRACE, form) for form in trace.FORMS),
    *((Kind.ORDER, procedure.id) for procedure in load_procedures(TRADE.folder)),
    *((Kind.STOP_OR_GO, person) for person in ("apprentice", "owner", "licensed")),
]


@pytest.fixture(scope="module")
def competences() -> frozenset[str]:
    """Ids of the competences that questions are mapped to."""
    data = tomllib.loads((TRADE.folder / "competences.toml").read_text("utf-8"))
    return frozenset(item["id"] for item in data["competence"])


@pytest.mark.parametrize(("kind", "form"), FORMS, ids=[f"{kind}-{form}" for kind, form in FORMS])
def test_key_and_slips(kind: Kind, form: str, competences: frozenset[str]) -> None:
    """Of every question that can be built, the key earns all and each slip its documented marks with its advice."""
    seen = Counter(appliance for appliance, question in _checked(TRADE, kind, form, competences))
    assert len(seen) >= 2, f"{kind} {form} can be asked of {len(seen)} appliances only"


def _checked(trade: Library, kind: Kind, form: str, competences: frozenset[str]) -> list[tuple[str, object]]:
    found = []
    for appliance, question in sample(trade, kind, form):
        check(question, trade, competences)
        found.append((appliance, question))
    return found


@pytest.mark.parametrize("kind", [Kind.READING, Kind.POWER, Kind.VERDICT, Kind.TRACE, Kind.ORDER, Kind.STOP_OR_GO])
def test_the_default_form_suits_every_appliance(kind: Kind) -> None:
    """A plan that names a kind and nothing else gets a question, whatever the appliance."""
    form = {Kind.TRACE: "break"}.get(kind, "")
    for appliance in TRADE.appliance_ids:
        for level in (1, 2, 3, 4):
            assert asked(TRADE, kind, form, appliance, level, "any") is not None, (appliance, level)


def test_same_seed_same_question(fresh_python: Callable[..., str]) -> None:
    """Built in another interpreter with another hash seed, a question is the same to the last character."""
    wanted = [(kind, form) for kind, form in FORMS[::5]]
    code = (
        "import json\n"
        "from probebook.cases.library import library\n"
        "from probebook.questions.codec import encode_question\n"
        "from probebook.questions.frame import Ask\n"
        "from probebook.questions.model import Kind\n"
        "from probebook.learning.difficulty import rated_question\n"
        "from probebook.errors import ScenarioError\n"
        "out = []\n"
        f"for kind, form in {[(str(kind), form) for kind, form in wanted]!r}:\n"
        "    try:\n"
        "        ask = Ask('q07', Kind(kind), 'same', 2, 'multifunction-oven', {'form': form})\n"
        "        q = rated_question(ask, library())\n"
        "        out.append(encode_question(q))\n"
        "    except ScenarioError:\n"
        "        out.append(None)\n"
        "print(json.dumps(out, sort_keys=True))"
    )
    here = [asked(TRADE, kind, form, "multifunction-oven", 2, "same") for kind, form in wanted]
    expected = json.dumps([q and encode_question(q) for q in here], sort_keys=True)
    for seed in ("1", "2"):
        assert fresh_python(code, PYTHONHASHSEED=seed) == expected
    assert sum(q is not None for q in here) >= 6


def test_seeds_differ() -> None:
    """Other seeds give other questions: of twenty readings at least fifteen differ in prompt or key."""
    built = [asked(TRADE, Kind.READING, "across", "multifunction-oven", 3, f"seed {n}") for n in range(20)]
    assert len({(q.prompt, str(q.key())) for q in built if q}) >= 15


def test_slips_are_used_by_name() -> None:
    """The questions of these kinds name at least forty different slips."""
    names = {
        slip.slip
        for kind, form in FORMS
        for appliance in ("conventional-oven", "solid-plate", "kettle", "multifunction-oven")
        if (question := asked(TRADE, kind, form, appliance, 3, "names")) is not None
        for slip in question.slips
    }
    assert len(names) >= 40, sorted(names)
