"""Workbooks: plans compiled, files built, written, compared and verified; what a bank of questions covers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.files import write_all
from probebook.questions.codec import sheet_of
from probebook.scenario_folder import PLACE, note_of_place
from probebook.workbook.build import compiling, plan
from probebook.workbook.build import files as built
from probebook.workbook.build.kept import kept_builds
from probebook.workbook.finding import COMING

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.learning.coverage import Coverage
    from probebook.workbook.build.compiling import Compiled
    from probebook.workbook.build.kept import Kept
    from probebook.workbook.build.plan import Plan
    from probebook.workbook.verifying import Finding as Verified

    Told = Callable[[str], object] | None

__all__ = [
    "build_files",
    "compile_workbook",
    "count_coverage",
    "kept_builds",
    "load_plans",
    "stale_files",
    "verify_workbooks",
    "write_files",
]


def load_plans(library: Library) -> tuple[Plan, ...]:
    """Return the plans of all workbooks, in order of number.

    Parameters
    ----------
    library
        The trade, whose folder holds ``workbooks/``.

    Raises
    ------
    ScenarioError
        A plan cannot be used; one sentence names file, block and remedy.

    Examples
    --------
    >>> from probebook import load_library, load_plans
    >>> plans = load_plans(load_library())
    >>> plans[0].stem, plans[0].reader
    ('01-before-you-touch-it', 'apprentice')
    """
    return plan.load_plans(library.folder, library.words)


def compile_workbook(plan: Plan, library: Library) -> Compiled:
    """Compile a plan: the same plan and library give the same cells on any machine.

    Parameters
    ----------
    plan, library
        What to build, and the trade it draws on.

    Returns
    -------
    Compiled
        Cells of the notebook, questions and cases, in order.

    Raises
    ------
    ScenarioError
        A block cannot be built; the sentence names file and block.

    Examples
    --------
    >>> from probebook import compile_workbook, load_library, load_plans
    >>> library = load_library()
    >>> book = compile_workbook(load_plans(library)[0], library)
    >>> book.questions[0].id, book.cells[0].source.splitlines()[0]
    ('q01', '# Before you touch it')
    """
    return compiling.compile_plan(plan, library)


def build_files(
    plans: Sequence[Plan], library: Library, *, done: Told = None, kept: Kept | None = None, jobs: int = 1
) -> dict[str, str]:
    """Build workbooks and answer keys as texts; nothing is written.

    Parameters
    ----------
    plans, library
        What to build, and the trade it draws on.
    done
        Called with the name of each workbook when it is finished.
    kept
        What earlier builds made (:func:`kept_builds`); all is made afresh without it.
    jobs
        Processes; with more than one, plans and library are those of the files in the library's folder.

    Returns
    -------
    dict
        Relative path (``workbooks/…``, ``answer_keys/…``) → text, in order of plan.

    Raises
    ------
    ScenarioError
        A plan cannot be built.

    Examples
    --------
    >>> from probebook import build_files, load_library, load_plans
    >>> library = load_library()
    >>> sorted(build_files(load_plans(library)[:1], library))
    ['answer_keys/01-before-you-touch-it.json', 'workbooks/01-before-you-touch-it.ipynb']
    """
    return built.build_all(plans, library, done=done, kept=kept, jobs=jobs)


def stale_files(files: Mapping[str, str], folder: Path) -> list[str]:
    """Return the names of built files that are missing or different in ``folder``, or there without a plan.

    Examples
    --------
    >>> from pathlib import Path
    >>> from probebook import stale_files
    >>> stale_files({"workbooks/99-none.ipynb": "{}"}, Path("no-such-folder"))
    ['workbooks/99-none.ipynb']
    """
    return built.stale_files(files, folder)


def write_files(files: Mapping[str, str], folder: Path, scenarios: Path | None = None) -> None:
    """Write built files into ``folder``, all together, and remove workbooks and keys without a plan.

    None takes its place before all are whole on disk; what a killed run left behind is swept away. Keys are put beside
    the old ones first and take their names last, so that each notebook finds the key of its build at any moment.

    Parameters
    ----------
    files, folder
        Relative path → text, and where they go.
    scenarios
        What they were built from: noted beside the keys, unless it lies there or came with the package.

    Raises
    ------
    UsageError
        A file cannot be written.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from probebook import write_files
    >>> with TemporaryDirectory() as folder:
    ...     write_files({"workbooks/01-mine.ipynb": "{}"}, Path(folder))
    ...     [path.name for path in Path(folder).glob("*/*")]
    ['01-mine.ipynb']
    """
    place = note_of_place(scenarios, folder) if scenarios is not None else ""
    noted = {folder / built.KEYS / PLACE: place} if place else {}
    keys = {folder / name: text for name, text in files.items() if name.startswith(f"{built.KEYS}/")}
    rest = {folder / name: text for name, text in files.items() if folder / name not in keys}
    coming = {path.with_name(f"{path.name}{COMING}"): path for path in keys}
    placed = {path: keys[coming[path]] for path in coming}
    write_all({**placed, **rest, **noted}, then=coming)
    for path in built.surplus_files(files, folder):
        path.unlink()
    if not place:
        (folder / built.KEYS / PLACE).unlink(missing_ok=True)


def verify_workbooks(
    folder: Path,
    scenarios: Path,
    *,
    names: Sequence[str] = (),
    jobs: int = 1,
    trusted: bool = False,
    done: Told = None,
) -> list[Verified]:
    """Run workbooks, answer every question through its widgets, and compute their keys again.

    A workbook is built again in the language and the region that its marking sheet names.

    Parameters
    ----------
    folder
        Holds ``workbooks/`` and ``answer_keys/``.
    scenarios
        Folder from which the keys are computed again.
    names
        Parts of names; when given, only workbooks whose name holds one of them.
    jobs
        Notebooks run at the same time.
    trusted
        Run notebooks too that hold other code than a build writes.
    done
        Called with the name of each workbook when it is finished.

    Returns
    -------
    list
        For each workbook its questions, the answers tried, seconds and problems.

    Raises
    ------
    UsageError
        There is nothing to verify.

    Examples
    --------
    >>> from pathlib import Path
    >>> from probebook import verify_workbooks
    >>> verify_workbooks(Path("no-such-folder"), Path("scenarios"))
    Traceback (most recent call last):
    ...
    probebook.errors.UsageError: no-such-folder/workbooks: there are no workbooks; run 'probebook build' first.
    """
    from probebook.workbook.verifying import verify_all

    return verify_all(folder, scenarios, jobs=jobs, trusted=trusted, only=names, done=done)


def count_coverage(plans: Sequence[Plan], library: Library, *, done: Told = None, kept: Kept | None = None) -> Coverage:
    """Count the questions that can be failed for lack of each competence.

    Parameters
    ----------
    plans, library
        The bank is the questions of these workbooks.
    done
        Called with the name of each workbook when it is counted.
    kept
        What was made earlier (:func:`kept_builds`); then ``plans`` are all of the library's folder.

    Returns
    -------
    Coverage
        Items of each competence; questions by outcome and kind.

    Raises
    ------
    ScenarioError
        A plan cannot be built, or the table of competences cannot be used.

    Examples
    --------
    >>> from probebook import count_coverage, load_library, load_plans
    >>> library = load_library()
    >>> count_coverage(load_plans(library)[:1], library).questions > 0
    True
    """
    from probebook.learning.coverage import Coverage, Goal, coverage, load_competences

    competences, goal = load_competences(library.folder, library.words), library.assumptions.get(Goal)
    counted = kept.found("coverage", library) if kept is not None else None
    if counted is not None:
        return Coverage.counted(competences, goal, counted)
    bank = []
    for each in plans:
        if kept is not None:
            questions = sheet_of(built.built(each, library, kept)[f"{built.KEYS}/{each.stem}.json"]).questions
        else:
            questions = compiling.compile_plan(each, library).questions
        bank += [(f"{each.stem}/{q.id}", q) for q in questions]
        if done:
            done(each.stem)
    found = coverage(bank, competences, library.slips, goal, library.outcomes)
    if kept is not None:
        kept.work_out("coverage", library, found.counts())
    return found
