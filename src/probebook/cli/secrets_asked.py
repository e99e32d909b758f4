"""The passphrase of a sealed key, from a file, the environment or the keyboard; never from the command line."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from probebook.errors import UsageError

__all__ = ["ENVIRONMENT", "passphrase_from", "passphrase_option"]

F = TypeVar("F", bound=Callable[..., Any])

ENVIRONMENT = "PROBEBOOK_PASSPHRASE"


def passphrase_option(function: F) -> F:
    """Add ``--passphrase-file FILE``."""
    decorate: Callable[[F], F] = click.option(
        "--passphrase-file",
        type=click.Path(path_type=Path, dir_okay=False),
        default=None,
        metavar="FILE",
        help=f"File that holds the passphrase of the key (default: {ENVIRONMENT}, or it is asked for).",
    )
    return decorate(function)


def passphrase_from(path: Path | None, *, confirm: bool) -> str:
    """The passphrase; UsageError where a file cannot be read."""
    if path is not None:
        try:
            return path.read_text("utf-8").rstrip("\r\n")
        except (OSError, UnicodeDecodeError) as error:
            raise UsageError("the passphrase cannot be read", where=str(path), remedy="check the path") from error
    told = os.environ.get(ENVIRONMENT, "")
    if told:
        return told
    asked: str = click.prompt("Passphrase of the key", hide_input=True, confirmation_prompt=confirm, err=True)
    return asked
