"""The report of a class: marks read, report written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.files import write_atomic

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["report_class"]


def report_class(folder: Path, library: Library) -> list[str]:
    """Write the report of the marks in a folder beside them; return what there is to say.

    Parameters
    ----------
    folder
        Holds ``marks.json``.
    library
        The trade, for words and for the names of outcomes and slips.

    Raises
    ------
    ScenarioError
        The marks cannot be read.
    UsageError
        The report cannot be written.
    """
    from probebook.assessment.codec import read_marks
    from probebook.assessment.report.analysis import ReportLimits
    from probebook.assessment.report.facts import WrittenFacts
    from probebook.assessment.report.files import report_files

    marked = read_marks(folder / "marks.json")
    outcomes = {outcome.id: outcome.title for outcome in library.outcomes.values()}
    slips = {slip.id: slip.name for slip in library.slips.values()}
    for name, text in report_files(
        marked, library.assumptions.get(ReportLimits), library.words, outcomes, slips
    ).items():
        write_atomic(folder / name, text)
    return [library.words.say(WrittenFacts(len(marked.papers), str(folder / "report.html")), "wrote")]
