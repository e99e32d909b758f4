"""Marks and papers as JSON and back: one spelling, checked on reading, one sentence for what is wrong.

Questions go through the codec of marking sheets: the band of an open circuit survives as ``"inf"``, and what marking
relies on is checked.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from probebook.assessment.model import Blueprint, Item, Learner, MarkedClass, Paper, PaperSet
from probebook.errors import ScenarioError
from probebook.files import canonical_json
from probebook.questions.codec import decode_question, encode_question

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = ["marks_text", "paper_set_text", "read_marks", "read_paper_set"]

#: The number of the format that is written.
FORMAT = 1
#: A longer file (bytes) is refused unread.
LONGEST = 256_000_000

MARKS, PAPERS = "marks", "papers"


@cache
def _adapter(name: str) -> TypeAdapter[Any]:
    from pydantic import TypeAdapter

    return TypeAdapter({kind.__name__: kind for kind in (MarkedClass, Blueprint, Learner)}[name])


def _plain(value: MarkedClass | Blueprint | Learner) -> Any:
    return _adapter(type(value).__name__).dump_python(value, mode="json")


def _data(text: str | bytes, where: str, what: str) -> dict[str, Any]:
    """The text as a table of this format."""
    if len(text) > LONGEST:
        raise ScenarioError(f"the file is too large for {what}", where=where, remedy="make it again")
    try:
        data = json.loads(text, parse_constant=_refuse)
    except (ValueError, RecursionError):
        raise ScenarioError(f"this is no file of {what}", where=where, remedy="make it again") from None
    if not isinstance(data, dict) or data.pop("format", None) != FORMAT:
        raise ScenarioError(f"this is no file of {what} in format {FORMAT}", where=where, remedy="make it again")
    return data


def _refuse(name: str) -> NoReturn:
    raise ValueError(name)


def _read(kind: str, data: object, where: str, what: str) -> Any:
    from pydantic import ValidationError

    try:
        return _adapter(kind).validate_python(data)
    except ValidationError as error:
        key = ".".join(str(part) for part in error.errors()[0]["loc"])
        raise ScenarioError(
            f"'{key}' of {what} cannot be read", where=f"{where}: {key}", remedy="make the file again"
        ) from None


# ---------------------------------------------------------------- marks


def marks_text(marked: MarkedClass) -> str:
    """The text of ``marks.json``: the same marks give the same bytes."""
    return canonical_json({"format": FORMAT, **_plain(marked)})


def read_marks(path: Path) -> MarkedClass:
    """Read ``marks.json``; ScenarioError, one sentence, when it cannot be read."""
    try:
        text = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ScenarioError(f"the marks cannot be read ({reason})", where=str(path), remedy="check the path") from error
    found: MarkedClass = _read("MarkedClass", _data(text, str(path), MARKS), str(path), MARKS)
    return found


# ---------------------------------------------------------------- papers


def paper_set_text(papers: PaperSet) -> str:
    """The text that a sealed key holds."""
    return canonical_json(
        {
            "format": FORMAT,
            "id": papers.id,
            "made": papers.made,
            "fingerprint": papers.fingerprint,
            "secret": papers.secret,
            "blueprint": _plain(papers.blueprint),
            "papers": [
                {"id": paper.id, "learner": _plain(paper.learner), "items": [_item_out(item) for item in paper.items]}
                for paper in papers.papers
            ],
        }
    )


def _item_out(item: Item) -> dict[str, Any]:
    question = encode_question(item.question)
    told = {"row": item.row, "before": item.before, "appliance": item.appliance}
    return {**told, "question": question, "names": dict(item.names)}


def read_paper_set(text: str | bytes, where: str) -> PaperSet:
    """Read what :func:`paper_set_text` gave; ScenarioError, one sentence, when it cannot be read."""
    data = _data(text, where, PAPERS)
    try:
        papers = tuple(_paper(paper, where) for paper in data["papers"])
        blueprint = _read("Blueprint", data["blueprint"], where, PAPERS)
        id_, made, fingerprint, secret = (data[key] for key in ("id", "made", "fingerprint", "secret"))
    except (KeyError, TypeError, AttributeError) as error:
        raise ScenarioError(f"this is no file of {PAPERS}", where=where, remedy="make it again") from error
    if not all(isinstance(value, str) for value in (id_, made, fingerprint, secret)):
        raise ScenarioError(f"this is no file of {PAPERS}", where=where, remedy="make it again")
    return PaperSet(id_, blueprint, papers, made, fingerprint, secret)


def _paper(data: Any, where: str) -> Paper:
    items = []
    for number, item in enumerate(data["items"]):
        try:
            question = decode_question(item["question"])
        except ScenarioError as error:
            raise error.at(f"{where}: {data['id']}, items[{number}]") from None
        names = {str(key): str(name) for key, name in item["names"].items()}
        items.append(Item(str(item["row"]), question, str(item["before"]), names, str(item["appliance"])))
    return Paper(str(data["id"]), _read("Learner", data["learner"], where, PAPERS), tuple(items))
