"""The strict model base, the quantity types of scenario files, and pydantic's findings in plain words.

A quantity in a file is text with its unit ("1150 W", "0.6 m", "12 min"); in the model it is a float in SI:
``Minutes`` holds seconds, ``SquareMillimetres`` square metres, ``Celsius`` an absolute temperature
in kelvins, ``Kelvins`` a temperature difference, ``Percent`` a fraction ("±5 %" is 0.05), ``Litres`` cubic
metres.

A text that people read is ``Prose``: it may be laid over by a language (:func:`probebook.textfiles.load_text`), and
nothing else in the file may.

Import these names from :mod:`probebook.textfiles`; this module loads pydantic.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, get_args, get_origin

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationInfo
from pydantic_core import PydanticCustomError

from probebook.errors import ProbebookError, ScenarioError
from probebook.units import parse_file_quantity

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails


class StrictModel(BaseModel):
    """Base of every model of a scenario file: frozen, no unknown keys, no bent types, no nan."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False, str_strip_whitespace=True)


@dataclass(frozen=True, slots=True)
class QuantityValidator(BeforeValidator):
    """The validator of a quantity, with the unit it is asked for in and the least value allowed (SI)."""

    unit: str = ""
    minimum: float | None = 0.0


def Quantity(unit: str, *, minimum: float | None = 0.0) -> QuantityValidator:
    """Return the validator of a quantity field: ``Annotated[float, Quantity("ohm")]``.

    Parameters
    ----------
    unit
        A unit of the dimension the text must have; the float is SI whatever this is.
    minimum
        The least value allowed, in SI; None for no limit.
    """

    def read(value: object, info: ValidationInfo) -> float:
        if info.mode == "python" and isinstance(value, float | int) and not isinstance(value, bool):
            return float(value)  # built in code, where numbers are SI already
        try:
            return parse_file_quantity(value, unit, minimum=minimum)
        except ScenarioError as error:
            context = {"message": error.message, "remedy": error.remedy or ""}
            raise PydanticCustomError("quantity", "{message}; {remedy}", context) from error

    return QuantityValidator(read, unit=unit, minimum=minimum)


def _as_said(text: str, info: ValidationInfo) -> str:
    say: Callable[[str], str] | None = info.context.get("say") if info.context else None
    return say(text) if say else text


#: Marks a text field as prose: a language may say it in its own way. ``Annotated[str, Field(max_length=80), SPOKEN]``.
SPOKEN = AfterValidator(_as_said)
Prose = Annotated[str, SPOKEN]

Ohms = Annotated[float, Quantity("ohm")]
Watts = Annotated[float, Quantity("W")]
Volts = Annotated[float, Quantity("V")]
Amperes = Annotated[float, Quantity("A")]
Hertz = Annotated[float, Quantity("Hz")]
Metres = Annotated[float, Quantity("m")]
SquareMillimetres = Annotated[float, Quantity("mm2")]
Litres = Annotated[float, Quantity("litre")]
Kilograms = Annotated[float, Quantity("kg")]
Kelvins = Annotated[float, Quantity("K")]
Celsius = Annotated[float, Quantity("degC")]
Seconds = Annotated[float, Quantity("s")]
Minutes = Annotated[float, Quantity("min")]
Joules = Annotated[float, Quantity("J")]
JoulesPerKelvin = Annotated[float, Quantity("J/K")]
WattsPerKelvin = Annotated[float, Quantity("W/K")]
Percent = Annotated[float, Quantity("%")]


def explain(
    detail: ErrorDetails, data: Mapping[str, Any], model: type[BaseModel], where: str, *, first_item: int = 1
) -> ScenarioError:
    """Return one finding of pydantic as a ScenarioError in the words of the file; items are counted from first_item."""
    place = _key_path(detail["loc"], data, is_missing=detail["type"] == "missing", first_item=first_item)
    message, remedy = _words(detail, model)
    named = ": ".join(part for part in (where, place) if part)
    return ScenarioError(message, where=named, remedy=remedy)


def _key_path(loc: Sequence[str | int], data: Any, *, is_missing: bool, first_item: int = 1) -> str:
    """Return a location as the file writes it, ``part[3].between``, items counted from ``first_item``.

    Steps that pydantic adds for its own sake (the branch of a union) are not in the file and are left out.
    """
    path = ""
    for number, step in enumerate(loc):
        is_last = number == len(loc) - 1
        if isinstance(step, int) and isinstance(data, list):
            path += f"[{step + first_item}]"
            data = data[step] if step < len(data) else None
        elif isinstance(data, Mapping) and (step in data or (is_missing and is_last)):
            path += f".{step}" if path else str(step)
            data = data.get(step)
    return path


