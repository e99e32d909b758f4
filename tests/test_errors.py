"""The error family: one sentence, parts kept, safe to pickle."""

from __future__ import annotations

import pickle

import pytest

from probebook import errors
from probebook.errors import AnswerError, ProbebookError, ScenarioError, UsageError, choose_one, near_name

FAMILY = [getattr(errors, name) for name in vars(errors) if name.endswith("Error") and name != "ProbebookError"]


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ({}, "the file is empty."),
        ({"where": "oven.toml"}, "oven.toml: the file is empty."),
        ({"remedy": "write a part"}, "the file is empty; write a part."),
        (
            {"where": "oven.toml: part[3]", "remedy": "write a part"},
            "oven.toml: part[3]: the file is empty; write a part.",
        ),
    ],
)
def test_sentence_joins_place_message_and_remedy(parts: dict[str, str], sentence: str) -> None:
    """The text of an error is one sentence: place, what is wrong, how to mend it, one full stop."""
    assert str(ProbebookError("the file is empty", **parts)) == sentence


def test_sentence_has_one_closing_mark() -> None:
    """A message that closes with a mark of its own gets no second one."""
    assert str(UsageError("is this a folder?")) == "is this a folder?"
    assert str(UsageError("no.")) == "no."


@pytest.mark.parametrize("kind", FAMILY)
def test_every_kind_survives_pickling(kind: type[ProbebookError]) -> None:
    """An error that crosses a process boundary arrives with its kind and all its parts."""
    sent = kind("it is wrong", where="a.toml", remedy="mend it")
    received = pickle.loads(pickle.dumps(sent))
    assert type(received) is kind
    assert (received.message, received.where, received.remedy) == ("it is wrong", "a.toml", "mend it")
    assert str(received) == str(sent)


@pytest.mark.parametrize("kind", FAMILY)
def test_every_kind_is_caught_as_one_family(kind: type[ProbebookError]) -> None:
    """One except clause for ProbebookError catches every kind, and the docstring's tree shows it."""
    with pytest.raises(ProbebookError, match=r"^it is wrong\.$"):
        raise kind("it is wrong")
    assert kind.__name__ in (errors.__doc__ or "")


def test_family_is_complete() -> None:
    """Each kind the rest of the package relies on exists."""
    assert {kind.__name__ for kind in FAMILY} == {
        "ScenarioError",
        "AnswerError",
        "UsageError",
        "JournalError",
        "StaleError",
        "VerificationError",
    }


@pytest.mark.parametrize("kind", [ScenarioError, AnswerError, UsageError])
def test_bad_input_is_a_value_error(kind: type[ProbebookError]) -> None:
    """The kinds that report bad input can be raised inside a validator, which expects ValueError."""
    assert issubclass(kind, ValueError)


def test_at_puts_a_place_in_front() -> None:
    """A caller that knows the file adds it in front of the key already named, and the kind stays."""
    inner = ScenarioError("this key is missing", where="part[3]", remedy="add it")
    outer = inner.at("oven.toml")
    assert type(outer) is ScenarioError
    assert str(outer) == "oven.toml: part[3]: this key is missing; add it."
    assert inner.where == "part[3]"


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("e2.1", "E2.1"),
        ("E2.I", "E2.1"),
        ("conventional", "conventional-oven"),
        ("conventional-ovn", "conventional-oven"),
        ("KETTLE", "kettle"),
        ("", None),
        ("xyzzy", None),
    ],
)
def test_the_name_that_was_meant_is_found(name: str, near: str | None) -> None:
    """In another case, as a part of one name alone, or misspelt; otherwise all names are given."""
    known = ("M2.1", "E2.1", "conventional-oven", "kettle")
    assert near_name(name, known) == near
    assert choose_one(name, known) == (f"did you mean '{near}'" if near else f"choose one of {', '.join(known)}")
