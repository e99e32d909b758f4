"""No limit, rule, instrument or voltage of a country stands in the code: it is asked of the region, by role."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "probebook"
SCENARIOS = ROOT / "scenarios"

#: Ids that only data files may spell.
IDS = {
    *re.findall(r'^id = "([^"]+)"', (SCENARIOS / "limits.toml").read_text("utf-8"), re.MULTILINE),
    *(path.stem for path in (SCENARIOS / "meters").glob("*.toml")),
}
#: Nominal and permitted supply, and the insulation test, V.
VOLTS = (207.0, 216.0, 216.2, 220.0, 230.0, 240.0, 243.8, 253.0, 500.0)
#: A name that says that a figure is a voltage or a limit.
ELECTRICAL = re.compile(r"volt|nominal|supply|older|quoted|(least|most|earth|insulation).*ohm|limit", re.IGNORECASE)

#: Figures that look like one and are none: (module, figure) -> why.
EXCEPTIONS: dict[tuple[str, float], str] = {
    ("meters.likelihood", 500.0): "keeps exp() within floating point",
    ("drawings.meter_drawing", 240.0): "a place in the drawing of a meter",
    ("questions.reading.facts.opened", 1.0): "tells a joint from a load, no limit",
    ("questions.reading.facts.sign", 1.0): "tells a joint from a load, no limit",
    ("physical.readings", 500.0): "ohms within what counts as one node in an insulation test",
}
#: Modules not yet converted; may only become shorter.
NOT_YET: frozenset[str] = frozenset()


def modules() -> Iterator[tuple[str, ast.Module]]:
    """Yield the dotted name, without the package, and the tree of every module."""
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        yield ".".join(parts), ast.parse(path.read_text("utf-8"))


def ids_in(tree: ast.Module) -> list[str]:
    """Return the ids of limits and meters that a module spells."""
    return [n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and n.value in IDS]


def volts_in(tree: ast.Module) -> list[tuple[int, float]]:
    """Return (line, figure) of every float that is a voltage of a country, and of limits told by their name."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value in VOLTS:
            found.append((node.lineno, node.value))
        if isinstance(node, ast.Compare):
            names = " ".join(ast.unparse(part) for part in (node.left, *node.comparators))
            for part in (node.left, *node.comparators):
                is_limit = isinstance(part, ast.Constant) and part.value in (1e6, 0.1, 1.0)
                if is_limit and re.search(r"ohms|\.value\b", names):
                    found.append((node.lineno, float(part.value)))
        if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(node.value, ast.Constant):
            target = ast.unparse(node.targets[0] if isinstance(node, ast.Assign) else node.target)
            value = node.value.value
            if (
                isinstance(value, int | float)
                and not isinstance(value, bool)
                and value > 100
                and ELECTRICAL.search(target)
            ):
                found.append((node.lineno, float(value)))
    return found


ALL = dict(modules())


@pytest.mark.parametrize("name", sorted(ALL))
def test_no_id_of_a_limit_or_meter_stands_in_the_code(name: str) -> None:
    """Limits and instruments are asked for by role; their ids are for data files."""
    assert ids_in(ALL[name]) == []


@pytest.mark.parametrize("name", sorted(ALL))
def test_no_voltage_or_limit_of_a_country_stands_in_the_code(name: str) -> None:
    """230, 240, 253 V, the 500 V of a test, 1 MΩ and 1 Ω after a repair come from the region."""
    found = [(line, value) for line, value in volts_in(ALL[name]) if (name, value) not in EXCEPTIONS]
    if name in NOT_YET:
        assert found, f"{name} is converted: take it out of NOT_YET"
    else:
        assert found == []


def test_every_exception_is_still_needed() -> None:
    """An exception for a figure that is no longer there is taken out."""
    there = {(name, value) for name, tree in ALL.items() for _, value in volts_in(tree)}
    assert set(EXCEPTIONS) <= there
    assert set(ALL) >= NOT_YET


@pytest.mark.parametrize(
    "source",
    [
        "NOMINAL, OLDER = 230.0, 240.0",
        "def f(volts=500.0): ...",
        "bad = item.value < 1e6",
        "x = ohms > 1.0",
        "TEST_VOLTS = 500",
    ],
)
def test_a_figure_is_found(source: str) -> None:
    """The check above would find the figures that stood in the code before."""
    assert volts_in(ast.parse(source))


def test_an_id_is_found() -> None:
    """The check above would find the id of a meter and of a limit."""
    assert ids_in(ast.parse('library.meter("bench-multimeter"), rules.earth("iet-earth")')) == [
        "bench-multimeter",
        "iet-earth",
    ]
