"""Every reader of scenario files in one table: which file is read by what, and what each finds.

What a file is follows from the folder it stands in (``appliances/``, ``meters/``, ``workbooks/``) or from its name
(``alloys.toml`` …); a file that stands elsewhere is taken for an appliance. In the folder of a language, what is no
file of sentences lies over the file of the same name, and is read as that.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.appliances import load_appliance
from probebook.appliances.checking import Finding, Severity, check_appliance
from probebook.cases.library import Library
from probebook.errors import ScenarioError, UsageError
from probebook.regions import DEFAULT_REGION
from probebook.scenario_layers import MARKER, file_in, has_tables, home_of, layers
from probebook.words.sources import key_lines
from probebook.words.words import ENGLISH
from probebook.workbook.lookedover import LOOKS, look_over_appliance

if TYPE_CHECKING:
    from probebook.words.checking import Finding as WordsFinding

__all__ = ["check_file", "scenario_files"]

Reader = Callable[[Path, Library], object]


def scenario_files(folder: Path) -> list[Path]:
    """Every text file of a scenarios folder, in order; of somebody's own those that are in it."""
    return sorted(folder.rglob("*.toml"))


def check_file(path: Path, library: Library | None = None, above: Mapping[str, Reader] | None = None) -> list[Finding]:
    """Every finding about one scenario file, gravest first, each with its line where its key stands in the file.

    An appliance file that lies in no scenarios folder is read with the tables of ``library``; every appliance is looked
    at as it stands in the region of that library. ``above`` are the readers of folders that belong to a floor above
    this one, by the folder's name.

    Raises
    ------
    UsageError
        There is no such file, or it is not a text file of the trade.
    """
    if not path.is_file():
        raise UsageError("there is no such file", where=str(path), remedy="name a .toml file of the scenarios folder")
    if path.suffix != ".toml":
        raise UsageError("this is not a scenario file", where=str(path), remedy="scenario files end in .toml")
    return _placed(path, _findings(path, library, {**_BY_FOLDER, **(above or {})}))


def _findings(path: Path, library: Library | None, folders: Mapping[str, Reader]) -> Sequence[Finding]:
    several = _SEVERAL.get(path.name) or _SEVERAL.get(path.resolve().parent.name)
    language = _text_folder(path)
    if several is not None and language is None:
        return [_finding(path, error) for error in several(path)]
    if language is not None:
        return _language_findings(path, language, folders)
    reader = _reader_of(path, folders)
    if reader is None:
        own = has_tables(path)
        found = check_appliance(
            path,
            scenarios=library.folder if library and not own else None,
            region=library.region if library else None,
        )
        around = _library_of(path, library) if own or library is None else library
        return found if _wrong(found) else [*look_over_appliance(path, around), *found]
    return _read(reader, path, path, _library_of(path, library))


def _wrong(findings: Sequence[Finding]) -> bool:
    return any(finding.severity is Severity.ERROR for finding in findings)


def _library_of(path: Path, library: Library | None) -> Library:
    """The trade of the folder that a file lies in, in the region of ``library``."""
    home = home_of(path)
    if library is not None and library.folder.resolve() == home and library.language == ENGLISH:
        return library
    return Library(home, region=library.region.id if library else DEFAULT_REGION)


def _language_findings(path: Path, language: Path, folders: Mapping[str, Reader]) -> Sequence[Finding]:
    """What is wrong with a file in the folder of a language: sentences, or what lies over another file."""
    relative = path.resolve().relative_to(language)
    scenarios = language.parents[1]
    names = (relative.as_posix(), f"text/en/{relative.as_posix()}")
    bases = [base for base in (file_in(scenarios, name) for name in names) if base.is_file()]
    base = bases[0] if bases else path
    reader = _reader_of(base, folders) or (_appliance if relative.parts[0] == "appliances" else None)
    if reader is None or relative.parts[0] not in (relative.name, "appliances", *folders):
        return [_finding(path, error) for error in _wrong_words(language, path)]
    around = Library(scenarios, language.name)
    if reader is folders["workbooks"]:  # what it compiles to in that language is another matter
        reader = _plan_said
    found = _read(reader, base, path, around)
    if _wrong(found) or path.resolve() != base.resolve() or path.name not in LOOKS:
        return found
    return list(LOOKS[path.name](path, around))


def _read(reader: Reader, base: Path, path: Path, library: Library) -> list[Finding]:
    try:
        reader(base, library)
    except (ScenarioError, UsageError) as error:
        return [_finding(path, error)]
    return []


def _finding(path: Path, error: ScenarioError | UsageError) -> Finding:
    return Finding(Severity.ERROR, error.where or path.name, error.message, error.remedy or "")


# ---------------------------------------------------------------- places


_PLACE = re.compile(r"^(?P<file>\S*\.toml): (?P<key>[^:]+)(?P<inside>: .*)?$")


def _placed(path: Path, findings: Sequence[Finding]) -> list[Finding]:
    """The findings with the line of their key, or of the table that it is missing from."""
    if not any(_PLACE.match(finding.where) for finding in findings):
        return list(findings)
    try:
        lines = key_lines(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError):
        return list(findings)
    return [Finding(f.severity, _with_line(f.where, path, lines), f.message, f.remedy) for f in findings]


