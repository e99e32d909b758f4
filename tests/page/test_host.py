from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import comm
import pytest

from probebook.page import host as hosting
from probebook.page.host import Host, attend, component_state
from probebook.page.opening import opening_line
from probebook.questions.codec import marking_sheet
from probebook.questions.model import Band, Field, FieldKind, Kind, Option, Question, Slip
from probebook.workbook.finding import NotebookError
from probebook.workbook.forms.model import Component
from probebook.workbook.journal import read_journal

# Invented: an oven element of 1150 W at 230 V, so 230²/1150 = 46 Ω.
OHMS = Question(
    "q01", Kind.POWER, "ohms and watts", 1, "The base element", "p",
    (Field("ohms", FieldKind.QUANTITY, "Resistance", 2.0, "46 ohm", "ohm", band=Band(45.0, 47.0)),),
    (Slip("amps-for-ohms", "ohms", "5 ohm", "That is amps.", band=Band(4.9, 5.1)),),
    "R = V²/P",
)  # fmt: skip
STOP = Question(
    "q02", Kind.STOP_OR_GO, "know when to stop", 1, "Go on?", "p",
    (Field("next", FieldKind.CHOICE, "Next", 1.0, "stop", options=(Option("go", "Go"), Option("stop", "Stop"))),),
    (), "Stop.",
)  # fmt: skip
FORM_1, FORM_2 = "q01/form.js", "q02/form.js"


