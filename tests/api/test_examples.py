"""The examples in the documentation of the public face run and print what they say."""

from __future__ import annotations

import doctest
import inspect
from collections.abc import Callable

import pytest

import probebook
from probebook import api

FUNCTIONS = [name for name in api.__all__ if inspect.isfunction(getattr(api, name))]


def test_there_is_an_example_of_every_public_function() -> None:
    """Twenty functions or more, and none without an example."""
    assert len(FUNCTIONS) >= 20
    without = [name for name in FUNCTIONS if not doctest.DocTestFinder().find(getattr(api, name), name)[0].examples]
    assert without == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_prints_what_it_says(name: str) -> None:
    """Each example, run with nothing but the function itself at hand, gives what stands below it."""
    function = getattr(api, name)
    runner = doctest.DocTestRunner(optionflags=doctest.IGNORE_EXCEPTION_DETAIL)
    for test in doctest.DocTestFinder().find(function, name, globs={name: function}):
        runner.run(test)
    assert runner.failures == 0


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_documentation_says_what_is_taken_given_and_refused(name: str) -> None:
    """Every parameter of a function with more than two of them is described, with the units of what it gives."""
    function = getattr(api, name)
    parameters = list(inspect.signature(function).parameters)
    told = inspect.getdoc(function) or ""
    if len(parameters) > 2:
        assert [p for p in parameters if p not in told.partition("Returns")[0]] == []


def test_the_package_lists_the_public_face() -> None:
    """The package and its api list the same names, each the same thing, and both lists are what dir() shows."""
    assert {"__version__", *api.__all__} == set(probebook.__all__)
    assert set(probebook.HOMES) == set(api.__all__)
    assert set(probebook.__all__) <= set(dir(probebook))
    assert dir(api) == sorted(api.__all__)
    assert all(getattr(probebook, name) is getattr(api, name) for name in api.__all__)


def test_a_public_name_hides_no_module(fresh_python: Callable[..., str]) -> None:
    """No public name is that of a room, so that ``probebook.diagnosis`` stays the module it is."""
    code = (
        "import importlib.util, probebook\n"
        "print([n for n in probebook.HOMES if importlib.util.find_spec(f'probebook.{n}')])"
    )
    assert fresh_python(code) == "[]"


def test_an_unknown_name_is_an_attribute_error() -> None:
    """As for any module."""
    with pytest.raises(AttributeError, match="no attribute 'grill_pan'"):
        _ = api.grill_pan
