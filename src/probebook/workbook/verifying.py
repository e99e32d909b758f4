"""Verify workbooks from outside: run each with nbclient, and compute its keys again in another process."""

from __future__ import annotations

import json
import re
import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from probebook import stopping
from probebook.errors import UsageError
from probebook.files import scratch
from probebook.regions import DEFAULT_REGION
from probebook.words.words import ENGLISH
from probebook.workbook.build.files import KEYS, WORKBOOKS
from probebook.workbook.finding import LONGEST_NOTEBOOK
from probebook.workbook.running import Started, execute, rebuild

__all__ = ["Finding", "built_in", "differences", "holds_only_ours", "run_notebook", "verify_all"]

#: The lines of code that a build writes.
_OURS = re.compile(
    r'from probebook\.workbook import open_workbook; book = open_workbook\("[^"\\\r\n]*"\)'
    r'|book\.ask\("[a-z0-9-]+"\)|book\.(?:progress|practice)\(\)'
)
_NOT_RUN = (
    "holds code that no build writes, so nothing of it was run: build the workbook again, or run it with "
    "--trust-folder if you know whose it is"
)


@dataclass(frozen=True, slots=True)
class Finding:
    """What verifying one workbook found; ``problems`` is empty when every key held."""

    workbook: str
    questions: int
    attempts: int
    seconds: float
    problems: tuple[str, ...]


def verify_all(
    folder: Path,
    scenarios: Path,
    *,
    jobs: int = 1,
    only: Sequence[str] = (),
    trusted: bool = False,
    done: Callable[[str], object] | None = None,
) -> list[Finding]:
    """Verify the workbooks under ``folder`` against ``scenarios``.

    Each is built again in the language and the region that its marking sheet names.

    Parameters
    ----------
    folder
        Holds ``workbooks/`` and ``answer_keys/``.
    scenarios
        Folder from which the keys are computed again.
    jobs
        Notebooks run at the same time.
    only
        Parts of names; when given, only workbooks whose name holds one of them.
    trusted
        Run notebooks that hold other lines of code than a build writes too; without it none of their lines runs.
    done
        Called with the name of each workbook when it is finished.

    Raises
    ------
    UsageError
        There is nothing to verify, or a name fits no workbook.
    """
    notebooks = _chosen(folder / WORKBOOKS, only)
    started = Started()
    builders, runners = ThreadPoolExecutor(1), ThreadPoolExecutor(jobs)
    with scratch() as place, stopping.at_once(started.end):

        def one(path: Path) -> Finding:
            sheet = folder / KEYS / f"{path.stem}.json"
            if trusted or holds_only_ours(path):
                finding = run_notebook(path, sheet, place / path.stem, scenarios, started=started)
            else:
                finding = Finding(path.stem, 0, 0, 0.0, (_NOT_RUN,))
            if done:
                done(path.stem)
            return finding

        try:
            where_built = {path.stem: built_in(folder / KEYS / f"{path.stem}.json") for path in notebooks}
            fresh = {
                where: builders.submit(rebuild, place / "-".join(("fresh", *where)), scenarios, *where, started=started)
                for where in sorted(set(where_built.values()))
            }
            findings = list(runners.map(one, notebooks))
            return [_with_recomputed(f, folder, fresh[where_built[f.workbook]].result()) for f in findings]
        finally:
            started.end()
            for pool in (builders, runners):
                pool.shutdown(wait=False, cancel_futures=True)


def _chosen(folder: Path, only: Sequence[str]) -> list[Path]:
    """The workbooks whose name holds one of ``only``; all where that is empty."""
    found = sorted(folder.glob("*.ipynb"))
    if not found:
        raise UsageError("there are no workbooks", where=str(folder), remedy="run 'probebook build' first")
    for part in only:
        if not any(part.lower() in path.stem.lower() for path in found):
            stems = {word: path.stem for path in found for word in (path.stem, path.stem.partition("-")[2])}
            near = get_close_matches(part.lower(), [*stems, *(w for stem in stems for w in stem.split("-"))], n=1)
            names = ", ".join(path.stem for path in found)
            raise UsageError(
                f"no workbook has '{part}' in its name",
                where=str(folder),
                remedy=f"did you mean '{near[0]}'" if near else f"name one of: {names}",
            )
    return [path for path in found if not only or any(part.lower() in path.stem.lower() for part in only)]


