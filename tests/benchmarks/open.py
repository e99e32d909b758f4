"""Print how long a workbook takes from its address to its text and its forms, as a share of JupyterLab itself.

The reference is an empty notebook in the JupyterLab of the same server, from its address to being idle. All are opened
in turn in fresh windows of a real browser; "cold" starts a kernel, "warm" finds the one of an earlier visit. Of our own
page: its text being painted first, all its forms to be filled in, and whoever marks them being there ("marked"). The
server has shown each page once before. ``probebook open`` starts the kernel before the browser asks: that is "warm".
Run: ``python tests/benchmarks/open.py [NAME]`` (after ``probebook build``)
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


def seconds(browser: Any, address: str, waits: str) -> list[float]:
    """Return the time from asking for ``address`` in a fresh window to ``waits`` being there."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    start = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector(waits, timeout=120_000)
    taken = time.perf_counter() - start
    page.close()
    return [taken]


def own_seconds(browser: Any, address: str) -> list[float]:
    """Return when our page showed its text, when all forms could be filled in, and when they could be marked.

    By the browser's own clock, which begins when the address is asked for.
    """
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(address, wait_until="commit")
    page.wait_for_selector("html[data-live]", timeout=120_000, state="attached")
    marks = ("first-contentful-paint", "probebook forms", "probebook marked")
    found = page.evaluate("names => names.map((name) => performance.getEntriesByName(name)[0].startTime)", marks)
    page.close()
    return [milliseconds / 1000 for milliseconds in found]


def measure(browser: Any, address: str, stem: str) -> dict[str, list[float]]:
    """Open an empty notebook, the workbook in JupyterLab and in our page in turn, with and without a running kernel."""
    parts = urlsplit(address)
    base = f"{parts.scheme}://{parts.netloc}"
    times: dict[str, list[float]] = {}

    def note(state: str, names: tuple[str, ...], taken: list[float]) -> None:
        for name, value in zip(names, taken, strict=True):
            times.setdefault(f"{state}: {name}", []).append(value)

    lab, ours = f"{base}/doc/tree", f"{base}/probebook/workbook/{stem}?{parts.query}"
    names = ("our text", "our forms", "our forms marked")
    seconds(browser, f"{lab}/empty.ipynb?{parts.query}", IDLE)  # once unmeasured, for the disk's sake
    own_seconds(browser, ours)
    for _ in range(RUNS):
        stop_kernels(browser, address)
        for state in ("cold", "warm"):
            note(state, ("reference",), seconds(browser, f"{lab}/empty.ipynb?{parts.query}", IDLE))
            note(
                state, ("first form in JupyterLab",), seconds(browser, f"{lab}/{stem}.ipynb?{parts.query}", ".pb-form")
            )
            note(state, names, own_seconds(browser, ours))
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
        stem = sys.argv[1] if len(sys.argv) > 1 else "10-fault-finding-conventional"
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
    print(f"{stem}, as a share of an empty notebook in JupyterLab being idle, median of {RUNS}:")
    for name, value in medians.items():
        reference = medians[f"{name.partition(':')[0]}: reference"]
        print(f"  {name:32} {value / reference:5.2f}   ({value:.2f} s to {reference:.2f} s here)")


if __name__ == "__main__":
    main()
