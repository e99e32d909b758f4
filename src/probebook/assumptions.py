"""Trade assumptions: figures that are judgements of the trade or of teaching, from ``scenarios/assumptions.toml``.

A floor keeps no such figure in Python. It says which figures it needs as a frozen dataclass, each field with the unit
that the file must state, and is handed the group::

    @dataclass(frozen=True)
    class Minutes(Assumed, table="diagnosis.minutes"):
        isolate: Annotated[float, "min"]

    minutes = load_assumptions(folder).get(Minutes)

Values are handed on in the unit of the file, not in SI. Constants of mathematics and physics are no assumptions.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, ClassVar, TypeVar, get_args, get_origin, get_type_hints

from probebook.errors import ScenarioError
from probebook.scenario_layers import joined_data, layers

__all__ = ["Assumed", "Assumptions", "all_groups", "assumed_groups", "load_assumptions", "wrong_assumptions"]

FILE = "assumptions.toml"
KEYS = ("value", "unit", "basis", "source")
A = TypeVar("A", bound="Assumed")

_groups: dict[str, type[Assumed]] = {}


class Assumed:
    """Base of a group of assumptions: a frozen dataclass that names its table of the file.

    Fields are ``Annotated[float, "unit"]``, ``Annotated[int, "1"]``, ``Annotated[tuple[float, ...], "unit"]`` or
    ``Annotated[Mapping[str, float], "unit"]``; "1" is the unit of a plain number.
    """

    table_: ClassVar[str] = ""

    def __init_subclass__(cls, table: str = "", **rest: object) -> None:
        super().__init_subclass__(**rest)
        if table:
            cls.table_ = table
        if cls.table_:
            _groups[cls.table_] = cls


def all_groups(package: str = "probebook") -> dict[str, type[Assumed]]:
    """Import every module of the package that declares a group; return the groups by table."""
    root = Path(str(import_module(package).__file__)).parent
    for path in sorted(root.rglob("*.py")):
        if "(Assumed, table=" in path.read_text("utf-8") and path != Path(__file__):
            parts = path.relative_to(root).with_suffix("").parts
            import_module(".".join([package, *(parts[:-1] if parts[-1] == "__init__" else parts)]))
    return assumed_groups(f"{package}.")


def assumed_groups(prefix: str = "probebook.") -> dict[str, type[Assumed]]:
    """Return the groups of all modules imported so far whose names begin with ``prefix``, by table."""
    return {table: group for table, group in sorted(_groups.items()) if group.__module__.startswith(prefix)}


@dataclass(frozen=True, eq=False)
class Assumptions:
    """The figures of one file, by table and key; compared by identity.

    Attributes
    ----------
    name
        The file, as errors name it.
    tables
        Dotted table -> key (with ``_``) -> (value, unit).
    """

    name: str
    tables: Mapping[str, Mapping[str, tuple[Any, str]]]
    _ready: dict[type[Assumed], Any] = field(default_factory=dict, repr=False)

    def get(self, group: type[A]) -> A:
        """Return a group, filled.

        Raises
        ------
        ScenarioError
            A figure is missing, unknown, in another unit or of the wrong kind.
        """
        ready: A | None = self._ready.get(group)
        if ready is None:
            for error in self.wrong(group):
                raise error
            rows, hints = self.tables[group.table_], _hints(group)
            ready = group(**{name: _value(rows[name][0], hints[name][0]) for name in hints})
            self._ready[group] = ready
        return ready

    def wrong(self, group: type[Assumed]) -> Iterator[ScenarioError]:
        """Yield every way in which the file does not suit a group."""
        rows, hints = self.tables.get(group.table_), _hints(group)
        if rows is None:
            yield self._error(group.table_, "", "this table is missing", f"add [{group.table_}]")
            return
        for name, (kind, unit) in hints.items():
            if name not in rows:
                row = f'{name.replace("_", "-")} = {{ value = …, unit = "{unit}", basis = "…", source = "…" }}'
                yield self._error(group.table_, name, "this figure is missing", f"add {row}")
            elif rows[name][1] != unit:
                message = f'the unit is "{rows[name][1]}", where "{unit}" is needed'
                yield self._error(group.table_, name, message, "write the value in that unit")
            elif not _fits(rows[name][0], kind):
                yield self._error(group.table_, name, f"the value is no {_KINDS[_shape(kind)]}", "mend the value")
        for name in rows:
            if name not in hints:
                near = get_close_matches(name, hints, n=1)
                hint = f'did you mean "{near[0].replace("_", "-")}"' if near else f"known are {', '.join(hints)}"
                yield self._error(group.table_, name, "nothing asks for this figure", hint)

    def _error(self, table: str, key: str, message: str, remedy: str) -> ScenarioError:
        place = ".".join(filter(None, (table, key.replace("_", "-"))))
        return ScenarioError(message, where=f"{self.name}: {place}", remedy=remedy)


_KINDS = {"float": "number", "int": "whole number", "tuple": "list of numbers", "Mapping": "table of numbers"}


def _hints(group: type[Assumed]) -> dict[str, tuple[Any, str]]:
    """Kind and unit of each field of a group."""
    hints = get_type_hints(group, include_extras=True)
    found = {}
    own: Mapping[str, object] = getattr(group, "__dataclass_fields__", {})
    for name in own:
        hint = hints[name]
        if get_origin(hint) is not Annotated:
            raise TypeError(f'{group.__qualname__}.{name}: write Annotated[float, "unit"]')
        kind, unit = get_args(hint)
        found[name] = (kind, unit)
    return found


def _shape(kind: Any) -> str:
    origin = get_origin(kind) or kind
    return "Mapping" if origin not in (float, int, tuple) else str(origin.__name__)


def _fits(value: Any, kind: Any) -> bool:
    shape = _shape(kind)
    if shape == "tuple":
        return isinstance(value, list) and all(_is_number(v) for v in value)
    if shape == "Mapping":
        return isinstance(value, dict) and all(_is_number(v) for v in value.values())
    return _is_number(value) and (shape == "float" or isinstance(value, int))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _value(value: Any, kind: Any) -> Any:
    shape = _shape(kind)
    if shape == "tuple":
        return tuple(float(v) for v in value)
    if shape == "Mapping":
        return types.MappingProxyType({key: float(v) for key, v in value.items()})
    return value if shape == "int" else float(value)


def wrong_assumptions(scenarios: Path, groups: Mapping[str, type[Assumed]] | None = None) -> list[ScenarioError]:
    """Every mistake in the assumptions of a folder, against the groups of the whole package unless given."""
    try:
        assumptions = load_assumptions(scenarios)
    except ScenarioError as error:
        return [error]
    asked = all_groups() if groups is None else groups
    found = [error for group in asked.values() for error in assumptions.wrong(group)]
    for table in assumptions.tables:
        if table not in asked:
            near = get_close_matches(table, asked, n=1)
            hint = f"did you mean [{near[0]}]" if near else "take it out"
            found.append(ScenarioError("nothing asks for this table", where=f"{FILE}: {table}", remedy=hint))
    return found


def load_assumptions(scenarios: Path) -> Assumptions:
    """Return the assumptions of a ``scenarios`` folder.

    Raises
    ------
    ScenarioError
        The file is missing or no TOML, or a figure lacks its unit, basis or source.
    """
    path = Path(scenarios) / FILE
    read = [layer / FILE for layer in layers(Path(scenarios))]
    return _read(path, tuple(each.stat().st_mtime_ns if each.is_file() else 0 for each in read))


@lru_cache(maxsize=16)
def _read(path: Path, stamps: tuple[int, ...]) -> Assumptions:
    """Read the file once for as long as it stays as it is."""
    del stamps
    tables: dict[str, dict[str, tuple[Any, str]]] = {}
    for table, key, row in _rows(joined_data(path), ""):
        _check_row(row, f"{path.name}: {table}.{key}" if table else f"{path.name}: {key}")
        tables.setdefault(table, {})[key.replace("-", "_")] = (row["value"], row["unit"])
    return Assumptions(path.name, tables)


def _rows(data: Mapping[str, Any], table: str) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Yield (table, key, row): a row is a table that has a value, or anything that should be one."""
    for key, value in data.items():
        if isinstance(value, dict) and not set(value) & set(KEYS):
            yield from _rows(value, f"{table}.{key}" if table else key)
        else:
            yield table, key, value


def _check_row(row: Any, where: str) -> None:
    if not isinstance(row, dict):
        raise ScenarioError(
            "a figure stands bare", where=where, remedy='write { value = …, unit = "…", basis = "…", source = "…" }'
        )
    for key in row:
        if key not in KEYS:
            near = get_close_matches(key, KEYS, n=1)
            hint = f'did you mean "{near[0]}"' if near else f"the keys are {', '.join(KEYS)}"
            raise ScenarioError("this key is not known here", where=f"{where}.{key}", remedy=hint)
    for key in KEYS:
        if key not in row:
            raise ScenarioError("this key is missing", where=f"{where}.{key}", remedy=f'add "{key} = ..."')
        if key != "value" and not (isinstance(row[key], str) and row[key].strip()):
            raise ScenarioError("this is no text", where=f"{where}.{key}", remedy="write it in quotation marks")
