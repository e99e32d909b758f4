"""Hostile hand-ins: none is run, none stops the batch, each is refused by name and reason or marked right."""

from __future__ import annotations

import copy
import hashlib
import json
import os
import pickle
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from classes import Class
from sitters import right, sit

from probebook.assessment.marking.marks import mark_class
from probebook.assessment.marking.writing import marked_files, write_marks
from probebook.assessment.model import Item, MarkedClass
from probebook.assessment.sitting.chain import beginning, receipt
from probebook.cases.library import Library
from probebook.questions.model import FieldKind

Data = dict[str, Any]


@pytest.fixture(scope="module")
def honest(five: Class, tmp_path_factory: pytest.TempPathFactory) -> list[Data]:
    """The hand-ins of the first two learners, all right, as data."""
    folder = tmp_path_factory.mktemp("honest")
    found = []
    for number in range(2):
        name = five.name(number)
        (folder / f"{name}.ipynb").write_text(five.text(number), "utf-8")
        paper = five.papers.papers[number]
        found.append(json.loads(sit(folder, name, paper, right(paper)).handin.read_text("utf-8")))
    return found


def marked(folder: Path, five: Class, trade: Library) -> MarkedClass:
    """The marks of a folder, its pages written beside it."""

    def words_of(_: str) -> Any:
        return trade.words

    found, codes = mark_class(folder, five.papers, words_of, most_late=5.0)
    write_marks(marked_files(found, five.papers, words_of, codes), folder.parent / "out")
    return found


def chained(data: Data) -> Data:
    """The hand-in with a chain that fits: what somebody with this program can forge."""
    previous = beginning(data["paper"], data["set"])
    for number, line in enumerate(data["entries"], start=1):
        line.update(n=number, previous=previous)
        bare = {key: value for key, value in line.items() if key != "hash"}
        spelt = json.dumps(bare, sort_keys=True, separators=(",", ":")).encode()
        line["hash"] = previous = hashlib.sha256(spelt).hexdigest()
    data["receipt"] = receipt(previous)
    return data


# ---------------------------------------------------------------- text that is no hand-in

DEEP = 100_000
TEXTS: dict[str, bytes] = {
    "empty": b"",
    "a blank": b" ",
    "nothing": b"null",
    "a number": b"1",
    "a list": b"[]",
    "a table": b"{}",
    "a text": b'"handin"',
    "a script": b"<script>alert(1)</script>",
    "python": b"__import__('os').system('touch owned')",
    "a pickle": pickle.dumps({"format": 1, "paper": "x"}),
    "a pickle that would run": b"cos\nsystem\n(S'touch owned'\ntR.",
    "a zip": b"PK\x03\x04" + b"\0" * 100,
    "an image": b"\x89PNG\r\n\x1a\n" + b"\0" * 100,
    "yaml that would run": b"!!python/object/apply:os.system ['touch owned']",
    "xml with an entity": b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>',
    "lists in lists": b"[" * DEEP + b"]" * DEEP,
    "lists without end": b"[" * DEEP,
    "tables in tables": b'{"a":' * DEEP + b"1" + b"}" * DEEP,
    "not a number": b'{"format": NaN}',
    "infinity": b'{"format": Infinity}',
    "a number without end": b'{"format": ' + b"9" * 100_000 + b"}",
    "an exponent without end": b'{"format": 1e999999999}',
    "a key twice": b'{"format": 1, "format": 1}',
    "utf-16": '{"format": 1}'.encode("utf-16"),
    "latin-1": b'{"format": "\xe9"}',
    "half a pair": b'{"format": "\\ud800"}',
    "nul": b"\0" * 1000,
    "a byte-order mark": b"\xef\xbb\xbf{}",
    "a notebook": b'{"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}',
    "a long text": b'{"format": "' + b"a" * 3_900_000 + b'"}',
    "many keys": ("{" + ",".join(f'"k{n}":1' for n in range(200_000)) + "}").encode(),
    "too large": b" " * 4_000_001,
    "much too large": b"[" + b"1," * 12_000_000 + b"1]",
}


@pytest.mark.parametrize("what", TEXTS)
def test_what_is_no_hand_in_is_refused_by_name(what: str, five: Class, trade: Library, tmp_path: Path) -> None:
    """Each is refused under its own name, and an honest class beside it would be marked."""
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "x.handin.json").write_bytes(TEXTS[what])
    found = marked(folder, five, trade)
    assert [each.file for each in found.refused] == ["x.handin.json"]
    assert found.refused[0].reason
    assert found.papers == ()
    assert not (tmp_path / "owned").exists()
    assert not Path("owned").exists()


