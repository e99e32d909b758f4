"""Every reader of scenario files in one table: which file is read by what, and what each finds.

What a file is follows from the folder it stands in (``appliances/``, ``meters/``, ``workbooks/``) or from its name
(``alloys.toml`` …); a file that stands elsewhere is taken for an appliance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path

from probebook.appliances.checking import Finding, Severity, check_appliance
from probebook.errors import ScenarioError, UsageError

__all__ = ["check_file", "scenario_files"]


def scenario_files(folder: Path) -> list[Path]:
    """Every text file of a scenarios folder, in order."""
    return sorted(folder.rglob("*.toml"))


def check_file(path: Path) -> list[Finding]:
    """Every finding about one scenario file, gravest first.

    Raises
    ------
    UsageError
        There is no such file, or it is not a text file of the trade.
    """
    if not path.is_file():
        raise UsageError("there is no such file", where=str(path), remedy="name a .toml file of the scenarios folder")
    if path.suffix != ".toml":
        raise UsageError("this is not a scenario file", where=str(path), remedy="scenario files end in .toml")
    reader = _BY_FOLDER.get(path.resolve().parent.name) or _BY_NAME.get(path.name)
    if reader is None:
        return check_appliance(path)
    try:
        reader(path)
    except ScenarioError as error:
        return [Finding(Severity.ERROR, error.where or path.name, error.message, error.remedy or "")]
    return []


def _meter(path: Path) -> object:
    from probebook.meters import load_meter

    return load_meter(path)


def _plan(path: Path) -> object:
    from probebook.workbook.plan import load_plan

    return load_plan(path)


def _alloys(path: Path) -> object:
    from probebook.appliances.alloys import load_alloys

    return load_alloys(path)


def _limits(path: Path) -> object:
    from probebook.meters import load_rules

    return load_rules(path)


def _slips(path: Path) -> object:
    from probebook.cases.library import Library

    return Library(path.parent).slips


def _outcomes(path: Path) -> object:
    from probebook.cases.library import Library

    return Library(path.parent).outcomes


def _of_folder(module: str, function: str) -> Callable[[Path], object]:
    """A reader that takes the scenarios folder, as one that takes the file."""

    def read(path: Path) -> object:
        return getattr(import_module(module), function)(path.parent)

    return read


def _procedures(path: Path) -> object:
    """All procedures are read together; what is wrong with another of them is told there."""
    from probebook.questions.procedures import load_procedures, load_situations

    reader = load_situations if path.stem == "situations" else load_procedures
    try:
        return reader(path.resolve().parent.parent)
    except ScenarioError as error:
        if error.where and not error.where.startswith(path.name):
            return None
        raise


def _cautions(path: Path) -> object:
    from probebook.workbook.pages import caution

    return caution(path.parent, "owner")


_BY_FOLDER: Mapping[str, Callable[[Path], object]] = {
    "meters": _meter,
    "procedures": _procedures,
    "workbooks": _plan,
}
_BY_NAME: Mapping[str, Callable[[Path], object]] = {
    "alloys.toml": _alloys,
    "cautions.toml": _cautions,
    "competences.toml": _of_folder("probebook.questions.coverage", "load_competences"),
    "difficulty.toml": _of_folder("probebook.questions.difficulty", "load_weights"),
    "kitchen.toml": _of_folder("probebook.cases.kitchen", "kitchen"),
    "knowhow.toml": _of_folder("probebook.questions.knowhow", "load_items"),
    "limits.toml": _limits,
    "outcomes.toml": _outcomes,
    "practice.toml": _of_folder("probebook.questions.course", "load_course"),
    "slips.toml": _slips,
    "stock.toml": _of_folder("probebook.questions.stock", "stock"),
    "symbols.toml": _of_folder("probebook.questions.trace_symbol", "load_signs"),
}
