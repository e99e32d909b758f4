"""What several commands share: options, tables, progress, JSON."""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import click

#: Seconds after which a command says how far it is where no bar can be shown, and after which it says so again.
FIRST_LINE, NEXT_LINE = 2.0, 5.0

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


@contextmanager
def progress(label: str, total: int = 0) -> Iterator[Callable[[str], None]]:
    """Show on standard error how far a command is; call what is given with what was just done.

    On a terminal it is a bar; elsewhere a plain line after two seconds, and one every so often from then on. ``total``
    is 0 where nobody knows how much there is to do.
    """
    if not sys.stderr.isatty():
        with _lines(label, total) as step:
            yield step
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn(label),
        BarColumn(),
        *([MofNCompleteColumn()] if total else []),
        TimeElapsedColumn(),
        TextColumn("{task.fields[now]}"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=total or None, now="")

        def step_bar(done: str) -> None:
            bar.update(task, advance=1, now=done)

        yield step_bar


@contextmanager
def _lines(label: str, total: int) -> Iterator[Callable[[str], None]]:
    """Progress in plain lines."""
    over = threading.Event()
    done: list[str] = []

    def tell() -> None:
        pause = FIRST_LINE
        while not over.wait(pause):
            pause = NEXT_LINE
            now = f" {len(done)} of {total}" if total else " ..."
            last = f" ({done[-1]})" if done and done[-1] else ""
            with suppress(OSError, ValueError):  # nobody listens any more
                click.echo(f"probebook: {label}{now}{last}", err=True)

    threading.Thread(target=tell, daemon=True).start()
    try:
        yield done.append
    finally:
        over.set()
