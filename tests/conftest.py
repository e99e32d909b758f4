"""What every test module shares: whole populations or samples, one hypothesis profile, an undisturbed Jupyter."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

import probebook

SOURCE = Path(probebook.__file__).resolve().parents[1]

# The same examples on every run and machine; no deadline, because shared machines stall.
settings.register_profile("probebook", derandomize=True, deadline=None, max_examples=200)
settings.load_profile("probebook")
# The same with fewer examples, for runs that repeat many tests many times (--hypothesis-profile=few).
settings.register_profile("few", settings.get_profile("probebook"), max_examples=25)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--whole``: before a release everything is gone through of which a submission takes a sample."""
    parser.addoption("--whole", action="store_true", help="go through whole populations instead of samples of them")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is marked ``whole``, unless it is asked for."""
    if config.getoption("--whole"):
        return
    left_out = [item for item in items if item.get_closest_marker("whole")]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if not item.get_closest_marker("whole")]


@pytest.fixture(scope="session")
def one_in(request: pytest.FixtureRequest) -> Callable[[int, Sequence[Any]], Sequence[Any]]:
    """One in so many of a population, from the first on; with ``--whole`` all of it."""
    whole = request.config.getoption("--whole")
    return lambda many, population: population if whole else population[::many]


@pytest.fixture(scope="session", autouse=True)
def undisturbed_jupyter(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep kernels and plots of a test run away from the settings of whoever runs it."""
    home = tmp_path_factory.mktemp("jupyter")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("IPYTHONDIR", str(home / "ipython"))
        patch.setenv("JUPYTER_CONFIG_DIR", str(home / "config"))
        patch.setenv("JUPYTER_RUNTIME_DIR", str(home / "runtime"))
        patch.setenv("JUPYTER_PLATFORM_DIRS", "1")
        patch.setenv("MPLBACKEND", "Agg")
        patch.setenv("PROBEBOOK_CACHE", "off")
        yield


@pytest.fixture(scope="session")
def fresh_python() -> Callable[..., str]:
    """Run code in a new interpreter that sees the package under test; give back what it printed."""

    def run(code: str, **environment: str) -> str:
        path = os.pathsep.join(filter(None, (str(SOURCE), os.environ.get("PYTHONPATH", ""))))
        done = subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONPATH": path, **environment},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
            timeout=60,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    return run