def test_what_is_too_large_says_so(five: Class, trade: Library, tmp_path: Path) -> None:
    """The reason names the size."""
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "x.handin.json").write_bytes(b" " * 5_000_000)
    assert "too large" in marked(folder, five, trade).refused[0].reason


@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99, 0.9999])
def test_a_file_cut_off_says_so(share: float, honest: list[Data], five: Class, trade: Library, tmp_path: Path) -> None:
    """Cut anywhere, a hand-in is refused as cut off."""
    folder = tmp_path / "in"
    folder.mkdir()
    text = json.dumps(honest[0], sort_keys=True, indent=1)
    (folder / "x.handin.json").write_text(text[: int(share * len(text))], "utf-8")
    assert "cut off" in marked(folder, five, trade).refused[0].reason


# ---------------------------------------------------------------- hand-ins that were changed


def entry(data: Data, place: int = 1) -> Data:
    """An entry of a hand-in, from 0."""
    line: Data = data["entries"][place]
    return line


def put(data: Data, path: str, value: object) -> None:
    """Put a value where a dotted path leads."""
    *steps, last = path.split(".")
    for step in steps:
        data = data[int(step)] if isinstance(data, list) else data[step]
    data[last] = value


VALUES: dict[str, object] = {
    "null": None, "true": True, "a number": 7, "a text": "x", "a list": [], "a table": {}, "a script": "<script>",
    "a list of lists": [[[]]], "a negative": -1, "huge": 10**19, "a formula": "=1+1", "a path": "../../etc/passwd",
}  # fmt: skip
PLACES = [
    "format", "paper", "set", "learner", "answers", "handed_in", "elapsed", "entries", "receipt", "answers.q01",
    "entries.1.response", "entries.1.hash", "entries.1.elapsed", "entries.1.time",
]  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("what", VALUES)
def test_no_changed_value_passes(
    place: str, what: str, honest: list[Data], five: Class, trade: Library, tmp_path: Path
) -> None:
    """Any value in any place of a hand-in, but for the one that stood there, is refused; nothing is raised."""
    data = copy.deepcopy(honest[0])
    put(data, place, VALUES[what])
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "x.handin.json").write_text(json.dumps(data), "utf-8")
    found = marked(folder, five, trade)
    assert len(found.refused) == 1
    assert not found.papers


def forge_answer(data: Data) -> None:
    """Another answer, in the table and in the journal, without a new chain."""
    line = next(line for line in data["entries"] if line["item"] == "q01")
    line["response"] = data["answers"]["q01"] = {"f1": "1 W"}


def drop_entry(data: Data) -> None:
    """An entry taken out."""
    del data["entries"][3]


def swap_entries(data: Data) -> None:
    """Two entries change places."""
    entries = data["entries"]
    entries[2], entries[3] = entries[3], entries[2]


def repeat_entry(data: Data) -> None:
    """An entry stands twice."""
    data["entries"].insert(3, data["entries"][3])


def cut_end(data: Data) -> None:
    """The handing in is taken off."""
    data["entries"].pop()


def answers_alone(data: Data) -> None:
    """The table of answers is changed, the journal is not."""
    data["answers"]["q01"] = {"f1": "1 W"}


def shorter_time(data: Data) -> None:
    """A time that was shortened, with a chain that fits and a clock that does not."""
    for line in data["entries"]:
        line["steady"] += 7200.0 * line["n"]
    chained(data)


def two_ends(data: Data) -> None:
    """Handed in twice in one journal."""
    data["entries"].insert(2, {**data["entries"][-1]})
    chained(data)


def unknown_event(data: Data) -> None:
    """Something happened that cannot."""
    entry(data)["what"] = "exec"
    chained(data)


def unknown_item(data: Data) -> None:
    """An answer to a question of no paper."""
    entry(data)["item"] = "q99"
    data["answers"] = {line["item"]: line["response"] for line in data["entries"] if line["what"] == "keep"}
    chained(data)


def old_times(data: Data) -> None:
    """A sitting of two years before the set was made."""
    for line in data["entries"]:
        line["time"] = "2020-01-01T00:00:00Z"
    data["handed_in"] = "2020-01-01T00:00:00Z"
    chained(data)


def no_time(data: Data) -> None:
    """A time that is none."""
    entry(data)["time"] = "2030-99-99T99:99:99Z"
    chained(data)


def forged_receipt(data: Data) -> None:
    """A receipt made up."""
    data["receipt"] = "AAAAA-AAAAA-AAAAA"


