"""The reference of text formats is current and complete."""

from __future__ import annotations

import ast
import importlib
import importlib.util
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from probebook.questions.model import Kind
from probebook.questions.registry import options_of
from probebook.textmodels import StrictModel

ROOT = Path(__file__).resolve().parents[1]
QUESTIONS = ROOT / "src" / "probebook" / "questions"

#: Options that modules shared by several kinds read, and the module that reads them.
SHARED = {"reader": "owner", "diagram": "pictures", "item": "knowhow", "form": "knowhow"}


def tool() -> ModuleType:
    """The script that writes the reference."""
    spec = importlib.util.spec_from_file_location("formats_tool", ROOT / "tools" / "formats.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_reference_is_current() -> None:
    """``docs/formats.md`` is what ``python tools/formats.py`` would write now."""
    assert (ROOT / "docs" / "formats.md").read_text("utf-8") == tool().page()


def test_every_scenario_file_has_its_section() -> None:
    """Each text file of the scenarios that holds no sentences is described under its name or its folder."""
    told = [file.replace("<id>.toml", "") for file in tool().MODELS] + ["assumptions.toml"]
    scenarios = ROOT / "scenarios"
    for path in scenarios.rglob("*.toml"):
        name = path.relative_to(scenarios).as_posix()
        sentences = all(isinstance(table, dict) for table in tomllib.loads(path.read_text("utf-8")).values())
        assert (
            (name.startswith("text/") and sentences)
            or name.endswith("language.toml")
            or any(name.startswith(file) for file in told)
        ), name


def subclasses(cls: type) -> Iterator[type]:
    """Every class that is built on one."""
    for each in cls.__subclasses__():
        yield each
        yield from subclasses(each)


def test_no_model_of_a_text_file_is_left_out() -> None:
    """Each strict model of a scenario file is on the page, or is the base of one that is."""
    module = tool()
    seen: set[type] = set()
    for place in module.MODELS.values():
        list(module.model_section(module.model_of(place), "", seen))
    known = {base for model in seen for base in model.__mro__}
    own = {cls for cls in subclasses(StrictModel) if cls.__module__.startswith("probebook.")}
    assert own - known == set()


def read_by(path: Path) -> set[str]:
    """The options that a module asks for: ``ask.text("key")`` and ``ask.options.get("key")``."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("ask.text", "ask.options.get"):
            found.add(ast.literal_eval(node.args[0]))
    return found


def shared_by(folder: Path) -> set[str]:
    """The options that shared modules read for the modules of a folder."""
    names = {
        alias.name if node.module == "probebook.questions" else (node.module or "").rpartition(".")[2]
        for path in folder.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("probebook.questions")
        for alias in node.names
    }
    return {option for option, module in SHARED.items() if module in names}


@pytest.mark.parametrize("kind", list(Kind))
def test_the_options_of_a_kind_are_those_it_reads(kind: Kind) -> None:
    """What a kind declares is what its modules ask for, themselves or through a shared one, and each is explained."""
    folder = QUESTIONS / kind.replace("-", "_")
    own = set().union(*(read_by(path) for path in folder.rglob("*.py")))
    declared = set(options_of(kind))
    assert own <= declared
    assert declared - own <= shared_by(folder)
    module = importlib.import_module(f"probebook.questions.{folder.name}")
    assert set(tool().options_told(module)) == declared


def test_shared_modules_read_the_options_they_are_said_to() -> None:
    """``reader``, ``diagram``, ``item`` and ``form`` are read where the check above takes them to be, and no others."""
    read = {(option, path.stem) for path in QUESTIONS.glob("*.py") for option in read_by(path)}
    assert read == set(SHARED.items())
