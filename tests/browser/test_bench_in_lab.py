"""The bench in JupyterLab: the same component, brought along by a widget; a job is done and marked, and comes back."""

from __future__ import annotations

import statistics
from pathlib import Path
from typing import Any

import nbformat
import pytest
from test_workbook import lab, page, run_all  # noqa: F401

from probebook.cases.library import Library
from probebook.questions.codec import marking_sheet
from probebook.questions.frame import Ask
from probebook.questions.model import Kind
from probebook.questions.registry import build_question

pytest.importorskip("playwright.sync_api")
from chromium import CHROMIUM

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]

CELLS = (
    'from probebook.workbook import open_workbook; book = open_workbook("demo")',
    'book.ask("q01")',
    "book.progress()",
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a notebook that asks one question on the bench, and its key."""
    trade = Library(Path(__file__).resolve().parents[2] / "scenarios")
    question = build_question(Ask("q01", Kind.BENCH, "in lab", 2, "conventional-oven"), trade)
    (tmp_path / "demo.json").write_text(marking_sheet((question,), {"title": "Bench"}), encoding="utf-8")
    cells = [nbformat.v4.new_code_cell(source, id=f"c{number}") for number, source in enumerate(CELLS)]
    notebook = nbformat.v4.new_notebook(cells=cells)
    notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(notebook, tmp_path / "demo.ipynb")
    return tmp_path


TIMED = """async () => {
  const display = document.querySelector('.pb-figure-shown');
  const touch = (name) => document.querySelector(`.terminal[data-terminal="${name}"] .touch`)
    .dispatchEvent(new MouseEvent('click', { bubbles: true }));
  const all = [];
  for (let round = 0; round < 20; round += 1) {
    const [a, b] = round % 2 ? ['E2.1', 'E2.2'] : ['H1.1', 'H1.2'];
    touch(a);
    const start = performance.now();
    touch(b);
    while (!/[0-9]|OL/.test(display.textContent)) await new Promise((then) => setTimeout(then, 0));
    all.push(performance.now() - start);
  }
  return all;
}"""


def test_a_job_is_done_in_jupyterlab(page: Any, folder: Path) -> None:  # noqa: F811
    """Isolated, proved dead, read and concluded by clicks; marked at once and kept in the journal; timed."""
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    run_all(page)
    page.locator(".pb-bench").wait_for()
    for number in range(7):
        page.locator(".pb-step-button").nth(number).click()
        page.locator(".pb-bench:not(.pb-waits)").wait_for()
    page.locator('.cover[data-cover="rear panel"] .panel').click()
    page.locator(".pb-dial button").first.click()
    page.locator(".cover.pb-off").wait_for()
    took = page.evaluate(TIMED)
    print(f"click to reading in JupyterLab: median {statistics.median(took):.0f} ms, longest {max(took):.0f} ms")
    page.locator('.terminal[data-terminal="E2.1"]').focus()
    page.keyboard.press("b")
    assert page.locator(".jp-Cell").count() == len(CELLS)
    page.locator(".pb-fault").nth(1).click()
    page.locator(".pb-give").click()
    page.locator(".pb-verdict").wait_for()
    assert "Concluded" in page.locator(".pb-banner").inner_text()
    assert errors == []
    kept = [path.read_text("utf-8") for path in folder.rglob("*.jsonl")]
    assert any("conclude base-open" in text for text in kept)
