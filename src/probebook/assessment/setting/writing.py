"""A class set: papers, sealed key and record as files, written only when all of them are whole."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.assessment.codec import paper_set_text
from probebook.assessment.model import Paper, PaperSet
from probebook.assessment.setting.sealing import Header, seal
from probebook.errors import UsageError
from probebook.executor import Executor, Serial
from probebook.files import canonical_json, write_all

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["KEY", "RECORD", "papers_as_text", "write_set"]

RECORD = "set-record.json"
#: The ending of a sealed key.
KEY = ".key"
FORMAT = 1


@dataclass(frozen=True, slots=True)
class _Job:
    """One paper to be written out."""

    paper: Paper
    papers: PaperSet
    scenarios: Path


def papers_as_text(
    papers: PaperSet, library: Library, executor: Executor | None = None, done: Callable[[], object] | None = None
) -> dict[str, str]:
    """File name → text of each paper, in the order of the class."""
    bare = PaperSet(papers.id, papers.blueprint, (), papers.made, papers.fingerprint)
    jobs = [_Job(paper, bare, library.folder) for paper in papers.papers]
    texts = (executor or Serial()).map(_text, jobs, done)
    names = [f"{papers.blueprint.paper_name(paper.learner)}.ipynb" for paper in papers.papers]
    return dict(zip(names, texts, strict=True))


def _text(job: _Job) -> str:
    from probebook.assessment.setting.notebook import paper_text
    from probebook.cases.library import library

    trade = library(job.scenarios, job.papers.blueprint.region, job.paper.learner.language)
    return paper_text(job.paper, job.papers, trade)


def write_set(papers: PaperSet, texts: dict[str, str], folder: Path, passphrase: str) -> Path:
    """Write papers, sealed key and record, all together; the path of the key.

    The record takes its place first, then the key: where writing is cut off, no paper lies there without its key, and
    no other set is put over what does.

    Raises
    ------
    UsageError
        The folder holds another set, or cannot be written.
    """
    _check_folder(folder, papers)
    blueprint = papers.blueprint
    header = Header(papers.id, blueprint.id, papers.fingerprint)
    sealed = seal(paper_set_text(papers).encode(), passphrase, header)
    key = folder / f"{blueprint.id}-{papers.id}{KEY}"
    record = canonical_json(_record(papers, list(texts)))
    placed = {folder / "papers" / name: text for name, text in texts.items()}
    write_all({folder / RECORD: record, key: sealed, **placed}, private={key})
    return key


def _check_folder(folder: Path, papers: PaperSet) -> None:
    """Refuse to write over another set: its papers may be in the hands of a class."""
    record = folder / RECORD
    if not record.exists():
        return
    files: list[str] = []
    try:
        data = json.loads(record.read_text("utf-8"))
        found = data["set"]
        files = [str(paper["file"]) for paper in data["papers"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        found = ""
    if found == papers.id:
        return
    if files and not all((folder / name).is_file() for name in files):
        raise UsageError(
            "another set lies in this folder, not all of it: papers are missing, or its setting was cut off",
            where=str(folder),
            remedy="name another folder, or empty this one where nobody was given its papers",
        )
    raise UsageError(
        "another set lies in this folder", where=str(folder), remedy="name another folder, or move that set away"
    )


def _record(papers: PaperSet, names: Sequence[str]) -> dict[str, Any]:
    """What was set for whom: no question, no key."""
    pairs = zip(papers.papers, names, strict=True)
    return {
        "format": FORMAT,
        "set": papers.id,
        "blueprint": papers.blueprint.id,
        "title": papers.blueprint.title,
        "made": papers.made,
        "scenarios": papers.fingerprint,
        "minutes": papers.blueprint.minutes,
        "marks": papers.blueprint.marks,
        "papers": [
            {
                "paper": paper.id,
                "file": f"papers/{name}",
                "learner": paper.learner.id,
                "name": paper.learner.name,
                "minutes": papers.blueprint.minutes_for(paper.learner),
                "large_print": paper.learner.large_print,
                "language": paper.learner.language,
                "difficulty": round(paper.difficulty, 3),
            }
            for paper, name in pairs
        ],
    }
