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
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from probebook.errors import ScenarioError

if TYPE_CHECKING:
    from typing import TypeVar

    from pydantic import BaseModel

    from probebook.textmodels import (
        SPOKEN,
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
        Prose,
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
    "SPOKEN",
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
    "Prose",
    "Quantity",
    "Seconds",
    "SquareMillimetres",
    "StrictModel",
    "Volts",
    "Watts",
    "WattsPerKelvin",
    "data_errors",
    "file_text",
    "load_all_errors",
    "load_data",
    "load_text",
    "parse_toml",
    "read_data",
    "read_text",
]

LARGEST_FILE = 2_000_000  # bytes; a scenario file is a few kilobytes
#: What is refused unparsed; the largest scenario file of ours holds about a tenth of it.
MOST_LINES, MOST_TABLES, MOST_KEYS, MOST_ITEMS, MOST_PARTS_OF_KEY = 40_000, 4_000, 20_000, 20_000, 16
#: Control characters other than tab and line end, and marks that turn the direction of writing.
_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_MAYBE_HIDDEN = re.compile(f"{_HIDDEN.pattern}|\\\\[uUbfrex]")
_HEADER = re.compile(r"^[ \t]*\[", re.MULTILINE)
_KEY = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')"""
_DEEP_KEY = re.compile(rf"(?<![A-Za-z0-9_-]){_KEY}(?:[ \t]*+\.[ \t]*+{_KEY}){{{MOST_PARTS_OF_KEY},}}+")


