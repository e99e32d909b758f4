"""A class of five, set once: what the tests of assessment share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from classes import BENCHED, LEARNERS, PASSPHRASE, Class

from probebook.api import assessing
from probebook.cases.library import Library, library
from probebook.scenario_folder import scenarios_dir


@pytest.fixture(scope="session")
def trade() -> Library:
    """The library of the project, in English."""
    return library(scenarios_dir().resolve(), "gb", "en")


@pytest.fixture(scope="session")
def five(trade: Library, tmp_path_factory: pytest.TempPathFactory) -> Class:
    """A class of five, set from a fixed secret."""
    folder = tmp_path_factory.mktemp("set")
    found = assessing.set_class("element-testing", LEARNERS, folder, PASSPHRASE, trade, secret="5e" * 32)
    return Class(found.papers, folder, found.key)


@pytest.fixture(scope="session")
def benched(trade: Library, tmp_path_factory: pytest.TempPathFactory) -> Class:
    """A class of two with a bench in each paper, set once from a fixed secret."""
    folder = tmp_path_factory.mktemp("benched")
    path = folder / "on-the-bench.toml"
    path.write_text(BENCHED, "utf-8")
    found = assessing.set_class(str(path), LEARNERS[:2], folder, PASSPHRASE, trade, secret="b3" * 32)
    return Class(found.papers, folder, found.key)


@pytest.fixture
def room(five: Class, tmp_path: Path) -> Iterator[Path]:
    """A folder with copies of the papers, to be sat in."""
    for path in (five.folder / "papers").glob("*.ipynb"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    return tmp_path
