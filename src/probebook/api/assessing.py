"""A class set and marked: what the commands ``set`` and ``mark`` do."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.keys import open_key
from probebook.assessment.marking.facts import MarkDone, RefusedLine
from probebook.assessment.model import PaperSet
from probebook.assessment.setting.facts import SetDone
from probebook.errors import UsageError
from probebook.executor import Executor, Processes, Serial
from probebook.words import Phrase

if TYPE_CHECKING:
    from probebook.assessment.model import Blueprint, Learner, MarkedClass
    from probebook.cases.library import Library
    from probebook.words import Words

__all__ = ["PaperSet", "is_paper", "mark_folder", "marked_lines", "open_key", "read_learners", "set_class", "set_lines"]

#: Hex digits of a secret: 256 bits.
SECRET = 64
#: More papers than this are written out by several processes: starting them takes as long as writing so many.
MANY = 100
#: The tutor's secret has at least so many characters, where one is given in a file.
SHORTEST_SECRET = 16


@dataclass(frozen=True, slots=True)
class SetClass:
    """A class that was set: its papers, and where its key lies."""

    papers: PaperSet
    key: Path


def read_learners(path: Path, library: Library) -> tuple[Learner, ...]:
    """Read a class; UsageError, one sentence, when it cannot be used."""
    from probebook.assessment.setting.classfile import read_class

    return read_class(path, library.folder)


def read_blueprint(name: str, library: Library) -> Blueprint:
    """Read a blueprint by its id or its path; one sentence when it cannot be used."""
    from probebook.assessment.setting.blueprints import find_blueprint, load_blueprint

    return load_blueprint(find_blueprint(name, library.folder), library)


def is_paper(path: Path) -> bool:
    """Whether a notebook says that it is a paper to be sat; UsageError when it cannot be read."""
    from probebook.page.reading import is_paper as says_so

    return says_so(path)


def executor(jobs: int, cluster: str = "") -> Executor:
    """What runs so many jobs at once: the cluster at an address, or processes here."""
    if cluster:
        from probebook.cluster import Cluster

        return Cluster(cluster)
    return Processes(jobs) if jobs > 1 else Serial()


def set_class(
    name: str | Blueprint,
    learners: Sequence[Learner],
    folder: Path,
    passphrase: str,
    library: Library,
    *,
    secret: str = "",
    pool: Executor | None = None,
    done: Callable[[], object] | None = None,
) -> SetClass:
    """Set a class: draw, prove and write its papers and its sealed key.

    Parameters
    ----------
    name, learners, folder
        The blueprint (its id, its path, or as it was read), the class, and where everything goes.
    passphrase
        What opens the key.
    library
        The trade.
    secret
        What the draws are named after; a fresh one where empty.
    pool
        What draws the papers (:func:`executor`); one after the other here where None.
    done
        Called after each paper that was drawn.
    """
    from probebook.assessment.setting.papers import set_papers
    from probebook.assessment.setting.writing import papers_as_text, write_set

    blueprint = read_blueprint(name, library) if isinstance(name, str) else name
    made = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    papers = set_papers(blueprint, learners, secret or secrets.token_hex(SECRET // 2), library, made, pool, done)
    texts = papers_as_text(papers, library, pool if len(papers.papers) > MANY else None)
    key = write_set(papers, texts, folder, passphrase)
    return SetClass(papers, key)


def secret_of(path: Path) -> str:
    """The secret (hex) that a file holds: whatever text stands in it, hashed; UsageError when it is too short."""
    import hashlib

    try:
        text = path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError("the secret cannot be read", where=str(path), remedy="check the path") from error
    if len(text) < SHORTEST_SECRET:
        raise UsageError(
            f"the secret has fewer than {SHORTEST_SECRET} characters", where=str(path), remedy="write a longer one"
        )
    return hashlib.sha256(text.encode()).hexdigest()


def set_lines(found: SetClass, folder: Path, words: Words) -> list[str]:
    """What a tutor is told on setting."""
    papers = found.papers
    hard = [paper.difficulty for paper in papers.papers]
    told = SetDone(
        papers=len(papers.papers),
        title=Phrase(papers.blueprint.title),
        folder=str(folder / "papers"),
        lowest=min(hard),
        highest=max(hard),
        low=papers.blueprint.band[0],
        high=papers.blueprint.band[1],
        file=str(found.key),
    )
    keys = ["done", "spread", "key"]
    if any(item.before for paper in papers.papers for item in paper.items):
        keys.append("tables")
    if any(item.bench for paper in papers.papers for item in paper.items):
        keys.append("asked" if papers.blueprint.asks_service else "benches")
    return [words.say(told, key) for key in (*keys, "public")]


# ---------------------------------------------------------------- marking


def mark_folder(
    hand_ins: Path | None,
    papers: PaperSet,
    folder: Path,
    library: Library,
    *,
    sheets: Sequence[Path] = (),
    overrides: Path | None = None,
    most_late: float = 5.0,
    jobs: int = 1,
) -> MarkedClass:
    """Mark the hand-ins of a folder and write marks and feedback.

    Parameters
    ----------
    hand_ins, papers
        Where the hand-ins lie (nowhere where None), and what the key holds.
    folder
        Where marks and feedback go.
    library
        The trade, for the sentences.
    sheets
        Tables of answers typed in from paper.
    overrides
        A table of marks given by hand.
    most_late
        How late (minutes) a hand-in may be.
    jobs
        Processes that read hand-ins.
    """
    from probebook.assessment.marking.benches import Benches
    from probebook.assessment.marking.marks import mark_class
    from probebook.assessment.marking.overrides import read_overrides
    from probebook.assessment.marking.writing import marked_files, write_marks
    from probebook.cases.library import library as library_of
    from probebook.learning.coverage import load_competences

    if hand_ins is None and not sheets:
        raise UsageError("nothing is there to mark", where="mark", remedy="name a folder of hand-ins, or --from-sheet")
    if hand_ins is not None and not hand_ins.is_dir():
        raise UsageError("there is no such folder", where=str(hand_ins), remedy="name the folder of the hand-ins")

    def spoken(language: str) -> Library:
        return library_of(library.folder, papers.blueprint.region, language)

    words_of, benches = _words_of(spoken), Benches(spoken)
    given = read_overrides(overrides, papers) if overrides else ()
    marked, codes = mark_class(
        hand_ins,
        papers,
        words_of,
        most_late=most_late,
        overrides=given,
        sheets=sheets,
        executor=executor(jobs if len(papers.papers) > MANY else 1),
        benches=benches,
    )
    competences = {each.id: each.text for each in load_competences(library.folder, library.words)}
    write_marks(marked_files(marked, papers, words_of, codes, competences, benches), folder)
    return marked


def _words_of(spoken: Callable[[str], Library]) -> Callable[[str], Words]:
    return lambda language: spoken(language).words


def marked_lines(marked: MarkedClass, folder: Path, words: Words) -> list[str]:
    """What a tutor is told on marking."""
    times = sum(bool(item.by) for paper in marked.papers for item in paper.items)
    typed = sum(paper.typed for paper in marked.papers)
    told = MarkDone(len(marked.papers), len(marked.refused), len(marked.absent), str(folder), times, typed)
    lines = [words.say(told, "marked")]
    lines += [words.say(RefusedLine(each.file, each.reason), "refused") for each in marked.refused]
    if marked.refused:
        lines.append(words.say(told, "rule"))
    if typed:
        lines.append(words.say(told, "typed"))
    if times:
        lines.append(words.say(told, "again"))
    return [*lines, words.say(told, "written")]
