"""The bench of a paper in a kernel where a service has it: what is asked, what is kept, what is said in its absence."""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from hubs import Set

from probebook.assessment.sitting import line
from probebook.assessment.sitting.asked import AskedBench
from probebook.assessment.sitting.chain import read_events
from probebook.assessment.sitting.line import Asker, Job, NoAnswer
from probebook.assessment.sitting.paper import OpenPaper, paper_in
from probebook.cases.library import Library
from probebook.hub.jobs import Jobs


class Service:
    """A service in this process, which may be away."""

    def __init__(self, two: Set, trade: Library, log: Path) -> None:
        self.jobs, self.is_away, self.user = Jobs(two.papers, lambda _: trade, log), False, two.user(0)

    def asker(self, paper: str, item: str) -> Asker:
        """What asks it in the name of the first learner."""

        def ask(doing: Mapping[str, Any] | None) -> Job:
            if self.is_away:
                raise NoAnswer("away")
            place = self.user, paper, item
            told = self.jobs.told(*place) if doing is None else self.jobs.do(*place, doing)
            told = json.loads(json.dumps(told))
            return Job(tuple(told["acts"]), told["state"], told["curve"])

        return ask


@pytest.fixture
def service(two: Set, trade: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Service:
    """The service that papers opened here ask."""
    found = Service(two, trade, tmp_path / "log")
    monkeypatch.setattr(line, "asker", found.asker)
    return found


def opened(two: Set, folder: Path) -> tuple[OpenPaper, AskedBench]:
    """A copy of the first paper, opened in a folder, and its bench."""
    folder.mkdir(exist_ok=True)
    path = folder / f"{two.name(0)}.ipynb"
    if not path.exists():
        path.write_bytes((two.folder / "papers" / path.name).read_bytes())
    paper = paper_in(two.name(0), folder)
    bench = paper.forms[two.job(0).id].bench
    assert isinstance(bench, AskedBench)
    return paper, bench


def act(bench: AskedBench, act: str) -> Mapping[str, Any]:
    """Press an act as the page does; what it is told."""
    bench.hear({"press": "act", "act": act})
    return bench.state


def kept(paper: OpenPaper, two: Set) -> object:
    """What the journal holds of the bench."""
    return read_events(paper.journal).answers().get(two.job(0).id, {}).get("f1")


def test_each_act_is_in_the_journal_before_it_is_shown(service: Service, two: Set, tmp_path: Path) -> None:
    """The journal holds the acts in order, each added by itself; one that cannot be done is not in it."""
    paper, bench = opened(two, tmp_path / "a")
    seen: list[object] = []
    bench.observe(lambda _: seen.append(kept(paper, two)), "state")
    for done in two.acts(0)[:4]:
        act(bench, done)
    act(bench, "look no-such-part")
    assert kept(paper, two) == two.acts(0)[:4]
    assert seen[:4] == [two.acts(0)[:count] for count in range(1, 5)]
    whats = [event.what for event in read_events(paper.journal).events]
    assert whats == ["open", "keep", "act", "act", "act"]
    assert bench.state["answers"] == 5


def test_a_conclusion_and_its_being_taken_back(service: Service, two: Set, tmp_path: Path) -> None:
    """The page gives places of faults; the paper counts as answered while the conclusion stands."""
    paper, bench = opened(two, tmp_path / "a")
    form = paper.forms[two.job(0).id]
    bench.hear({"press": "conclude", "faults": [0]})
    assert form.is_answered
    assert str(kept(paper, two)).startswith("['conclude ")
    bench.hear({"press": "restart"})
    assert not form.is_answered
    assert kept(paper, two) == []


def test_while_the_service_is_away_nothing_is_lost(service: Service, two: Set, tmp_path: Path) -> None:
    """The page is told so with each act and keeps what it shows; then the job goes on where it stood."""
    paper, bench = opened(two, tmp_path / "a")
    act(bench, "isolate")
    service.is_away = True
    told = act(bench, "lock off")
    assert told["said"]["tone"] == "no"
    assert told["said"]["text"].startswith("The bench cannot be reached")
    assert (told["answers"], told["job"]["isolated"]) == (2, True)
    assert kept(paper, two) == ["isolate"]
    again, other = opened(two, tmp_path / "a")
    assert (other.kept, other.is_ended) == (["isolate"], False)
    service.is_away = False
    assert act(other, "lock off")["job"]["locked"]
    assert kept(again, two) == ["isolate", "lock off"]


def test_a_paper_begun_anew_elsewhere_finds_its_job_as_it_stands(service: Service, two: Set, tmp_path: Path) -> None:
    """A fresh copy, without a journal, is held to what was done; the journal of the copy holds it too."""
    _, bench = opened(two, tmp_path / "a")
    act(bench, "isolate")
    paper, other = opened(two, tmp_path / "b")
    assert other.kept == ["isolate"]
    assert kept(paper, two) == ["isolate"]


def test_a_service_that_has_lost_its_file_is_told_again(
    service: Service, two: Set, trade: Library, tmp_path: Path
) -> None:
    """Where the journal goes on from what the service knows, the acts are done again there."""
    _, bench = opened(two, tmp_path / "a")
    for done in two.acts(0)[:5]:
        act(bench, done)
    service.jobs = Jobs(two.papers, lambda _: trade, tmp_path / "other log")
    _, other = opened(two, tmp_path / "a")
    assert other.kept == two.acts(0)[:5]
    assert service.jobs.told(two.user(0), two.papers.papers[0].id, two.job(0).id)["acts"] == two.acts(0)[:5]


def test_nothing_is_done_once_handed_in(service: Service, two: Set, tmp_path: Path) -> None:
    """An act after the hand-in is not asked for."""
    paper, bench = opened(two, tmp_path / "a")
    act(bench, "isolate")
    paper.submit()
    act(bench, "lock off")
    assert bench.kept == ["isolate"]
    assert service.jobs.told(two.user(0), two.papers.papers[0].id, two.job(0).id)["acts"] == ["isolate"]


def test_off_the_hub_a_bench_says_where_it_works(two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A kernel that no hub started has neither address nor token; the paper opens all the same."""
    for name in (line.ADDRESS, line.TOKEN):
        monkeypatch.delenv(name, raising=False)
    _, bench = opened(two, tmp_path / "a")
    assert bench.state["said"]["text"].startswith("This bench works only where your tutor's hub runs it")
    assert bench.kept == []


def test_a_service_that_is_not_there_is_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """A closed port is no answer, and no error of another sort."""
    monkeypatch.setenv(line.ADDRESS, "http://127.0.0.1:9/services/bench")
    monkeypatch.setenv(line.TOKEN, "0" * 32)
    with pytest.raises(NoAnswer) as caught:
        line.asker("00", "q01")(None)
    assert caught.value.key == "away"


@pytest.mark.parametrize(("status", "key"), [(400, "no-more"), (403, "refused"), (404, "refused"), (500, "away")])
def test_what_the_service_answers_is_told_apart(status: int, key: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it does not take, whom it does not know, and what it cannot do just now have a sentence each."""

    class Refusing(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_error(status)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    with HTTPServer(("127.0.0.1", 0), Refusing) as server:
        threading.Thread(target=server.handle_request, daemon=True).start()
        monkeypatch.setenv(line.ADDRESS, f"http://127.0.0.1:{server.server_port}/services/bench")
        monkeypatch.setenv(line.TOKEN, "0" * 32)
        with pytest.raises(NoAnswer) as caught:
            line.asker("00", "q01")(None)
    assert caught.value.key == key
