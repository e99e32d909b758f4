"""Evidence read from a text file, TOML or JSON, with names checked against the appliance."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.appliances import Appliance
from probebook.diagnosis.evidence import Complaint, Evidence, Measured, Observation, Ran, Seen, Tripped, sights
from probebook.diagnosis.model import model_of
from probebook.diagnosis.places import rest
from probebook.diagnosis.symptom_table import Symptom, Symptoms
from probebook.diagnosis.trial import DEAD_FUNCTIONS, reading
from probebook.errors import AnswerError, ProbebookError, ScenarioError, UsageError
from probebook.meters import Function, display_to_value
from probebook.textfiles import load_text
from probebook.units import format_quantity, parse

if TYPE_CHECKING:
    from probebook.diagnosis.files.format import EvidenceText, ReadingText, SymptomsText

#: Bytes; more is no evidence file.
LARGEST = 1_000_000


def read_evidence(path: Path, appliance: Appliance) -> Evidence:
    """Read an evidence file about an appliance; ``.json`` is read as JSON, anything else as TOML.

    Raises
    ------
    ProbebookError
        One sentence that names file, key and remedy: the file cannot be read, or names something the appliance does
        not have.
    """
    from probebook.diagnosis.files.format import EvidenceText

    path = Path(path)
    text = _load_json(path) if path.suffix.lower() == ".json" else load_text(path, EvidenceText)
    return evidence_of(text, appliance, where=path.name)


def evidence_of(text: EvidenceText, appliance: Appliance, *, where: str) -> Evidence:
    """Turn a validated file into evidence: complaints, trips, looks and runs, then readings, in file order."""
    if text.appliance and text.appliance != appliance.id:
        raise UsageError(
            f"this evidence is about '{text.appliance}', not '{appliance.id}'",
            where=f"{where}: appliance",
            remedy="name the appliance it is about",
        )
    check = _Names(appliance, where)
    found: list[Observation] = []
    for i, told in enumerate(text.complaint):
        found.append(Complaint(check.symptoms(told, f"complaint[{i + 1}]")))
    for i, trip in enumerate(text.tripped):
        check.one(trip.position, check.positions, "position", f"tripped[{i + 1}].position")
        found.append(Tripped(trip.position, trip.how))
    for i, sight in enumerate(text.seen):
        place = f"seen[{i + 1}]"
        check.one(sight.at, check.marks, "part or wire", f"{place}.at")
        check.one(sight.what, sights(appliance, sight.at), "thing to see there", f"{place}.what")
        found.append(Seen(sight.at, sight.what))
    for i, ran in enumerate(text.ran):
        found.append(Ran(ran.position, check.symptoms(ran, f"ran[{i + 1}]")))
    for i, taken in enumerate(text.reading):
        found.append(check.reading(taken, f"reading[{i + 1}]"))
    return tuple(found)


def value_shown(text: str, function: Function) -> tuple[float, str]:
    """The ohms of a reading and how it is said, from what a meter displays or people write: "45.8 Ω", "1k2", "400 meg".

    A number alone is in ohms, but for an insulation test, which is read in megohms and has to say so.

    Raises
    ------
    AnswerError
        It cannot be read as ohms.
    """
    try:
        return display_to_value(text, function), text.strip()
    except AnswerError:
        value = parse(text, "ohm", bare=function is not Function.INSULATION, minimum=0.0, allow_infinite=True)
        return value, "OL" if math.isinf(value) else format_quantity(value, "ohm", 4)


class _Names:
    """Checks the names in a file against an appliance."""

    def __init__(self, appliance: Appliance, where: str) -> None:
        self.appliance, self.where = appliance, where
        self.positions = [p.name for p in appliance.positions]
        self.wires = [w.mark for w in appliance.wires]
        self.marks = [*(p.mark for p in appliance.parts), *self.wires]

    def one(self, name: str, known: Sequence[str], what: str, key: str) -> None:
        """Check one name; the nearest right one is offered."""
        if name in known:
            return
        near = get_close_matches(name, known, n=1)
        hint = f"did you mean '{near[0]}'" if near else f"choose one of {', '.join(k for k in known if k)}"
        raise UsageError(
            f"the {self.appliance.title} has no {what} '{name}'", where=f"{self.where}: {key}", remedy=hint
        )

    def reading(self, taken: ReadingText, place: str) -> Measured:
        """One reading, names and display checked."""
        position = taken.position or rest(self.appliance)
        self.one(position, self.positions, "position", f"{place}.position")
        for probe in taken.probes:
            self.one(probe, self.appliance.terminals, "terminal", f"{place}.probes")
        if len(set(taken.probes)) < 2:
            raise UsageError(
                f"both probes are on {taken.probes[0]}: that reads the leads and nothing of the {self.appliance.title}",
                where=f"{self.where}: {place}.probes",
                remedy="name two terminals",
            )
        for mark in taken.lift:
            self.one(mark, self.wires, "wire", f"{place}.lift")
        if taken.function not in DEAD_FUNCTIONS:
            raise UsageError(
                f"'{taken.function}' is not a test of a dead appliance",
                where=f"{self.where}: {place}.function",
                remedy="write ohms, continuity or insulation",
            )
        try:
            value, shown = value_shown(taken.display, taken.function)
        except ProbebookError as error:
            raise error.at(f"{self.where}: {place}.display") from None
        a, b = taken.probes
        trial = reading(position, a, b, taken.function, lifted=taken.lift, calling=taken.calling, dried=taken.dried)
        return Measured(trial, value, taken.nulled, shown)

    def symptoms(self, told: SymptomsText, place: str) -> Symptoms:
        """The symptoms told of one position, each a subject and a way the appliance knows."""
        self.one(told.position, self.positions, "position", f"{place}.position")
        known = [
            s for shown in model_of(self.appliance).symptom_table.values() for s in shown if s.position == told.position
        ]
        found: list[Symptom] = []
        for subject, how in told.shows.items():
            key = f"{place}.shows.{subject}"
            self.one(subject, _distinct(s.subject for s in known), "subject", key)
            self.one(how, _distinct(s.how for s in known if s.subject == subject), f"way for {subject} to be", key)
            found.append(Symptom(told.position, subject, how))
        return tuple(found)


def _distinct(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))


def _load_json(path: Path) -> EvidenceText:
    from pydantic import ValidationError

    from probebook.diagnosis.files.format import EvidenceText
    from probebook.textmodels import explain

    try:
        if path.stat().st_size > LARGEST:
            raise ScenarioError("the file is too large for evidence", where=path.name, remedy="keep it under 1 MB")
        data: Any = json.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError as error:
        raise ScenarioError("there is no such file", where=str(path), remedy="check the name and the folder") from error
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ScenarioError(f"the file cannot be read ({reason})", where=str(path), remedy="check its name") from error
    except json.JSONDecodeError as error:
        place = f"look at line {error.lineno}, column {error.colno}"
        raise ScenarioError("the text is not valid JSON", where=path.name, remedy=place) from error
    except (ValueError, RecursionError) as error:
        raise ScenarioError("the text is not valid JSON", where=path.name, remedy="write it as plain JSON") from error
    if not isinstance(data, dict):
        raise ScenarioError("the file holds no table", where=path.name, remedy='begin it with { "reading": [')
    try:
        return EvidenceText.model_validate_json(json.dumps(data))
    except ValidationError as error:
        raise explain(error.errors(include_url=False)[0], data, EvidenceText, path.name) from None