def _with_line(where: str, path: Path, lines: Mapping[str, int]) -> str:
    match = _PLACE.match(where)
    if match is None or not match["file"].endswith(path.name):
        return where
    inside = re.sub(r"^: ", ".", match["inside"] or "")
    key = re.sub(r" \([^)]*\)|\"", "", f"{match['key']}{inside}")
    while key:
        if key in lines:
            return f"{match['file']}, line {lines[key]}: {match['key']}{match['inside'] or ''}"
        key = re.sub(r"(\[\d+\]|\.?[^.\[\]]+)$", "", key)
    return where


def _text_folder(path: Path) -> Path | None:
    """The folder of the language that a file of sentences belongs to."""
    return next((folder for folder in path.resolve().parents if folder.parent.name == "text"), None)


def _wrong_words(language: Path, path: Path) -> list[ScenarioError]:
    """What is wrong with the sentences of one file."""
    name = f"text/{path.resolve().relative_to(language.parent).as_posix()}"
    return [found.error() for found in _words_of(language) if found.where.startswith(name)]


@cache
def _words_of(language: Path) -> list[WordsFinding]:
    from probebook.words.checking import check_words

    return list(check_words(language.parents[1], language.name))


# ---------------------------------------------------------------- readers


def _reader_of(path: Path, folders: Mapping[str, Reader]) -> Reader | None:
    return folders.get(path.resolve().parent.name) or _BY_NAME.get(path.name)


def _appliance(path: Path, library: Library) -> object:
    return load_appliance(path, library.words, scenarios=library.folder, region=library.region)


def _meter(path: Path, library: Library) -> object:
    from probebook.meters import load_meter

    return load_meter(path, library.words)


def _marker(path: Path, library: Library) -> object:
    del library
    return layers(path.resolve().parent)


def _plan(path: Path, library: Library) -> object:
    from probebook.workbook.build.compiling import compile_plan
    from probebook.workbook.build.plan import load_plan

    return compile_plan(load_plan(path, library.words), library)


def _plan_said(path: Path, library: Library) -> object:
    from probebook.workbook.build.plan import load_plan

    return load_plan(path, library.words)


def _alloys(path: Path, library: Library) -> object:
    from probebook.appliances.alloys import load_alloys

    del library
    return load_alloys(path)


def _limits(path: Path, library: Library) -> object:
    from probebook.regions import load_rules

    del library
    return load_rules(path)


def _competences(path: Path, library: Library) -> object:
    from probebook.learning.coverage import load_competences

    del path
    return load_competences(library.folder, library.words)


def _difficulty(path: Path, library: Library) -> object:
    from probebook.learning.difficulty import load_weights

    del path
    return load_weights(library.folder)


def _practice(path: Path, library: Library) -> object:
    from probebook.learning.rules import load_course

    del path
    return load_course(library.folder)


def _slips(path: Path, library: Library) -> object:
    del path
    return library.slips


def _outcomes(path: Path, library: Library) -> object:
    del path
    return library.outcomes


def _kitchen(path: Path, library: Library) -> object:
    from probebook.cases.kitchen import kitchen

    del path
    return kitchen(library.folder, library.words)


def _stock(path: Path, library: Library) -> object:
    from probebook.questions.replacement.stock import stock

    del path
    return stock(library.folder, library.words)


def _symbols(path: Path, library: Library) -> object:
    from probebook.questions.trace.signs import load_signs

    del path
    return load_signs(library.folder, library.words)


def _knowhow(path: Path, library: Library) -> object:
    from probebook.questions.knowhow_file import load_items

    del path
    return load_items(library.folder, library.words)


def _procedures(path: Path, library: Library) -> object:
    """All procedures are read together; what is wrong with another of them is told there."""
    from probebook.questions.procedure_files import load_procedures, load_situations

    reader = load_situations if path.stem == "situations" else load_procedures
    try:
        return reader(library.folder, library.words)
    except ScenarioError as error:
        if error.where and not error.where.rpartition("/")[2].startswith(path.name):
            return None
        raise


def _glossary(_: Path, library: Library) -> object:
    from probebook.workbook.pages.glossary import glossary

    return glossary(library)


def _cautions(path: Path, library: Library) -> object:
    from probebook.workbook.pages.prompts import caution

    del path
    return [caution(library, reader) for reader in ("apprentice", "owner")]


def _region(path: Path) -> list[ScenarioError]:
    from probebook.regions.checking import wrong_region

    return wrong_region(path)


def _assumptions(path: Path) -> list[ScenarioError]:
    from probebook.assumptions import wrong_assumptions

    return wrong_assumptions(path.parent)


_BY_FOLDER: Mapping[str, Reader] = {
    "meters": _meter,
    "procedures": _procedures,
    "workbooks": _plan,
}
_SEVERAL: Mapping[str, Callable[[Path], list[ScenarioError]]] = {
    "assumptions.toml": _assumptions,
    "regions": _region,
}
_BY_NAME: Mapping[str, Reader] = {
    MARKER: _marker,
    "alloys.toml": _alloys,
    "cautions.toml": _cautions,
    "competences.toml": _competences,
    "difficulty.toml": _difficulty,
    "glossary.toml": _glossary,
    "kitchen.toml": _kitchen,
    "knowhow.toml": _knowhow,
    "limits.toml": _limits,
    "outcomes.toml": _outcomes,
    "practice.toml": _practice,
    "slips.toml": _slips,
    "stock.toml": _stock,
    "symbols.toml": _symbols,
}
