"""A sample of the moments at which commands and a kernel are killed or stopped, and writing where there is no room.

The whole, by hand: ``python tests/tools/kill_at_random.py --moments 200``, and the same with ``--stop``.
"""

from __future__ import annotations

import random
import shutil
import subprocess
from pathlib import Path

import pytest
from command_trials import environment, line_of, prepared, trials
from kill_at_random import kernel_trial, run_trial, stray

from progress_lines import without_progress

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="processes are looked up in /proc"),
]
MOMENTS = 2
#: Seconds: the bar of one second holds where nothing else runs; here other tests may.
BAR = 20.0


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small scenarios folder, built, with a class that was set and marked."""
    folder = tmp_path_factory.mktemp("killed") / "trial"
    folder.mkdir()
    prepared(folder)
    return folder


@pytest.fixture
def here(place: Path, tmp_path: Path) -> Path:
    """A copy of it to do harm in."""
    return Path(shutil.copytree(place, tmp_path / "trial"))


@pytest.mark.parametrize("name", ["build", "set", "verify"])
def test_killed_nothing_is_half_written_and_the_next_run_works(here: Path, name: str) -> None:
    """Old files or new ones, each whole; no process outlives the one that was killed by much."""
    tally = run_trial(trials()[name], here, MOMENTS, random.Random(name), stop=False, bar=BAR)
    assert (tally.wrong, tally.moments) == ([], MOMENTS)


@pytest.mark.parametrize("name", ["build", "set", "verify", "print"])
def test_stopped_nothing_is_left(here: Path, name: str) -> None:
    """Ctrl-C: exit code 130, one line, no file for a while only, no process."""
    tally = run_trial(trials()[name], here, MOMENTS, random.Random(name), stop=True, bar=BAR)
    assert (tally.wrong, tally.moments) == ([], MOMENTS)


def test_what_a_killed_kernel_acknowledged_is_in_the_journal_once(here: Path) -> None:
    """Killed at any moment after it said that an answer is saved."""
    tally = kernel_trial(here, MOMENTS, random.Random("kernel"))
    assert (tally.wrong, tally.moments) == ([], MOMENTS + 1)  # one more tells how long ten answers take


NO_ROOM = """
import resource, sys
from probebook.cli import main
resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))
main()
"""


def content(folder: Path) -> dict[str, bytes]:
    """Every file by name, but for the scenarios."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files if "scenarios" not in path.parts}


@pytest.mark.parametrize("name", ["build", "set", "moderate", "report", "export", "print", "site"])
def test_where_there_is_no_room_the_old_files_stay(here: Path, name: str) -> None:
    """No file may grow beyond 3 kB: one sentence, exit code 2, and everything as before."""
    trial = trials()[name]
    trial.before(here, 1)
    before = content(here)
    line = [line_of()[0], "-c", NO_ROOM, *trial.line]
    env = {**environment(here), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(line, cwd=here, env=env, capture_output=True, text=True, check=False)
    said = without_progress(done.stderr).splitlines()
    assert (done.returncode, len(said)) == (2, 1), done.stderr
    assert "file too large" in said[0]
    assert content(here) == before
    assert stray(here) == []
