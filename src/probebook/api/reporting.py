"""The report of a class: marks read, report written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import UsageError
from probebook.files import write_all

if TYPE_CHECKING:
    from probebook.assessment.model import MarkedClass
    from probebook.assessment.report.analysis import Report, ReportLimits
    from probebook.assessment.report.drift import History
    from probebook.cases.library import Library

__all__ = ["report_class"]


def report_class(folder: Path, library: Library, history: Path | None = None, sat_on: str = "") -> list[str]:
    """Write the report of the marks in a folder beside them; return what there is to say.

    Parameters
    ----------
    folder
        Holds ``marks.json``.
    library
        The trade, for words and for the names of outcomes and slips.
    history
        A file in which the sitting is kept and from which the earlier ones of its blueprint come; none where None.
    sat_on
        The day of the sitting (ISO 8601), kept in the history; that of the first hand-in where empty.

    Raises
    ------
    ScenarioError
        The marks cannot be read.
    UsageError
        The report cannot be written, the history cannot be used, or a day is given and no history.
    """
    from probebook.assessment.codec import read_marks
    from probebook.assessment.report.analysis import ReportLimits, analyse
    from probebook.assessment.report.facts import WrittenFacts
    from probebook.assessment.report.files import report_files

    if sat_on and history is None:
        raise UsageError("a day is kept in a history only", where="--sat-on", remedy="name the history with --history")
    marked = read_marks(folder / "marks.json")
    outcomes = {outcome.id: outcome.title for outcome in library.outcomes.values()}
    slips = {slip.id: slip.name for slip in library.slips.values()}
    limits = library.assumptions.get(ReportLimits)
    found = analyse(marked, limits)
    kept = _kept(history, marked, found, limits, sat_on) if history else None
    files = report_files(found, marked, library.words, outcomes, slips, kept)
    write_all({folder / name: text for name, text in files.items()})
    return [library.words.say(WrittenFacts(len(marked.papers), str(folder / "report.html")), "wrote")]


def _kept(path: Path, marked: MarkedClass, found: Report, limits: ReportLimits, sat_on: str) -> History:
    """Keep a sitting in the history; what that and the earlier ones say."""
    from probebook.assessment.report.drift import history_of, sitting_of
    from probebook.assessment.report.history import keep_sitting

    times = [paper.handed_in for paper in marked.papers if paper.handed_in]
    day = _day(sat_on or min(times, default="")[:10])
    now = sitting_of(marked, found, limits, day)
    sittings = keep_sitting(path, now)
    now = next(each for each in sittings if each.id == now.id)
    return history_of(now, sittings, limits.drift)


def _day(text: str) -> str:
    from probebook.assessment.days import read_day

    if not text:
        raise UsageError("the day of the sitting is not known", where="--sat-on", remedy="write it as 2026-06-12")
    return read_day(text, "--sat-on")
