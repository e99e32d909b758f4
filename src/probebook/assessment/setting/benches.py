"""The bench of an item as its paper carries it: what would be read and said; no fault, no key, no seed, no par."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from probebook.assessment.model import Item
from probebook.assessment.sitting.carried import packed, unpacked
from probebook.assessment.sitting.facts import PaperBenchWords
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.bench.table.lookup import differs_from
from probebook.errors import VerificationError
from probebook.questions.model import FieldKind
from probebook.workbook.forms.bench_table import page_table
from probebook.workbook.forms.bench_view import view

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["bench_text"]


def bench_text(item: Item, library: Library) -> str:
    """The bench of an item as text, its table proved with the acts of the key; empty where it has none.

    Raises
    ------
    VerificationError
        The table shows something else than the bench that marks.
    """
    if not item.question.bench:
        return ""
    bench = open_bench(BenchSpec.from_json(item.question.bench), library)
    text = packed({"view": _view(bench, library), "table": page_table(bench, with_par=False)})
    table = unpacked(text, item.id)["table"]
    for field in item.question.fields:
        wrong = differs_from(bench, table, list(field.answer)) if field.kind is FieldKind.BENCH else ""
        if wrong:
            raise VerificationError(
                f"the table of {item.id} differs from its bench at '{wrong}'", where=item.row, remedy="report it"
            )
    return text


def _view(bench: Bench, library: Library) -> Mapping[str, Any]:
    """What the page is told, with the words of a paper where those of a workbook speak of marking."""
    told = view(bench)
    said = {key: str(library.words.say(PaperBenchWords(), key)) for key in PaperBenchWords.says_}
    return {**told, "words": {**told["words"], **said}}
