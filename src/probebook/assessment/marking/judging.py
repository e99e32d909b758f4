"""Whether a hand-in may be marked: whose it is, whether it is as it was written, whether it came in time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.marking.facts import Belongs, Copied, Edited, Late, TooLarge, Unmarked
from probebook.assessment.model import Paper, PaperSet
from probebook.assessment.sitting.chain import Event, answers_of, receipt
from probebook.assessment.sitting.clock import Now, elapsed_since, seconds
from probebook.assessment.sitting.handin import LONGEST, HandedIn, UnreadableError, read_handin
from probebook.executor import Executor, Serial
from probebook.questions.model import Response

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["Accepted", "Judged", "handin_files", "judge", "printed_name"]

#: A first answer this much (seconds) before the set was made is an old one; clocks differ by less.
OLD = 3600.0
#: Recorded time may differ from what its own times give by so much (seconds).
SLACK = 3.0
#: Files of ours that may lie among hand-ins.
OURS = frozenset({"marks.json", "set-record.json"})


@dataclass(frozen=True, slots=True)
class Accepted:
    """A hand-in that is marked."""

    paper: str
    answers: Mapping[str, Mapping[str, Response]]
    handed_in: str
    minutes_late: float
    last_hash: str


@dataclass(frozen=True, slots=True)
class Judged:
    """A file: accepted, or refused for a reason in words."""

    file: str
    accepted: Accepted | None = None
    reason: str = ""


def handin_files(folder: Path) -> list[Path]:
    """Every file of a folder that is a hand-in or says so in its name, in order of name."""
    named = [path for path in folder.iterdir() if "handin" in path.name.lower() or path.suffix.lower() == ".json"]
    return sorted(path for path in named if not path.name.startswith(".") and path.name not in OURS)


def judge(
    files: Sequence[Path], papers: PaperSet, words: Words, most_late: float, executor: Executor | None = None
) -> list[Judged]:
    """Judge the files, in their order.

    Parameters
    ----------
    files, papers
        What was handed in, and what was set.
    words
        The language of the reasons.
    most_late
        How late (minutes) a hand-in may be.
    executor
        What reads the files.
    """
    read = (executor or Serial()).map(_read, list(files))
    known = {paper.id: paper for paper in papers.papers}
    judged: list[Judged] = []
    seen: dict[str, str] = {}
    for path, found in zip(files, read, strict=True):
        name = printed_name(path.name)
        if isinstance(found, str):
            judged.append(Judged(name, reason=_unread(found, path, words)))
            continue
        reason = _wrong(found, known.get(found.paper), papers, words)
        late = _late(found, known.get(found.paper), papers)
        if not reason and found.last_hash in seen:
            reason = words.say(Copied(seen[found.last_hash]), "duplicate")
        if not reason and late > most_late:
            reason = words.say(Late(late, most_late), "late")
        if reason:
            judged.append(Judged(name, reason=reason))
            continue
        seen[found.last_hash] = name
        judged.append(Judged(name, Accepted(found.paper, found.answers, found.handed_in, late, found.last_hash)))
    return judged


def _read(path: Path) -> HandedIn | str:
    """A hand-in, or the key of the sentence that says why it is none."""
    try:
        return read_handin(path)
    except UnreadableError as error:
        return error.message


def printed_name(name: str) -> str:
    """A file's name as it may be printed."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in name)[:200]


def _unread(key: str, path: Path, words: Words) -> str:
    if key == "too-large":
        return words.say(TooLarge(path.stat().st_size / 1e6, LONGEST / 1e6), key)
    return words.say(Unmarked(), key)


def _wrong(found: HandedIn, paper: Paper | None, papers: PaperSet, words: Words) -> str:
    """Why a hand-in that can be read is not marked; empty where it is sound."""
    if found.set_id != papers.id:
        return words.say(Belongs(printed_name(found.set_id)[:40], papers.id), "other-set")
    if paper is None:
        return words.say(Unmarked(), "other-paper")
    if found.learner != paper.learner.id:
        return words.say(Belongs(printed_name(found.learner)[:40], paper.learner.id), "other-learner")
    entry = found.broken or _misplaced(found.events)
    if entry:
        return words.say(Edited(entry), "edited")
    if not _answers_hold(found, paper):
        return words.say(Unmarked(), "answers-edited")
    if found.receipt != receipt(found.last_hash):
        return words.say(Unmarked(), "receipt")
    if seconds(found.events[0].time) < seconds(papers.made) - OLD:
        return words.say(Unmarked(), "replayed")
    return ""


def _misplaced(events: Sequence[Event]) -> int:
    """The first entry, from 1, that cannot have been written where it stands; 0 for none."""
    for number, event in enumerate(events, start=1):
        is_last = number == len(events)
        if (event.what == "hand-in") != is_last or event.what not in ("open", "keep", "act", "hand-in"):
            return number
        try:
            seconds(event.time)
            if number == 1:
                is_sound = event.what == "open" and abs(event.elapsed) < SLACK
            else:
                last = events[number - 2]
                due, _ = elapsed_since(last, Now(event.time, event.steady, event.boot))
                is_sound = abs(event.elapsed - due) < SLACK and event.elapsed >= last.elapsed
        except (ValueError, OverflowError):
            return number
        if not is_sound:
            return number
    return 0


def _answers_hold(found: HandedIn, paper: Paper) -> bool:
    """Whether the answers are those that were journalled, to questions of this paper, and the time is the last's."""
    journalled = answers_of(found.events)
    last = found.events[-1]
    is_same = found.answers == journalled and found.handed_in == last.time and found.elapsed == last.elapsed
    return is_same and journalled.keys() <= {item.id for item in paper.items}


def _late(found: HandedIn, paper: Paper | None, papers: PaperSet) -> float:
    """How many minutes after its own time a paper was handed in."""
    if paper is None:
        return 0.0
    return round(max(0.0, found.elapsed / 60 - papers.blueprint.minutes_for(paper.learner)), 2)
