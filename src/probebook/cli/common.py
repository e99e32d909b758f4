"""What several commands share: options, tables, progress, JSON."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import click

F = TypeVar("F", bound=Callable[..., Any])

__all__ = ["echo_json", "jobs_option", "json_option", "library_options", "progress", "scenarios_option"]


def scenarios_option(function: F) -> F:
    """Add ``--scenarios DIR``."""
    decorate: Callable[[F], F] = click.option(
        "--scenarios",
        type=click.Path(path_type=Path),
        default=None,
        metavar="DIR",
        help="Folder of scenario files (default: that of PROBEBOOK_SCENARIOS, ./scenarios, or the package's).",
    )
    return decorate(function)


def library_options(function: F) -> F:
    """Add ``--scenarios``, ``--language`` and ``--region``; the command is given the ``library`` that they name."""

    @wraps(function)
    def with_library(*args: Any, scenarios: Path | None, language: str, region: str, **rest: Any) -> Any:
        from probebook.api import load_library

        return function(*args, library=load_library(scenarios, language=language, region=region), **rest)

    in_language: Callable[[Any], Any] = click.option(
        "--language",
        default="en",
        show_default=True,
        metavar="ID",
        help="Language of every sentence: a folder in text/, or qps to mark every word.",
    )
    in_region: Callable[[Any], Any] = click.option(
        "--region",
        default="gb",
        show_default=True,
        metavar="ID",
        help="Country whose supply, rules, devices and words hold: a file in regions/.",
    )
    return cast("F", in_language(in_region(scenarios_option(with_library))))


def jobs_option(what: str) -> Callable[[F], F]:
    """Add ``--jobs``; ``what`` says what is done so many at a time."""
    return click.option(
        "--jobs",
        "-j",
        type=click.IntRange(1, 64),
        default=min(4, os.cpu_count() or 1),
        show_default=True,
        help=what,
    )


def json_option(function: F) -> F:
    """Add ``--json``."""
    decorate: Callable[[F], F] = click.option(
        "--json", "as_json", is_flag=True, help="Print JSON for a script to read."
    )
    return decorate(function)


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
