"""Imports run one way, down, in no circle; no module is hidden; the core knows no Jupyter, commands only the api."""

from __future__ import annotations

import ast
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path

import networkx
import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "probebook"

# From the ground up: a module may import its own floor and those before it in this list.
FLOORS = [
    "errors",
    "stopping",
    "putting_off",
    "files",
    "executor",
    "cluster",
    "memo",
    "numerics",
    "unit_table",
    "unit_typing",
    "unit_format",
    "units",
    "textmodels",
    "textoverlays",
    "textfiles",
    "scenario_layers",
    "scenario_folder",
    "words",
    "assumptions",
    "regions",
    "circuit",
    "appliances",
    "meters",
    "heating",
    "drawings",
    "physical",
    "diagnosis",
    "cases",
    "bench",
    "questions",
    "learning",
    "workbook",
    "page",
    "site",
    "assessment",
    "hub",
    "publish",
    "api",
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
            f"{module}: the package itself imports {name}"
            for _, name in imports_of(source, module)
            if floor_of(name) not in (None, "api")
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


# ---------------------------------------------------------------- the command line


def beyond_the_api(source: str, module: str) -> list[str]:
    """Return a line for each import of a command beside the api, errors, how one stops and the command line."""
    return [
        f"{module}, line {line}: {name}"
        for line, name in imports_of(source, module)
        if floor_of(name) not in (None, "api", "errors", "stopping", "putting_off", "cli")
    ]


@pytest.mark.parametrize("path", sorted((PACKAGE / "cli").rglob("*.py")), ids=lambda path: path.name)
def test_commands_use_the_public_face_only(path: Path) -> None:
    """A module of the command line imports of this package the api, errors, how one stops, and its own kind."""
    assert beyond_the_api(path.read_text("utf-8"), module_name(path)) == []


def test_a_command_that_reaches_behind_the_api_is_found() -> None:
    """The check above would find one, inside a function too."""
    source = "from probebook.api import explain\ndef f():\n    from probebook.files import write_atomic"
    assert beyond_the_api(source, "probebook.cli.new") == ["probebook.cli.new, line 3: probebook.files.write_atomic"]


# ---------------------------------------------------------------- circles


def run_imports(tree: ast.AST) -> Iterator[ast.Import | ast.ImportFrom]:
    """Yield the imports that are carried out, inside functions too: all but those for type checkers."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield node
        elif isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            yield from run_imports(ast.Module(node.orelse, []))
        else:
            yield from run_imports(node)


def circles(sources: Mapping[str, str]) -> list[list[str]]:
    """Return the sets of modules that import each other in a circle, from dotted name → source.

    An import of a name from a package is one of its module of that name, where there is one, else of the package.
    """
    graph = networkx.DiGraph()
    for module, source in sources.items():
        is_package = any(name.startswith(f"{module}.") for name in sources)
        for node in run_imports(ast.parse(source)):
            for _, name in imports_of(ast.unparse(node), module, is_package=is_package):
                target = name if name in sources else name.rpartition(".")[0]
                if target in sources and target != module:
                    graph.add_edge(module, target)
    return sorted(sorted(group) for group in networkx.strongly_connected_components(graph) if len(group) > 1)


@pytest.mark.parametrize("floor", [floor for floor in FLOORS if (PACKAGE / floor).is_dir()])
def test_no_imports_run_in_a_circle(floor: str) -> None:
    """Inside a floor too imports run one way, also those inside functions; those for type checkers do not count."""
    assert circles({module_name(path): path.read_text("utf-8") for path in (PACKAGE / floor).rglob("*.py")}) == []


def test_a_circle_is_found() -> None:
    """Two modules, one of which asks for the other through the package and inside a function, are a circle."""
    one = "def f():\n    from a import x\n"
    assert circles({"a": "from a.two import x", "a.one": one, "a.two": "from a.one import f"}) == [
        ["a", "a.one", "a.two"]
    ]
    typed = "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from a.two import x"
    assert circles({"a": "", "a.one": typed, "a.two": "from a import one"}) == []


# ---------------------------------------------------------------- hidden modules


def hidden(source: str, package: str, children: Collection[str]) -> list[str]:
    """Return the modules of a package that its ``__init__`` hides under something else of the same name."""
    bound: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                kept = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*kept, *filter(None, [node.module])])
            bound |= {a.asname or a.name for a in node.names if base != package or a.asname not in (None, a.name)}
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            bound.add(node.name)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            bound |= {target.id for target in targets if isinstance(target, ast.Name)}
    return sorted(bound & set(children))


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("__init__.py")), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_module_is_hidden(path: Path) -> None:
    """``from package import name`` gives a module wherever the package has one of that name."""
    children = [p.stem for p in path.parent.iterdir() if p.suffix == ".py" or (p / "__init__.py").is_file()]
    assert hidden(path.read_text("utf-8"), module_name(path), children) == []


@pytest.mark.parametrize(
    "source", ["from a.plate import plate", "from .plate import plate", "def plate(): ...", "plate = 1"]
)
def test_a_hidden_module_is_found(source: str) -> None:
    """The check above would find one hidden by an import, a function or a value; the module itself may be imported."""
    assert hidden(source, "a", ["plate", "other"]) == ["plate"]
    assert hidden("from a import plate", "a", ["plate"]) == []
