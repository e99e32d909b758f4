"""What a verification starts: kernels that run notebooks, and a build in a process of its own; all end with it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from probebook import stopping
from probebook.errors import UsageError
from probebook.files import fits_sockets, scratch
from probebook.putting_off import put_off_grammars
from probebook.regions import DEFAULT_REGION
from probebook.scenario_folder import ENVIRONMENT
from probebook.words.words import ENGLISH
from probebook.workbook.build.kept import ENVIRONMENT as CACHE
from probebook.workbook.build.kept import OFF

__all__ = ["Started", "execute", "rebuild"]

#: Seconds after which a cell that does not end counts as failed.
PATIENCE = 120

_DRIVER = "from probebook.workbook.proving import report; print(report(book))"
#: A build that ends when whoever started it does.
_BUILD = "from probebook import stopping; stopping.end_with_input(); from probebook.cli import main; main()"


class Started:
    """Processes that were started, and how each is ended."""

    def __init__(self) -> None:
        self._ends: list[Callable[[], object]] = []
        self._is_over = False

    @contextmanager
    def keep(self, end: Callable[[], object]) -> Iterator[None]:
        """Have ``end`` called should all end while this block is gone through.

        Raises
        ------
        UsageError
            All ended already.
        """
        if self._is_over:
            raise UsageError("this was stopped")
        self._ends.append(end)
        try:
            yield
        finally:
            self._ends.remove(end)

    def end(self) -> None:
        """End all of them, now."""
        self._is_over = True
        for end in tuple(self._ends):
            with suppress(Exception):
                end()


def rebuild(
    target: Path,
    scenarios: Path,
    language: str = ENGLISH,
    region: str = DEFAULT_REGION,
    *,
    started: Started | None = None,
) -> Path:
    """Build everything again in a process of its own, into ``target``."""
    target.mkdir(parents=True)
    line = [sys.executable, "-P", "-c", _BUILD, "build", "--out", str(target), "--scenarios", str(scenarios)]
    line += ["--language", language, "--region", region]
    with subprocess.Popen(
        line,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        start_new_session=True,
        env={**os.environ, CACHE: OFF},
    ) as build:
        assert build.stderr is not None
        with (started or Started()).keep(build.kill):
            said = [text for text in build.stderr.read().splitlines() if text.strip()]
            build.wait()
    if build.returncode:
        raise UsageError(f"the keys cannot be computed again: {said[-1] if said else 'the build failed'}")
    return target


def _spoken_over(place: Path) -> dict[str, str]:
    """How a kernel is spoken to: over sockets in a folder of ours, or, where they do not fit, over loopback."""
    from jupyter_client.manager import KernelManager

    if fits_sockets(place):
        return {"transport": "ipc", "ip": str(place / "k")}
    return {"transport_encryption": "auto"} if KernelManager.class_traits().get("transport_encryption") else {}


def execute(path: Path, scenarios: Path | None, started: Started | None = None) -> dict[str, Any]:
    """Run a notebook and prove every question in it; what :func:`probebook.workbook.proving.prove` found."""
    put_off_grammars()
    import nbformat
    from jupyter_client.manager import KernelManager
    from nbclient import NotebookClient

    book = nbformat.read(path, as_version=4)
    driver = nbformat.v4.new_code_cell(_DRIVER, id="driver")
    book.cells.append(driver)
    with scratch() as place:
        manager = KernelManager(kernel_name="python3", connection_file=str(place / "k.json"), **_spoken_over(place))
        client = NotebookClient(
            book,
            km=manager,
            timeout=PATIENCE,
            resources={"metadata": {"path": str(path.parent)}},
            store_widget_state=True,
            shutdown_kernel="immediate",
        )
        named = {ENVIRONMENT: str(scenarios.resolve())} if scenarios else {}
        with (started or Started()).keep(lambda: stopping.end_kernel(manager)):
            client.execute(cleanup_kc=True, env={**os.environ, "PYTHONSAFEPATH": "1", **named})
    text = "".join(out.get("text", "") for out in driver.outputs if out.output_type == "stream")
    outcome: dict[str, Any] = json.loads(text.strip().splitlines()[-1])
    return outcome
