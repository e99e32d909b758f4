"""Sitting a paper: drafts are kept and come back, time goes on, handing in makes one file, and nothing tells."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from classes import Class
from sitters import as_sent, right, sit, slipped, typed

from probebook.assessment.sitting import open_paper
from probebook.assessment.sitting.chain import append_event, beginning, broken_at, read_events, read_lines, receipt
from probebook.assessment.sitting.clock import Now, elapsed_since, machine_clock
from probebook.assessment.sitting.handin import read_handin
from probebook.errors import UsageError


@dataclass
class FakeClock:
    """A clock that a test sets: seconds on the wall, seconds since the start, the start's name."""

    wall: int = 0
    steady: float = 1000.0
    boot: str = "one"

    def __call__(self) -> Now:
        """Return the moment it is set to."""
        hours, rest = divmod(self.wall, 3600)
        return Now(f"2031-05-05T{8 + hours:02d}:{rest // 60:02d}:{rest % 60:02d}Z", self.steady, self.boot)

    def go(self, seconds: int) -> None:
        """Let time go by."""
        self.wall += seconds
        self.steady += seconds


def test_what_is_given_is_kept_and_comes_back(five: Class, room: Path) -> None:
    """Each answer is in the journal as it is given, and in its form again when the paper is opened anew."""
    paper, name = five.papers.papers[0], five.name(0)
    answers = right(paper)
    sit(room, name, paper, answers, hand_in=False)
    again = open_paper(name, folder=room)
    assert {item: form.response() for item, form in again.forms.items()} == answers
    assert read_events(room / f"{name}.sitting.jsonl").answers() == answers


def test_an_answer_may_be_changed_until_it_is_handed_in(five: Class, room: Path) -> None:
    """The last of several answers counts; after handing in, nothing is taken any more."""
    paper, name = five.papers.papers[0], five.name(0)
    item = typed(paper)
    opened = sit(room, name, paper, {item.id: {"f1": "1 W"}}, hand_in=False)
    opened.forms[item.id].model.write(["2 W"])
    opened.submit()
    before = (room / f"{name}.sitting.jsonl").read_bytes()
    opened.forms[item.id].model.write(["3 W"])
    opened.forms[item.id].model.hear({"press": "check", "answer": ["4 W"]})
    assert (room / f"{name}.sitting.jsonl").read_bytes() == before
    assert read_handin(opened.handin).answers == {item.id: {"f1": "2 W"}}
    assert "nothing can be changed" in opened.forms[item.id].model.state["score"]


def told(model: Any) -> dict[str, Any]:
    """Everything that a page is told of a question, without what the learner typed."""
    state = {key: value for key, value in model.get_state().items() if not key.startswith("_")}
    return {
        key: value for key, value in state.items() if key not in ("answer", "code", "layout", "tabbable", "tooltip")
    }


