"""A class as a table: a CSV file with a line a learner."""

from __future__ import annotations

import math
import re
from difflib import get_close_matches
from pathlib import Path

from probebook.assessment.cells import read_table
from probebook.assessment.model import Learner
from probebook.errors import UsageError
from probebook.scenario_layers import languages_in
from probebook.words.words import ENGLISH

__all__ = ["read_class"]

COLUMNS = ("id", "name", "extra_time", "large_print", "language")
NEEDED = ("id", "name")
#: A longer file (bytes) is no class.
LONGEST = 2_000_000
MOST_LEARNERS = 5_000
LONGEST_NAME = 80
#: Ids of learners stand in file names on every system; a few names mean devices on some.
ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}")
DEVICES = re.compile(r"(?i)con|prn|aux|nul|(?:com|lpt)[0-9]")
#: Twice the time and a little is the most that is asked for.
MOST_TIME = 4.0
YES = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False, "": False}


def read_class(path: Path, folder: Path | None = None) -> tuple[Learner, ...]:
    """The learners of a class, in order of file.

    Parameters
    ----------
    path
        A CSV file (comma or semicolon) with a line of headings: ``id``, ``name`` and where wanted ``extra_time`` (a
        factor, or ``25 %``), ``large_print`` (yes, no) and ``language``.
    folder
        The scenarios folder, whose languages may be asked for; any where None.

    Raises
    ------
    UsageError
        One sentence names file, line and column.
    """
    rows = read_table(path, "the class", LONGEST)
    heads = rows[0][1] if rows else []
    _check_heads(heads, path)
    learners: list[Learner] = []
    seen: dict[str, int] = {}
    for line, row in rows[1:]:
        if not any(row):
            continue
        if len(row) > len(heads):
            raise UsageError("this line has more columns than headings", where=f"{path.name}: line {line}")
        given = dict(zip(heads, row, strict=False))
        learner = _learner(given, f"{path.name}: line {line}", folder)
        first = seen.setdefault(learner.id.lower(), line)
        if first != line:
            raise UsageError(
                f"the id '{learner.id}' stands in line {first} too",
                where=f"{path.name}: line {line}",
                remedy="give each learner an id of their own",
            )
        learners.append(learner)
    if not 0 < len(learners) <= MOST_LEARNERS:
        raise UsageError(
            f"there are {len(learners)} learners in this class",
            where=path.name,
            remedy=f"1 to {MOST_LEARNERS} can be set",
        )
    return tuple(learners)


def _check_heads(heads: list[str], path: Path) -> None:
    for head in heads:
        if head not in COLUMNS:
            near = get_close_matches(head.lower().replace(" ", "_"), COLUMNS, n=1)
            raise UsageError(
                f"there is no column '{head}'",
                where=f"{path.name}: line 1",
                remedy=f"did you mean '{near[0]}'" if near else f"the columns are {', '.join(COLUMNS)}",
            )
        if heads.count(head) > 1:
            raise UsageError(f"the column '{head}' stands twice", where=f"{path.name}: line 1", remedy="take one out")
    for head in NEEDED:
        if head not in heads:
            raise UsageError(
                f"the column '{head}' is missing", where=f"{path.name}: line 1", remedy=f"write {','.join(COLUMNS)}"
            )


def _learner(given: dict[str, str], where: str, folder: Path | None) -> Learner:
    id_, name = given.get("id", ""), given.get("name", "")
    if not ID.fullmatch(id_) or DEVICES.fullmatch(id_):
        raise UsageError(
            f"'{id_[:40]}' cannot be an id", where=f"{where}: id", remedy="use up to 40 letters, digits and hyphens"
        )
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise UsageError(
            "a learner has a name", where=f"{where}: name", remedy=f"write up to {LONGEST_NAME} printable characters"
        )
    large = given.get("large_print", "").lower()
    if large not in YES:
        raise UsageError(
            f"'{large[:40]}' is neither yes nor no", where=f"{where}: large_print", remedy="write yes or no"
        )
    language = given.get("language", "") or ENGLISH
    known = _languages(folder) if folder else ()
    if folder and language not in known:
        near = get_close_matches(language, known, n=1)
        raise UsageError(
            f"there is no language '{language[:40]}'",
            where=f"{where}: language",
            remedy=f"did you mean '{near[0]}'" if near else f"the languages are {', '.join(known)}",
        )
    return Learner(id_, name, _factor(given.get("extra_time", ""), where), YES[large], language)


def _languages(folder: Path) -> tuple[str, ...]:
    from probebook.words.pseudo import PSEUDO

    return (*languages_in(folder), PSEUDO)


def _factor(text: str, where: str) -> float:
    """The factor on the minutes: ``1.25`` as it stands, ``25 %`` more; 1 where nothing is said."""
    if not text:
        return 1.0
    try:
        value = 1 + float(text.rstrip("%").strip()) / 100 if text.endswith("%") else float(text)
    except ValueError:
        value = math.nan
    if not 1 <= value <= MOST_TIME:
        raise UsageError(
            f"'{text[:40]}' is no extra time",
            where=f"{where}: extra_time",
            remedy="write a factor such as 1.25, or a share such as 25%",
        )
    return round(value, 4)
