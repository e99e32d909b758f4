"""What a tutor gets wrong in a sentence, and what the check says of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sample_facts import FACTS, TEXT, scenarios

from probebook.scenario_folder import scenarios_dir
from probebook.words import Facts
from probebook.words.checking import check_words
from probebook.words.holes import holes_of, unit_after

# (mistake, what stood there, what the tutor wrote, line that is named, what is said of it)
MISTAKES = [
    ("a fact that there is not", "{{ volts|g }} V", "{{ voltage|g }} V", 4, "there is no fact 'voltage'"),
    ("a fact misspelt", "{{ part }}", "{{ parts }}", 4, "did you mean 'part'"),
    ("a fact left out everywhere", " of it; {{ clause }}", " of it", 3, "no sentence says the fact 'clause'"),
    ("a wrong unit", "{{ volts|g }} V", "{{ volts|g }} W", 4, "'volts' is in V, and the text says W"),
    ("a unit a thousand times too big", "{{ volts|g }} V", "{{ volts|g }} kV", 4, "the text says kV"),
    ("a quantity in a unit of another kind", "{{ ohms|ohms }}", "{{ ohms|quantity('V') }}", 5, "cannot be shown in V"),
    ("watts said as ohms", "{{ watts|sig(3) }} W", "{{ watts|ohms }}", 5, "cannot be shown in ohm"),
    ("a way that there is not", "{{ volts|g }}", "{{ volts|general }}", 4, "there is no way 'general'"),
    ("a way that does not suit", "{{ part }}", "{{ part|fixed(1) }}", 4, "does not suit 'part', which is a noun"),
    ("a number said in no way", "{{ volts|g }}", "{{ volts }}", 4, "no way is named to say it"),
    ("no digits where they are needed", "{{ watts|sig(3) }}", "{{ watts|sig }}", 5, "takes other arguments"),
    ("far too many digits", "{{ watts|sig(3) }}", "{{ watts|sig(300) }}", 5, "digits are a whole number from 1 to 15"),
    ("a list not said as one", "{{ rests|list }}", "{{ rests }}", 6, "is a list and is not said as one"),
    ("a plural form missing", "one='has', other='have'", "one='has'", 6, "the plural form 'other' is missing"),
    ("a plural form misnamed", "one='wire', other", "single='wire', other", 6, "forms are texts named one, other"),
    ("a choice left out", "less='less', more='more'", "less='less'", 4, "may be 'more', for which no text"),
    ("a choice that never comes", "more='more'", "more='more', same='as much'", 4, "is never 'same'"),
    (
        "a choice printed as it is",
        "{{ nulled|choose(yes='nulled', no='not nulled') }}",
        "{{ nulled }}",
        11,
        "no way is",
    ),
    ("a brace lost", "{{ part }}", "{{ part }", 4, "the braces cannot be read"),
    ("single braces", "{{ part }}", "{ part }", 4, "a brace stands alone"),
    ("a straight apostrophe in a text", "more='more'", "more='that's more'", 4, "the braces cannot be read"),
    ("a condition", "{{ part }}", "{% if part %}{{ part }}{% endif %}", 4, "a block (if)"),
    ("arithmetic", "{{ volts|g }}", "{{ volts * 2 }}", 4, "a hole holds mul instead of"),
    ("a sentence deleted", 'check = "Check"\n', "", 14, "the sentence 'check' is missing"),
    ("a sentence renamed", 'check = "Check"', 'chek = "Check"', 15, "did you mean 'check'"),
    ("a table renamed", "[buttons]", "[button]", None, "the table [buttons] is missing"),
    ("quotation marks lost", 'check = "Check"', "check = Check", None, "not valid TOML"),
    ("the same sentence twice", 'check = "Check"', 'check = "Check"\ncheck = "Look"', None, "not valid TOML"),
    ("bold not closed", "**{{ display }}**", "**{{ display }}", 11, "the marks ** for bold do not pair"),
    ("a tab pasted in", "Check", "Ch\\teck", 15, "control character"),
    ("a sentence emptied", '"Check"', '""', 15, "the sentence says nothing"),
]
# Mistakes that the check passes, because what comes of them still reads and is true.
HARMLESS = [
    ("a blank too many", "draws {{", "draws  {{"),
    (
        "the order of two facts changed",
        "At {{ volts|g }} V the {{ part }} draws",
        "The {{ part }} at {{ volts|g }} V draws",
    ),
]


def found_in(folder: Path, text: str) -> list[str]:
    """Return what the check says of a sample text."""
    return [str(finding) for finding in check_words(scenarios(folder, text), facts=FACTS)]


def test_the_sample_is_sound(tmp_path: Path) -> None:
    """Nothing is said of sentences in order."""
    assert found_in(tmp_path, TEXT) == []


@pytest.mark.parametrize(("old", "new", "line", "told"), [m[1:] for m in MISTAKES], ids=[m[0] for m in MISTAKES])
def test_mistakes_are_named(old: str, new: str, line: int | None, told: str, tmp_path: Path) -> None:
    """Each mistake is named with its file and line, once."""
    assert old in TEXT
    findings = found_in(tmp_path, TEXT.replace(old, new, 1))
    hits = [finding for finding in findings if told in finding]
    assert len(hits) == 1, findings
    assert "sample.toml" in hits[0]
    assert line is None or f"line {line}:" in hits[0]


@pytest.mark.parametrize(("old", "new"), [m[1:] for m in HARMLESS], ids=[m[0] for m in HARMLESS])
def test_the_rest_does_no_harm(old: str, new: str, tmp_path: Path) -> None:
    """What the check does not name leaves a sentence that says the same."""
    assert old in TEXT
    assert found_in(tmp_path, TEXT.replace(old, new, 1)) == []


def test_another_language_needs_its_own_plurals(tmp_path: Path) -> None:
    """Polish counts in four ways, all of which a sentence must provide; facts it does not use are its affair."""
    scenarios(tmp_path)
    own = 'title = "Polski"\nlocale = "pl"\n'
    text = TEXT.replace("{{ clause }}", "")
    scenarios(tmp_path, text, "pl", own)
    told = [str(f) for f in check_words(tmp_path, "pl", FACTS)]
    assert len(told) == 2
    assert all("the plural form 'few' is missing" in each and "text/pl/sample.toml, line 6" in each for each in told)


@pytest.mark.parametrize("own", ['locale = "xx_nowhere"\n', 'titel = "x"\n', "locale = \n"])
def test_a_bad_language_file_is_named(own: str, tmp_path: Path) -> None:
    """A language whose own file cannot be used is one finding."""
    findings = check_words(scenarios(tmp_path, TEXT, "xx", own), "xx", FACTS)
    assert len(findings) == 1
    assert "text/xx/language.toml" in str(findings[0])


def test_files_and_tables_nobody_names(tmp_path: Path) -> None:
    """Sentences in a file or table that no facts name are found; a file of data is none."""
    folder = scenarios(tmp_path, TEXT + '\n[spare]\nx = "y"\n')
    (folder / "text/en/left.toml").write_text('[a]\nb = "c"\n')
    (folder / "text/en/data.toml").write_text('[[row]]\nb = "c"\n')
    told = [str(finding) for finding in check_words(folder, facts=FACTS)]
    assert [t.partition(";")[0] for t in told] == [
        "text/en/left.toml: no facts name this file",
        "text/en/sample.toml, line 17: spare: no facts name this table",
    ]


@dataclass(frozen=True)
class OddFacts(Facts, group="sample/buttons", says=("check",)):
    """Facts of a type that no sentence can say."""

    thing: dict[str, str]


def test_facts_that_no_hole_takes(tmp_path: Path) -> None:
    """A field that no sentence can say is named by its class."""
    facts: dict[str, list[type[Facts]]] = {**FACTS, "sample/buttons": [OddFacts]}
    told = [str(finding) for finding in check_words(scenarios(tmp_path), facts=facts)]
    assert any("OddFacts.thing is of a type that no sentence can say" in each for each in told)


@pytest.mark.parametrize(
    ("text", "unit"),
    [(" V the", "V"), ("\N{NO-BREAK SPACE}kΩ.", "kΩ"), (" a day", ""), ("²", ""), (" × 3", ""), (" %", "%"), ("", "")],
)
def test_the_unit_behind_a_hole(text: str, unit: str) -> None:
    """A unit is read as the trade writes it; words are none."""
    assert unit_after(text) == unit


def test_probebooks_own_sentences_are_sound() -> None:
    """Every sentence of the scenarios fits its facts."""
    assert [str(finding) for finding in check_words(scenarios_dir())] == []


def test_every_class_of_facts_can_be_read() -> None:
    """The types of every class of facts are ones that holes take."""
    from probebook.words.checking import all_facts

    classes: list[Any] = [cls for group in all_facts().values() for cls in group]
    assert classes
    assert all(isinstance(holes_of(cls), dict) for cls in classes)
