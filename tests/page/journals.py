"""Workbooks with a journal that a test has written: what was answered is known, so what is told can be checked."""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from pathlib import Path

from probebook.questions.codec import read_sheet
from probebook.questions.model import Question, Standing
from probebook.scenario_folder import fingerprint
from probebook.workbook.journal import append_answer

ROOT = Path(__file__).resolve().parents[2]
FIRST, SECOND = "01-before-you-touch-it", "03-ohms-and-watts"


def lay_out(root: Path, names: Sequence[str] = (FIRST, SECOND)) -> Path:
    """Copy workbooks and keys, the keys as built from the scenarios as they are now; the folder of the workbooks."""
    now = fingerprint(ROOT / "scenarios")
    for name in names:
        for folder, end in (("workbooks", "ipynb"), ("answer_keys", "json")):
            (root / folder).mkdir(exist_ok=True)
            shutil.copy(ROOT / folder / f"{name}.{end}", root / folder)
        key = root / "answer_keys" / f"{name}.json"
        text = re.sub(r'"scenarios": "[0-9a-f]{16}"', f'"scenarios": "{now}"', key.read_text("utf-8"))
        key.write_text(text, encoding="utf-8")
    return root / "workbooks"


def questions(folder: Path, name: str) -> tuple[Question, ...]:
    """The questions of a workbook."""
    return read_sheet(folder.parent / "answer_keys" / f"{name}.json").questions


def right(folder: Path, name: str, question: Question, day: str) -> None:
    """Answer a question rightly."""
    response = {field.key: field.answer for field in question.fields}
    give(folder, name, question, response, Standing.RIGHT, question.marks, day)


def dangerous(folder: Path, name: str, question: Question, day: str) -> None:
    """Answer a question dangerously."""
    slip = next(slip for slip in question.slips if slip.critical)
    response = {field.key: field.answer for field in question.fields} | {slip.field: slip.response}
    give(folder, name, question, response, Standing.SLIP, 0.0, day)


def give(
    folder: Path, name: str, question: Question, response: dict[str, object], standing: Standing, marks: float, day: str
) -> None:
    """Write an answer into the journal."""
    append_answer(
        folder / f"{name}.answers.jsonl",
        question=question.id,
        response=response,  # type: ignore[arg-type]
        standing=standing,
        marks=marks,
        time=f"{day}T10:00:00Z",
        origin=name,
    )


def lesson(folder: Path) -> tuple[Question, Question]:
    """Three weeks: two dangerous answers, of which one was put right, and four right ones; the two dangerous questions.

    All right in the first workbook are its first two questions without danger, and in the second likewise.
    """
    first, second = questions(folder, FIRST), questions(folder, SECOND)
    one, two = [question for question in first if any(slip.critical for slip in question.slips)][:2]
    dangerous(folder, FIRST, one, "2026-11-04")
    dangerous(folder, FIRST, two, "2026-11-05")
    right(folder, FIRST, one, "2026-11-10")
    for question in second[1:5]:
        right(folder, SECOND, question, "2026-11-17")
    return one, two
