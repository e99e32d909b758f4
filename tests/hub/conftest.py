"""A class whose benches are asked of a service, set once; and, where this machine allows it, a hub on which it sits."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hubs import BENCHED, PASSPHRASE, Hub, Set, running, why_not

from probebook.api import assessing
from probebook.assessment.model import Learner
from probebook.assessment.setting.blueprints import load_blueprint
from probebook.cases.library import Library, library
from probebook.scenario_folder import scenarios_dir


@pytest.fixture(scope="session")
def trade() -> Library:
    """The library of the project, in English."""
    return library(scenarios_dir().resolve(), "gb", "en")


@pytest.fixture(scope="module")
def two(trade: Library, tmp_path_factory: pytest.TempPathFactory) -> Set:
    """Papers of two learners, whose names no user of a machine has."""
    from dataclasses import replace

    folder = tmp_path_factory.mktemp("hub")
    folder.chmod(0o700)
    path = folder / "on-the-bench.toml"
    path.write_text(BENCHED, "utf-8")
    plan = replace(load_blueprint(path, trade), asks_service=True)
    worker = os.environ.get("PYTEST_XDIST_WORKER", "")  # each has a hub, and users, of its own
    learners = (Learner(f"pb-hub-ada{worker}", "Ada Lamp"), Learner(f"pb-hub-bo{worker}", "Bo Fuse"))
    (folder / "june").mkdir(mode=0o700)
    made = assessing.set_class(plan, learners, folder / "june", PASSPHRASE, trade, secret="b3" * 32)
    return Set(made.papers, folder / "june", made.key)


@pytest.fixture(scope="module")
def hub(two: Set) -> Iterator[Hub]:
    """A hub that runs, with both learners as users of this machine; they are gone afterwards.

    Each file of tests has its own: one of them ends by stopping it.
    """
    reason = why_not()
    if reason:
        pytest.skip(reason)
    with running(two) as found:
        yield found
