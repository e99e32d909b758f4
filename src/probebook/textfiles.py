"""Text files of the trade: read, checked, and refused in one sentence that names file and key.

Scenario files are TOML. :func:`load_text` reads one into a pydantic model and raises
:class:`~probebook.errors.ScenarioError`; :func:`load_all_errors` lists every mistake at once. Items of a
list are counted from 1, as a reader counts: ``conventional-oven.toml: part[3].between``.

The model base and the quantity types (:class:`StrictModel`, ``Ohms``, ``Watts`` ...) live in
:mod:`probebook.textmodels` and can be imported from here; pydantic loads only when one of them is named.
"""

from __future__ import annotations

import importlib
import json
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.errors import ScenarioError, UsageError

if TYPE_CHECKING:
    from typing import TypeVar

    from pydantic import BaseModel

    from probebook.textmodels import (
        Amperes,
        Celsius,
        Hertz,
        Joules,
        JoulesPerKelvin,
        Kelvins,
        Kilograms,
        Litres,
        Metres,
        Minutes,
        Ohms,
        Percent,
        Quantity,
        Seconds,
        SquareMillimetres,
        StrictModel,
        Volts,
        Watts,
        WattsPerKelvin,
    )

    M = TypeVar("M", bound=BaseModel)

__all__ = [
    "Amperes",
    "Celsius",
    "Hertz",
    "Joules",
    "JoulesPerKelvin",
    "Kelvins",
    "Kilograms",
    "Litres",
    "Metres",
    "Minutes",
    "Ohms",
    "Percent",
    "Quantity",
    "Seconds",
    "SquareMillimetres",
    "StrictModel",
    "Volts",
    "Watts",
    "WattsPerKelvin",
    "load_all_errors",
    "load_text",
    "read_text",
    "scenarios_dir",
]

LARGEST_FILE = 2_000_000  # bytes; a scenario file is a few kilobytes


def __getattr__(name: str) -> Any:
    """Hand on the model base and the quantity types, loading pydantic at their first use."""
    if name in __all__:
        return getattr(importlib.import_module("probebook.textmodels"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def load_text(path: Path, model: type[M]) -> M:
    """Read the TOML file ``path`` as a ``model``.

    Raises
    ------
    ScenarioError
        The file is missing, unreadable, not TOML or does not fit the model. The first mistake is
        told; when there are more, the sentence says how many.
    """
    path = Path(path)
    return read_text(_file_text(path), model, where=path.name)


def load_all_errors(path: Path, model: type[BaseModel]) -> list[ScenarioError]:
    """Return every mistake in the TOML file ``path``, in file order of the model's keys; none is good."""
    path = Path(path)
    try:
        _, errors = _read(_file_text(path), model, path.name)
    except ScenarioError as error:
        return [error]
    return errors


def read_text(text: str, model: type[M], *, where: str) -> M:
    """Read TOML ``text`` as a ``model``; ``where`` names the source in errors.

    Raises
    ------
    ScenarioError
        As for :func:`load_text`.
    """
    value, errors = _read(text, model, where)
    if value is None:
        first = errors[0]
        if len(errors) > 1:
            count = f" (the first of {len(errors)} mistakes in this file)"
            message = first.message if first.remedy else first.message + count
            remedy = first.remedy + count if first.remedy else None
            raise ScenarioError(message, where=first.where, remedy=remedy)
        raise first
    return value


def _read(text: str, model: type[M], where: str) -> tuple[M | None, list[ScenarioError]]:
    from pydantic import ValidationError

    data = _parse_toml(text, where)
    try:
        # Strict in JSON mode: an array may fill a tuple and a string an enum, and nothing else is bent.
        return model.model_validate_json(json.dumps(data, default=str)), []
    except ValidationError as error:
        from probebook.textmodels import explain

        return None, [explain(detail, data, model, where) for detail in error.errors(include_url=False)]


def _parse_toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        raise ScenarioError(
            f"the text is not valid TOML: {reason[:1].lower()}{reason[1:]}",
            where=where,
            remedy="mend the line named; text needs quotation marks and every key one equals sign",
        ) from error
    except RecursionError as error:
        raise ScenarioError("tables are nested too deeply", where=where, remedy="write the file flatter") from error


def _file_text(path: Path) -> str:
    name = path.name or str(path)
    try:
        is_folder, size = path.is_dir(), path.stat().st_size
        content = b"" if is_folder or size > LARGEST_FILE else path.read_bytes()
    except FileNotFoundError as error:
        raise ScenarioError("there is no such file", where=str(path), remedy="check the name and the folder") from error
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ScenarioError(
            f"the file cannot be read ({reason})", where=str(path), remedy="check its name and permissions"
        ) from error
    except ValueError as error:  # a nought byte in the name
        raise ScenarioError("this is not a file name", where=ascii(str(path)), remedy="check the name") from error
    if is_folder:
        raise ScenarioError("this is a folder, not a file", where=str(path), remedy="name a .toml file in it")
    if size > LARGEST_FILE:
        raise ScenarioError("the file is too large for a scenario", where=name, remedy="keep it under 2 MB")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise ScenarioError(f"line {line} is not UTF-8 text", where=name, remedy="save the file as UTF-8") from error


def scenarios_dir(explicit: Path | None = None) -> Path:
    """Return the folder of scenario files.

    The first that holds ``appliances/``: ``explicit``; ``./scenarios``; the copy inside an installed
    package; ``scenarios/`` of the source tree.

    Raises
    ------
    UsageError
        ``explicit`` does not hold ``appliances/``, or no folder was found.
    """
    if explicit is not None:
        if not (Path(explicit) / "appliances").is_dir():
            raise UsageError(
                "this folder holds no appliances/ folder",
                where=str(explicit),
                remedy="name a scenarios folder, such as the one Probebook came with",
            )
        return Path(explicit)
    package = Path(__file__).resolve().parent
    candidates = (Path.cwd() / "scenarios", package / "_scenarios", package.parents[1] / "scenarios")
    for candidate in candidates:
        if (candidate / "appliances").is_dir():
            return candidate
    raise UsageError(
        "no scenarios folder was found",
        remedy="run in a folder that holds scenarios/, or install Probebook again",
    )
