"""A hub for tests: its class, what it needs of this machine, its start and its end."""

from __future__ import annotations

import contextlib
import csv
import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.util import find_spec
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "assessment"))
from classes import BENCHED, PASSPHRASE

import probebook
from probebook.assessment.model import Item, PaperSet
from probebook.hub.checking import LOADED, PROXY
from probebook.scenario_folder import scenarios_dir

__all__ = ["BENCHED", "ENDING", "PASSPHRASE", "SOURCE", "Hub", "Set", "running", "why_not"]

SOURCE = Path(probebook.__file__).resolve().parents[1]
NODE = Path(__file__).resolve().parents[1] / "browser_code" / "node_modules" / ".bin"
#: How long (seconds) a hub may take to say that it runs, and to end.
STARTING = ENDING = 90


@dataclass(frozen=True, repr=False)
class Set:
    """A class that was set: its papers, their folder, the key."""

    papers: PaperSet
    folder: Path
    key: Path

    def job(self, number: int) -> Item:
        """The bench of a learner's paper."""
        return next(item for item in self.papers.papers[number].items if item.question.bench)

    def plain(self, number: int) -> Item:
        """Its other question."""
        return next(item for item in self.papers.papers[number].items if not item.question.bench)

    def acts(self, number: int) -> list[str]:
        """The acts of the key of that bench."""
        return list(self.job(number).question.fields[0].answer)

    def user(self, number: int) -> str:
        """The user that a learner is."""
        return self.papers.papers[number].learner.id

    def name(self, number: int) -> str:
        """The stem of a paper's file."""
        return self.papers.blueprint.paper_name(self.papers.papers[number].learner)


@dataclass
class Hub:
    """A hub that runs: its process, where learners reach it, their passwords, what it has said."""

    process: subprocess.Popen[str]
    address: str
    passwords: dict[str, str]
    set: Set
    said: list[str] = field(default_factory=list)

    def stop(self) -> str:
        """End it as Ctrl-C does; all it has said."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        assert self.process.stdout is not None
        self.said += self.process.stdout.read().splitlines()
        self.process.wait(ENDING)
        return "\n".join(self.said)


def proxy() -> str:
    """The proxy: that of the browser code's packages, or of the path; empty where there is none."""
    found = NODE / PROXY
    return str(found) if found.exists() else shutil.which(PROXY) or ""


@cache
def learners_python() -> str:
    """A Python that everybody on this machine can run with Probebook in it; empty where there is none.

    Where that of the tests lies in root's home, the system's own of the same version takes its place, with the packages
    of the tests.
    """
    if _runs_for_others(sys.executable):
        return sys.executable
    place = Path(tempfile.mkdtemp(prefix="probebook-hub-"))
    place.chmod(0o755)
    version = f"python3.{sys.version_info.minor}"
    made = subprocess.run([f"/usr/bin/{version}", "-m", "venv", "--without-pip", place], check=False)
    if made.returncode:
        return ""
    lines = "".join(f"{path}\n" for path in sys.path if "site-packages" in path)
    (place / "lib" / version / "site-packages" / "tests.pth").write_text(lines, "utf-8")
    python = str(place / "bin" / "python")
    return python if _runs_for_others(python) else ""


def _runs_for_others(python: str) -> bool:
    try:
        tried = subprocess.run(
            [python, "-c", LOADED],
            user="nobody",
            group=pwd.getpwnam("nobody").pw_gid,
            extra_groups=[],
            cwd="/",
            env={"PATH": os.environ["PATH"], "PYTHONPATH": str(SOURCE), "MPLCONFIGDIR": "/nonexistent"},
            capture_output=True,
            check=False,
        )
    except OSError:
        return False
    return tried.returncode == 0


def why_not() -> str:
    """What this machine lacks for a hub; empty where nothing."""
    if os.geteuid() != 0:
        return "only root starts servers as other users"
    if find_spec("jupyterhub") is None:
        return "JupyterHub is not installed"
    if not proxy():
        return "configurable-http-proxy is not installed (npm install in tests/browser_code)"
    if shutil.which("useradd") is None or not Path("/etc/pam.d/login").exists():
        return "this machine makes no users, or signs nobody in"
    if not learners_python():
        return "no Python here can be run by other users with Probebook in it"
    return ""


@contextlib.contextmanager
def running(found: Set) -> Iterator[Hub]:
    """Run ``probebook hub`` for a class; its learners are made users before and are gone afterwards."""
    with socket.create_server(("127.0.0.1", 0)) as held:
        port = held.getsockname()[1]
    file, log = found.folder.parent / "passphrase.txt", found.folder / "hub" / "hub.log"
    file.write_text(PASSPHRASE, "utf-8")
    users = found.folder.parent / "users.csv"
    line = [sys.executable, "-m", "probebook", "hub", str(found.folder), "--key", str(found.key)]
    line += ["--passphrase-file", str(file), "--make-users", str(users), "--port", str(port)]
    line += ["--python", learners_python(), "--proxy", proxy()]
    environment = {**os.environ, "PYTHONPATH": str(SOURCE), "PROBEBOOK_SCENARIOS": str(scenarios_dir().resolve())}
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        environment.pop(name, None)
    process = subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment)
    assert process.stdout is not None
    assert process.stderr is not None
    hub = Hub(process, f"http://127.0.0.1:{port}/", {}, found)
    try:
        for told in process.stdout:
            hub.said.append(told.rstrip())
            if "Ctrl-C" in told:
                break
        else:
            raise AssertionError(process.stderr.read() + (log.read_text("utf-8") if log.exists() else ""))
        with users.open(encoding="utf-8", newline="") as stream:
            hub.passwords = {row["user"]: row["password"] for row in csv.DictReader(stream)}
        yield hub
    finally:
        hub.stop()
        process.stderr.close()
        process.stdout.close()
        for paper in found.papers.papers:
            subprocess.run(["userdel", "--remove", paper.learner.id], capture_output=True, check=False)
