"""A marked class as files: ``marks.json``, ``marks.csv``, a feedback page a learner."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.codec import marks_text
from probebook.assessment.marking.feedback import feedback_page
from probebook.assessment.marking.tables import marks_csv
from probebook.assessment.model import MarkedClass, PaperSet
from probebook.files import write_all

if TYPE_CHECKING:
    from probebook.assessment.marking.benches import Benches
    from probebook.words import Words

__all__ = ["marked_files", "write_marks"]


def marked_files(
    marked: MarkedClass,
    papers: PaperSet,
    words_of: Callable[[str], Words],
    codes: Mapping[str, str],
    competences: Mapping[str, str] | None = None,
    benches: Benches | None = None,
) -> dict[str, str]:
    """Relative path → text of everything that marking writes: the same marks give the same bytes.

    ``codes`` are the receipt codes by paper; ``competences`` says what each competence is; ``benches`` does
    jobs on benches again.
    """
    known = {paper.id: paper for paper in papers.papers}
    found = {"marks.json": marks_text(marked), "marks.csv": "\ufeff" + marks_csv(marked, words_of("en"))}
    for paper in marked.papers:
        words, code = words_of(paper.learner.language), codes.get(paper.paper, "")
        set_paper = known[paper.paper]
        page = feedback_page(
            paper, set_paper, marked.blueprint, words, code=code, competences=competences, benches=benches
        )
        found[f"feedback/{marked.blueprint.paper_name(paper.learner)}.html"] = page
    return found


def write_marks(files: Mapping[str, str], folder: Path) -> None:
    """Write what :func:`marked_files` gave, and take away feedback of papers that are not marked any more."""
    write_all({folder / name: text for name, text in files.items()})
    for path in (folder / "feedback").glob("*.html"):
        if f"feedback/{path.name}" not in files:
            path.unlink()
