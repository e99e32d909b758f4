"""Break the source in small ways, one at a time, and see whether the nearest tests notice.

Run from anywhere; the tree is copied first, so that nothing here is disturbed::

    python tests/tools/mutate.py --count 250 --jobs 2              # a sample, the same from the same seed
    python tests/tools/mutate.py --only cases/gates.py --count 999 # all of one file
    python tests/tools/mutate.py --by-hand                         # the breakages of breakages.toml
    python tests/tools/mutate.py --listed                          # those of survivors.toml once more

``mutation.toml`` says which packages are gone through and which tests are nearest to each file; ``survivors.toml``
lists breakages that no test can or need notice, each with its reason: they are left out of a sample. The exit status is
1 when fewer than the wanted share is noticed.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

from mutants import Mutant, applied, mutants_of

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SOURCE = Path("src", "probebook")
#: What tests need beside the source; what git does not know of is left behind.
COPIED = ("src", "tests", "scenarios", "docs", "tools", ".ci", "pyproject.toml", "README.md", "DEVELOPERS.md")
LEFT = shutil.ignore_patterns("__pycache__", "node_modules", ".pytest_cache", ".hypothesis")
#: Seconds that one test, and a list of tests, may take; what is slower has been sent round in circles.
LONGEST, LIST = 90, 900.0
PYTEST = ("-m", "pytest", "-q", "--maxfail=1", "-p", "no:cacheprovider", "-o", f"timeout={LONGEST}")
QUICK = ("-m", "not slow and not browser", "--hypothesis-profile=few")


@dataclass(frozen=True, slots=True)
class Settings:
    """What ``mutation.toml`` says: packages by name, and the nearest tests of each path, the longest name first."""

    packages: dict[str, tuple[str, ...]]
    nearest: tuple[tuple[str, tuple[str, ...]], ...]

    def tests(self, path: str) -> tuple[str, ...]:
        """The tests nearest to a source file."""
        return next(tests for name, tests in self.nearest if path == name or path.startswith(f"{name}/"))


def settings() -> Settings:
    """Read ``mutation.toml``."""
    read = tomllib.loads((HERE / "mutation.toml").read_text("utf-8"))
    nearest = sorted(read["nearest"].items(), key=lambda item: -len(item[0]))
    return Settings(
        {name: tuple(paths) for name, paths in read["packages"].items()},
        tuple((name, tuple(tests)) for name, tests in nearest),
    )


def mutants_in(paths: Iterable[str]) -> list[Mutant]:
    """Every breakage of these files and folders of the source."""
    found: list[Mutant] = []
    for name in paths:
        place = ROOT / SOURCE / name
        files = sorted(place.rglob("*.py")) if place.is_dir() else [place]
        for file in files:
            path = file.relative_to(ROOT / SOURCE).as_posix()
            found += mutants_of(path, file.read_text("utf-8"))
    return found


def listed() -> dict[tuple[str, str, str, str, int], str]:
    """Breakages that are known to go unnoticed, with the reason of each."""
    read = tomllib.loads((HERE / "survivors.toml").read_text("utf-8"))
    return {
        (row["path"], row["within"], row["before"], row["after"], row.get("nth", 0)): row["reason"]
        for row in read.get("survivor", ())
    }


def by_hand() -> list[Mutant]:
    """The breakages of ``breakages.toml``: text of a file, found once, and what it becomes."""
    found: list[Mutant] = []
    for row in tomllib.loads((HERE / "breakages.toml").read_text("utf-8"))["breakage"]:
        data, before = (ROOT / SOURCE / row["path"]).read_bytes(), row["before"].encode()
        if data.count(before) != 1:
            raise SystemExit(f"{row['path']}: '{row['before']}' is there {data.count(before)} times, not once")
        start = data.index(before)
        line = data[:start].count(b"\n") + 1
        found.append(
            Mutant(row["path"], row["says"], "by hand", row["before"], row["after"], line, start, start + len(before))
        )
    return found


def chosen(mutants: Sequence[Mutant], count: int, seed: str) -> list[Mutant]:
    """So many of them, each by its own draw: what is added to or taken from a file leaves the rest of a sample."""

    def draw(mutant: Mutant) -> bytes:
        return hashlib.sha256(repr((seed, *mutant.key)).encode()).digest()

    return sorted(mutants, key=draw)[:count]


class Tree:
    """A copy of the project in which one file at a time is broken."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.clock = int(time.time())
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(ROOT / name, folder / name, ignore=LEFT)
            elif (ROOT / name).exists():
                shutil.copy(ROOT / name, folder / name)
        for name in ("workbooks", "answer_keys"):
            (folder / name).symlink_to(ROOT / name)

    def noticed(self, mutant: Mutant, tests: Sequence[str]) -> tuple[str, str]:
        """How the tests took a breakage: ``killed``, ``survived`` or ``timeout``; and which test noticed it."""
        path = self.folder / SOURCE / mutant.path
        sound = path.read_text("utf-8")
        try:
            self._write(path, applied(sound, mutant))
            return self.run(tests)
        finally:
            self._write(path, sound)

    def _write(self, path: Path, text: str) -> None:
        """Write a file with a date of its own, so that no compiled copy of another text is taken for it."""
        path.write_text(text, "utf-8")
        self.clock += 2
        os.utime(path, (self.clock, self.clock))

    def run(self, tests: Sequence[str]) -> tuple[str, str]:
        """Run tests in the copy until one fails."""
        python = os.pathsep.join((str(self.folder / "src"), *filter(None, [os.environ.get("PYTHONPATH")])))
        environment = {**os.environ, "PYTHONPATH": python}
        environment.pop("PYTEST_ADDOPTS", None)
        begun = subprocess.Popen(
            [sys.executable, *PYTEST, *QUICK, *tests],
            cwd=self.folder,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        try:
            said = begun.communicate(timeout=LIST)[0]
        except subprocess.TimeoutExpired:
            os.killpg(begun.pid, signal.SIGKILL)
            begun.communicate()
            return "timeout", ""
        if begun.returncode == 0:
            return "survived", ""
        if begun.returncode not in (1, 2, 3) and begun.returncode > 0:
            raise SystemExit(f"the tests could not be run:\n{said[-2000:]}")
        failed = [line.split(" - ")[0] for line in said.splitlines() if line.startswith(("FAILED", "ERROR"))]
        return "killed", failed[0] if failed else f"exit status {begun.returncode}"


@dataclass(frozen=True, slots=True)
class Result:
    """A breakage and how it was taken."""

    mutant: Mutant
    outcome: str
    by: str


def taken(mutants: Sequence[Mutant], tests: Settings, jobs: int, scratch: Path) -> list[Result]:
    """How the nearest tests take each breakage, told as they come."""
    trees: SimpleQueue[Tree] = SimpleQueue()
    for job in range(jobs):
        (scratch / str(job)).mkdir()
        trees.put(Tree(scratch / str(job)))

    def one(mutant: Mutant) -> Result:
        tree = trees.get()
        try:
            result = Result(mutant, *tree.noticed(mutant, tests.tests(mutant.path)))
        finally:
            trees.put(tree)
        print(f"{result.outcome:9}{mutant}  {result.by}", flush=True)
        return result

    with ThreadPoolExecutor(jobs) as pool:
        return list(pool.map(one, mutants))


def report(results: Sequence[Result], packages: dict[str, tuple[str, ...]]) -> float:
    """Print how many were noticed, by package, and what was not; give back the share noticed."""
    for name, paths in packages.items():
        here = [r for r in results if any(r.mutant.path == p or r.mutant.path.startswith(f"{p}/") for p in paths)]
        if here:
            print(f"{name:12}{_share(here):6.1%} of {len(here)}")
    print(f"{'all':12}{_share(results):6.1%} of {len(results)}")
    return _share(results)


def _share(results: Sequence[Result]) -> float:
    return sum(r.outcome != "survived" for r in results) / max(len(results), 1)


def wanted(given: argparse.Namespace, tests: Settings) -> list[Mutant]:
    """The breakages that were asked for, as many from each package."""
    if given.by_hand:
        return by_hand()
    known = listed()
    if given.again:
        lines = given.again.read_text("utf-8").splitlines()
        told = {line[9:].split(":", 1)[0] for line in lines if line.startswith("survived")}
        went = {line[9:].strip() for line in lines if line.startswith("survived")}
        return [m for m in mutants_in(sorted(told)) if str(m).strip() in went and m.key not in known]
    if given.listed:
        return [m for m in mutants_in(sorted({key[0] for key in known})) if m.key in known]
    if given.only:
        return chosen([m for m in mutants_in(given.only) if m.key not in known], given.count, given.seed)
    packages = [paths for name, paths in tests.packages.items() if name in (given.packages or tests.packages)]
    each = -(-given.count // len(packages))
    found = [chosen([m for m in mutants_in(paths) if m.key not in known], each, given.seed) for paths in packages]
    turns = [m for i in range(each) for part in found for m in part[i : i + 1]]
    return turns[: given.count]


def main(arguments: Sequence[str] | None = None) -> int:
    """Break the source in small ways and see whether the nearest tests notice; 1 when too few are noticed."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--count", type=int, default=20, help="how many breakages")
    parser.add_argument("--seed", default="probebook", help="names the sample")
    parser.add_argument("--only", nargs="+", metavar="PATH", help="files or folders of src/probebook")
    parser.add_argument("--packages", nargs="+", metavar="NAME", help="packages of mutation.toml; all by default")
    parser.add_argument("--by-hand", action="store_true", help="the breakages of breakages.toml instead")
    parser.add_argument("--listed", action="store_true", help="those of survivors.toml instead")
    parser.add_argument("--again", type=Path, metavar="LOG", help="those that a log of this tool says survived")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--least", type=float, default=0.9, help="the share that has to be noticed")
    given = parser.parse_args(arguments)
    tests = settings()
    with tempfile.TemporaryDirectory(prefix="mutants-") as scratch:
        results = taken(wanted(given, tests), tests, given.jobs, Path(scratch))
    return 0 if report(results, tests.packages) >= (0.0 if given.listed else given.least) else 1


if __name__ == "__main__":
    sys.exit(main())
