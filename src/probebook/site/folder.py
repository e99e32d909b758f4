"""A static folder whole: its files, and how they take their place."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from probebook.cases.library import Library
from probebook.errors import UsageError
from probebook.files import scratch
from probebook.page.books import Books
from probebook.site.benches import practice_benches
from probebook.site.pages import (
    INDEX,
    Entry,
    bench_page,
    glossary_page,
    index_page,
    minutes_note,
    sheet_page,
    workbook_page,
)
from probebook.stopping import held
from probebook.workbook.build.files import WORKBOOKS, build_all
from probebook.workbook.build.plan import load_plans

__all__ = ["put", "site_files"]

#: In every folder of ours: a folder without it is somebody else's, and is not replaced.
MARK = ".probebook-site"


def site_files(
    library: Library, *, seed: str, benches: int, done: Callable[[str], object] | None = None
) -> dict[str, str]:
    """Every file of the folder: name → text; the same library, seed and number give the same bytes.

    Raises
    ------
    ScenarioError
        A plan or a case cannot be built.
    """
    books = _owner_books(library, done)
    found = {entry.file: page for entry, page in books}
    made = [
        bench_page(number, each, library)
        for number, each in enumerate(practice_benches(library, seed, benches, done), 1)
    ]
    more = [sheet_page(library), glossary_page(library)]
    found |= {entry.file: page for entry, page in (*made, *more)}
    index = index_page([e for e, _ in books], [e for e, _ in made], [e for e, _ in more], library.words)
    return {INDEX: index, **found, MARK: f"{seed}\n"}


def _owner_books(library: Library, done: Callable[[str], object] | None) -> list[tuple[Entry, str]]:
    """The workbooks whose reader is an owner, as pages: built as ever, and read as our own pages read them."""
    plans = [plan for plan in load_plans(library.folder, library.words) if plan.reader == "owner"]
    with scratch() as folder:
        for path, text in build_all(plans, library, done=done).items():
            (folder / path).parent.mkdir(exist_ok=True)
            (folder / path).write_text(text, encoding="utf-8")
        shelf = Books(folder / WORKBOOKS)
        books = [shelf.book(plan.stem) for plan in plans]
    return [
        (
            Entry(
                f"{book.reading.name}.html",
                book.reading.title,
                minutes_note(int(book.sheet.meta["minutes"]), library.words),
            ),
            workbook_page(book, library),
        )
        for book in books
    ]


def put(files: Mapping[str, str], folder: Path) -> None:
    """Put the files in place of the folder: written beside it first, so that nobody ever meets half of one.

    Raises
    ------
    UsageError
        The folder holds something that is not ours, or it cannot be written.
    """
    folder = folder.absolute()
    try:
        if folder.exists() and (not folder.is_dir() or (any(folder.iterdir()) and not (folder / MARK).is_file())):
            raise UsageError(
                "there is something else already",
                where=str(folder),
                remedy="name a folder that is empty or not there yet",
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        with scratch(beside=folder) as place:
            fresh = place / "fresh"
            fresh.mkdir()
            for path, text in files.items():
                (fresh / path).write_bytes(text.encode("utf-8"))
            with held():
                _exchange(fresh, folder, place / "before")
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise UsageError(
            f"the folder cannot be written ({reason})", where=str(folder), remedy="check its permissions and the room"
        ) from error


def _exchange(fresh: Path, folder: Path, before: Path) -> None:
    """Give a folder its place; what stood there stands there again where that fails."""
    if folder.exists():
        folder.replace(before)
    try:
        fresh.replace(folder)
    except OSError:
        if before.exists():
            before.replace(folder)
        raise
