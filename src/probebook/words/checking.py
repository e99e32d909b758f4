"""Walk every sentence of a language against the facts it is told, and name what does not fit, with file and line."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from inspect import get_annotations
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError
from probebook.scenario_layers import layers
from probebook.textfiles import file_text, parse_toml
from probebook.unit_table import find_unit
from probebook.words.facts import Facts, facts_by_group
from probebook.words.holes import BARE, Hole, fault_of_ways, holes_of, unit_after
from probebook.words.language_files import read_nouns
from probebook.words.sources import TextFile
from probebook.words.templates import Segment, TemplateError, parse_template
from probebook.words.words import ENGLISH, OTHERWISE, Words

__all__ = ["Finding", "all_facts", "check_words"]

#: Files in a language's folder that hold no sentences.
OWN_FILES = frozenset(("language.toml", "nouns.toml"))


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong with the words: the place (file, line and key), what is wrong and how to mend it."""

    where: str
    message: str
    remedy: str = ""

    def __str__(self) -> str:
        """Return the one sentence a person reads."""
        return str(self.error())

    def error(self) -> ScenarioError:
        """Return the finding as the error that a build would raise."""
        return ScenarioError(self.message, where=self.where, remedy=self.remedy or None)


def all_facts(package: str = "probebook") -> dict[str, list[type[Facts]]]:
    """Import every module of the package that declares facts; return their classes by group."""
    root = Path(str(importlib.import_module(package).__file__)).parent
    for path in sorted(root.rglob("*.py")):
        text = path.read_text("utf-8")
        if "Facts" in text and "group=" in text and path.parent != Path(__file__).parent:
            parts = path.relative_to(root).with_suffix("").parts
            name = ".".join([package, *(parts[:-1] if parts[-1] == "__init__" else parts)])
            if name not in sys.modules:
                importlib.import_module(name)
    return facts_by_group(f"{package}.")


def check_words(
    folder: Path, language: str = ENGLISH, facts: dict[str, list[type[Facts]]] | None = None
) -> list[Finding]:
    """Return what is wrong with the sentences of a language.

    Parameters
    ----------
    folder
        The ``scenarios`` folder.
    language
        Name of a folder in ``text``.
    facts
        Classes by group; all of Probebook's when None.

    Returns
    -------
    list of Finding
        In order of file and line; empty when every sentence can be said. Facts that no sentence says are told of
        English alone, because another language may need fewer.
    """
    try:
        words = Words(folder, language)
        _ = words.language, words.noun("")
    except ScenarioError as error:
        return [Finding(error.where or f"text/{language}", error.message, error.remedy or "")]
    return list(_Check(words, all_facts() if facts is None else facts).findings())


