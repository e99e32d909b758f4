"""Imports run one way, down, and the core knows no Jupyter."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "probebook"

# From the ground up: a module may import its own floor and those before it in this list.
FLOORS = [
    "errors",
    "files",
    "unit_table",
    "unit_format",
    "units",
    "textmodels",
    "textfiles",
    "circuit",
    "appliances",
    "meters",
    "heating",
    "drawings",
    "diagnosis",
    "cases",
    "questions",
    "workbook",
    "assessment",
    "publish",
    "cli",
    "__main__",
]
CORE = FLOORS[: FLOORS.index("questions") + 1]
JUPYTER = {
    "IPython", "anywidget", "ipykernel", "ipywidgets", "jupyter", "jupyter_client", "jupyter_core",
    "jupyter_server", "jupyterlab", "nbclient", "nbconvert", "nbformat", "traitlets",
}  # fmt: skip
MODULES = sorted(PACKAGE.rglob("*.py"))


def floor_of(module: str) -> str | None:
    """Return the floor of ``probebook.floor.rest``, or None for the bare package."""
    parts = module.split(".")
    return parts[1] if parts[0] == "probebook" and len(parts) > 1 else None


def module_name(path: Path) -> str:
    """Return the dotted name of a source file."""
    parts = ["probebook", *path.relative_to(PACKAGE).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(source: str, module: str, *, is_package: bool = False) -> Iterator[tuple[int, str]]:
    """Yield (line, dotted name) of every import in ``source``, inside functions and type checks too."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                here = module.split(".")
                kept = here[: len(here) - node.level + is_package]
                base = ".".join([*kept, *filter(None, [node.module])])
            for alias in node.names:
                yield node.lineno, f"{base}.{alias.name}"


def climbs(source: str, module: str, *, is_package: bool = False) -> list[str]:
    """Return a line for each import in ``source`` of a floor above that of ``module``."""
    own = floor_of(module)
    if own is None:
        return [
            f"{module}: the package itself imports {name}" for _, name in imports_of(source, module) if floor_of(name)
        ]
    found = []
    for line, name in imports_of(source, module, is_package=is_package):
        floor = floor_of(name)
        if floor in FLOORS and FLOORS.index(floor) > FLOORS.index(own):
            found.append(f"{module}, line {line}: {own} imports {name}, a floor above it")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_import_climbs(path: Path) -> None:
    """No module imports from a floor above its own, not even lazily or for types."""
    module = module_name(path)
    floor = floor_of(module)
    assert floor is None or floor in FLOORS, f"give {floor} its place in FLOORS"
    assert climbs(path.read_text("utf-8"), module, is_package=path.name == "__init__.py") == []


@pytest.mark.parametrize(
    "source",
    [
        "import probebook.cases",
        "from probebook import cases",
        "from probebook.cases.model import Case",
        "from .. import cases",
        "from ..cases import model",
        "def f():\n    from probebook.cases import model",
    ],
)
def test_a_climbing_import_is_found(source: str) -> None:
    """The check above would find a climb in each way Python can write one."""
    assert len(climbs(source, "probebook.circuit.network")) == 1
    assert climbs(source, "probebook.questions.model") == []


def test_the_core_names_no_jupyter() -> None:
    """No module from the ground to the questions imports a Jupyter library, in any function."""
    found = [
        f"{module_name(path)}, line {line}: {name}"
        for path in MODULES
        if floor_of(module_name(path)) in CORE
        for line, name in imports_of(path.read_text("utf-8"), module_name(path))
        if name.split(".")[0] in JUPYTER
    ]
    assert found == []


def test_the_core_loads_no_jupyter(fresh_python: Callable[..., str]) -> None:
    """With every module of the core loaded, no Jupyter library is in memory, by way of others either."""
    names = [module_name(path) for path in MODULES if floor_of(module_name(path)) in CORE]
    loaded = fresh_python(
        f"import importlib, sys\nfor name in {names!r}: importlib.import_module(name)\n"
        f"print(sorted({{name.split('.')[0] for name in sys.modules}} & {JUPYTER!r}))"
    )
    assert loaded == "[]"
