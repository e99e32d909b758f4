"""What the service of a hub does with a job, without a hub: held to what was done, told as a page shows it, kept."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest
from hubs import Set

from probebook.bench.acts import MOST
from probebook.bench.simulator import Bench, BenchSpec, open_bench
from probebook.cases.library import Library
from probebook.errors import UsageError
from probebook.hub.jobs import MOST_BACKS, Jobs, NotADoing, NotYours


def jobs(two: Set, trade: Library, log: Path) -> Jobs:
    """The benches of the class, kept in a file."""
    return Jobs(two.papers, lambda _: trade, log)


def done(found: Jobs, two: Set, acts: list[str]) -> dict[str, Any]:
    """Do acts on the bench of the first learner; how it stands."""
    place = two.user(0), two.papers.papers[0].id, two.job(0).id
    told = found.told(*place)
    for act in acts:
        told = found.do(*place, {"count": len(told["acts"]), "act": act})
    return told


def test_what_is_told_is_the_core_and_has_no_par(two: Set, trade: Library, tmp_path: Path) -> None:
    """Every display and sentence is the bench's that marks; at the end nothing is compared with a good job."""
    found, item = jobs(two, trade, tmp_path / "log"), two.job(0)
    bench = open_bench(BenchSpec.from_json(item.question.bench), trade)
    stands = bench.start()
    for act in two.acts(0):
        stands, shown = bench.act(stands, act)
        told = done(found, two, [act])
        assert told["state"]["said"]["text"] == str(shown.text)
        assert told["state"]["display"] == shown.display
    assert told["acts"] == two.acts(0)
    assert (told["state"]["par"], told["state"]["spent"], told["state"]["restarts"]) == ("", {}, True)
    assert told["state"]["job"]["over"]


def test_a_conclusion_alone_is_taken_back(two: Set, trade: Library, tmp_path: Path) -> None:
    """After it the job stands as before it; an act that is no conclusion stays."""
    found, acts = jobs(two, trade, tmp_path / "log"), two.acts(0)
    place = two.user(0), two.papers.papers[0].id, two.job(0).id
    before = done(found, two, acts[:-1])
    assert found.do(*place, {"count": len(acts) - 1, "back": True})["acts"] == acts[:-1]
    done(found, two, acts[-1:])
    after = found.do(*place, {"count": len(acts), "back": True})
    assert after["acts"] == acts[:-1]
    assert after["state"]["job"] == before["state"]["job"]
    assert after["state"]["log"] == before["state"]["log"]


def test_who_knows_of_other_acts_does_nothing(two: Set, trade: Library, tmp_path: Path) -> None:
    """A page that has missed what another did, or asks twice, is told how the job stands and changes nothing."""
    found = jobs(two, trade, tmp_path / "log")
    place = two.user(0), two.papers.papers[0].id, two.job(0).id
    done(found, two, ["isolate"])
    assert found.do(*place, {"count": 0, "act": "energise"})["acts"] == ["isolate"]
    assert found.do(*place, {"count": 2, "act": "energise"})["acts"] == ["isolate"]


def test_a_service_that_begins_anew_goes_on(two: Set, trade: Library, tmp_path: Path) -> None:
    """What was done is on disk, for its owner alone to read, and half a line at its end is cut off."""
    log, acts = tmp_path / "log", two.acts(0)
    before = done(jobs(two, trade, log), two, acts)
    assert log.stat().st_mode & 0o777 == 0o600
    with log.open("ab") as stream:
        stream.write(b'{"act": "lock')
    again = jobs(two, trade, log)
    after = again.told(two.user(0), two.papers.papers[0].id, two.job(0).id)
    assert after["acts"] == before["acts"]
    assert after["state"]["job"] == before["state"]["job"]
    assert len(log.read_bytes().splitlines()) == len(acts)
    again.do(two.user(0), two.papers.papers[0].id, two.job(0).id, {"count": len(acts), "back": True})
    assert done(jobs(two, trade, log), two, [])["acts"] == acts[:-1]


@pytest.mark.parametrize("content", [b"nonsense\n", b"[]\n", b'{"paper": "00", "item": "q01", "act": "isolate"}\n'])
def test_a_damaged_or_foreign_log_is_refused(content: bytes, two: Set, trade: Library, tmp_path: Path) -> None:
    """One sentence names the file; nothing is guessed."""
    (tmp_path / "log").write_bytes(content)
    with pytest.raises(UsageError) as caught:
        jobs(two, trade, tmp_path / "log")
    assert str(tmp_path / "log") in str(caught.value)


def test_a_job_is_its_learners_alone(two: Set, trade: Library, tmp_path: Path) -> None:
    """Another learner's paper, an item without a bench, a paper of no set: as if they were not there."""
    found = jobs(two, trade, tmp_path / "log")
    own = two.papers.papers[0].id
    ada, bo = two.user(0), two.user(1)
    for learner, paper, item in ((bo, own, two.job(0).id), (ada, own, two.plain(0).id), (ada, "00", two.job(0).id)):
        with pytest.raises(NotYours):
            found.told(learner, paper, item)
        with pytest.raises(NotYours):
            found.do(learner, paper, item, {"count": 0, "act": "isolate"})
    assert not (tmp_path / "log").exists()


