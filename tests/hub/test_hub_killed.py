"""A hub that was killed and started again: who sat their paper goes on at the server that they had."""

from __future__ import annotations

import os
import signal
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from hub_learner import HubLearner
from hubs import BENCHED, ENDING, PASSPHRASE, SOURCE, Set, running, why_not

from probebook.api import assessing
from probebook.assessment.model import Learner
from probebook.assessment.setting.blueprints import load_blueprint
from probebook.cases.library import Library
from probebook.scenario_folder import scenarios_dir

pytestmark = [pytest.mark.slow, pytest.mark.skipif(bool(why_not()), reason=why_not() or "none")]


@pytest.fixture
def one(trade: Library, tmp_path: Path) -> Set:
    """The paper of one learner."""
    tmp_path.chmod(0o700)
    path, june = tmp_path / "on-the-bench.toml", tmp_path / "june"
    path.write_text(BENCHED, "utf-8")
    june.mkdir(mode=0o700)
    plan = replace(load_blueprint(path, trade), asks_service=True)
    learner = Learner(f"pb-hub-cy{os.environ.get('PYTEST_XDIST_WORKER', '')}", "Cy Coil")
    made = assessing.set_class(plan, (learner,), june, PASSPHRASE, trade, secret="d5" * 32)
    return Set(made.papers, june, made.key)


def commands(found: Set) -> dict[int, bytes]:
    """The processes that work in the folder of the hub: number and command."""
    told = {}
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if (place / "cwd").resolve() == (found.folder / "hub").resolve():
                told[int(place.name)] = (place / "cmdline").read_bytes()
        except OSError:
            continue
    return told


def test_a_hub_that_was_killed_goes_on(one: Set) -> None:
    """The command says that it ended; a new start takes over the server, whose bench answers at the same address."""
    with running(one) as hub:
        learner = HubLearner(hub.address, one.user(0), one.name(0))
        assert learner.sign_in(hub.passwords[learner.user]) == 200
        learner.open()
        learner.attend()
        key = next(key for key in learner.components if key.endswith("/bench.js"))
        server = learner.run("import os; print(os.getppid())")
        first, second = one.acts(0)[:2]
        assert learner.act(key, first)["said"]["tone"] != "no"
        learner.leave()
        (killed,) = (number for number, command in commands(one).items() if b"probebook.hub.running" in command)
        os.kill(killed, signal.SIGKILL)
        assert hub.process.wait(ENDING) == 2

        environment = {**os.environ, "PYTHONPATH": str(SOURCE), "PROBEBOOK_SCENARIOS": str(scenarios_dir().resolve())}
        again = subprocess.Popen(hub.process.args, stdout=subprocess.PIPE, text=True, env=environment)
        try:
            assert again.stdout is not None
            assert any("Ctrl-C" in told for told in again.stdout)
            learner.open()
            learner.attend()
            assert learner.run("import os; print(os.getppid())") == server
            assert learner.act(key, second)["said"]["tone"] != "no"
            learner.leave()
        finally:
            learner.web.close()
            again.send_signal(signal.SIGHUP)
            said, _ = again.communicate(timeout=ENDING)
        assert "0 hand-ins of 1 paper" in said
        assert again.returncode == 0
        assert commands(one) == {}
        assert not Path(f"/proc/{server}").exists()