def other_learner(data: Data) -> None:
    """Somebody else's name on it."""
    data["learner"] = "l2"


def other_paper(data: Data) -> None:
    """Another's paper named, whose chain begins elsewhere."""
    data["paper"] = "0" * 32


def other_set(data: Data) -> None:
    """Another sitting named."""
    data["set"] = "0" * 16


def late_by_an_hour(data: Data) -> None:
    """Two hours of a paper of fifty minutes, honestly journalled."""
    last = data["entries"][-1]
    last["steady"] = last["steady"] + 7200
    last["elapsed"] = data["elapsed"] = last["elapsed"] + 7200
    chained(data)


def marks_of_its_own(data: Data) -> None:
    """Marks written into it."""
    data["marks"] = 25


CHANGES: dict[Callable[[Data], None], str] = {
    forge_answer: "edited", drop_entry: "edited", swap_entries: "edited", repeat_entry: "edited", cut_end: "edited",
    answers_alone: "answers differ", shorter_time: "edited", two_ends: "edited", unknown_event: "edited",
    unknown_item: "answers differ", old_times: "earlier sitting", no_time: "edited", forged_receipt: "receipt",
    other_learner: "that of l1", other_paper: "no such paper", other_set: "another sitting",
    late_by_an_hour: "minutes late", marks_of_its_own: "no hand-in",
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_each_forgery_is_refused_for_what_it_is(
    change: Callable[[Data], None], honest: list[Data], five: Class, trade: Library, tmp_path: Path
) -> None:
    """The reason names the way in which the file is bad, and the honest paper beside it is marked in full."""
    folder = tmp_path / "in"
    folder.mkdir()
    data = copy.deepcopy(honest[0])
    change(data)
    (folder / "bad.handin.json").write_text(json.dumps(data), "utf-8")
    (folder / "good.handin.json").write_text(json.dumps(honest[1]), "utf-8")
    found = marked(folder, five, trade)
    assert [each.file for each in found.refused] == ["bad.handin.json"]
    assert CHANGES[change] in found.refused[0].reason
    assert [paper.learner.id for paper in found.papers] == ["l2"]
    assert found.papers[0].marks == pytest.approx(25)


# ---------------------------------------------------------------- answers that would do harm

HARM = [
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "=HYPERLINK(\"http://x\")", "@SUM(1)", "+1+1", "-2+3",
    "javascript:alert(1)", "[a](javascript:alert(1))", "![a](http://x/a.png)", "{{ 7*7 }}", "${7*7}",
    "__import__('os')",
    "' OR 1=1 --", "\"><svg onload=alert(1)>", "\x00\x01\x02", "\u202e\u2066", "9" * 200, "1e308 W", "-0 W", "NaN W",
    "1/0 W", "../../../etc/passwd", "OL", "</dd></dl></body><h1>", "`rm -rf /`", "😀" * 60, "٣٤ W", "0x2E W",
]  # fmt: skip


def answered(data: Data, response: Any) -> Data:
    """The hand-in with another answer to its first question that asks for one figure, and a chain that fits."""
    line = next(line for line in data["entries"] if is_figure(line.get("response")))
    line["response"] = data["answers"][line["item"]] = response
    return chained(data)


def is_figure(response: Any) -> bool:
    """Whether a response is one typed figure."""
    return isinstance(response, dict) and list(response) == ["f1"] and "0" <= response["f1"][0] <= "9"


def first_item(five: Class) -> Item:
    """The first question of the first paper that asks for one figure."""
    items = five.papers.papers[0].items
    return next(i for i in items if [field.kind for field in i.question.fields] == [FieldKind.QUANTITY])


@pytest.mark.parametrize("text", HARM)
def test_harmful_text_is_marked_and_escaped(
    text: str, honest: list[Data], five: Class, trade: Library, tmp_path: Path
) -> None:
    """Such an answer earns nothing, the others their marks, and no page or table of it carries markup or a formula."""
    folder = tmp_path / "in"
    folder.mkdir()
    data = answered(copy.deepcopy(honest[0]), {"f1": text})
    (folder / "x.handin.json").write_text(json.dumps(data), "utf-8")
    found = marked(folder, five, trade)
    assert found.refused == ()
    assert found.papers[0].marks == pytest.approx(25 - first_item(five).question.marks)
    page = next((tmp_path / "out" / "feedback").glob("*.html")).read_text("utf-8")
    body = page.partition("<body>")[2]
    for tag in ("<script", "<img", "<svg", "<a ", 'javascript:alert(1)"', "<iframe"):
        assert tag not in body
    cells = (tmp_path / "out" / "marks.csv").read_text("utf-8-sig").split("\n")[1].split(",")
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)


