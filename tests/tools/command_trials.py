"""Commands on a small folder of their own, and what must hold of what they write whatever became of them."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS.parent / "src")]

from probebook.errors import ProbebookError  # noqa: E402
from probebook.questions.codec import read_sheet  # noqa: E402
from probebook.workbook.finding import key_of  # noqa: E402
from small_scenarios import small_scenarios  # noqa: E402

#: Environment variable by which processes of one trial are told from all others.
OURS = "PROBEBOOK_TRIAL"

PASSPHRASE = "a passphrase for trials"
BLUEPRINT = """
id = "tiny"
title = "Tiny"
summary = "Two questions, invented for a trial."
reader = "apprentice"
region = "gb"
minutes = "10 min"
band = [-9.0, 9.0]
pass-share = 0.5
safety = "item"

[[row]]
id = "watts"
outcome = "power"
kind = "power"
level = 1
marks = 2
items = 2
options = { form = "watts" }
"""


@dataclass(frozen=True)
class Trial:
    """A command, where it works, and what must hold of its folder whatever became of it."""

    name: str
    line: Sequence[str]
    sound: Callable[[Path], list[str]]
    writes: str
    before: Callable[[Path, int], object] = lambda *_: None
    #: Part of the one sentence that the next run may end in.
    refused: str = ""


# ---------------------------------------------------------------- what must hold


def build_and_key(folder: Path) -> list[str]:
    """Notebook and key are whole and of one build."""
    found = []
    for book in folder.glob("workbooks/*.ipynb"):
        key = folder / "answer_keys" / f"{book.stem}.json"
        try:
            mark = json.loads(book.read_text("utf-8"))["metadata"]["probebook"]["build"]
            meta = read_sheet(key_of(key, book)).meta["build"]
        except (OSError, ValueError, LookupError, ProbebookError) as error:
            found.append(f"{book.name} or its key is not whole: {error}")
            continue
        if mark != meta:
            found.append(f"{book.name} has the key of another build")
    return found


def papers_and_key(folder: Path) -> list[str]:
    """Every paper is whole and has its key beside it; the record names no other set."""
    papers = list(folder.glob("set/papers/*.ipynb"))
    keys = list(folder.glob("set/*.key"))
    found = [f"{len(papers)} papers lie there without a key"] if papers and not keys else []
    found += [f"{key.name} can be read by others" for key in keys if key.stat().st_mode & 0o077]
    for paper in papers:
        with suppress_told(found, paper):
            json.loads(paper.read_text("utf-8"))
    record = folder / "set" / "set-record.json"
    if papers and not record.exists():
        found.append("papers lie there without a record")
    return found


def whole_files(pattern: str, end: bytes) -> Callable[[Path], list[str]]:
    """Every file of a pattern ends as such a file does."""

    def sound(folder: Path) -> list[str]:
        wrong = [path for path in folder.glob(pattern) if not path.read_bytes().rstrip().endswith(end)]
        return [f"{path.name} is not whole" for path in wrong]

    return sound


@contextmanager
def suppress_told(found: list[str], path: Path) -> Iterator[None]:
    """Note what cannot be read."""
    try:
        yield
    except (ValueError, LookupError) as error:
        found.append(f"{path.name} is not whole: {error}")


# ---------------------------------------------------------------- the commands

#: The key of the class that was set, and its answers as they were typed in.
KEY = ("--key", "made/tiny.key")
SHEETS = ("--from-sheet", "sheets/answers.csv")


def reseed(folder: Path, number: int) -> None:
    """Another seed for the plan, so that every build differs from the one before."""
    plan = folder / "scenarios" / "workbooks" / "small.toml"
    lines = plan.read_text("utf-8").splitlines()
    plan.write_text("\n".join(f'seed = "{number}"' if line.startswith("seed =") else line for line in lines), "utf-8")


def unset(folder: Path, number: int) -> None:
    """Every other class is set into an empty folder."""
    if number % 2:
        shutil.rmtree(folder / "set", ignore_errors=True)


def trials() -> dict[str, Trial]:
    """All commands, by name."""
    here = ("--scenarios", "scenarios")
    html = b"</html>"
    found = [
        Trial("build", ("build", "--jobs", "1", *here), build_and_key, "workbooks", reseed),
        Trial("verify", ("verify", "--jobs", "2", *here), build_and_key, "none"),
        Trial(
            "set",
            ("set", "tiny.toml", "--class", "class.csv", "--out", "set", "--jobs", "2", *here),
            papers_and_key,
            "set",
            unset,
            refused="another set lies in this folder",
        ),
        Trial("mark", ("mark", *SHEETS, *KEY, "--out", "marks", *here), whole_files("marks/feedback/*", html), "marks"),
        Trial("moderate", ("moderate", *KEY, "--out", "pack", *here), whole_files("pack/*.html", html), "pack"),
        Trial("report", ("report", "marked", *here), whole_files("marked/*.html", html), "marked"),
        Trial("export", ("export", "--out", "out/bank.zip", *here), whole_files("out/*.zip", b""), "out"),
        Trial("print", ("print", "07-small", "--out", "paper", *here), whole_files("paper/*.pdf", b"%%EOF"), "paper"),
        Trial("site", ("site", "pages/site", "--benches", "1", *here), whole_files("pages/site/*.html", html), "pages"),
        Trial("coverage", ("coverage", *here), build_and_key, "none"),
        Trial("check", ("check", "scenarios/workbooks/small.toml", *here), build_and_key, "none"),
    ]  # fmt: skip
    return {trial.name: trial for trial in found}


def prepared(folder: Path) -> None:
    """A scenarios folder, a build of it, a class, a set with its key, and marks."""
    small_scenarios(folder)
    (folder / "tiny.toml").write_text(BLUEPRINT, encoding="utf-8")
    (folder / "class.csv").write_text("id,name\nl1,Ada Lamp\nl2,Bo Fuse\n", encoding="utf-8")
    (folder / "secret.txt").write_text("a secret for trials, long enough", encoding="utf-8")
    (folder / "out").mkdir()
    secret = ("--secret-file", "secret.txt")
    must(folder, "build", "--scenarios", "scenarios")
    must(folder, "set", "tiny.toml", "--class", "class.csv", "--out", "made", "--scenarios", "scenarios", *secret)
    (key,) = folder.glob("made/*.key")
    key.rename(folder / "made" / "tiny.key")
    must(folder, "print", *KEY, "--out", "sheets", "--scenarios", "scenarios")
    first = sorted(folder.glob("sheets/*.csv"))[0]
    lines = [line + "47 W" for line in first.read_text("utf-8").splitlines()[1:]]
    (folder / "sheets" / "answers.csv").write_text(
        "\n".join([first.read_text("utf-8").splitlines()[0], *lines, ""]), encoding="utf-8"
    )
    must(folder, "mark", *SHEETS, *KEY, "--out", "marked", "--scenarios", "scenarios")


def line_of(*arguments: str) -> list[str]:
    """A command line of this package."""
    return [sys.executable, "-m", "probebook", *arguments]


def environment(folder: Path) -> dict[str, str]:
    """Temporary files of a trial lie in its folder, where they can be counted."""
    (folder / "tmp").mkdir(exist_ok=True)
    inherited = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {
        "PYTHONPYCACHEPREFIX": str(folder.parent / f"{folder.name}-bytecode"),
        **inherited,
        "PYTHONPATH": str(TESTS.parent / "src"),
        "PROBEBOOK_PASSPHRASE": PASSPHRASE,
        "PROBEBOOK_CACHE": "off",
        "TMPDIR": str(folder / "tmp"),
        OURS: str(folder),
    }


def must(folder: Path, *arguments: str) -> None:
    """Run a command that has to work."""
    subprocess.run(line_of(*arguments), cwd=folder, env=environment(folder), check=True, stdout=subprocess.DEVNULL)
