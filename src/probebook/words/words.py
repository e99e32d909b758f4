"""Words: the sentences of one language, found and said."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any, Self

from probebook.errors import ScenarioError
from probebook.scenario_layers import file_in, layers
from probebook.words.facts import Facts, Phrase, texts_beside
from probebook.words.language import Language
from probebook.words.language_files import noun_of, read_language, read_nouns
from probebook.words.nouns import Noun
from probebook.words.pseudo import PSEUDO, marked, marked_language, marked_segments
from probebook.words.sources import TextFile, read_text_file
from probebook.words.templates import Segment, TemplateError, is_segment, parse_template
from probebook.words.ways import WAYS, ArgumentsError, Said, make_way

__all__ = ["ENGLISH", "OTHERWISE", "Words", "filled_hole", "read_template"]

ENGLISH = "en"

#: What follows the name of a sentence in the names of other wordings of it.
OTHERWISE = ("-other", "-third")

Sentence = Callable[[Facts], Phrase]

# What may go wrong when a way is given a fact it does not suit.
_UNSUITED = (TypeError, ValueError, KeyError, AttributeError, IndexError)


class Words:
    """What Probebook says, in one language.

    Parameters
    ----------
    folder
        The ``scenarios`` folder.
    language
        Name of a folder in ``text``; ``qps`` is English with every word marked.
    """

    def __init__(self, folder: Path, language: str = ENGLISH) -> None:
        self.folder = Path(folder)
        self.id = language
        self._files: dict[str, TextFile] = {}
        self._segments: dict[tuple[str, str], list[Segment]] = {}
        self._ready: dict[tuple[type[Facts], str], Sentence] = {}
        self._texts: dict[tuple[type[Facts], str], Sentence] = {}

    # ---------------------------------------------------------------- saying

    def say(self, facts: Facts, key: str) -> Phrase:
        """Return a sentence of the facts' group with its holes filled.

        Raises
        ------
        ScenarioError
            There is no such sentence, or it cannot be said of these facts; file and line are named.
        """
        kind = type(facts)
        sentence = self._ready.get((kind, key))
        if sentence is None:
            sentence = self._ready[kind, key] = self._prepare(kind, key)
        try:
            return sentence(facts)
        except _UNSUITED as error:
            raise unsuited(facts, error, self.where(kind.group_, key)) from error

    def wordings(self, facts: Facts, key: str) -> list[Phrase]:
        """Return a sentence as :meth:`say` does, and its other wordings where the text has any (``key-other``)."""
        others = (f"{key}{ending}" for ending in OTHERWISE)
        return [self.say(facts, each) for each in (key, *(o for o in others if self.has(type(facts), o)))]

    def say_text(self, facts: Facts, template: str, where: str) -> Phrase:
        """Return a template that stands in no table of sentences, with its holes filled.

        Parameters
        ----------
        facts
            What its holes may name.
        template
            The template, in the language of these words.
        where
            File and key that it stands in, for errors.

        Raises
        ------
        ScenarioError
            The template is broken, or cannot be said of these facts.
        """
        kind = type(facts)
        sentence = self._texts.get((kind, template))
        if sentence is None:
            segments = read_template(template, where)
            if self.id == PSEUDO:
                segments = marked_segments(segments)
            sentence = self._texts[kind, template] = self._made(kind, segments, lambda: where)
        try:
            return sentence(facts)
        except _UNSUITED as error:
            raise unsuited(facts, error, where) from error

    def has(self, kind: type[Facts], key: str) -> bool:
        """Whether the group of a class of facts has a sentence of that name.

        Words that a marking sheet carries have the sentences it carries, and no file to look others up in.
        """
        if (kind.group_, key) in self._segments:
            return True
        file, _, table = kind.group_.rpartition("/")
        known = file in self._files or bool(self._places(file))
        return known and key in self.text_file(file).tables.get(table, {})

    def _prepare(self, kind: type[Facts], key: str) -> Sentence:
        return self._made(kind, self.segments(kind.group_, key), lambda: self.where(kind.group_, key))

    def _made(self, kind: type[Facts], segments: Sequence[Segment], where: Callable[[], str]) -> Sentence:
        pieces = [s if isinstance(s, str) else filled_hole(self.language, kind, s, where) for s in segments]
        if len(pieces) == 1 and isinstance(pieces[0], str):
            whole = Phrase(pieces[0])
            return lambda _: whole

        def sentence(facts: Facts) -> Any:  # a Phrase, which is a str to Python
            return "".join([p if p.__class__ is str else p(facts) for p in pieces])  # type: ignore[operator]

        return sentence

    # ---------------------------------------------------------------- sentences

    def segments(self, group: str, key: str) -> list[Segment]:
        """Return a sentence as its template was read; :class:`ScenarioError` when it is missing or broken."""
        known = self._segments.get((group, key))
        if known is not None:
            return known
        file, _, table = group.rpartition("/")
        template = self.text_file(file).tables.get(table, {}).get(key)
        if template is None:
            raise ScenarioError(
                f"the sentence '{key}' is missing", where=self.where(group, ""), remedy=f'add a line {key} = "..."'
            )
        found = read_template(template, self.where(group, key))
        if self.id == PSEUDO:
            found = marked_segments(found)
        self._segments[group, key] = found
        return found

    def where(self, group: str, key: str) -> str:
        """Return the file and line of a sentence."""
        file, _, table = group.rpartition("/")
        known = self._files.get(file)
        return known.where(table, key) if known else f"text/{self.source}/{file}.toml: {table}.{key}".rstrip(".")

    def text_file(self, file: str) -> TextFile:
        """Return a file of sentences as it was read; :class:`ScenarioError` when it is missing or broken."""
        if file not in self._files:
            name = f"text/{self.source}/{file}.toml"
            places = self._places(file) or [self.folder / name]
            found = read_text_file(places[-1], name)
            for own in reversed(places[:-1]):
                found = found.under(read_text_file(own, name))
            self._files[file] = found
        return self._files[file]

    def _places(self, file: str) -> list[Path]:
        """Where a text lies: in the folder, in what that lies over, or beside the code, as a kind of one's own may."""
        places = [layer / f"text/{self.source}/{file}.toml" for layer in self._layers]
        if not (places and places[-1].exists()):
            places += texts_beside(file, self.source)
        return [place for place in places if place.exists()]

    @cached_property
    def _layers(self) -> tuple[Path, ...]:
        """The folder and what it lies over; none where the words were carried here."""
        return () if self._is_restored else layers(self.folder)

    @property
    def source(self) -> str:
        """Folder in ``text`` that the sentences are read from."""
        return ENGLISH if self.id == PSEUDO else self.id

    # ---------------------------------------------------------------- language and nouns

    @cached_property
    def language(self) -> Language:
        """How the language lists, counts and writes numbers."""
        found = read_language(self.folder / "text" / self.source, self.id, english=self.source == ENGLISH)
        return marked_language(found) if self.id == PSEUDO else found

    @cached_property
    def _nouns(self) -> dict[str, Noun]:
        return read_nouns(self.folder / "text" / self.source)

    def noun(self, name: str) -> Noun:
        """Return a noun by its id or by its text; one that no file describes is its own text."""
        return self.adopted(Noun(name, name))

    def adopted(self, noun: Noun) -> Noun:
        """Return a noun from elsewhere as this language has it, by its id or else by its text."""
        noun = self._nouns.get(noun.id) or self._nouns.get(noun.text) or noun
        if self.id != PSEUDO:
            return noun
        return Noun(
            noun.id, marked(noun.text), marked(noun.plural), marked(noun.article), noun.gender, noun.number, noun.forms
        )

    # ---------------------------------------------------------------- prose of other files

    def overlay(self, path: Path) -> Path | None:
        """Return the file that lays this language over a scenario file; None where there is none.

        Over ``appliances/kettle.toml`` lies ``text/<language>/appliances/kettle.toml``, and over a file of
        ``text/en`` the one of the same name.
        """
        if self.source == ENGLISH:
            return None
        whole = Path(path).resolve()
        homes = (layer.resolve() for layer in self._layers)
        relative = next((whole.relative_to(home) for home in homes if whole.is_relative_to(home)), None)
        if relative is None:
            return None
        if relative.parts[:2] == ("text", ENGLISH):
            relative = Path(*relative.parts[2:])
        over = file_in(self.folder, f"text/{self.id}/{relative.as_posix()}")
        return over if over.is_file() else None

    @property
    def mark(self) -> Callable[[str], str] | None:
        """What is done to every prose field of a scenario file: the pseudo-language marks its words."""
        return marked if self.id == PSEUDO else None

    # ---------------------------------------------------------------- carrying

    def groups(self, file: str) -> list[str]:
        """Return the groups of a text file, such as ``questions/marking/part``."""
        return [f"{file}/{table}" for table in self.text_file(file).tables]

    def subset(self, groups: Iterable[str]) -> dict[str, Any]:
        """Return whole groups of sentences, the language and the nouns, as JSON can hold them."""
        told: dict[str, dict[str, list[Segment]]] = {}
        for group in groups:
            file, _, table = group.rpartition("/")
            keys = [k for g, k in self._segments if g == group]
            if not self._is_restored:
                keys = list(self.text_file(file).tables.get(table, {}))
            told[group] = {key: self.segments(group, key) for key in keys}
        nouns = {
            name: {f: getattr(noun, f) for f in noun.__dataclass_fields__ if f != "forms"} | {"forms": dict(noun.forms)}
            for name, noun in self._nouns.items()
        }
        return {"language": self.language.to_data(), "groups": told, "nouns": nouns}

    _is_restored = False

    @classmethod
    def restored(cls, data: Mapping[str, Any]) -> Self:
        """Return words that can say a :meth:`subset`, with no file, no Jinja2 and no Babel.

        Raises
        ------
        AttributeError, KeyError, TypeError, ValueError
            The data are no such subset.
        """
        words = cls(Path(), data["language"]["id"])
        words._is_restored = True
        words.__dict__["language"] = Language.from_data(data["language"])
        words.__dict__["_nouns"] = {name: noun_of(name, row) for name, row in data["nouns"].items()}
        for group, sentences in data["groups"].items():
            for key, segments in sentences.items():
                if not isinstance(segments, list) or not all(map(is_segment, segments)):
                    raise TypeError(f"{group}.{key}")
                words._segments[group, key] = segments
        return words


