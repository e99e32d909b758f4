"""A class set on a cluster of dask's: the same papers, whoever draws them, and a killed worker loses nothing."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from lost_jobs import always_killed, killed_once, wrong

import probebook
from probebook.assessment.codec import paper_set_text
from probebook.assessment.model import Learner
from probebook.assessment.setting.blueprints import find_blueprint, load_blueprint
from probebook.assessment.setting.papers import set_papers
from probebook.assessment.setting.writing import papers_as_text
from probebook.cases.library import library
from probebook.cluster import Cluster
from probebook.errors import ScenarioError, UsageError
from probebook.executor import Serial

dask = pytest.importorskip("dask")
distributed = pytest.importorskip("distributed")
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("default")]

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The address of a cluster with two workers, each a process of this machine."""
    source = str(Path(probebook.__file__).resolve().parents[1])
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join((str(Path(__file__).parent), source, *([before] if before else [])))
    try:
        # A job that has ended two workers is given up, so that the test of one does not wait for four.
        with (
            dask.config.set({"distributed.scheduler.allowed-failures": 1}),
            distributed.LocalCluster(
                n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
            ) as cluster,
        ):
            yield str(cluster.scheduler_address)
    finally:
        os.environ.pop("PYTHONPATH")
        if before is not None:
            os.environ["PYTHONPATH"] = before


def drawn(executor: Any) -> tuple[str, dict[str, str]]:
    """The key of a small class, and its papers by name."""
    trade = library(ROOT / "scenarios")
    blueprint = load_blueprint(find_blueprint("before-you-touch-it", trade.folder), trade)
    learners = [Learner(f"learner{number}", f"Learner {number}") for number in range(3)]
    papers = set_papers(blueprint, learners, "5a" * 32, trade, "2026-11-27T12:00:00Z", executor)
    return paper_set_text(papers), papers_as_text(papers, trade, executor)


def test_papers_are_the_same_bytes(address: str) -> None:
    """Keys and papers of a class are those that one process draws."""
    assert drawn(Cluster(address)) == drawn(Serial())


def test_a_killed_worker_loses_nothing(address: str, tmp_path: Path) -> None:
    """What a lost worker was at is done by another, and results keep their order."""
    done: list[int] = []
    jobs = [(number, str(tmp_path / "note")) for number in range(6)]
    assert Cluster(address).map(killed_once, jobs, lambda: done.append(1)) == list(range(6))
    assert (tmp_path / "note").exists()
    assert len(done) == 6


def test_a_job_that_always_kills_is_named(address: str) -> None:
    """It is said which job ended its worker."""
    with pytest.raises(UsageError, match="job 3 ended its worker each time; set without --cluster"):
        Cluster(address).map(always_killed, list(range(4)))


def test_what_a_job_raises_is_raised(address: str) -> None:
    """An error crosses from a worker whole: message, place and remedy."""
    with pytest.raises(ScenarioError, match=r"row\[2\]: this cannot be met; widen it"):
        Cluster(address).map(wrong, list(range(4)))


def test_a_cluster_that_is_none_is_said() -> None:
    """What is no address, and where nobody answers, are one sentence each."""
    with pytest.raises(UsageError, match=r"--cluster here: this is no address of a cluster; write it as tcp://"):
        Cluster("here").map(wrong, [1])
    with pytest.raises(UsageError, match=r"tcp://127\.0\.0\.1:9: no cluster answers there"):
        Cluster("tcp://127.0.0.1:9").map(wrong, [1])
