"""A set moderated: the pack for a second tutor, and what that tutor says of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.model import PaperSet
from probebook.errors import UsageError
from probebook.files import write_all

if TYPE_CHECKING:
    from probebook.assessment.model import MarkedClass
    from probebook.assessment.moderation.record import SignOff
    from probebook.cases.library import Library

__all__ = ["PaperSet", "moderate_set"]


def moderate_set(
    papers: PaperSet,
    out: Path,
    library: Library,
    *,
    marks: Path | None = None,
    second: Path | None = None,
    signed: Path | None = None,
) -> list[str]:
    """Write the moderation pack of a set; return what there is to say.

    Parameters
    ----------
    papers, out, library
        What the sealed key holds, where the pack goes, and the trade.
    marks
        Folder that holds the ``marks.json`` of the class, where it is marked.
    second
        Marks that a second marker gave by hand, a table as for overriding; needs ``marks``.
    signed
        A table of verdicts, which are added to the record in ``out``. The sheet to type them into is written once.

    Raises
    ------
    UsageError
        The papers of learners lie in ``out``, a table or the record cannot be used, or nothing can be written.
    ScenarioError
        The marks cannot be read.
    """
    from probebook.api.exporting import keep_from_learners
    from probebook.assessment.marking.overrides import read_overrides
    from probebook.assessment.moderation.facts import ModeratedFacts
    from probebook.assessment.moderation.pack import compare, moderated_items
    from probebook.assessment.moderation.page import moderation_page, signed_items
    from probebook.assessment.moderation.record import ALL, RECORD, read_record, record_text, sign_sheet
    from probebook.cases.library import library as library_of

    def spoken(language: str) -> Library:
        return library_of(library.folder, papers.blueprint.region, language)

    keep_from_learners(out / "moderation.html", papers)
    marked = _marked(marks, papers)
    if second and marked is None:
        raise UsageError(
            "two markers are compared on a class that was marked", where="--second", remedy="name the folder of marks"
        )
    items = moderated_items(papers, spoken, marked)
    names = [each.name for each in items]
    record = _signed(read_record(out / RECORD, papers.id), signed, names)
    compared = compare(marked, read_overrides(second, papers)) if marked and second else None
    page = moderation_page(papers, items, record, library.words, _names(library), compared)
    files: dict[Path, str | bytes] = {out / "moderation.html": page}
    if not (out / "moderation.csv").exists():  # one that is there may hold what is not signed yet
        files[out / "moderation.csv"] = sign_sheet([ALL, *names])
    write_all(files | ({out / RECORD: record_text(papers.id, record)} if record else {}))
    broken = tuple(each.name for each in items if each.broken)
    facts = ModeratedFacts(len(items), str(out), signed_items(items, record), broken)
    keys = ["wrote", "signed" if record else "sheet", *(["broken"] if broken else [])]
    return [library.words.say(facts, key) for key in keys]


def _marked(folder: Path | None, papers: PaperSet) -> MarkedClass | None:
    from probebook.assessment.codec import read_marks

    if folder is None:
        return None
    marked = read_marks(folder / "marks.json")
    if marked.set_id != papers.id:
        raise UsageError("these marks are of another set", where=str(folder), remedy="name the key of these papers")
    return marked


def _signed(record: tuple[SignOff, ...], path: Path | None, names: list[str]) -> tuple[SignOff, ...]:
    from probebook.assessment.moderation.record import read_signed, with_signed

    return with_signed(record, read_signed(path, names)) if path else record


def _names(library: Library) -> dict[str, str]:
    """Titles of outcomes, slips and competences by their ids."""
    from probebook.learning.coverage import load_competences

    found = {slip.id: str(slip.name) for slip in library.slips.values()}
    found |= {outcome.id: str(outcome.title) for outcome in library.outcomes.values()}
    return found | {each.id: each.text for each in load_competences(library.folder, library.words)}
