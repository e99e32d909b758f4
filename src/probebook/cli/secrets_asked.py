"""The passphrase of a sealed key, from a file, the environment or the keyboard; never from the command line."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from probebook.errors import UsageError

__all__ = ["ENVIRONMENT", "key_options", "passphrase_from", "passphrase_option"]

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


def key_options(function: F) -> F:
    """Add ``--key`` and ``--passphrase-file``; the command is given the ``papers`` that the sealed key holds."""

    @wraps(function)
    def with_papers(*args: Any, key: Path, passphrase_file: Path | None, **rest: Any) -> Any:
        from probebook.api import assessing

        papers = assessing.open_key(key, passphrase_from(passphrase_file, confirm=False))
        return function(*args, papers=papers, **rest)

    in_key: Callable[[Any], Any] = click.option(
        "--key",
        type=click.Path(path_type=Path, dir_okay=False),
        required=True,
        metavar="FILE",
        help="Sealed key that 'probebook set' made.",
    )
    return cast("F", in_key(passphrase_option(with_papers)))


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