# What each of pydantic's findings is called here: kind of finding -> (message, remedy).
_KIND_OF_VALUE = {
    "string_type": "text in quotation marks",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
    "bool_type": "true or false",
    "list_type": "a list in square brackets",
    "tuple_type": "a list in square brackets",
    "set_type": "a list in square brackets",
    "frozen_set_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}
# Kinds of finding about sizes -> (where the bound stands, what is counted).
_SIZES = {
    "string_too_long": ("max_length", "characters"),
    "string_too_short": ("min_length", "characters"),
    "too_long": ("max_length", "items"),
    "too_short": ("min_length", "items"),
}
# What the patterns of the formats allow, in words.
_PATTERNS = {
    r"^[A-Za-z0-9][A-Za-z0-9-]*$": 'write letters, digits and hyphens, such as "half-grill"',
    r"^[A-Z]{1,3}[0-9]*$": 'write one to three capital letters and a number, such as "E2"',
    r"^[A-Za-z0-9]+$": 'write letters and digits, such as "L" or "2"',
    r"^[A-Z]{1,3}[0-9]*\.[A-Za-z0-9]+$": 'write mark and tag of a terminal, such as "E2.1"',
    r"^[a-z0-9][a-z0-9-]*$": 'write small letters, digits and hyphens, such as "first-book"',
    r"^[a-z0-9]+(-[a-z0-9]+)*$": 'write small letters, digits and hyphens between them, such as "first-book"',
    r"^[a-z0-9]+([.-][a-z0-9]+)*$": 'write small letters and digits with dots or hyphens between, such as "earth.lead"',
    r"^[a-z]+(-[a-z]+)*(\.[a-z]+(-[a-z]+)*)?$": 'write small letters with hyphens or one dot, such as "earth.lead"',
    r"^[a-z]{2}$": 'write two small letters, such as "gb"',
    r"^[0-9]{3}$": 'write three digits, such as "112"',
    r"\S": "write something, not blanks alone",
}
_LIMITS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def _words(detail: ErrorDetails, model: type[BaseModel]) -> tuple[str, str | None]:
    kind = detail["type"]
    context = detail.get("ctx", {})
    if kind == "quantity":
        return str(context["message"]), str(context["remedy"])
    if kind == "missing":
        return _missing(detail["loc"], model)
    if kind == "extra_forbidden":
        return "this key is not known here", _nearest_key(detail["loc"], model)
    if kind == "value_error":
        cause = context.get("error")
        if isinstance(cause, ProbebookError):
            return cause.message, cause.remedy
        return str(cause), None
    if kind in _KIND_OF_VALUE:
        return f"{_shown(detail['input'])} is the wrong kind of value", f"write {_KIND_OF_VALUE[kind]}"
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        return f"{_shown(detail['input'])} is out of range", f"write a number of {words} {context[name]}"
    if kind in ("literal_error", "enum"):
        return f"{_shown(detail['input'])} is not one of the choices", f"write {context['expected']}"
    if kind == "union_tag_not_found":
        tag = str(context["discriminator"]).strip("'")
        return f'the key "{tag}" is missing', f'add a line that begins "{tag} ="'
    if kind == "union_tag_invalid":
        tag = str(context["discriminator"]).strip("'")
        return f'the key "{tag}" does not say a known kind', f"write one of {context['expected_tags']}"
    if kind in _SIZES:
        most, what = _SIZES[kind]
        bound = context.get(most, context.get(most.replace("length", "items"), ""))
        limit = "at most" if most.startswith("max") else "at least"
        return (
            f"{_shown(detail['input'])} is too {'long' if limit == 'at most' else 'short'}",
            f"write {limit} {bound} {what}",
        )
    if kind == "string_pattern_mismatch":
        pattern = str(context["pattern"])
        return f"{_shown(detail['input'])} cannot be written here", _PATTERNS.get(pattern, f"write what fits {pattern}")
    return f"{_shown(detail['input'])} cannot be used here", "see docs/formats.md for what can"


def _missing(loc: Sequence[str | int], model: type[BaseModel]) -> tuple[str, str]:
    """What is missing: a key, a table, a list of tables, an item of a list."""
    key = loc[-1]
    if isinstance(key, int):
        return "an item of this list is missing", f"write {key + 1} items or more, as many as its like have"
    path = ".".join(str(step) for step in loc if isinstance(step, str))
    models = {model}
    for step in loc[:-1]:
        if isinstance(step, str):
            models = set(_models_at(models, step)) or models
    if any(True for _ in _models_at(models, key)):
        is_list = any(_is_list(each, key) for each in models)
        return "this table is missing", f"add {f'[[{path}]]' if is_list else f'[{path}]'}, with what belongs in it"
    return "this key is missing", f'add a line that begins "{key} ="'


def _is_list(model: type[BaseModel], key: str) -> bool:
    for name, field in model.model_fields.items():
        if key in (name, field.alias):
            return get_origin(field.annotation) in (tuple, list)
    return False


def _shown(value: object) -> str:
    """Return a value as the file writes it, shortened."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if value is None:
        return "nothing"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    if isinstance(value, bool):
        text = text.lower()
    return text if len(text) <= 40 else f"{text[:36]}..."


def _nearest_key(loc: Sequence[str | int], model: type[BaseModel]) -> str:
    wrong = str(loc[-1])
    models = {model}
    for step in loc[:-1]:
        if isinstance(step, str):
            models = set(_models_at(models, step)) or models
    known = sorted({name for each in models for name in _file_keys(each)})
    near = difflib.get_close_matches(wrong, known, n=1)
    if near:
        return f'write "{near[0]}" if that is what is meant'
    return f"the keys here are {', '.join(known)}"


def _file_keys(model: type[BaseModel]) -> list[str]:
    return [field.alias or name for name, field in model.model_fields.items()]


def _models_at(models: set[type[BaseModel]], key: str) -> Iterator[type[BaseModel]]:
    """Yield the models that the value of ``key`` may be, in any of ``models``."""
    for each in models:
        for name, field in each.model_fields.items():
            if key in (name, field.alias):
                yield from _models_in(field.annotation)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)
