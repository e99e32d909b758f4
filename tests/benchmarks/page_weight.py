"""What a workbook weighs in a browser: nodes of the page, and memory more than an empty notebook's page.

``python tests/benchmarks/page_weight.py [WORKBOOK]`` opens the workbook (the tenth by itself) in our page and in
JupyterLab, walks through it to its end so that everything that waits to be seen is there, and prints elements and bytes
beside those of an empty notebook in JupyterLab. Bars: 4,000 elements of ours, 60 MB.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "browser"))

import psutil  # noqa: E402
from chromium import CHROMIUM, FLAGS  # noqa: E402
from page_desk import OURS, WALK, Desk, desk_on  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402

PORT = 18878
ROUNDS = 3
EMPTY = {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}


def main() -> None:
    """Measure, and print a table."""
    name = sys.argv[1] if len(sys.argv) > 1 else "10-fault-finding-conventional"
    built = Path(os.environ.get("PROBEBOOK_BUILT", ROOT))
    with tempfile.TemporaryDirectory() as home, sync_playwright() as player:
        root = Path(home)
        for folder in ("workbooks", "answer_keys"):
            shutil.copytree(built / folder, root / folder, ignore=shutil.ignore_patterns("*.answers.jsonl"))
        (root / "workbooks" / "empty.ipynb").write_text(json.dumps(EMPTY), encoding="utf-8")
        with desk_on(root / "workbooks", root, None, PORT) as desk:
            found = {
                which: [_weigh(player, desk, which, name) for _ in range(ROUNDS)] for which in ("empty", "page", "lab")
            }
    base = statistics.median(size for _, size in found["empty"])
    print(f"{'':8}{'elements of ours':>18}{'memory, MB':>12}{'more than empty':>17}")
    for which, rounds in found.items():
        nodes = statistics.median(count for count, _ in rounds)
        size = statistics.median(size for _, size in rounds)
        print(f"{which:8}{nodes:18.0f}{size / 1e6:12.0f}{(size - base) / 1e6:17.0f}")


def _weigh(player: Any, desk: Desk, which: str, name: str) -> tuple[int, float]:
    """Elements of ours, and the memory (bytes) that the page's process has for itself, in a browser of its own."""
    browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
    desk.browser = browser
    page = desk.page()
    path = {"empty": "doc/tree/empty.ipynb", "page": f"probebook/workbook/{name}", "lab": f"doc/tree/{name}.ipynb"}[
        which
    ]
    page.goto(f"{desk.root}/{path}?token={desk.token}")
    if which == "page":
        page.wait_for_selector("html[data-live]", state="attached", timeout=60_000)
    else:
        page.wait_for_selector(".jp-Notebook", timeout=60_000)
    page.wait_for_timeout(4000 if which != "lab" else 20_000)
    page.evaluate(WALK)
    for _ in range(3):
        page.wait_for_timeout(2500)
        page.context.new_cdp_session(page).send("HeapProfiler.collectGarbage")
    nodes = int(page.evaluate(OURS))
    told = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
    sizes = [psutil.Process(one["id"]).memory_full_info().uss for one in told if one["type"] == "renderer"]
    desk.rest(page)
    browser.close()
    return nodes, float(max(sizes))


if __name__ == "__main__":
    main()
