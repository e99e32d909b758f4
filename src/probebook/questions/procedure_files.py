"""Procedures and situations as ``text/en/procedures`` holds them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError
from probebook.questions.procedures import (
    Choice,
    Procedure,
    ProcedureFacts,
    Situation,
    SituationFacts,
    Step,
    WrongPair,
)
from probebook.regions.loading import check_regions
from probebook.scenario_layers import files_in
from probebook.words import Words

__all__ = ["FOLDER", "SITUATIONS", "load_procedures", "load_situations", "procedure_paths"]

#: Folder of the files in that of a language, and the file of all situations in it.
FOLDER = "procedures"
SITUATIONS = "situations.toml"
#: Keys that hold templates.
TEMPLATES = ("title", "asks", "text", "other", "here", "proposed", "because")


def procedure_paths(folder: Path) -> list[Path]:
    """The files of procedures of a ``scenarios`` folder, in order of id."""
    return [path for path in files_in(folder, f"text/en/{FOLDER}") if path.name != SITUATIONS]


@cache
def load_procedures(folder: Path, words: Words | None = None) -> tuple[Procedure, ...]:
    """Every procedure of a ``scenarios`` folder, in order of id, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        A file is bad: an unknown step, a circle, a wrong pair that the order does not forbid, a template that cannot be
        said.
    """
    from probebook.questions.formats import ProcedureText
    from probebook.textfiles import load_text
    from probebook.words.tutor_texts import check_templates

    found = []
    for path in procedure_paths(folder):
        row = load_text(path, ProcedureText, words).model_dump()
        check_regions(row["regions"], folder, f"{path.name}: regions")
        _check_without(row["without"], folder, f"{path.name}: without")
        check_templates(ProcedureFacts, row, TEMPLATES, f"{path.name}: ")
        steps = tuple(Step(**step) for step in row.pop("step"))
        wrong = tuple(WrongPair(**pair) for pair in row.pop("wrong"))
        procedure = Procedure(steps=steps, wrong=wrong, **row)
        _check(procedure, path)
        found.append(procedure)
    return tuple(found)


def _check(procedure: Procedure, path: Path) -> None:
    if procedure.id != path.stem:
        raise ScenarioError(
            f"the id '{procedure.id}' differs from the file's name",
            where=f"{path.name}: id",
            remedy=f'write id = "{path.stem}"',
        )
    known = {step.id for step in procedure.steps}
    for number, step in enumerate(procedure.steps):
        for earlier in step.after:
            if earlier not in known:
                raise ScenarioError(
                    f"there is no step '{earlier}'",
                    where=f"{path.name}: step[{number + 1}].after",
                    remedy=f"name one of {', '.join(sorted(known))}",
                )
    pairs = procedure.before
    if any(a == b for a, b in pairs):
        raise ScenarioError("the steps run in a circle", where=f"{path.name}: step", remedy="take one 'after' out")
    for number, wrong in enumerate(procedure.wrong):
        if (wrong.earlier, wrong.later) not in pairs:
            raise ScenarioError(
                f"nothing says that '{wrong.earlier}' comes before '{wrong.later}'",
                where=f"{path.name}: wrong[{number + 1}]",
                remedy="give the later step an 'after', or take the pair out",
            )


@cache
def load_situations(folder: Path, words: Words | None = None) -> tuple[Situation, ...]:
    """Every situation of a ``scenarios`` folder, in file order, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        The file is bad: not exactly one right choice, an id used twice, a template that cannot be said.
    """
    from probebook.questions.formats import SituationsText
    from probebook.scenario_layers import load_joined
    from probebook.words.tutor_texts import check_templates

    found: dict[str, Situation] = {}
    path = folder / "text" / "en" / FOLDER / SITUATIONS
    for number, text in enumerate(load_joined(path, SituationsText, words).situation, 1):
        row, where = text.model_dump(), f"{SITUATIONS}: situation[{number}]"
        check_regions(text.regions, folder, f"{where}.regions")
        _check_without(text.without, folder, f"{where}.without")
        check_templates(SituationFacts, row, TEMPLATES, f"{where}.")
        found[text.id] = _situation(row, where, found)
    for situation in found.values():
        _check_borrowed(situation, found)
    return tuple(found.values())


def _check_borrowed(situation: Situation, found: Mapping[str, Situation]) -> None:
    for name in situation.borrow:
        if name not in found or name == situation.id:
            raise ScenarioError(
                f"'{situation.id}' borrows the right choice of '{name}', which is no other situation",
                where=f"{SITUATIONS}: {situation.id}.borrow",
                remedy="name situations of this file whose right choice is wrong here",
            )


def _check_without(name: str, folder: Path, where: str) -> None:
    known = sorted(path.stem for path in files_in(folder, "appliances"))
    if name and name not in known:
        raise ScenarioError(
            f"there is no appliance '{name}'", where=where, remedy=f"name one of {', '.join(known)}, or leave it out"
        )


def _situation(row: dict[str, Any], where: str, others: Mapping[str, Situation]) -> Situation:
    choices = tuple(Choice(**choice) for choice in row.pop("choice"))
    right = sum(not choice.slip for choice in choices)
    if right != 1:
        raise ScenarioError(
            f"'{row['id']}' has {right} choices without a slip",
            where=f"{where}.choice",
            remedy="leave 'slip' out of the right choice and give every other one its slip",
        )
    if row["id"] in others:
        raise ScenarioError(f"the id '{row['id']}' is used twice", where=f"{where}.id", remedy="give each its own")
    go = row.pop("decision") == "go"
    row["slip"] = row["slip"] or ("stopped-too-soon" if go else "overreach")
    return Situation(choices=choices, go=go, **row)
