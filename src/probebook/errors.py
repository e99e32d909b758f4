"""Every error that Probebook raises on purpose.

One family, so that a caller can catch all of it or one kind::

    Exception
    └── ProbebookError            something a person can mend, said in one sentence
        ├── ScenarioError         a text file of the trade is wrong       (also a ValueError)
        ├── AnswerError           a typed answer cannot be read           (also a ValueError)
        ├── UsageError            a command-line value or path is wrong   (also a ValueError)
        ├── JournalError          a journal of answers is refused
        ├── StaleError            a committed output is out of date
        └── VerificationError     a workbook or key failed its own check

The kinds that report bad input are also ``ValueError``, so that a validator may raise them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Self
from unicodedata import category


def near_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that was probably meant: the same in another case, the only one it is part of, or the nearest."""
    folded = {each.casefold(): each for each in known}
    wanted = name.casefold()
    if wanted in folded:
        return folded[wanted]
    holding = [each for each in folded if wanted and wanted in each]
    if len(holding) == 1:
        return folded[holding[0]]
    from difflib import get_close_matches

    near = get_close_matches(wanted, folded, n=1)
    return folded[near[0]] if near else None


def choose_one(name: str, known: Iterable[str]) -> str:
    """The remedy for a name that nothing has: what was probably meant, or else all names."""
    names = tuple(known)
    near = near_name(name, names)
    return f"did you mean '{near}'" if near else f"choose one of {', '.join(names)}"


class ProbebookError(Exception):
    """Something went wrong that a person can mend.

    Parameters
    ----------
    message
        What is wrong, without a full stop.
    where
        The place: a file, and the key in it.
    remedy
        How to mend it, without a full stop.

    Attributes
    ----------
    message, where, remedy
        The parts as given; ``str()`` joins them to one sentence ``<where>: <message>; <remedy>.``
    """

    message: str
    where: str | None
    remedy: str | None

    def __init__(self, message: str, *, where: str | None = None, remedy: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the one sentence a person reads."""
        place = f"{self.where}: " if self.where else ""
        mend = f"; {self.remedy}" if self.remedy else ""
        sentence = _on_one_line(f"{place}{self.message}{mend}")
        return sentence if sentence.endswith((".", "!", "?")) else f"{sentence}."

    def __reduce__(self) -> tuple[object, ...]:
        """Pickle by the three parts, because keyword-only arguments are not in ``args``."""
        return _rebuild, (type(self), self.message, self.where, self.remedy)

    def at(self, where: str) -> Self:
        """Return a copy that names ``where`` as the place (in front of the place already named)."""
        place = f"{where}: {self.where}" if self.where else where
        return type(self)(self.message, where=place, remedy=self.remedy)


def _on_one_line(sentence: str) -> str:
    """The sentence with line breaks and control characters, which a quoted value may hold, written as escapes."""
    if sentence.isprintable():
        return sentence
    hidden = {"Cc", "Zl", "Zp"}
    return "".join(ascii(c)[1:-1] if category(c) in hidden else c for c in sentence)


def _rebuild(kind: type[ProbebookError], message: str, where: str | None, remedy: str | None) -> ProbebookError:
    return kind(message, where=where, remedy=remedy)


class ScenarioError(ProbebookError, ValueError):
    """A text file in ``scenarios/`` (appliance, fault, alloy, blueprint) cannot be used."""


class AnswerError(ProbebookError, ValueError):
    """What a person typed as an answer cannot be read.

    Attributes
    ----------
    reason
        Which of the ways to be unreadable this is (``no-unit``), for whoever says it in another language.
    told
        What that sentence needs: the text as quoted, the unit that was given.
    """

    reason: str
    told: Mapping[str, str]

    def __init__(
        self,
        message: str,
        *,
        where: str | None = None,
        remedy: str | None = None,
        reason: str = "",
        told: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(message, where=where, remedy=remedy)
        self.reason = reason
        self.told = told or {}


class UsageError(ProbebookError, ValueError):
    """A command-line value, option or path cannot be used."""


class JournalError(ProbebookError):
    """A journal of answers is refused: wrong learner, edited, replayed, truncated or oversize."""


class StaleError(ProbebookError):
    """A committed output differs from what the present scenarios give."""


class VerificationError(ProbebookError):
    """A workbook, a case or a key did not pass its own verification."""
