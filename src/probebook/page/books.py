"""The workbooks of a folder, as our pages read them: notebook and key, read again when either has changed."""

from __future__ import annotations

from pathlib import Path

from probebook.errors import UsageError
from probebook.page.reading import NAMED, read_notebook
from probebook.page.workbook_page import Book
from probebook.questions.codec import read_sheet
from probebook.workbook.finding import find_sheet

__all__ = ["Books"]


class Books:
    """The workbooks of one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._books: dict[str, tuple[tuple[float, ...], Book]] = {}

    def names(self) -> list[str]:
        """Names of the notebooks, in order."""
        return sorted(path.stem for path in self.folder.glob("*.ipynb") if NAMED.fullmatch(path.stem))

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
        stamp = (path.stat().st_mtime, path.stat().st_size, key.stat().st_mtime, key.stat().st_size)
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