class Page:
    """A stand-in for the comm of a page: what it is told, and what it says."""

    def __init__(self) -> None:
        self.told: list[dict[str, Any]] = []
        self.hear: Callable[[dict[str, Any]], None] = lambda _: None
        self.leave: Callable[[dict[str, Any]], None] = lambda _: None

    def send(self, data: dict[str, Any]) -> None:
        """Keep what the page is told."""
        self.told.append(json.loads(json.dumps(data)))

    def on_msg(self, slot: Callable[[dict[str, Any]], None]) -> None:
        """Keep what hears the page."""
        self.hear = slot

    def on_close(self, slot: Callable[[dict[str, Any]], None]) -> None:
        """Keep what is told that the page has gone."""
        self.leave = slot

    def ask(self, **asked: Any) -> list[dict[str, Any]]:
        """Ask something; what follows from it, as it was told."""
        before = len(self.told)
        self.hear({"content": {"data": asked}})
        return self.told[before:]

    def traits(self, key: str) -> dict[str, Any]:
        """What is known of a component from all that was told."""
        known: dict[str, Any] = {}
        for told in self.told:
            if told["say"] == "open":
                every = [item for items in told["places"].values() for item in items]
                known = next(item["traits"] for item in every if item["key"] == key)
            elif told["say"] == "traits" and told["key"] == key:
                known.update(told["traits"])
        return known


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the key of a workbook; afterwards widgets have their usual comms again."""
    (tmp_path / "demo.json").write_text(marking_sheet((OHMS, STOP), {"title": "Demonstration"}), encoding="utf-8")
    monkeypatch.setattr(comm, "create_comm", comm.create_comm)
    monkeypatch.setattr(hosting, "_attended", {})
    monkeypatch.setattr(Component, "_layout", None)
    return tmp_path


@pytest.fixture
def host(folder: Path) -> Host:
    """A workbook that is served."""
    return attend("demo", folder)


def come(host: Host) -> Page:
    """A page that opens."""
    page = Page()
    host.attach(page, {})
    return page


def test_a_page_is_told_all_in_one_message(host: Host) -> None:
    """On opening, one message holds every form with its question and nothing of its key, and where the book stands."""
    page = come(host)
    (told,) = page.told
    assert list(told["places"])[:2] == ["q01", "q02"]
    (form,) = told["places"]["q01"]
    assert (form["key"], form["module"], form["sheets"]) == (FORM_1, "form/form.js", ["form", "drawing"])
    assert set(form["traits"]) == {"view", "answer", "state", "verdict"}
    assert told["standings"]["states"] == {"q01": "open", "q02": "open"}
    assert told["standings"]["following"] == "q01"
    for secret in ("46 ohm", "amps-for-ohms", "That is amps", '"stop"'):
        assert secret not in json.dumps(told), secret


def test_an_answer_is_marked_and_kept(host: Host, folder: Path) -> None:
    """A draft and a press give a verdict, new standings and a line in the journal; each request is said to be done."""
    page = come(host)
    assert page.ask(n=1, key=FORM_1, traits={"answer": ["46"]}) == [{"say": "done", "n": 1}]
    told = page.ask(n=2, key=FORM_1, press={"press": "check", "answer": ["46"]})
    assert [item["say"] for item in told] == ["traits", "standings", "done"]
    assert page.traits(FORM_1)["verdict"]["tone"] == "right"
    assert told[1]["standings"]["states"] == {"q01": "right", "q02": "open"}
    assert told[1]["standings"]["stand"] == "1 of 2 answered, 2 of 3 marks"
    assert told[1]["standings"]["goOn"] == "Go on at question 2"
    (entry,) = read_journal(folder / "demo.answers.jsonl", origin="demo").entries
    assert (entry.question, entry.response, entry.marks) == ("q01", {"ohms": "46"}, 2.0)


def test_verdict_and_state_come_together(host: Host) -> None:
    """What belongs to one verdict is told in one message, so that no page shows half of it."""
    page = come(host)
    told = page.ask(n=1, key=FORM_2, press={"press": "check", "answer": [0]})
    changes = [set(item["traits"]) for item in told if item["say"] == "traits"]
    assert {"verdict", "state"} in changes
    assert len(changes) == 1


def test_pages_follow_each_other(host: Host) -> None:
    """What one page writes the others are told, and the one that wrote it is not told its own words."""
    page, other = come(host), come(host)
    page.ask(n=1, key=FORM_1, traits={"answer": ["4"]})
    assert other.told[1:] == [{"say": "traits", "key": FORM_1, "traits": {"answer": ["4"]}}]
    assert page.told[1:] == [{"say": "done", "n": 1}]
    other.leave({})
    count = len(other.told)
    page.ask(n=2, key=FORM_1, traits={"answer": ["45"]})
    assert len(other.told) == count
    assert come(host).traits(FORM_1)["answer"] == ["45"]


def test_pages_that_left_without_a_word_are_forgotten(host: Host) -> None:
    """However often a page is loaded, no more than a few are spoken to."""
    pages = [come(host) for _ in range(hosting.MOST_PAGES + 5)]
    pages[-1].ask(n=1, key=FORM_1, traits={"answer": ["4"]})
    assert sum(len(page.told) > 1 for page in pages) == hosting.MOST_PAGES


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"key": "q99/form.js", "press": {"press": "check"}},
        {"key": FORM_1, "press": "check"},
        {"key": FORM_1, "press": {"no": 1}},
        {"key": FORM_1, "traits": []},
        {"key": FORM_1, "traits": {"code": {"module": "x"}, "_esm": "x", "comm": 1, "keys": []}},
        {"key": ["q01"], "press": {"press": "code"}},
    ],
    ids=str,
)
def test_what_makes_no_sense_does_nothing(host: Host, asked: dict[str, Any], folder: Path) -> None:
    """A message that is none of ours changes no trait and writes no answer, and is answered all the same."""
    page = come(host)
    before = page.traits(FORM_1)
    assert page.ask(n=7, **asked)[-1] == {"say": "done", "n": 7}
    page.hear({"content": {"data": "nonsense"}})
    assert come(host).traits(FORM_1) == before
    assert not (folder / "demo.answers.jsonl").exists()


def test_attending_twice_is_attending_once(host: Host, folder: Path) -> None:
    """The line that a page runs changes nothing where the workbook is served already."""
    page = come(host)
    page.ask(n=1, key=FORM_1, traits={"answer": ["4"]})
    assert attend("demo", folder) is host
    assert come(host).traits(FORM_1)["answer"] == ["4"]


def test_saved_answers_come_back(host: Host, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A kernel that begins anew tells a page what was checked before."""
    come(host).ask(n=1, key=FORM_1, press={"press": "check", "answer": ["46"]})
    monkeypatch.setattr(hosting, "_attended", {})
    page = come(attend("demo", folder))
    assert page.traits(FORM_1)["answer"] == ["46"]
    assert page.traits(FORM_1)["verdict"]["tone"] == "right"


def test_a_missing_key_is_said_in_a_sentence(tmp_path: Path) -> None:
    """A workbook without its key is not served, and the sentence says what to do."""
    with pytest.raises(NotebookError, match=r"no answer key none\.json"):
        attend("none", tmp_path)


def test_a_new_component_needs_no_change_here(host: Host) -> None:
    """Whatever component of ours: its own traits are told, and none of those that only notebooks need."""
    form = next(iter(host._components.values()))
    assert set(component_state(form)) == {"view", "answer", "state", "verdict"}
    assert set(component_state(form, ["answer", "code", "layout"])) == {"answer"}


def test_the_line_holds_any_name() -> None:
    """The line that a kernel runs is Python, whatever the workbook is called."""
    compile(opening_line('it\'s "07" \\ x'), "line", "exec")
