"""The answers of a workbook: those on disk, and those that could not be saved yet and still will be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from probebook.questions.model import Response, Standing
from probebook.workbook.journal import Entry, append_answer

__all__ = ["Answers"]


class Answers:
    """All answers to a workbook, by question.

    Attributes
    ----------
    of
        Question → answers, oldest first; one that is not on disk yet has the number 0.
    waiting
        Those that are not on disk yet, in the order in which they were given.
    """

    def __init__(self, journal: Path, origin: str) -> None:
        self.journal = journal
        self.origin = origin
        self.of: dict[str, list[Entry]] = {}
        self.waiting: list[Entry] = []

    def read(self, entries: Iterable[Entry]) -> None:
        """Take what the journal holds now; what waits stays."""
        self.of.clear()
        for entry in (*entries, *self.waiting):
            self.of.setdefault(entry.question, []).append(entry)

    def give(
        self, question: str, response: Mapping[str, Response], standing: Standing, marks: float, time: str
    ) -> set[str]:
        """Take an answer and save it behind those that wait; the questions of which something was saved.

        The answer that counted last, given again, counts once: it is how a form asks whether it is saved by now.

        Raises
        ------
        JournalError
            It could not be saved; it is kept and waits.
        """
        entry = Entry(0, time, question, dict(response), standing, float(marks))
        counted = [given for given in self.of.get(question, ()) if given.scored]
        if not (entry.scored and counted and counted[-1].response == entry.response):
            self.of.setdefault(question, []).append(entry)
            self.waiting.append(entry)
        return self.settle()

    def settle(self) -> set[str]:
        """Save what waits; the questions of which something was saved.

        Raises
        ------
        JournalError
            Something still could not be saved.
        """
        settled: set[str] = set()
        while self.waiting:
            entry = self.waiting[0]
            saved = append_answer(
                self.journal,
                question=entry.question,
                response=entry.response,
                standing=entry.standing,
                marks=entry.marks,
                time=entry.time,
                origin=self.origin,
            )
            del self.waiting[0]
            given = self.of[entry.question]
            place = next(index for index, each in enumerate(given) if each is entry)
            given[place] = replace(saved, response=entry.response)
            settled.add(entry.question)
        return settled
