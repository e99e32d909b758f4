"""The bench of an item as its paper carries it: no fault, no key, no seed, no par.

A paper carries either a table of all that would be read and said (:func:`bench_text`), or only what the bench is drawn
from, where a service of a hub is asked for the rest (:func:`asked_text`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from probebook.assessment.model import Item
from probebook.assessment.sitting.carried import packed, unpacked
from probebook.assessment.sitting.facts import PaperBenchWords
from probebook.assessment.sitting.standing import standing
from probebook.bench.simulator import Bench, BenchSpec, Shown, open_bench
from probebook.bench.table.lookup import differs_from
from probebook.errors import VerificationError
from probebook.questions.model import FieldKind
from probebook.workbook.forms.bench_table import page_table
from probebook.workbook.forms.bench_view import view

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["asked_text", "bench_text"]


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


def asked_text(item: Item, library: Library) -> str:
    """What a page draws the bench of an item from, and how the job stands on arrival; empty where it has none.

    Nothing that is read or seen on the bench is in it.
    """
    if not item.question.bench:
        return ""
    bench = open_bench(BenchSpec.from_json(item.question.bench), library)
    return packed({"view": _view(bench, library), "start": standing(bench, bench.start(), (), Shown(""), answers=0)})


def _view(bench: Bench, library: Library) -> Mapping[str, Any]:
    """What the page is told, with the words of a paper where those of a workbook speak of marking."""
    told = view(bench)
    said = {key: str(library.words.say(PaperBenchWords(), key)) for key in PaperBenchWords.says_}
    return {**told, "words": {**told["words"], **said}}
