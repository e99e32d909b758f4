"""Workbooks and the papers of a class on paper: files written into a folder, and what is said of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.files import write_all

if TYPE_CHECKING:
    from probebook.assessment.model import PaperSet
    from probebook.cases.library import Library
    from probebook.publish.booklet import Booklet

__all__ = ["print_papers", "print_workbook"]


def print_workbook(name: str, folder: Path, out: Path, library: Library, *, large: bool = False) -> list[str]:
    """Write paper, answer sheet, mark scheme and table of answers of a workbook; return what there is to say.

    Parameters
    ----------
    name
        Name of the workbook, without its ending.
    folder
        Holds ``workbooks/`` and ``answer_keys/``.
    out
        Where the files go; made where it is missing. A table of answers that is there stays as it is.
    library
        The trade, for the words of the paper and the names of slips.
    large
        Whether in large print.

    Raises
    ------
    UsageError
        There is no such workbook, or nothing can be written there.
    ScenarioError
        Its files cannot be read or typeset.
    """
    from probebook.publish.booklet import read_booklet

    return _print([replace(read_booklet(name, folder), large=large)], out, library)


def print_papers(papers: PaperSet, out: Path, library: Library, *, large: bool = False) -> list[str]:
    """Write paper, the four files of each learner of a set; return what there is to say.

    Parameters
    ----------
    papers
        As a sealed key holds them.
    out
        Where the files go; made where it is missing. A table of answers that is there stays as it is.
    library
        The trade, for the words of the papers and the names of slips.
    large
        Whether all in large print; without it, those learners' that ask for it.

    Raises
    ------
    UsageError
        The papers that learners sit lie there, or nothing can be written there.
    ScenarioError
        A paper cannot be typeset.
    """
    from probebook.api.exporting import keep_from_learners
    from probebook.publish.booklet import booklets_of_set

    keep_from_learners(out / "scheme.pdf", papers)
    return _print([replace(each, large=large or each.large) for each in booklets_of_set(papers)], out, library)


def _print(booklets: Sequence[Booklet], out: Path, library: Library) -> list[str]:
    from probebook.publish.facts import PrintedFacts
    from probebook.publish.printing import printed
    from probebook.questions.model import Kind

    benches: dict[str, None] = {}
    files: dict[Path, bytes | str] = {}
    for booklet in booklets:
        for file, data in printed(booklet, library.words, library.slips).items():
            if not (file.endswith(".csv") and (out / file).exists()):  # answers may be typed into it by now
                files[out / file] = data
        for number, item in enumerate(booklet.items, 1):
            if item.question.kind is Kind.BENCH:
                benches[str(number)] = None
    write_all(files)
    facts = PrintedFacts(len(booklets), str(out), tuple(benches))
    return [library.words.say(facts, key) for key in (["printed", "benches"] if benches else ["printed"])]
