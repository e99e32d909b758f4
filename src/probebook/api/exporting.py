"""The bank and the papers of a class as a package of items for other platforms."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import UsageError, VerificationError
from probebook.files import write_all

if TYPE_CHECKING:
    from probebook.assessment.model import PaperSet
    from probebook.cases.library import Library
    from probebook.publish.booklet import Booklet
    from probebook.publish.package.gathering import Gathered
    from probebook.publish.package.standards import Standard

__all__ = ["Exported", "bank", "export", "keep_from_learners", "papers_of", "standard_of"]


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written: the report in sentences, and as plain JSON data."""

    lines: list[str]
    data: dict[str, Any]


def standard_of(name: str) -> Standard:
    """The version of the standard with that id; UsageError where there is none."""
    from probebook.publish.package.standards import find_standard

    return find_standard(name)


def bank(names: Sequence[str], folder: Path) -> list[Booklet]:
    """The questions of workbooks, each with what is read and seen before it.

    Parameters
    ----------
    names
        Of workbooks, without their ending; all of the folder where there are none.
    folder
        Holds ``workbooks/`` and ``answer_keys/``.

    Raises
    ------
    UsageError
        There is no such workbook, or none at all.
    ScenarioError
        A marking sheet or a notebook cannot be read.
    """
    from probebook.publish.booklet import read_booklet

    chosen = list(dict.fromkeys(names)) or sorted(path.stem for path in (folder / "answer_keys").glob("*.json"))
    if not chosen:
        raise UsageError(
            "there are no workbooks here", where=str(folder), remedy="run 'probebook build' first, or name a --folder"
        )
    return [read_booklet(name, folder) for name in chosen]


def papers_of(papers: PaperSet) -> list[Booklet]:
    """The papers of a class, a booklet each. Names of learners do not come along; their ids do."""
    from probebook.publish.booklet import booklets_of_set

    return list(booklets_of_set(papers))


def keep_from_learners(out: Path, papers: PaperSet) -> None:
    """Make sure that a file, which holds the answers, is not put where the papers of learners lie; UsageError."""
    names = {f"{papers.blueprint.paper_name(paper.learner)}.ipynb" for paper in papers.papers}
    if any((out.parent / name).is_file() for name in names):
        raise UsageError(
            "the papers of learners lie in this folder, and what is written holds the answers",
            where=str(out.parent),
            remedy="name another folder with --out",
        )


def export(
    booklets: Sequence[Booklet],
    out: Path,
    standard: Standard,
    library: Library,
    done: Callable[[str], object] | None = None,
) -> Exported:
    """Write a package, checked against the written rules of the standard before it takes its place.

    Parameters
    ----------
    booklets
        As :func:`bank` or :func:`papers_of` gives them.
    out
        The file to write.
    standard
        The version of the standard.
    library
        The trade, for the words.
    done
        Called with the name of each booklet that is through.

    Raises
    ------
    UsageError
        Nothing is left to write, or it cannot be written there.
    VerificationError
        What was made does not keep the rules of the standard; nothing is written.
    """
    from probebook.cases.library import library as library_of
    from probebook.publish.package.gathering import gather
    from probebook.publish.package.packing import package_files, zipped
    from probebook.publish.package.report import report_data, report_lines
    from probebook.publish.package.rules.package import check_package

    found: Gathered = gather(
        out.stem, booklets, lambda name: library_of(library.folder, library.region.id, name).words, done
    )
    if not found.carried:
        raise UsageError(
            "the standard can carry none of these questions", where=str(out), remedy="name another workbook"
        )
    files = package_files(found.package, standard)
    findings = check_package(files, standard.version_name)
    if findings:
        raise VerificationError(
            f"what was made does not keep the rules of the standard in {len(findings)} places, first {findings[0]}",
            where=str(out),
            remedy="report the question it stands in; nothing was written",
        )
    write_all({out: zipped(files)})
    return Exported(
        report_lines(found, str(out), standard, library.words), report_data(found, str(out), standard, library.words)
    )
