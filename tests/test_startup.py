"""What a start loads: facts about modules in memory, not timings (those are in tests/benchmarks)."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import probebook

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "probebook"
SLOW = ["anywidget", "ipywidgets", "matplotlib", "nbclient", "nbformat", "numpy", "pint", "pydantic"]
CORE = ["circuit", "appliances", "meters", "heating", "drawings", "diagnosis", "cases", "questions"]


def loaded_after(fresh_python: Callable[..., str], code: str) -> set[str]:
    """Return which of the slow libraries are in memory after ``code`` ran in a fresh interpreter."""
    printed = fresh_python(f"import sys\n{code}\nprint(*[name for name in {SLOW!r} if name in sys.modules])")
    return set(printed.split())


def test_the_package_costs_nothing(fresh_python: Callable[..., str]) -> None:
    """Importing the package loads no library outside the standard one, and no module of its own."""
    printed = fresh_python(
        "import sys\nbefore = set(sys.modules)\nimport probebook\n"
        "new = {name.split('.')[0] for name in set(sys.modules) - before} - set(sys.stdlib_module_names)\n"
        "print(*sorted(new), *[name for name in sys.modules if name.startswith('probebook.')])"
    )
    assert printed == "probebook"


@pytest.mark.parametrize("name", ["errors", "files", "textfiles", "unit_format", "unit_table", "units"])
def test_the_ground_floor_loads_nothing_slow(fresh_python: Callable[..., str], name: str) -> None:
    """A module of the ground floor loads no slow library until one of its functions needs it."""
    assert loaded_after(fresh_python, f"import probebook.{name}") == set()


@pytest.mark.parametrize("name", CORE)
def test_the_core_loads_neither_units_nor_models_nor_plots(fresh_python: Callable[..., str], name: str) -> None:
    """A floor of the core may load numpy, but pint, pydantic and matplotlib wait for a call that needs them."""
    if not (PACKAGE / name / "__init__.py").exists():
        pytest.skip(f"{name} is not written yet")
    assert loaded_after(fresh_python, f"import probebook.{name}") <= {"numpy"}


def test_showing_a_quantity_needs_no_pint(fresh_python: Callable[..., str]) -> None:
    """Numbers on screen are written without pint; reading one is what loads it."""
    show = "from probebook.units import format_quantity, parse\nassert format_quantity(47.2, 'ohm') == '47.2 \\u03a9'"
    assert loaded_after(fresh_python, show) == set()
    assert "pint" in loaded_after(fresh_python, f"{show}\nparse('47 ohm', 'ohm')")


def test_naming_the_model_base_loads_pydantic(fresh_python: Callable[..., str]) -> None:
    """The model base can be imported beside the reader, and only naming it loads pydantic."""
    assert "pydantic" in loaded_after(fresh_python, "from probebook.textfiles import StrictModel, Ohms")


def test_submodules_are_found_by_attribute(fresh_python: Callable[..., str]) -> None:
    """After a bare import of the package a submodule can be named at once."""
    assert fresh_python("import probebook; print(probebook.units.format_quantity(5, 'V'))") == "5.00 V"


def test_unknown_attribute_is_an_attribute_error() -> None:
    """A name the package does not have is an AttributeError, as for any module."""
    with pytest.raises(AttributeError, match="no attribute 'grill_pan'"):
        probebook.grill_pan  # noqa: B018


def test_version_is_a_release_number() -> None:
    """The one place of the version holds a release number as PEP 440 writes it."""
    assert re.fullmatch(r"\d+\.\d+\.\d+((a|b|rc)\d+)?(\.dev\d+)?", probebook.__version__)