def holds_only_ours(notebook: Path) -> bool:
    """Whether every line of code in a notebook is one that a build writes; False where it cannot be read."""
    try:
        if notebook.stat().st_size > LONGEST_NOTEBOOK:
            return False
        cells = json.loads(notebook.read_bytes())["cells"]
        code = [cell["source"] for cell in cells if cell["cell_type"] not in ("markdown", "raw")]
        return all(_OURS.fullmatch(line if isinstance(line, str) else "".join(line)) for line in code)
    except (OSError, ValueError, RecursionError, LookupError, TypeError):
        return False


def built_in(sheet: Path) -> tuple[str, str]:
    """Language and region that a marking sheet names; those of a build that names none, where it cannot be read."""
    try:
        meta = json.loads(sheet.read_text(encoding="utf-8"))["meta"]
        return str(meta["language"]), str(meta["region"])
    except (OSError, ValueError, KeyError, TypeError):
        return ENGLISH, DEFAULT_REGION


def _with_recomputed(finding: Finding, folder: Path, rebuilt: Path) -> Finding:
    name = finding.workbook
    problems = list(finding.problems)
    for part in (f"{KEYS}/{name}.json", f"{WORKBOOKS}/{name}.ipynb"):
        problems += [f"{part}: {text}" for text in _file_differences(folder / part, rebuilt / part)]
    return Finding(name, finding.questions, finding.attempts, finding.seconds, tuple(problems))


def run_notebook(
    notebook: Path, sheet: Path, place: Path, scenarios: Path | None = None, *, started: Started | None = None
) -> Finding:
    """Run one notebook in a copy of its surroundings, on these scenarios, and answer each question as a page does."""
    start = time.perf_counter()
    problems: list[str] = []
    outcome: dict[str, Any] = {"questions": 0, "attempts": 0, "problems": []}
    (place / WORKBOOKS).mkdir(parents=True)
    (place / KEYS).mkdir()
    try:
        shutil.copy(notebook, place / WORKBOOKS)
        shutil.copy(sheet, place / KEYS)
        outcome = execute(place / WORKBOOKS / notebook.name, scenarios, started)
    except OSError as error:
        problems.append(f"cannot be read ({error})")
    except Exception as error:
        problems.append(f"did not run: {_last_line(error)}")
    return Finding(
        notebook.stem,
        outcome["questions"],
        outcome["attempts"],
        time.perf_counter() - start,
        (*problems, *outcome["problems"]),
    )


def _last_line(error: Exception) -> str:
    lines = [line for line in str(error).splitlines() if line.strip()]
    return lines[-1] if lines else type(error).__name__


# --- comparing with what the scenarios give ------------------------------------------------------------------------


def _file_differences(here: Path, there: Path) -> list[str]:
    if not there.exists():
        return ["no plan makes this file; run 'probebook build'"]
    try:
        data = json.loads(here.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        return [f"cannot be read ({error})"]
    return list(differences(data, json.loads(there.read_text(encoding="utf-8"))))[:10]


def differences(here: Any, there: Any, place: str = "") -> Iterator[str]:
    """Where two JSON values differ, one sentence each; items that have an ``id`` are named by it."""
    if isinstance(here, dict) and isinstance(there, dict):
        for key in sorted(here.keys() | there.keys()):
            spot = f"{place}.{key}" if place else key
            if key not in here or key not in there:
                yield f"{spot} is {'missing' if key not in here else 'not in the plan'}"
            else:
                yield from differences(here[key], there[key], spot)
    elif isinstance(here, list) and isinstance(there, list):
        if len(here) != len(there):
            yield f"{place} holds {len(here)} items, the scenarios give {len(there)}"
        for i, (one, other) in enumerate(zip(here, there, strict=False)):
            name = one.get("id") or one.get("key") or one.get("slip") if isinstance(one, dict) else None
            yield from differences(one, other, f"{place}[{name or i + 1}]")
    elif here != there:
        yield f"{place} says {_short(here)}, the scenarios give {_short(there)}"


def _short(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}…"