@dataclass
class _Check:
    words: Words
    facts: dict[str, list[type[Facts]]]
    files: dict[str, TextFile] = field(default_factory=dict)

    def findings(self) -> Iterator[Finding]:
        broken = set()
        for file in sorted({group.rpartition("/")[0] for group in self.facts}):
            name = f"text/{self.words.source}/{file}.toml"
            try:
                self.files[file] = self.words.text_file(file)
            except ScenarioError as error:
                broken.add(file)
                where = (error.where or name).replace(f"{self.words.folder}/", "")
                yield Finding(where, error.message, error.remedy or "")
        for group, classes in self.facts.items():
            if group.rpartition("/")[0] not in broken:
                yield from self._group(group, classes)
        yield from self._unsaid_tables()
        yield from self._nouns()

    def _nouns(self) -> Iterator[Finding]:
        """Nouns that English has by id and the language has not."""
        own = read_nouns(self.words.folder / "text" / self.words.source)
        for noun in dict.fromkeys(read_nouns(self.words.folder / "text" / ENGLISH).values()):
            if noun.id not in own:
                yield Finding(
                    f"text/{self.words.source}/nouns.toml",
                    f"the noun '{noun.id}' is missing",
                    f"add [{noun.id}] with its text",
                )

    def _group(self, group: str, classes: Sequence[type[Facts]]) -> Iterator[Finding]:
        file, _, table = group.rpartition("/")
        source = self.files[file]
        sentences = source.tables.get(table)
        if sentences is None:
            yield Finding(source.where(table), f"the table [{table}] is missing", f"add [{table}] and its sentences")
            return
        used: dict[type[Facts], set[str]] = {}
        for cls in classes:
            try:
                holes = holes_of(cls)
            except (TypeError, NameError) as error:
                yield Finding(f"{cls.__module__}.{cls.__qualname__}", str(error), "declare it as the guide says")
                continue
            used[cls] = set()
            for key in cls.says_:
                for each in self._forms(key, sentences):
                    yield from self._sentence(source, table, each, holes, used[cls])
        said = {key for cls in classes for key in cls.says_}
        for key in sentences:
            wordings = {key.removesuffix(ending) for ending in OTHERWISE}
            if not wordings & said and key.rpartition(".")[0] not in self._cased(said):
                near = get_close_matches(key, said - set(sentences), n=1)
                hint = f"did you mean '{near[0]}'" if near else "take it out, or name it in the facts"
                yield Finding(source.where(table, key), "nobody says this sentence", hint)
        if self.words.id == ENGLISH:
            yield from _unused(source, table, used)

    def _cased(self, said: set[str]) -> set[str]:
        return said if self.words.language.cases else set()

    def _forms(self, key: str, sentences: Any) -> list[str]:
        cases = (f"{key}.{case}" for case in self.words.language.cases)
        return [key, *(each for each in (*(f"{key}{ending}" for ending in OTHERWISE), *cases) if each in sentences)]

    def _sentence(
        self, source: TextFile, table: str, key: str, holes: dict[str, Hole], used: set[str]
    ) -> Iterator[Finding]:
        where = source.where(table, key)
        template = source.tables[table].get(key)
        if template is None:
            near = get_close_matches(key, source.tables[table], n=1)
            hint = f"is it the one called '{near[0]}'" if near else f'add a line {key} = "..."'
            yield Finding(source.where(table), f"the sentence '{key}' is missing", hint)
            return
        if not template.strip():
            yield Finding(where, "the sentence says nothing", "write it, or leave the whole line to the facts")
            return
        try:
            segments = parse_template(template)
        except TemplateError as error:
            used.update(holes)  # whatever it uses, that is not the mistake to name
            yield Finding(where, error.message, error.remedy)
            return
        for place, segment in enumerate(segments):
            if isinstance(segment, str):
                continue
            after = segments[place + 1] if place + 1 < len(segments) else ""
            used.add(segment[0])
            fault = self._hole(segment, holes, after)
            if fault:
                yield Finding(where, *fault)
        if sum(s.count("**") for s in segments if isinstance(s, str)) % 2:
            yield Finding(where, "the marks ** for bold do not pair", "close what is opened")

    def _hole(self, segment: list[Any], holes: dict[str, Hole], after: Segment) -> tuple[str, str] | None:
        name, *ways = segment
        if name not in holes:
            near = get_close_matches(name, holes, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"the facts are {', '.join(holes) or 'none'}"
            return f"there is no fact '{name}' in this sentence", hint
        fault = fault_of_ways(name, holes[name], ways, self.words.language)
        if fault or not holes[name].unit or not isinstance(after, str):
            return fault
        written = unit_after(after)
        if written and ways and ways[-1][0] in BARE and find_unit(written) != find_unit(holes[name].unit):
            return (
                f"'{name}' is in {holes[name].unit}, and the text says {written}",
                f"write {holes[name].unit}, or show it with quantity('{written}')",
            )
        return None

    def _unsaid_tables(self) -> Iterator[Finding]:
        """Tables of sentences, and whole files of them, that no facts name."""
        part = Path("text") / self.words.source
        found = [(layer / part, path) for layer in layers(self.words.folder) for path in (layer / part).rglob("*.toml")]
        for folder, path in sorted(found):
            relative = path.relative_to(folder)
            name = relative.with_suffix("").as_posix()
            source = self.files.get(name)
            if source is None:
                if not self._holds_sentences(path, relative):
                    continue
                source = TextFile(f"text/{self.words.source}/{relative.as_posix()}", {}, {})
                yield Finding(source.name, "no facts name this file", "take it out, or name it in the facts")
            for table in source.tables:
                if f"{name}/{table}" not in self.facts:
                    yield Finding(source.where(table), "no facts name this table", "take it out, or name it in facts")

    def _holds_sentences(self, path: Path, relative: Path) -> bool:
        """Whether an unnamed file looks like one of sentences: tables of texts alone, laid over no other file."""
        if relative.name in OWN_FILES or any((layer / relative).exists() for layer in layers(self.words.folder)):
            return False
        try:
            data = parse_toml(file_text(path), relative.name)
        except ScenarioError:
            return True
        return bool(data) and all(
            isinstance(table, dict) and all(isinstance(v, str | dict) for v in table.values())
            for table in data.values()
        )


def _unused(source: TextFile, table: str, used: dict[type[Facts], set[str]]) -> Iterator[Finding]:
    """Facts of a class that none of its sentences says; a fact shared by several counts when none of them does."""
    said = set().union(*used.values()) if used else set()
    for cls, names in used.items():
        for name in holes_of(cls):
            own = name in get_annotations(cls)
            if name not in (names if own else said):
                yield Finding(
                    source.where(table), f"no sentence says the fact '{name}' of {cls.__qualname__}", "say it again"
                )
