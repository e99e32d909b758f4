"""The workbooks and papers of a folder, as our pages read them: read again when one of their files has changed."""

from __future__ import annotations

from pathlib import Path

from probebook.errors import UsageError
from probebook.page.reading import NAMED, is_paper, read_notebook, read_paper
from probebook.page.workbook_page import Book
from probebook.questions.codec import read_sheet
from probebook.workbook.finding import find_sheet

__all__ = ["Books"]


class Books:
    """The workbooks of one folder, and papers that lie among them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._books: dict[str, tuple[tuple[float, ...], Book]] = {}
        self._papers: dict[str, tuple[tuple[float, ...], str]] = {}

    def names(self) -> list[str]:
        """Names of the notebooks, in order."""
        return sorted(path.stem for path in self.folder.glob("*.ipynb") if NAMED.fullmatch(path.stem))

    def paper(self, name: str) -> str:
        """The title of a paper of that name; empty where the notebook is none.

        Raises
        ------
        UsageError
            The notebook cannot be read, or the paper holds other code than ours.
        """
        path = self.folder / f"{name}.ipynb"
        if not path.is_file():  # nothing that a reader would wait for, as a pipe
            return ""
        stamp = _stamp(path)
        kept = self._papers.get(name)
        if kept is None or kept[0] != stamp:
            kept = self._papers[name] = stamp, read_paper(path).title if is_paper(path) else ""
        return kept[1]

    def book(self, name: str) -> Book:
        """A workbook.

        Raises
        ------
        UsageError
            There is none of that name, it is none of ours, or its key is missing.
        ScenarioError
            The key cannot be read.
        """
        path = self.folder / f"{name}.ipynb"
        if not NAMED.fullmatch(name) or not path.is_file():
            raise UsageError(f"there is no workbook '{name}'", where=self.folder.name, remedy="choose one of the list")
        key = find_sheet(name, self.folder)
        stamp = (*_stamp(path), *_stamp(key))
        kept = self._books.get(name)
        if kept is None or kept[0] != stamp:
            reading = read_notebook(path)
            if reading.name != name:
                raise UsageError(
                    f"this notebook is the workbook '{reading.name}' under another name",
                    where=path.name,
                    remedy="give it its own name again",
                )
            kept = self._books[name] = stamp, Book(reading, read_sheet(key), self.folder)
        return kept[1]


def _stamp(path: Path) -> tuple[float, ...]:
    """What changes with a file."""
    found = path.stat()
    return found.st_mtime, found.st_size
