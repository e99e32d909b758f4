"""All workbooks and answer keys as texts, and how they compare with what is on disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ProbebookError
from probebook.executor import Processes
from probebook.questions.codec import marking_sheet
from probebook.workbook.build.compiling import Compiled, compile_plan
from probebook.workbook.build.notebook import notebook_text
from probebook.workbook.finding import COMING
from probebook.workbook.language import carried_words
from probebook.workbook.pages.facts import SheetNote

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.workbook.build.kept import Kept
    from probebook.workbook.build.plan import Plan

__all__ = ["KEYS", "WORKBOOKS", "build_all", "built", "sheet_text", "stale_files", "surplus_files"]

#: Workbooks to be made, from which on several processes are started: each reads the trade first.
WORTH_WHILE = 3

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


@dataclass(frozen=True, slots=True)
class _Job:
    """A workbook to be built in another process, from the files of a scenarios folder."""

    plan: Plan
    scenarios: Path
    language: str
    region: str


def built(plan: Plan, library: Library, kept: Kept | None = None) -> dict[str, str]:
    """The two files of one workbook, taken from what is kept where they are there."""
    found = kept.find(plan, library) if kept is not None else None
    if found is not None:
        return found
    compiled = compile_plan(plan, library)
    files = {
        f"{WORKBOOKS}/{plan.stem}.ipynb": notebook_text(compiled),
        f"{KEYS}/{plan.stem}.json": sheet_text(compiled, library),
    }
    if kept is not None:
        kept.keep(plan, library, files)
    return files


def build_all(
    plans: Sequence[Plan],
    library: Library,
    *,
    done: Callable[[str], object] | None = None,
    kept: Kept | None = None,
    jobs: int = 1,
) -> dict[str, str]:
    """Every file of a build: relative path → text, in order of plan.

    With more ``jobs`` than one, plans and library are those of the files in the library's folder.
    """
    found = {plan.stem: kept.find(plan, library) if kept is not None else None for plan in plans}
    missing = [plan for plan in plans if found[plan.stem] is None]
    for plan in plans:
        if done and plan not in missing:
            done(plan.stem)
    if jobs > 1 and len(missing) >= WORTH_WHILE:
        found.update(_built_by_several(missing, library, done, kept, jobs))
        missing = []
    for plan in missing:
        found[plan.stem] = built(plan, library, kept)
        if done:
            done(plan.stem)
    return {name: text for plan in plans for name, text in (found[plan.stem] or {}).items()}


def _built_by_several(
    plans: Sequence[Plan], library: Library, done: Callable[[str], object] | None, kept: Kept | None, jobs: int
) -> dict[str, dict[str, str]]:
    """The files of each plan, built by several processes; what is wrong with the first that cannot be is raised."""
    longest_first = sorted(plans, key=lambda plan: -len(plan.blocks))
    made = Processes(jobs).map(
        _built_or_not,
        [_Job(plan, library.folder, library.language, library.region.id) for plan in longest_first],
        (lambda: done("")) if done else None,
    )
    found = {plan.stem: each for plan, each in zip(longest_first, made, strict=True)}
    files: dict[str, dict[str, str]] = {}
    for plan in plans:
        each = found[plan.stem]
        if isinstance(each, ProbebookError):
            raise each
        files[plan.stem] = each
        if kept is not None:
            kept.keep(plan, library, each)
    return files


def _built_or_not(job: _Job) -> dict[str, str] | ProbebookError:
    """In a process of its own: the files of a workbook, or what is wrong with it."""
    from probebook.cases.library import library

    try:
        return built(job.plan, library(job.scenarios, job.region, job.language))
    except ProbebookError as error:
        return error


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
    kinds = ((WORKBOOKS, "*.ipynb"), (KEYS, "*.json"), (KEYS, f"*.json{COMING}"))
    found = [path for part, pattern in kinds for path in sorted((folder / part).glob(pattern))]
    return [path for path in found if f"{path.parent.name}/{path.name}" not in files]
