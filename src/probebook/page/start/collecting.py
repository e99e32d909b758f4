"""All that the start page and the record of practice tell, read from the folder of workbooks as it is now."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.errors import ProbebookError
from probebook.page.books import Books
from probebook.page.standing import page_words
from probebook.page.start.learner import Done, Learner, done, learner
from probebook.page.workbook_page import Book
from probebook.words import Words
from probebook.words.words import ENGLISH
from probebook.workbook.language import sheet_words
from probebook.workbook.practice.shelf import Shelf

__all__ = ["Collected", "Collector"]


@dataclass(frozen=True, slots=True)
class Collected:
    """What was read: the learner, papers to be sat, notebooks left out with why, the language of the workbooks.

    A paper is its name and its title.
    """

    learner: Learner
    papers: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]
    language: str
    words: Words


class Collector:
    """Reads a folder; what fresh questions are made from is kept for as long as the keys are the same."""

    def __init__(self, books: Books) -> None:
        self._books = books
        self._shelves: dict[str, tuple[tuple[Book, ...], Shelf]] = {}

    def collect(self) -> Collected:
        """Read the workbooks and their journals."""
        found: list[Done] = []
        papers: list[tuple[str, str]] = []
        left_out: list[tuple[str, str]] = []
        for name in self._books.names():
            try:
                if paper := self._books.paper(name):
                    papers.append((name, paper))
                    continue
                book = self._books.book(name)
                found.append(done(book, sheet_words(book.sheet)))
            except ProbebookError as error:
                left_out.append((name, str(error)))
        language = next((item.book.reading.language for item in found), "") or ENGLISH
        words = page_words(language)
        shelves = {reader: self._shelf(found, reader) for reader in {item.reader for item in found}}
        return Collected(learner(found, shelves, words), tuple(papers), tuple(left_out), language, words)

    def _shelf(self, found: list[Done], reader: str) -> Shelf:
        books = tuple(item.book for item in found if item.reader == reader)
        kept = self._shelves.get(reader)
        if kept is None or len(kept[0]) != len(books) or any(a is not b for a, b in zip(kept[0], books, strict=True)):
            first = books[0]
            kept = self._shelves[reader] = books, Shelf(first.reading.name, first.sheet, first.folder, None)
        return kept[1]