def __getattr__(name: str) -> Any:
    """Hand on the model base and the quantity types, loading pydantic at their first use."""
    if name in __all__:
        return getattr(importlib.import_module("probebook.textmodels"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


class Translation(Protocol):
    """What :func:`load_text` needs of a language: :class:`probebook.words.Words` has it."""

    def overlay(self, path: Path) -> Path | None:
        """Return the file that lays the language over a scenario file; None where there is none."""

    @property
    def mark(self) -> Callable[[str], str] | None:
        """What is done to every prose field; None where nothing is."""


def load_text(path: Path, model: type[M], words: Translation | None = None) -> M:
    """Read the TOML file ``path`` as a ``model``.

    Parameters
    ----------
    path
        The file, in English where it holds prose.
    model
        What it holds; fields of type ``Prose`` may be said in another language.
    words
        The language to say them in. Its file of the same name is laid over this one: tables are merged, and so
        are lists of tables, each row being found by its ``id``, ``mark``, ``name`` or ``key``.

    Raises
    ------
    ScenarioError
        A file is missing, unreadable, not TOML or does not fit the model, or the language changes something
        else than prose. The first mistake is told; when there are more, the sentence says how many.
    """
    path = Path(path)
    return load_data(parse_toml(file_text(path), path.name), path, model, words)


def load_data(data: Mapping[str, Any], path: Path, model: type[M], words: Translation | None = None) -> M:
    """Read the tables ``data`` of the file ``path`` as a ``model``; as :func:`load_text` otherwise."""
    if words is None:
        return read_data(data, model, where=path.name)
    over = words.overlay(path)
    if over is None:
        return _first(*_fitted(data, model, path.name, words.mark))
    from probebook.textoverlays import laid_over, overlay_name

    where = overlay_name(over)
    merged = laid_over(data, parse_toml(file_text(over), where), where)
    found = _first(*_fitted(merged, model, where))
    blank = [_first(*_fitted(each, model, where, _nothing)) for each in (data, merged)]
    if blank[0] != blank[1]:
        raise ScenarioError("a language may change prose only", where=where, remedy="leave figures, ids and marks out")
    return found


def _nothing(text: str) -> str:
    del text
    return ""


def load_all_errors(path: Path, model: type[BaseModel]) -> list[ScenarioError]:
    """Return every mistake in the TOML file ``path``, in file order of the model's keys; none is good."""
    path = Path(path)
    try:
        _, errors = _read(file_text(path), model, path.name)
    except ScenarioError as error:
        return [error]
    return errors


def data_errors(data: Mapping[str, Any], model: type[BaseModel], where: str) -> list[ScenarioError]:
    """Return every mistake in the tables of TOML text, in order of the model's keys; none is good."""
    return _fitted(data, model, where)[1]


def read_text(text: str, model: type[M], *, where: str) -> M:
    """Read TOML ``text`` as a ``model``; ``where`` names the source in errors.

    Raises
    ------
    ScenarioError
        As for :func:`load_text`.
    """
    return _first(*_read(text, model, where))


def read_data(data: Mapping[str, Any], model: type[M], *, where: str) -> M:
    """Read the tables of TOML text as a ``model``; as :func:`read_text` otherwise."""
    return _first(*_fitted(data, model, where))


def _first(value: M | None, errors: Sequence[ScenarioError]) -> M:
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
    return _fitted(parse_toml(text, where), model, where)


def _fitted(
    data: Mapping[str, Any], model: type[M], where: str, say: Callable[[str], str] | None = None
) -> tuple[M | None, list[ScenarioError]]:
    from pydantic import ValidationError

    try:
        # Strict in JSON mode: an array may fill a tuple and a string an enum, and nothing else is bent.
        context = {"say": say} if say else None
        return model.model_validate_json(_json(data, where), context=context), []
    except ValidationError as error:
        from probebook.textmodels import explain

        return None, [explain(detail, data, model, where) for detail in error.errors(include_url=False)]


def _json(data: Mapping[str, Any], where: str) -> str:
    try:
        return json.dumps(data, default=str)
    except ValueError as error:
        raise _too_many_digits(where) from error


def _too_many_digits(where: str) -> ScenarioError:
    """Python neither reads nor writes a number of more than 4300 digits."""
    return ScenarioError("a number has too many digits", where=where, remedy="write a number that can be meant")


def _refuse_what_would_hang(text: str, where: str) -> None:
    """Refuse, before it is parsed, a text that would take minutes or all of the memory to read."""
    if found := _DEEP_KEY.search(text):
        line = text.count("\n", 0, found.start()) + 1
        raise ScenarioError(
            f"line {line} holds a key of more than {MOST_PARTS_OF_KEY} parts",
            where=where,
            remedy="write the file flatter",
        )
    counts = (
        (text.count("\n"), "lines", MOST_LINES),
        (len(_HEADER.findall(text)), "tables", MOST_TABLES),
        (text.count("="), "keys", MOST_KEYS),
        (text.count(","), "items", MOST_ITEMS),
    )
    for count, what, most in counts:
        if count > most:
            raise ScenarioError(
                f"the file holds {count} {what}, more than the {most} that are read",
                where=where,
                remedy="spread it over several files, or see whether something was pasted in twice",
            )


def parse_toml(text: str, where: str) -> dict[str, Any]:
    """Return the tables of TOML ``text``; :class:`ScenarioError`, placed at ``where``, when it is none."""
    _refuse_what_would_hang(text, where)
    try:
        data = tomllib.loads(text)
        if _MAYBE_HIDDEN.search(text):
            _refuse_hidden_signs(data, where, "")
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        raise ScenarioError(
            f"the text is not valid TOML: {reason[:1].lower()}{reason[1:]}",
            where=where,
            remedy="mend the line named; text needs quotation marks and every key one equals sign",
        ) from error
    except ScenarioError:
        raise
    except ValueError as error:
        raise _too_many_digits(where) from error
    except RecursionError as error:
        raise ScenarioError("tables are nested too deeply", where=where, remedy="write the file flatter") from error
    return data


def _refuse_hidden_signs(value: Any, where: str, place: str) -> None:
    """Refuse text with signs that steer a terminal or turn the direction of writing: they are part of no sentence."""
    if isinstance(value, str):
        found = _HIDDEN.search(value)
        if found:
            raise ScenarioError(
                f"the text holds the hidden sign U+{ord(found[0]):04X}",
                where=f"{where}: {place}" if place else where,
                remedy="take it out, and write the text by hand",
            )
    elif isinstance(value, dict):
        for key, inside in value.items():
            _refuse_hidden_signs(key, where, place)
            _refuse_hidden_signs(inside, where, f"{place}.{key}" if place else key)
    elif isinstance(value, list):
        for number, inside in enumerate(value, 1):
            _refuse_hidden_signs(inside, where, f"{place}[{number}]")


def file_text(path: Path) -> str:
    """Return the text of a scenario file; :class:`ScenarioError` when it cannot be read, is too large or not UTF-8."""
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