def test_nothing_tells_right_from_wrong(five: Class, room: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """With the key, with slips and with nonsense, the page is told the same, key by key and byte for byte."""
    paper, name = five.papers.papers[0], five.name(0)
    keys = right(paper)
    slips = {item.id: (slipped(item) or ("", keys[item.id]))[1] for item in paper.items}
    shown = []
    for number, answers in enumerate((keys, slips)):
        folder = tmp_path_factory.mktemp(f"room{number}")
        (folder / f"{name}.ipynb").write_text(five.text(0), "utf-8")
        opened = sit(folder, name, paper, answers, hand_in=False)
        shown.append({item: told(form.model) for item, form in opened.forms.items()})
    assert shown[0] == shown[1]
    assert all(told["verdict"] == {} and told["state"]["working"] == "" for told in shown[0].values())


def test_a_sitting_loads_nothing_of_the_trade(five: Class, room: Path, fresh_python: Any) -> None:
    """Opening a paper, answering it and handing in loads neither the trade nor any question's builder."""
    name = five.name(0)
    code = (
        "import sys; from probebook.assessment.sitting import open_paper; import os; "
        f"os.chdir({str(room)!r}); paper = open_paper({name!r}); paper.forms['q01'].model.write(['1 W']); "
        "paper.submit(); "
        "print([m for m in sys.modules if m in ('probebook.cases.library', "
        "'probebook.questions.registry', 'probebook.assessment.codec')])"
    )
    assert fresh_python(code).splitlines()[-1] == "[]"


# ---------------------------------------------------------------- time


def test_time_goes_on_while_the_page_is_closed(five: Class, room: Path) -> None:
    """Ten minutes with the kernel shut are ten minutes gone, within one start of the machine and across starts."""
    clock = FakeClock()
    name = five.name(0)
    opened = open_paper(name, folder=room, clock=clock)
    assert opened.left() == pytest.approx(50 * 60)
    clock.go(600)
    assert open_paper(name, folder=room, clock=clock).left() == pytest.approx(40 * 60)
    clock.wall += 300
    clock.steady, clock.boot = 20.0, "two"
    assert open_paper(name, folder=room, clock=clock).left() == pytest.approx(35 * 60)


def test_setting_the_clock_back_wins_no_time(five: Class, room: Path) -> None:
    """Within one start the steady clock counts; across starts time stands still at worst; both are noticed."""
    clock = FakeClock(wall=7200)
    name = five.name(0)
    open_paper(name, folder=room, clock=clock)
    clock.steady += 600
    clock.wall -= 3600
    opened = open_paper(name, folder=room, clock=clock)
    assert opened.left() == pytest.approx(40 * 60)
    assert opened.was_set_back
    clock.wall -= 1800
    clock.steady, clock.boot = 5.0, "two"
    again = open_paper(name, folder=room, clock=clock)
    assert again.left() == pytest.approx(40 * 60)
    assert again.was_set_back


def test_extra_time_is_given(five: Class, room: Path) -> None:
    """A quarter more of fifty minutes is sixty-two and a half; half more is seventy-five."""
    lefts = [open_paper(five.name(number), folder=room, clock=FakeClock()).left() / 60 for number in (0, 1, 2)]
    assert lefts == pytest.approx([50, 62.5, 75])


def test_the_machine_clock_goes_forward() -> None:
    """Two moments of this machine stand in order, and are one start."""
    one, two = machine_clock(), machine_clock()
    assert two.steady >= one.steady
    assert two.boot == one.boot


# ---------------------------------------------------------------- the chain


def test_half_a_line_is_taken_off_and_the_rest_counts(five: Class, room: Path) -> None:
    """After a power cut in the middle of a line, the answers before it are back and the chain goes on whole."""
    paper, name = five.papers.papers[0], five.name(0)
    sit(room, name, paper, right(paper), hand_in=False)
    journal = room / f"{name}.sitting.jsonl"
    with journal.open("ab") as stream:
        stream.write(b'{"n": 99, "what": "ke')
    opened = open_paper(name, folder=room)
    opened.submit()
    found = read_handin(opened.handin)
    assert found.broken == 0
    assert found.answers == right(paper)


def test_every_changed_line_is_found(tmp_path: Path) -> None:
    """A byte changed in a line, a line out, moved or doubled: the first that does not hold is named."""
    path = tmp_path / "x.jsonl"
    for number in range(6):
        event = {"what": "keep", "time": "2031-01-01T00:00:00Z", "steady": 1.0, "boot": "", "elapsed": float(number)}
        append_event(path, "paper", "set", {**event, "item": f"q0{number}", "response": {"f1": "1"}})
    lines = read_lines(path)
    assert broken_at(lines, "paper", "set") == 0
    assert broken_at(lines, "another", "set") == 1
    assert broken_at(lines[:2] + lines[3:], "paper", "set") == 3
    assert broken_at([*lines[:3], lines[2], *lines[3:]], "paper", "set") == 4
    assert broken_at([*lines[:3], {**lines[3], "response": {"f1": "2"}}, *lines[4:]], "paper", "set") == 4
    assert broken_at([lines[1], lines[0], *lines[2:]], "paper", "set") == 1


def test_a_changed_journal_is_said_and_the_rest_is_kept(five: Class, room: Path) -> None:
    """A line that somebody edited is set aside, and the learner is told to say so."""
    paper, name = five.papers.papers[0], five.name(0)
    sit(room, name, paper, right(paper), hand_in=False)
    journal = room / f"{name}.sitting.jsonl"
    lines = journal.read_text().splitlines(keepends=True)
    journal.write_text("".join([*lines[:2], lines[2].replace('"f1":"', '"f1":"9'), *lines[3:]]))
    assert lines[2] not in journal.read_text()
    opened = open_paper(name, folder=room)
    assert "1 line is set aside" in " ".join(opened._state()["notes"])


def test_the_receipt_names_the_hand_in(five: Class, room: Path) -> None:
    """The code is the beginning of the last hash, in three groups of five, the same however often it is asked for."""
    paper, name = five.papers.papers[0], five.name(0)
    opened = sit(room, name, paper, {})
    found = read_handin(opened.handin)
    assert found.receipt == receipt(found.last_hash)
    assert [len(part) for part in found.receipt.split("-")] == [5, 5, 5]
    text = opened.handin.read_bytes()
    opened.submit()
    assert opened.handin.read_bytes() == text
    assert found.receipt in " ".join(open_paper(name, folder=room)._state()["done"])
    assert beginning("a", "b") != beginning("a", "c")


def test_the_review_lists_what_is_not_answered(five: Class, room: Path) -> None:
    """A question half answered is still on the list; one that is whole is not."""
    paper, name = five.papers.papers[0], five.name(0)
    item = next(item for item in paper.items if len(item.question.fields) > 1)
    opened = open_paper(name, folder=room)
    assert len(opened._state()["open"]) == len(paper.items)
    sent = as_sent(item, item.question.key())
    opened.forms[item.id].model.write([sent[0], *[None] * (len(sent) - 1)])
    assert len(opened._state()["open"]) == len(paper.items)
    opened.forms[item.id].model.write(sent)
    assert len(opened._state()["open"]) == len(paper.items) - 1


@pytest.mark.parametrize("sent", [None, 1, "x", [1], [None] * 99, [[1, 2]], ["\ud800"], [{"a": 1}], [["x"]]])
def test_rubbish_from_a_page_is_taken_for_nothing(sent: Any, five: Class, room: Path) -> None:
    """Whatever a page sends, nothing is raised and the hand-in can be read."""
    _paper, name = five.papers.papers[0], five.name(0)
    opened = open_paper(name, folder=room)
    for form in opened.forms.values():
        form.model.hear({"press": "check", "answer": sent})
    opened.submit()
    assert read_handin(opened.handin).broken == 0


@pytest.mark.parametrize("name", ["../x", "", "x/y", "no-such-paper", "x\n"])
def test_what_is_no_paper_is_told_in_one_sentence(name: str, tmp_path: Path) -> None:
    """A name that is none and a notebook that is not there are said without a traceback."""
    with pytest.raises(UsageError, match=r"no paper|not the name"):
        open_paper(name, folder=tmp_path)


def test_a_notebook_that_is_no_paper_is_told(tmp_path: Path) -> None:
    """A notebook of other making is not opened as a paper."""
    (tmp_path / "x.ipynb").write_text(json.dumps({"metadata": {"probebook": {"workbook": "x"}}}), "utf-8")
    with pytest.raises(UsageError, match="no paper that can be sat"):
        open_paper("x", folder=tmp_path)


def test_a_folder_that_cannot_be_written_to_is_told(five: Class, room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where an answer cannot be kept, its form says so at once and says it is kept once it is."""
    paper, name = five.papers.papers[0], five.name(0)
    opened = open_paper(name, folder=room)
    form = opened.forms[typed(paper).id]
    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device")))
        form.model.write(["1 W"])
    assert "Not kept" in form.model.state["score"]
    assert "no space" in form.model.state["score"]
    form.model.hear({"press": "check", "answer": ["1 W"]})
    assert form.model.state["score"] == "Kept."


def test_nothing_is_handed_in_while_an_answer_cannot_be_kept(
    five: Class, room: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that is full for the last answer alone keeps the paper open; with room again it is handed in whole."""
    item = typed(five.papers.papers[0])
    opened = open_paper(five.name(0), folder=room)
    form = opened.forms[item.id]
    full = iter([True, True])  # while it is typed, and when handing in tries again

    def sync(_: int) -> None:
        if next(full, False):
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", sync)
    form.model.write(["1 W"])
    opened.submit()
    assert not opened.is_handed_in
    assert not opened.handin.exists()
    opened.submit()
    assert opened.is_handed_in
    assert json.loads(opened.handin.read_text("utf-8"))["answers"][item.id] == form.response()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names here")
def test_a_pipe_in_the_journals_place_is_refused_unopened(five: Class, room: Path) -> None:
    """A pipe would hang whoever opens it: it is told in a sentence."""
    os.mkfifo(room / f"{five.name(0)}.sitting.jsonl")
    with pytest.raises(UsageError, match="pipe"):
        open_paper(five.name(0), folder=room)


def test_time_without_a_name_for_the_start_is_the_walls() -> None:
    """A system that does not name its starts counts by the clock on the wall, never backwards."""
    event = read_event(elapsed=100.0)
    assert elapsed_since(event, Now("2031-01-01T00:01:00Z", 5.0, "")) == (160.0, False)
    assert elapsed_since(event, Now("2030-12-31T23:00:00Z", 5.0, "")) == (100.0, True)


def read_event(elapsed: float) -> Any:
    """An event at midnight."""
    from probebook.assessment.sitting.chain import Event

    return Event(1, "open", "2031-01-01T00:00:00Z", 1.0, "", elapsed)
