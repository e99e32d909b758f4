"""The same files in every host that shows notebooks: JupyterLab and Notebook 7 started as ever, without our command."""

from __future__ import annotations

import json
import shutil
import sys
import tomllib
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from lab_desk import EXTENSION, ROOT, Desk, browser, built, check, in_browser, serving, surroundings

import probebook
from probebook.questions.codec import read_sheet
from probebook.workbook.journal import read_journal

playwright_api = pytest.importorskip("playwright.sync_api")

__all__ = ["browser", "built"]  # fixtures


#: How each host starts its server; an ordinary user's ``jupyter lab`` and ``jupyter notebook`` do the same.
HOSTS = {
    "JupyterLab": ("jupyterlab.labapp", "LabApp", "doc/tree"),
    "Notebook 7": ("notebook.app", "JupyterNotebookApp", "notebooks"),
}


@in_browser
@pytest.mark.parametrize("host", HOSTS)
def test_a_host_started_as_ever_runs_it(
    host: str, built: tuple[Path, str], browser: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """With the files where the wheel puts them, a workbook runs, marks a slip and a right answer, and keeps both."""
    module, app, place = HOSTS[host]
    pytest.importorskip(module)
    folder, stem = built
    home = tmp_path_factory.mktemp("ordinary")
    shutil.copytree(EXTENSION, home / "data" / "labextensions" / "probebook-lab")
    start = (
        f"import sys; from {module} import {app} as App; server = App.initialize_server(argv=sys.argv[1:]);"
        "print(f'http://localhost:{server.port}/?token=t', flush=True); server.start()"
    )
    command = [
        sys.executable, "-c", start, "--no-browser", "--allow-root", "--port=18980", "--IdentityProvider.token=t",
        "--ServerApp.answer_yes=True", f"--ServerApp.root_dir={folder}",
    ]  # fmt: skip
    sheet = read_sheet(folder.parent / "answer_keys" / f"{stem}.json")
    question = sheet.questions[0]
    journal = folder / f"{stem}.answers.jsonl"
    journal.unlink(missing_ok=True)
    with serving(command, surroundings(home), home / "log") as (server, address):
        page = Desk(folder, stem, server, address, browser, place=place).open(stem)
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        playwright_api.expect(page.locator(".pb-note-above")).to_have_count(0, timeout=60_000)
        playwright_api.expect(page.locator(".pb-form")).to_have_count(len(sheet.questions), timeout=60_000)
        check(page.locator(".pb-form").nth(0), str(question.slips[0].response), "known slip")
        check(page.locator(".pb-form").nth(0), str(question.fields[0].answer), "Right")
        assert errors == []
        page.close()
    assert [str(entry.standing) for entry in read_journal(journal, origin=stem).entries] == ["slip", "right"]


def test_the_extension_is_what_its_files_say() -> None:
    """Version, file names and the wheel's folder agree, and the script's address changes with the script.

    A browser keeps what has a ``v`` in its address for years; the modules beside it have none and are asked for anew.
    """
    package = json.loads((EXTENSION / "package.json").read_text("utf-8"))
    assert package["version"] == probebook.__version__
    load = urlsplit(package["jupyterlab"]["_build"]["load"])
    assert load.query == f"v={sha256((EXTENSION / load.path).read_bytes()).hexdigest()[:12]}"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    shared = project["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"]
    source = ROOT / next(key for key, value in shared.items() if value.endswith("/probebook-lab"))
    # the package under test may be the installed one
    within = EXTENSION.relative_to(Path(probebook.__file__).parent)
    assert source.relative_to(ROOT / "src" / "probebook") == within
