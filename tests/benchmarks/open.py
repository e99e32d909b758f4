"""Print how long a workbook takes from its address to the first form, as a share of JupyterLab itself.

The reference is an empty notebook in the same JupyterLab, from its address to an idle kernel. Both are opened in turn
in fresh windows of a real browser; "cold" starts a kernel, "warm" finds the one of an earlier visit.
Run: ``python tests/benchmarks/open.py`` (after ``probebook build``)
"""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import sync_playwright

RUNS = 5
ROOT = Path(__file__).resolve().parents[2]
IDLE = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'


def seconds(browser: Any, address: str, waits: str) -> float:
    """Return the time from asking for ``address`` in a fresh window to ``waits`` being there."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    start = time.perf_counter()
    page.goto(address)
    page.wait_for_selector(waits, timeout=120_000)
    taken = time.perf_counter() - start
    page.close()
    return taken


def measure(browser: Any, address: str, stem: str) -> dict[str, list[float]]:
    """Open the workbook and an empty notebook in turn, with and without a running kernel."""
    parts = urlsplit(address)
    base = f"{parts.scheme}://{parts.netloc}"
    times: dict[str, list[float]] = {}
    seconds(browser, f"{base}/doc/tree/empty.ipynb?{parts.query}", IDLE)  # once unmeasured, for the disk's sake
    for _ in range(RUNS):
        stop_kernels(browser, address)
        for state in ("cold", "warm"):
            for name, waits in (("empty", IDLE), (stem, ".pb-form")):
                taken = seconds(browser, f"{base}/doc/tree/{name}.ipynb?{parts.query}", waits)
                times.setdefault(f"{state} {'reference' if name == 'empty' else 'workbook'}", []).append(taken)
    return times


def stop_kernels(browser: Any, address: str) -> None:
    """End every session of the server."""
    parts = urlsplit(address)
    api = f"{parts.scheme}://{parts.netloc}/api/sessions"
    headers = {"Authorization": f"token {parts.query.removeprefix('token=')}"}
    context = browser.new_context(extra_http_headers=headers)
    for session in context.request.get(api).json():
        context.request.delete(f"{api}/{session['id']}")
    context.close()


def main() -> None:
    """Copy the built workbooks to a folder of their own, open one time and again, print the shares."""
    source = os.pathsep.join(filter(None, (str(ROOT / "src"), os.environ.get("PYTHONPATH", ""))))
    environment = os.environ | {"PYTHONPATH": source}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "workbooks"
        for name in ("workbooks", "answer_keys"):
            shutil.copytree(ROOT / name, Path(place) / name)
        stem = next(path.stem for path in sorted(folder.glob("*ohms-and-watts.ipynb")))
        empty = {"cells": [], "metadata": {"kernelspec": {"name": "python3", "display_name": "Python 3"}},
                 "nbformat": 4, "nbformat_minor": 5}  # fmt: skip
        (folder / "empty.ipynb").write_text(json.dumps(empty), encoding="utf-8")
        serve = [sys.executable, "-m", "probebook", "open", stem, "--dir", str(folder), "--no-browser"]
        serve += ["--allow-root"] * (hasattr(os, "geteuid") and os.geteuid() == 0)
        with subprocess.Popen(serve, env=environment, stdout=subprocess.PIPE, text=True) as server:
            try:
                found = re.search(r"http://\S+", server.stdout.readline() if server.stdout else "")
                if found is None:
                    sys.exit("the server did not start")
                with sync_playwright() as player:
                    browser = player.chromium.launch(
                        executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-gpu"]
                    )
                    times = measure(browser, found[0], stem)
                    browser.close()
            finally:
                server.send_signal(signal.SIGINT)
    medians = {name: statistics.median(values) for name, values in times.items()}
    print(f"address to first form as a share of an empty notebook with an idle kernel, median of {RUNS}:")
    for state in ("cold", "warm"):
        reference, workbook = medians[f"{state} reference"], medians[f"{state} workbook"]
        print(f"  {state}  {workbook / reference:5.2f}   ({workbook:.1f} s to {reference:.1f} s here)")


if __name__ == "__main__":
    main()
