"""Write ``docs/formats.md``, the reference of all text formats, from the models that read them.

Run ``python tools/formats.py`` after a change of a format; with ``--check`` it writes nothing and exits 1 when the
file on disk is not what it would write.
"""

from __future__ import annotations

import inspect
import re
import sys
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from datetime import date
from enum import Enum
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from probebook.assumptions import Assumed, all_groups
from probebook.questions.model import Kind
from probebook.questions.registry import builder_of, options_of
from probebook.regions.facts import RegionFacts
from probebook.textmodels import SPOKEN, QuantityValidator
from probebook.words import Noun
from probebook.words.holes import holes_of
from probebook.words.language import Language
from probebook.words.language_files import read_language
from probebook.words.ways import WAYS, make_way

ROOT = Path(__file__).resolve().parents[1]
TARGET = ROOT / "docs" / "formats.md"

#: File in ``scenarios`` → the model that reads it.
MODELS = {
    "appliances/<id>.toml": "probebook.appliances.schema:ApplianceText",
    "alloys.toml": "probebook.appliances.alloy_file:AlloyFile",
    "meters/<id>.toml": "probebook.meters.filemodel:MeterFile",
    "regions/<id>.toml": "probebook.regions.region_file:RegionText",
    "limits.toml": "probebook.regions.limits_file:RuleFile",
    "workbooks/<id>.toml": "probebook.workbook.build.formats:PlanText",
    "blueprints/<id>.toml": "probebook.assessment.setting.formats:BlueprintText",
    "text/en/kitchen.toml": "probebook.cases.formats:KitchenText",
    "text/en/slips.toml": "probebook.cases.formats:SlipsText",
    "text/en/cautions.toml": "probebook.workbook.build.formats:CautionsText",
    "text/en/glossary.toml": "probebook.workbook.build.formats:GlossaryText",
    "text/en/knowhow.toml": "probebook.questions.formats:KnowhowText",
    "text/en/procedures/<id>.toml": "probebook.questions.formats:ProcedureText",
    "text/en/procedures/situations.toml": "probebook.questions.formats:SituationsText",
    "outcomes.toml": "probebook.cases.formats:OutcomesText",
    "competences.toml": "probebook.learning.formats:CompetencesText",
    "practice.toml": "probebook.learning.formats:PracticeText",
    "difficulty.toml": "probebook.questions.formats:DifficultyText",
    "stock.toml": "probebook.questions.replacement.stock_format:StockText",
    "symbols.toml": "probebook.questions.trace.signs_format:SymbolsText",
    "(evidence).toml or .json": "probebook.diagnosis.files.format:EvidenceText",
}

HEAD = """# Text formats

Every file that an author of scenarios writes, key by key. This page is written by `python tools/formats.py` from the
models that read the files, and a test fails when it is not current; do not edit it.

A **quantity** is text with its unit (`"1150 W"`, `"0.6 m"`, `"5 %"`); any unit of the same kind will do. **Prose** is
text that another language may say in its own words (`text/<language>/`, a file of the same name); it may change nothing
else of a file. `probebook check FILE` names what is wrong, with file, key and remedy.
"""


# ---------------------------------------------------------------- models


def model_of(place: str) -> type[BaseModel]:
    """Return the model of ``module:Class``."""
    module, _, name = place.partition(":")
    found: type[BaseModel] = getattr(import_module(module), name)
    return found


def told(thing: Any) -> str:
    """Return a docstring as Markdown paragraphs."""
    return re.sub(r":\w+:`~?(?:[\w.]+\.)?(\w+)`", r"`\1`", inspect.cleandoc(thing.__doc__ or "").replace("``", "`"))


def model_section(model: type[BaseModel], path: str, seen: set[type[BaseModel]]) -> Iterator[str]:
    """Yield the description and the table of a model, then those of the tables in it."""
    seen.add(model)
    yield told(model) + "\n"
    yield "| key | value | default |\n| --- | --- | --- |"
    inner: list[tuple[str, type[BaseModel]]] = []
    for name, info in model.model_fields.items():
        key = info.alias or name
        value = described(info.annotation, info.metadata)
        yield f"| `{key}` | {value} | {default_of(info)} |"
        place = f"{path}.{key}" if path else key
        inner += [(place, found) for found in models_in(info.annotation) if found not in seen]
    yield ""
    for place, found in inner:
        if found not in seen:
            yield f"**`{place}`**\n"
            yield from model_section(found, place, seen)


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the models that a value may be or hold."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from models_in(part)


def default_of(info: FieldInfo) -> str:
    """Return what holds where a key is left out."""
    if info.is_required():
        return "**needed**"
    value = info.get_default(call_default_factory=True)
    if value is None or isinstance(value, BaseModel) or (isinstance(value, str | tuple | dict) and not value):
        return "–"
    return f"`{str(value).lower() if isinstance(value, bool) else value}`"


