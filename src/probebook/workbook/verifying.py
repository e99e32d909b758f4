"""Verify workbooks from outside: run each with nbclient, and compute its keys again in another process."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from probebook.errors import UsageError
from probebook.workbook.building import KEYS, WORKBOOKS

__all__ = ["Finding", "differences", "rebuild", "run_notebook", "verify_all"]

#: Seconds after which a cell that does not end counts as failed.
PATIENCE = 120

_DRIVER = "from probebook.workbook.proving import report; print(report(book))"


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
    done: Callable[[str], object] | None = None,
) -> list[Finding]:
    """Verify the workbooks under ``folder`` against ``scenarios``.

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
    done
        Called with the name of each workbook when it is finished.

    Raises
    ------
    UsageError
        There is nothing to verify.
    """
    notebooks = [
        path
        for path in sorted((folder / WORKBOOKS).glob("*.ipynb"))
        if not only or any(part in path.stem for part in only)
    ]
    if not notebooks:
        raise UsageError("there are no workbooks", where=str(folder / WORKBOOKS), remedy="run 'probebook build' first")
    with tempfile.TemporaryDirectory(prefix="probebook-") as scratch, ThreadPoolExecutor(max_workers=jobs + 1) as pool:
        fresh = pool.submit(rebuild, Path(scratch) / "fresh", scenarios)

        def one(path: Path) -> Finding:
            finding = run_notebook(path, folder / KEYS / f"{path.stem}.json", Path(scratch) / path.stem)
            if done:
                done(path.stem)
            return finding

        with ThreadPoolExecutor(max_workers=jobs) as runners:
            findings = list(runners.map(one, notebooks))
        rebuilt = fresh.result()
        return [_with_recomputed(finding, folder, rebuilt) for finding in findings]


def _with_recomputed(finding: Finding, folder: Path, rebuilt: Path) -> Finding:
    name = finding.workbook
    problems = list(finding.problems)
    for part in (f"{KEYS}/{name}.json", f"{WORKBOOKS}/{name}.ipynb"):
        problems += [f"{part}: {text}" for text in _file_differences(folder / part, rebuilt / part)]
    return Finding(name, finding.questions, finding.attempts, finding.seconds, tuple(problems))


def rebuild(target: Path, scenarios: Path) -> Path:
    """Build everything again in a process of its own, into ``target``."""
    target.mkdir(parents=True)
    line = [sys.executable, "-m", "probebook", "build", "--out", str(target), "--scenarios", str(scenarios)]
    ended = subprocess.run(line, capture_output=True, text=True, encoding="utf-8", check=False)
    if ended.returncode:
        raise UsageError(f"the keys cannot be computed again: {ended.stderr.strip() or 'the build failed'}")
    return target


def run_notebook(notebook: Path, sheet: Path, scratch: Path) -> Finding:
    """Run one notebook in a copy of its surroundings and answer every question through its widgets."""
    start = time.perf_counter()
    problems: list[str] = []
    outcome: dict[str, Any] = {"questions": 0, "attempts": 0, "problems": []}
    (scratch / WORKBOOKS).mkdir(parents=True)
    (scratch / KEYS).mkdir()
    try:
        shutil.copy(notebook, scratch / WORKBOOKS)
        shutil.copy(sheet, scratch / KEYS)
        outcome = _execute(scratch / WORKBOOKS / notebook.name)
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


def _execute(path: Path) -> dict[str, Any]:
    import nbformat
    from jupyter_client.manager import KernelManager
    from nbclient import NotebookClient

    book = nbformat.read(path, as_version=4)
    driver = nbformat.v4.new_code_cell(_DRIVER, id="driver")
    book.cells.append(driver)
    with tempfile.TemporaryDirectory(prefix="pb-") as place:  # the path of a socket has room for 107 characters
        manager = KernelManager(kernel_name="python3", transport="ipc", ip=str(Path(place) / "k"))
        client = NotebookClient(
            book,
            km=manager,
            timeout=PATIENCE,
            resources={"metadata": {"path": str(path.parent)}},
            store_widget_state=True,
            shutdown_kernel="immediate",
        )
        client.execute(cleanup_kc=True)
    text = "".join(out.get("text", "") for out in driver.outputs if out.output_type == "stream")
    outcome: dict[str, Any] = json.loads(text.strip().splitlines()[-1])
    return outcome


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
