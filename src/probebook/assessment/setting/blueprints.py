"""Blueprints: read from ``scenarios/blueprints``, checked, refused in one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.model import Blueprint, Grade, Row
from probebook.bench.table.readings import LARGEST, fits_a_table
from probebook.errors import ScenarioError, UsageError
from probebook.questions.model import Kind
from probebook.questions.registry import options_of
from probebook.scenario_layers import file_in, files_in

if TYPE_CHECKING:
    from probebook.assessment.setting.formats import BlueprintText, RowText
    from probebook.cases.library import Library
    from probebook.words import Words

__all__ = ["blueprint_ids", "find_blueprint", "load_blueprint"]


def blueprint_ids(folder: Path) -> tuple[str, ...]:
    """Ids of the blueprints of a scenarios folder, in order of file name."""
    return tuple(path.stem for path in files_in(folder, "blueprints"))


def find_blueprint(name: str, folder: Path) -> Path:
    """The file of a blueprint, by its id or by its path; UsageError, with near names, where there is none."""
    path = Path(name)
    if path.suffix == ".toml":
        if path.is_file():
            return path
        raise UsageError("there is no such blueprint", where=name, remedy="check the path")
    known = blueprint_ids(folder)
    if name not in known:
        raise UsageError(f"there is no blueprint '{name}'", where=str(folder / "blueprints"), remedy=_hint(name, known))
    return file_in(folder, f"blueprints/{name}.toml")


def load_blueprint(path: Path, library: Library, words: Words | None = None) -> Blueprint:
    """Read a blueprint and check every name in it.

    Parameters
    ----------
    path
        The file.
    library
        The trade it asks about.
    words
        The language of its title and summary; that of the library where None.

    Raises
    ------
    ScenarioError
        One sentence that names file, key and remedy.
    """
    from probebook.assessment.setting.formats import BlueprintText
    from probebook.textfiles import load_text

    text = load_text(path, BlueprintText, words or library.words)
    if text.id != path.stem:
        raise ScenarioError(
            f"the id '{text.id}' differs from the file's name",
            where=f"{path.name}: id",
            remedy=f'write id = "{path.stem}"',
        )
    _check(text, library, path.name)
    return Blueprint(
        id=text.id,
        title=text.title,
        summary=text.summary.strip(),
        reader=text.reader,
        region=text.region,
        minutes=text.minutes / 60,
        rows=tuple(_row(row) for row in text.row),
        band=text.band,
        pass_share=text.pass_share,
        grades=tuple(Grade(grade.name, grade.share) for grade in text.grade),
        safety=text.safety,
        must_show=text.must_show,
        mixed=text.mixed,
    )


def _row(text: RowText) -> Row:
    return Row(
        id=text.id,
        outcome=text.outcome,
        kind=text.kind,
        level=text.level,
        marks=text.marks,
        items=text.items,
        appliances=text.appliances,
        options=dict(text.options),
        competences=text.competences,
        case=text.case,
        first=text.first,
    )


# ---------------------------------------------------------------- checks


def _check(text: BlueprintText, library: Library, file: str) -> None:
    from probebook.learning.coverage import load_competences

    if not text.band[0] < text.band[1]:
        raise ScenarioError(
            "the band of difficulty is empty", where=f"{file}: band", remedy="write the lower end first"
        )
    if text.minutes <= 0:
        raise ScenarioError("a paper takes time", where=f"{file}: minutes", remedy='write minutes = "45 min"')
    regions = tuple(path.stem for path in files_in(library.folder, "regions"))
    _known((text.region,), regions, f"{file}: region", "region")
    shares = [grade.share for grade in text.grade]
    if shares != sorted(set(shares), reverse=True):
        raise ScenarioError("the grades do not fall", where=f"{file}: grade", remedy="write the highest grade first")
    competences = tuple(item.id for item in load_competences(library.folder, library.words))
    _known(text.must_show, competences, f"{file}: must-show", "competence")
    seen: set[str] = set()
    for number, row in enumerate(text.row, start=1):
        where = f"{file}: row[{number}]"
        if row.id in seen:
            raise ScenarioError(f"the id '{row.id}' is used twice", where=f"{where}.id", remedy="give each its own")
        seen.add(row.id)
        _known((row.outcome,), tuple(library.outcomes), f"{where}.outcome", "outcome")
        _known(row.appliances, library.appliance_ids, f"{where}.appliances", "appliance")
        _known(row.competences, competences, f"{where}.competences", "competence")
        _known(row.options, options_of(row.kind), f"{where}.options", "option")
        if row.kind is Kind.BENCH:
            _check_bench(row, text, library, where)
    shown = {name for row in text.row for name in row.competences}
    for name in text.must_show:
        if name not in shown:
            raise ScenarioError(
                f"no row shows the competence {name}",
                where=f"{file}: must-show",
                remedy="name it in the competences of a row",
            )


def _check_bench(row: RowText, text: BlueprintText, library: Library, where: str) -> None:
    """Refuse a bench that no paper can carry."""
    if text.reader != "apprentice":
        raise ScenarioError(
            "a bench leads into an open appliance", where=f"{where}.kind", remedy='write reader = "apprentice"'
        )
    if row.options.get("steady", True) is not True:
        raise ScenarioError(
            "a paper carries its bench as a table, whose instruments err alike in every reading",
            where=f"{where}.options",
            remedy="leave 'steady' out",
        )
    for name in row.appliances:
        if not fits_a_table(library.appliance(name)):
            known = [each for each in library.appliance_ids if fits_a_table(library.appliance(each))]
            raise ScenarioError(
                f"a paper cannot carry the bench of '{name}': {len(library.appliance(name).wires)} wires make its "
                f"table too large, {LARGEST} are the most",
                where=f"{where}.appliances",
                remedy=f"choose of {', '.join(known)}",
            )


def _known(names: Iterable[str], known: tuple[str, ...], where: str, what: str) -> None:
    for name in names:
        if name not in known:
            raise ScenarioError(f"there is no {what} '{name}'", where=where, remedy=_hint(name, known))


def _hint(name: str, known: Iterable[str]) -> str:
    listed = tuple(known)
    near = get_close_matches(name, listed, n=1)
    return f"did you mean '{near[0]}'" if near else f"choose one of {', '.join(listed) or 'none'}"
