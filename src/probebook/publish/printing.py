"""Papers as PDF files for screen readers too (PDF/UA-1): the same papers give the same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.cells import table_text
from probebook.assessment.marking.sheets import COLUMNS
from probebook.errors import ScenarioError
from probebook.files import scratch
from probebook.publish.booklet import Booklet
from probebook.publish.paper import answer_sheet, mark_scheme, question_paper
from probebook.questions.model import FieldKind

if TYPE_CHECKING:
    from probebook.cases.library import SlipNote
    from probebook.words import Words

__all__ = ["pdf", "printed", "sheet_template"]

#: The day that stands in every file, so that the same paper is the same bytes: 1 January 2000.
DAY = 946684800


def printed(booklet: Booklet, words: Words, slips: Mapping[str, SlipNote]) -> dict[str, bytes]:
    """Paper, answer sheet, mark scheme and the table to type answers into: file name → bytes."""
    return {
        f"{booklet.name}-paper.pdf": pdf(question_paper(booklet, words), booklet.name),
        f"{booklet.name}-answers.pdf": pdf(answer_sheet(booklet, words), booklet.name),
        f"{booklet.name}-scheme.pdf": pdf(mark_scheme(booklet, words, slips), booklet.name),
        f"{booklet.name}-answers.csv": sheet_template(booklet).encode("utf-8"),
    }


def pdf(source: str, where: str) -> bytes:
    """Typeset a text.

    Raises
    ------
    ScenarioError
        It cannot be typeset, or would not be readable by a screen reader.
    """
    import typst
    from matplotlib import get_data_path

    fonts = Path(get_data_path()) / "fonts" / "ttf"
    with scratch() as folder:
        path = folder / "paper.typ"
        path.write_text(source, encoding="utf-8")
        try:
            compiler = typst.Compiler(str(path), root=str(folder), font_paths=[str(fonts)], ignore_system_fonts=True)
            made = compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=DAY)
        except typst.TypstError as error:
            reason = str(getattr(error, "diagnostic", "") or error).splitlines()[0]
            raise ScenarioError(
                f"the paper cannot be typeset ({reason})", where=where, remedy="report the question it stands in"
            ) from error
    return made if isinstance(made, bytes) else b"".join(made or [])


def sheet_template(booklet: Booklet) -> str:
    """A table to type the answers of a paper into, a line a field; letters stand for options."""
    return table_text(
        COLUMNS[:7],
        (
            (booklet.name, number, item.id, field.key, field.kind.value, field.unit, "")
            for number, item in enumerate(booklet.items, 1)
            for field in item.question.fields
            if field.kind is not FieldKind.BENCH
        ),
    )