@pytest.mark.parametrize(
    "response",
    [
        {"f1": ["1 W"]}, {"f1": []}, {"f1": ["o1", "o1"]}, {"f9": "x"}, {}, {"f1": "o1"}, {"__class__": "x"},
        {"f1": "1 W", "marks": "99"},
    ],
)  # fmt: skip
def test_an_answer_of_another_shape_earns_nothing(
    response: Any, honest: list[Data], five: Class, trade: Library, tmp_path: Path
) -> None:
    """A list for a number, a field that is none, an id of an option: no marks for it, and all for the others."""
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "x.handin.json").write_text(json.dumps(answered(copy.deepcopy(honest[0]), response)), "utf-8")
    found = marked(folder, five, trade)
    assert found.papers[0].marks == pytest.approx(25 - first_item(five).question.marks)


@pytest.mark.parametrize("response", [{"f1": "a" * 2001}, {"f1": ["a"] * 601}, {"f1": {"a": "b"}}, {"f1": "\ud800"}, 1])
def test_an_answer_that_no_form_gives_is_refused(
    response: Any, honest: list[Data], five: Class, trade: Library, tmp_path: Path
) -> None:
    """Too long, too deep, or of text that no file can hold."""
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "x.handin.json").write_text(json.dumps(answered(copy.deepcopy(honest[0]), response)), "utf-8")
    found = marked(folder, five, trade)
    assert len(found.refused) == 1
    assert not found.papers


# ---------------------------------------------------------------- files that are none


def names(folder: Path) -> Iterator[Path]:
    """Things in a folder that look like hand-ins."""
    yield folder / "folder.handin.json"
    (folder / "folder.handin.json").mkdir()
    yield folder / "link.handin.json"
    (folder / "link.handin.json").symlink_to("/etc/passwd")
    yield folder / "broken.handin.json"
    (folder / "broken.handin.json").symlink_to("nowhere")
    yield folder / "pipe.handin.json"
    os.mkfifo(folder / "pipe.handin.json")
    yield folder / "device.handin.json"
    (folder / "device.handin.json").symlink_to("/dev/zero")
    yield folder / "odd\nname\x1b[2J.handin.json"
    (folder / "odd\nname\x1b[2J.handin.json").write_text("x")
    yield folder / "=cmd.handin.json"
    (folder / "=cmd.handin.json").write_text("x")


def test_what_is_no_plain_file_is_refused_and_not_read(five: Class, trade: Library, tmp_path: Path) -> None:
    """Folders, links, pipes and devices are refused without being opened; names are printed without control signs."""
    folder = tmp_path / "in"
    folder.mkdir()
    wanted = list(names(folder))
    found = marked(folder, five, trade)
    assert len(found.refused) == len(wanted)
    assert all(each.file.isprintable() for each in found.refused)


def test_a_copy_is_told_as_one(honest: list[Data], five: Class, trade: Library, tmp_path: Path) -> None:
    """The same hand-in under two names counts once, and the copy is named."""
    folder = tmp_path / "in"
    folder.mkdir()
    for name in ("a", "b"):
        (folder / f"{name}.handin.json").write_text(json.dumps(honest[0]), "utf-8")
    found = marked(folder, five, trade)
    assert [paper.learner.id for paper in found.papers] == ["l1"]
    assert found.refused[0].file == "b.handin.json"
    assert "copy of a.handin.json" in found.refused[0].reason


def test_of_two_hand_ins_the_earliest_counts(honest: list[Data], five: Class, trade: Library, tmp_path: Path) -> None:
    """A second hand-in, worse by one answer and a minute later, is shown with what it would have earned."""
    folder = tmp_path / "in"
    folder.mkdir()
    second = copy.deepcopy(honest[0])
    last = second["entries"][-1]
    last["steady"] += 60
    last["elapsed"] = second["elapsed"] = last["elapsed"] + 60
    last["time"] = second["handed_in"] = "2099-01-01T00:00:00Z"
    answered(second, {"f1": "1 W"})
    (folder / "a-second.handin.json").write_text(json.dumps(second), "utf-8")
    (folder / "b-first.handin.json").write_text(json.dumps(honest[0]), "utf-8")
    found = marked(folder, five, trade)
    assert found.papers[0].marks == pytest.approx(25)
    assert found.refused[0].file == "a-second.handin.json"
    assert "earliest counts (b-first.handin.json, 25 marks)" in found.refused[0].reason
    assert f"would have {25 - first_item(five).question.marks:g}" in found.refused[0].reason