def described(annotation: Any, notes: Sequence[Any] = ()) -> str:
    """Return what a value is, in words, with its bounds."""
    metadata = [each for note in notes for each in (note.metadata if isinstance(note, FieldInfo) else [note])]
    for note in metadata:
        if isinstance(note, QuantityValidator):
            return f"quantity in `{note.unit}`{'' if note.minimum == 0 else ', of either sign'}"
    return " ".join(filter(None, [kind_of(annotation, metadata), bounds(metadata)]))


def kind_of(annotation: Any, metadata: Sequence[Any] = ()) -> str:
    """Return the kind of a value in words."""
    origin, args = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return described(args[0], args[1:])
    if origin is Literal:
        return " ".join(f'`"{value}"`' if isinstance(value, str) else f"`{value}`" for value in args)
    if origin in (Union, types.UnionType):
        return " or ".join(kind_of(arg, metadata) for arg in args if arg is not type(None))
    if origin is tuple:
        if args[-1] is Ellipsis:
            return f"list of {kind_of(args[0])}".replace("list of table", "list of tables")
        return f"list of {len(args)}: {kind_of(args[0])}"
    if origin is dict:
        return f"table of {kind_of(args[1])}, by {kind_of(args[0])}"
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        return " ".join(f'`"{member.value}"`' for member in annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return "table"
    if annotation is str:
        return "prose" if SPOKEN in metadata else "text"
    return {bool: "true or false", int: "whole number", float: "number", date: "date"}.get(annotation, str(annotation))


def bounds(metadata: Sequence[Any]) -> str:
    """Return the bounds of a value."""
    signs = {Ge: ("ge", "≥"), Gt: ("gt", ">"), Le: ("le", "≤"), Lt: ("lt", "<")}
    sizes = {MinLen: ("min_length", "at least"), MaxLen: ("max_length", "at most")}
    found = []
    for note in metadata:
        if type(note) in signs:
            name, sign = signs[type(note)]
            found.append(f"{sign} {getattr(note, name):g}")
        elif type(note) in sizes:
            name, words = sizes[type(note)]
            size = getattr(note, name)
            found.append("not empty" if words == "at least" and size == 1 else f"{words} {size} long")
        elif getattr(note, "pattern", None):
            found.append("like `" + note.pattern.replace("|", "\\|") + "`")
    return f"({', '.join(found)})" if found else ""


# ---------------------------------------------------------------- what is no model


def options_section() -> Iterator[str]:
    """Yield the options of each kind of question, from the docstring of its folder."""
    yield "### `options` of a block, by kind of question\n"
    for kind in Kind:
        module = import_module(f"probebook.questions.{kind.replace('-', '_')}")
        meanings = options_told(module)
        forms = getattr(import_module(builder_of(kind).__module__), "FORMS", None)
        yield f"**`{kind}`** – {told(module).partition(': ')[2].partition(chr(10))[0]}\n"
        if not options_of(kind):
            yield "No options.\n"
            continue
        yield "| option | meaning |\n| --- | --- |"
        for option in options_of(kind):
            meaning = meanings[option]
            if option == "form" and isinstance(forms, Mapping):
                meaning += " Forms: " + ", ".join(f"`{form}`" for form in forms) + "."
            yield f"| `{option}` | {meaning} |"
        yield ""


def options_told(module: types.ModuleType) -> dict[str, str]:
    """Return what the docstring of a kind's folder says of each option."""
    section = inspect.cleandoc(module.__doc__ or "").replace("``", "`").partition("Options\n-------\n")[2]
    rows = re.findall(r"^(\S+)\n((?:    .*\n?)+)", section, re.MULTILINE)
    return {name: " ".join(text.split()) for name, text in rows}


#: A value of each kind of fact, and arguments for each way that needs some.
SAMPLES = {
    "number": 47.25,
    "count": 3,
    "text": "base element",
    "thing": Noun("element", "element", plural="elements"),
    "choice": "less",
    "date": date(2026, 3, 1),
    "many": ("E1", "E2", "E3"),
}
#: Numbers that show better what a way does.
NUMBERS = {"percent": 0.0825, "comma": 11500.0, "spaced": 11500.0, "rating": 1150.0, "watts": 1150.0, "fraction": 1.5}
ARGUMENTS: Mapping[str, tuple[tuple[Any, ...], dict[str, str]]] = {
    "sig": ((3,), {}),
    "fixed": ((1,), {}),
    "quantity": (("ohm", 3), {}),
    "plain": (("ohm",), {}),
    "join": ((" + ",), {}),
    "each": (("**", "**"), {}),
    "plural": ((), {"one": "part", "other": "parts"}),
    "choose": ((), {"less": "too low", "more": "too high"}),
    "form": (("genitive",), {}),
    "gender": ((), {"m": "der", "f": "die", "n": "das"}),
}


def ways_section() -> Iterator[str]:
    """Yield the ways of saying a fact, each with an example."""
    yield "| way | for | example | says |\n| --- | --- | --- | --- |"
    english = read_language(ROOT / "scenarios" / "text" / "en", "en", english=True)
    for way in sorted(WAYS.values(), key=lambda each: each.name):
        kinds = sorted(way.takes, key=list(SAMPLES).index)
        args, named = ARGUMENTS.get(way.name, ((), {}))
        value = SAMPLES["many" if way.whole and "many" in kinds and "count" not in kinds else kinds[0]]
        value = NUMBERS.get(way.name, value)
        said = make_way(english, way.name, args, named)(value)
        inside = ", ".join([*map(repr, args), *(f"{key}={text!r}" for key, text in named.items())])
        hole = f"{{{{ x\\|{way.name}{f'({inside})' if inside else ''} }}}}"
        yield f"| `{way.name}` | {', '.join(kinds)} | `{hole}` | {said} |"
    yield ""


def attributes_section(cls: type) -> Iterator[str]:
    """Yield the attributes that a numpy-style docstring describes."""
    text = told(cls).partition("Attributes\n----------\n")[2]
    yield "| key | meaning |\n| --- | --- |"
    for names, meaning in re.findall(r"^(\w[\w, ]*)\n((?:    .*\n?)+)", text, re.MULTILINE):
        yield f"| {', '.join(f'`{name.strip()}`' for name in names.split(','))} | {' '.join(meaning.split())} |"
    yield ""


def holes_section() -> Iterator[str]:
    """Yield what a text of a scenario file may name of the region."""
    yield "| hole | what it is |\n| --- | --- |"
    for name, hole in holes_of(RegionFacts).items():
        yield f"| `{name}` | {'noun' if hole.kind == 'thing' else hole.kind}{f' in {hole.unit}' if hole.unit else ''} |"
    yield ""


def assumptions_section() -> Iterator[str]:
    """Yield the groups of assumptions: table, what it is for, each figure with the unit it is stated in."""
    for table, group in all_groups().items():
        yield f"**`[{table}]`** – {told(group)}\n"
        yield "| figure | value | unit |\n| --- | --- | --- |"
        for name, (kind, unit) in figures_of(group).items():
            yield f"| `{name.replace('_', '-')}` | {kind} | `{unit}` |"
        yield ""


def figures_of(group: type[Assumed]) -> dict[str, tuple[str, str]]:
    """Return the kind and the unit of each figure of a group."""
    hints = get_type_hints(group, include_extras=True)
    found = {}
    for each in fields(group):  # type: ignore[arg-type]
        kind, unit = get_args(hints[each.name])
        shape = getattr(get_origin(kind) or kind, "__name__", "")
        found[each.name] = ({"float": "number", "int": "whole number", "tuple": "list"}.get(shape, "table"), unit)
    return found


# ---------------------------------------------------------------- the page


def page() -> str:
    """Return the whole page."""
    lines = [HEAD]
    for file, place in MODELS.items():
        lines += [f"## {file}\n", *model_section(model_of(place), "", set())]
        if file.startswith("workbooks/"):
            lines += options_section()
    lines += ["## assumptions.toml\n", ASSUMPTIONS, *assumptions_section()]
    lines += ["## text/<language>/ – sentences\n", SENTENCES, "### Ways\n", *ways_section()]
    lines += ["### Words of the region\n", REGION_HOLES, *holes_section()]
    lines += ["### text/<language>/language.toml\n", *attributes_section(Language)]
    lines += ["### text/<language>/nouns.toml\n", NOUNS, *attributes_section(Noun)]
    return "\n".join(lines).rstrip() + "\n"


ASSUMPTIONS = """Figures that are judgements of the trade or of teaching. Each is a table of four keys:
`closest = { value = 0.02, unit = "1", basis = "why this value", source = "on whose word" }`. The unit is the one named
here; `1` is a plain number.
"""
SENTENCES = """A file is a number of tables, each of them sentences of one place: `[watts]` holds `prompt = "..."`. Dots
lead into tables inside (`[watts.here]`). A sentence is text with **holes** and nothing else: `{{ fact }}`,
`{{ fact|way }}`, `{{ fact|way(2) }}`. Which facts a sentence is told stands in the class of facts that names its table;
`probebook check` says when a hole has no fact, a fact no hole, or a unit is not that of the fact.
"""
REGION_HOLES = """Texts of plans, cautions, questions of knowledge, procedures and situations may name what differs by
country:
"""
NOUNS = """A table a noun, by what Probebook calls the thing: `[element]`.
"""


def main() -> None:
    """Write the page, or say whether it is current."""
    text = page()
    if "--check" in sys.argv[1:]:
        if not TARGET.is_file() or TARGET.read_text("utf-8") != text:
            print("docs/formats.md is not current: run python tools/formats.py")
            sys.exit(1)
        return
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