@pytest.mark.parametrize(
    "doing",
    [
        {},
        {"count": 0},
        {"act": "isolate"},
        {"count": True, "act": "isolate"},
        {"count": 0, "act": "isolate", "faults": []},
        {"count": 0, "act": "isolate", "more": 1},
        {"count": 0, "act": "no act at all"},
        {"count": 0, "act": "look " + "x" * 200},
        {"count": 0, "faults": [0.0]},
        {"count": 0, "faults": [999]},
        {"count": 0, "faults": list(range(5))},
        {"count": 0, "back": 1},
    ],
    ids=str,
)
def test_what_is_no_act_is_refused(doing: dict[str, Any], two: Set, trade: Library, tmp_path: Path) -> None:
    """Nothing is done, and nothing is kept."""
    found = jobs(two, trade, tmp_path / "log")
    with pytest.raises(NotADoing):
        found.do(two.user(0), two.papers.papers[0].id, two.job(0).id, doing)
    assert not (tmp_path / "log").exists()


def test_a_job_has_an_end(two: Set, trade: Library, tmp_path: Path) -> None:
    """More acts than marking reads are not taken."""
    found = jobs(two, trade, tmp_path / "log")
    job = found._job((two.papers.papers[0].id, two.job(0).id))
    for _ in range(MOST):
        job.do("meter ohms")
    assert len(job.acts) == MOST
    with pytest.raises(NotADoing):
        found.do(two.user(0), two.papers.papers[0].id, two.job(0).id, {"count": MOST, "act": "isolate"})


def test_a_conclusion_as_the_last_act_is_taken_back(two: Set, trade: Library, tmp_path: Path) -> None:
    """A job of as many acts as any has can be concluded by the last of them, and that is taken back as any is."""
    found, place = jobs(two, trade, tmp_path / "log"), (two.user(0), two.papers.papers[0].id, two.job(0).id)
    job = found._job(place[1:])
    for _ in range(MOST - 1):
        job.do("meter ohms")
    assert len(found.do(*place, {"count": MOST - 1, "faults": [0]})["acts"]) == MOST
    assert len(found.do(*place, {"count": MOST, "back": True})["acts"]) == MOST - 1


def test_a_conclusion_taken_back_again_and_again_holds_nobody_up(
    two: Set, trade: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is done again for it; after a new start what stands is done once, when asked for; there is an end."""
    log, place = tmp_path / "log", (two.user(0), two.papers.papers[0].id, two.job(0).id)
    found, did = jobs(two, trade, log), []
    acts = done(found, two, two.acts(0)[:-1])["acts"]
    act = Bench.act
    monkeypatch.setattr(Bench, "act", lambda *given: did.append(given) or act(*given))
    for _ in range(MOST_BACKS):
        found.do(*place, {"count": len(acts), "faults": [0]})
        assert found.do(*place, {"count": len(acts) + 1, "back": True})["acts"] == acts
    assert len(did) == MOST_BACKS
    found.do(*place, {"count": len(acts), "faults": [0]})
    with pytest.raises(NotADoing):
        found.do(*place, {"count": len(acts) + 1, "back": True})
    did.clear()
    again = jobs(two, trade, log)
    assert did == []
    assert len(again.told(*place)["acts"]) == len(did) == len(acts) + 1
    with pytest.raises(NotADoing):
        again.do(*place, {"count": len(acts) + 1, "back": True})


@pytest.mark.parametrize("doing", [{"faults": [0]}, {"back": True}], ids=str)
@pytest.mark.parametrize("written", [0, 7, None], ids=str)
def test_what_cannot_be_kept_is_not_done(
    written: int | None,
    doing: dict[str, Any],
    two: Set,
    trade: Library,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A full disk takes no line, or a part of one: the job and the file are as before, and it goes on afterwards."""
    log, place = tmp_path / "log", (two.user(0), two.papers.papers[0].id, two.job(0).id)
    found = jobs(two, trade, log)
    acts = done(found, two, ["isolate"])["acts"]
    if "back" in doing:
        acts = found.do(*place, {"count": 1, "faults": [0]})["acts"]
    before, content, write = found.told(*place), log.read_bytes(), os.write

    def full(file: int, line: bytes) -> int:
        if written is None:
            raise OSError(errno.ENOSPC, "full")
        return write(file, line[:written])

    with monkeypatch.context() as patch:
        patch.setattr("probebook.hub.joblog.os.write", full)
        with pytest.raises(OSError, match=r"full|space"):
            found.do(*place, {"count": len(acts), **doing})
    assert log.read_bytes() == content
    assert found.told(*place) == before
    after = found.do(*place, {"count": len(acts), **doing})
    assert after["acts"] != acts
    assert jobs(two, trade, log).told(*place)["acts"] == after["acts"]


def test_numbers_conclude_what_the_view_lists(two: Set, trade: Library, tmp_path: Path) -> None:
    """Faults are named by their places in the list that the page shows."""
    found, item = jobs(two, trade, tmp_path / "log"), two.job(0)
    bench = open_bench(BenchSpec.from_json(item.question.bench), trade)
    told = found.do(two.user(0), two.papers.papers[0].id, item.id, {"count": 0, "faults": [1]})
    assert told["acts"] == [f"conclude {bench.appliance.faults[1].id}"]
