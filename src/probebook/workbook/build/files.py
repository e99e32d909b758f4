"""All workbooks and answer keys as texts, and how they compare with what is on disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.questions.codec import marking_sheet
from probebook.workbook.build.compiling import Compiled, compile_plan
from probebook.workbook.build.notebook import notebook_text
from probebook.workbook.language import carried_words
from probebook.workbook.pages.facts import SheetNote

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.build.plan import Plan

__all__ = ["KEYS", "WORKBOOKS", "build_all", "sheet_text", "stale_files", "surplus_files"]

WORKBOOKS, KEYS = "workbooks", "answer_keys"


def sheet_text(compiled: Compiled, library: Library) -> str:
    """The marking sheet of a workbook as canonical JSON."""
    plan = compiled.plan
    used = {question.outcome for question in compiled.questions}
    return marking_sheet(
        compiled.questions,
        {
            "workbook": plan.stem,
            "build": compiled.fingerprint,
            "title": plan.title,
            "reader": plan.reader,
            "minutes": compiled.minutes,
            "outcomes": {name: item.title for name, item in library.outcomes.items() if name in used},
            "note": library.words.say(SheetNote(), "note"),
            "language": library.words.id,
            "region": library.region.id,
            "scenarios": library.fingerprint,
            "words": carried_words(library.words),
        },
    )


def build_all(
    plans: Sequence[Plan], library: Library, *, done: Callable[[str], object] | None = None
) -> dict[str, str]:
    """Every file of a build: relative path → text, in order of plan."""
    files: dict[str, str] = {}
    for plan in plans:
        compiled = compile_plan(plan, library)
        files[f"{WORKBOOKS}/{plan.stem}.ipynb"] = notebook_text(compiled)
        files[f"{KEYS}/{plan.stem}.json"] = sheet_text(compiled, library)
        if done:
            done(plan.stem)
    return files


def stale_files(files: Mapping[str, str], folder: Path) -> list[str]:
    """Names of built files that are missing, different, or on disk without a plan."""
    stale = [name for name, text in files.items() if not _same(folder / name, text)]
    return stale + [str(path.relative_to(folder)) for path in surplus_files(files, folder)]


def _same(path: Path, text: str) -> bool:
    try:
        return path.read_bytes() == text.encode()
    except OSError:
        return False


def surplus_files(files: Mapping[str, str], folder: Path) -> list[Path]:
    """Workbooks and keys on disk that no plan makes."""
    found = [*sorted((folder / WORKBOOKS).glob("*.ipynb")), *sorted((folder / KEYS).glob("*.json"))]
    return [path for path in found if f"{path.parent.name}/{path.name}" not in files]
