"""What several commands share: options, tables, progress, JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from probebook.cases.library import Library

F = TypeVar("F", bound=Callable[..., Any])

__all__ = ["echo_json", "json_option", "open_library", "progress", "scenarios_option"]


def scenarios_option(function: F) -> F:
    """Add ``--scenarios DIR``."""
    decorate: Callable[[F], F] = click.option(
        "--scenarios",
        type=click.Path(path_type=Path),
        default=None,
        metavar="DIR",
        help="Folder of scenario files (default: ./scenarios, else those that came with the package).",
    )
    return decorate(function)


def json_option(function: F) -> F:
    """Add ``--json``."""
    decorate: Callable[[F], F] = click.option(
        "--json", "as_json", is_flag=True, help="Print JSON for a script to read."
    )
    return decorate(function)


def open_library(scenarios: Path | None) -> Library:
    """The library of the scenarios folder in force."""
    from probebook.cases.library import library

    return library(scenarios)


def echo_json(data: Any) -> None:
    """Print data as JSON; numbers that JSON cannot hold are given as text (``"inf"``)."""
    click.echo(json.dumps(_finite(data), ensure_ascii=False, indent=2))


def _finite(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _finite(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_finite(value) for value in data]
    if isinstance(data, float) and (data != data or data in (float("inf"), float("-inf"))):
        return str(data)
    return data


def _say_nothing(done: str) -> None:
    del done


@contextmanager
def progress(label: str, total: int) -> Iterator[Callable[[str], None]]:
    """A progress bar on standard error; silent where that is not a terminal. Call it with what was just done."""
    if not sys.stderr.isatty():
        yield _say_nothing
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn(label),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[now]}"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=total, now="")

        def step(done: str) -> None:
            bar.update(task, advance=1, now=done)

        yield step