def unsuited(facts: Facts, error: Exception, where: str) -> ScenarioError:
    """Return the error for a sentence that its facts do not suit."""
    return ScenarioError(
        f"the sentence cannot be said of {type(facts).__name__} ({type(error).__name__}: {error})",
        where=where,
        remedy="run probebook check, which names the hole and the way that do not fit",
    )


def read_template(template: str, where: str) -> list[Segment]:
    """Return the segments of a template; :class:`ScenarioError`, placed at ``where``, when it is broken."""
    try:
        return parse_template(template)
    except TemplateError as error:
        raise ScenarioError(error.message, where=where, remedy=error.remedy) from error


def filled_hole(language: Language, kind: type[Facts], hole: list[Any], where: Callable[[], str]) -> Said:
    """Return the function that fills a hole from facts of a kind.

    Raises
    ------
    ScenarioError
        The facts have no such fact, or there is no such way to say one.
    """
    name, *ways = hole
    known = getattr(kind, "__dataclass_fields__", {})
    if name.startswith("_") or name not in known:
        raise ScenarioError(
            f"there is no fact '{name}' in this sentence",
            where=where(),
            remedy=f"the facts are {', '.join(known) or 'none'}",
        )
    says: list[Said] = []
    for way, args, named in ways:
        try:
            says.append(make_way(language, way, tuple(args), named))
        except KeyError:
            raise ScenarioError(
                f"there is no way '{way}' to say a fact",
                where=where(),
                remedy=f"the ways are {', '.join(sorted(WAYS))}",
            ) from None
        except ArgumentsError as error:
            raise ScenarioError(f"{{{{ {name}|{way} }}}}: {error}", where=where()) from error
    if not says:
        return lambda facts: str(getattr(facts, name))
    if len(says) == 1:
        only = says[0]
        return lambda facts: str(only(getattr(facts, name)))

    def chain(facts: Facts) -> str:
        value = getattr(facts, name)
        for say in says:
            value = say(value)
        return str(value)

    return chain
