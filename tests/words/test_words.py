"""Sentences said of facts: ways, errors that name a line, carrying, and what no template can do."""

from __future__ import annotations

import json
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from sample_facts import TEXT, Buttons, WattsFacts, facts, scenarios

from probebook.errors import ScenarioError
from probebook.scenario_folder import scenarios_dir
from probebook.unit_format import format_quantity
from probebook.words import Facts, Language, Noun, Words
from probebook.words.facts import facts_by_group
from probebook.words.templates import LONGEST, MOST_HOLES, TemplateError, parse_template
from probebook.words.way_registry import MOST_DIGITS
from probebook.words.ways import WAYS, ArgumentsError, make_way

ENGLISH = Words(scenarios_dir()).language


def said(value: object, name: str, *args: object, **named: object) -> object:
    """Return a value said in a way, in English."""
    return make_way(ENGLISH, name, args, named)(value)


def test_sentences_are_filled(tmp_path: Path) -> None:
    """Each sentence of a group says its facts; dots lead into tables of the group."""
    words = Words(scenarios(tmp_path))
    told = facts(words)
    assert words.say(told, "prompt") == "At 230 V the base element draws 1500 W: less."
    assert words.say(told, "working") == "230² ÷ 35.3 Ω = 1.5e+03 W, 52 % of it; no more"
    assert words.say(told, "paths") == "The oven lamp and motor have another path of 1 wire."
    assert words.say(told, "here.upside-down") == "The display says **35.27 Ω**, here, leads nulled."
    assert words.say(Buttons(), "check") == "Check"


@pytest.mark.parametrize(
    ("value", "name", "args", "text"),
    [
        (230.0, "g", (), "230"),
        (0.05, "g", (), "0.05"),
        (1234.5, "sig", (3,), "1.23e+03"),
        (12.345, "fixed", (1,), "12.3"),
        (1234567.0, "comma", (), "1,234,567"),
        (0.125, "percent", (1,), "12.5 %"),
        (1150.0, "quantity", ("W", 3), "1.15 kW"),
        (35.265, "ohms", (), "35.3 Ω"),
        (float("inf"), "ohms", (), "OL"),
        (1500.04, "watts", (), "1500 W"),
        (1500.0, "rating", (), "1.5 kW"),
        (3, "spelled", (), "three"),
        (40, "spelled", (), "40"),
        (date(2025, 6, 9), "date", (), "9 June 2025"),
        ("the lamp", "capital", (), "The lamp"),
        ("", "capital", (), ""),
        (("a", "b", "c"), "list", (), "a, b and c"),
        (("a", "b"), "either", (), "a or b"),
        (("a", "b", "c"), "commas", (), "a, b, c"),
        (("a", "b"), "join", (" + ",), "a + b"),
        ((), "list", (), ""),
        (("a", "b"), "count", (), "2"),
        (("a", "b"), "each", ("**", "**"), ("**a**", "**b**")),
        ((1.0, 2.5), "ohms", (), ("1.00 Ω", "2.50 Ω")),
        (Noun("e", "element"), "a", (), "an element"),
        (Noun("h", "hour", article="an"), "a", (), "an hour"),
        (Noun("l", "lamp"), "the", (), "the lamp"),
        (Noun("l", "lamp", plural="lamps"), "many", (), "lamps"),
        (Noun("l", "lamp"), "form", ("genitive",), "lamp"),
        (Noun("l", "leads"), "possessive", (), "leads’"),
        ("meter", "possessive", (), "meter’s"),
    ],
)
def test_ways_read_as_english_does(value: object, name: str, args: tuple[object, ...], text: object) -> None:
    """Each way gives what an English reader sees; a way for one value says each of a tuple."""
    assert said(value, name, *args) == text


@pytest.mark.parametrize("value", [0.0, 1e-9, 0.05, 1.0, 47.0, 999.6, 35265.0, 2e6])
def test_quantities_are_those_of_the_edge(value: float) -> None:
    """A quantity in a sentence is shown as everywhere else."""
    assert said(value, "quantity", "ohm", 3) == format_quantity(value, "ohm", 3)


@pytest.mark.parametrize(("count", "word"), [(0, "wires"), (1, "wire"), (2, "wires"), (101, "wires")])
def test_english_counts_one_and_others(count: int, word: str) -> None:
    """One is one, and every other count is other."""
    assert said(count, "plural", one="wire", other="wires") == word


@pytest.mark.parametrize(
    ("name", "args", "named"),
    [
        ("sig", (0,), {}),
        ("sig", (MOST_DIGITS + 1,), {}),
        ("fixed", ("2",), {}),
        ("fixed", (True,), {}),
        ("fixed", (), {}),
        ("g", (3,), {}),
        ("join", ("x" * 50,), {}),
        ("join", (3,), {}),
        ("quantity", ("furlong",), {}),
        ("quantity", ("W", 10**9), {}),
        ("plural", (), {"one": "a"}),
        ("plural", (), {"other": "a"}),
        ("plural", (), {"single": "a", "other": "b"}),
        ("plural", (), {"one": 3, "other": "b"}),
        ("choose", (), {}),
        ("choose", (), {"less": 3}),
        ("gender", (), {}),
    ],
)
def test_arguments_that_no_way_takes(name: str, args: tuple[object, ...], named: dict[str, object]) -> None:
    """Widths, texts and names beyond what a way takes are refused before anything is said."""
    with pytest.raises(ArgumentsError):
        make_way(ENGLISH, name, args, named)


@pytest.mark.parametrize(
    "template",
    [
        "{% for a in b %}{{ a }}{% endfor %}",
        "{% if a %}b{% endif %}",
        "{% raw %}{{ a }}{% endraw %}",
        "{# a remark #}",
        "{{ a.b }}",
        "{{ a['b'] }}",
        "{{ a() }}",
        "{{ a + b }}",
        "{{ -a }}",
        "{{ a if b else c }}",
        "{{ 'a' * 1000000000 }}",
        "{{ 'text' }}",
        "{{ 3 }}",
        "{{ a|sig(b) }}",
        "{{ a|sig(3 * 4) }}",
        "{{ a|sig(-1) }}",
        "{{ a|sig(*b) }}",
        "{{ a|plural(**b) }}",
        "{{ a|sig(2.5) }}",
        "{{ a is defined }}",
        "{{ }}",
        "{{ a }",
        "{ a }",
        "{{ a }}}",
        "a } b",
        "{{ " + "(" * 1900 + "a" + ")" * 1900 + " }}",
        "x" * (LONGEST + 1),
        "a\tb",
        "a\x1bb",
    ],
)
def test_templates_hold_holes_only(template: str) -> None:
    """Anything but text, facts and ways is refused by a message that says what to write."""
    with pytest.raises(TemplateError) as caught:
        parse_template(template)
    assert caught.value.remedy


@pytest.mark.parametrize(
    "template",
    [
        "{{ " + "(" * 1900 + "a" + ")" * 1900 + " }}",
        "{{ a" + "|capital" * 490 + " }}",
        "{{ a }}" * 500,
        ("{{ a|sig(3)" + "|g" * 480 + " }}") * 4,  # as many and as long holes as are read at all
        "{{ a|sig(3) }}" * MOST_HOLES,
        "{{ a" + " < a" * 240 + " }}",
        "{{ a" + " if a else a" * 80 + " }}",
        "{{ " + "[" * 490 + "a" + "]" * 490 + " }}",
        "{{ " + "not " * 240 + "a }}",
        "{% for a in range(10**9) %}" * 60,
        "{{ a|choose(" + "x='y'," * 150 + ") }}",
        "{{ a|sig(" + "9" * 980 + ") }}",
        "{{ 9 ** 9 ** 9 ** 9 }}",
        "{{" + "\n" * 990 + "}}",
        "{{ 'a' * 1000000000 }}",
        "{{ a|fixed(900000000) }}",
        "{{ a|center(900000000) }}",
        "{{ a|sig(15)|each('" + "x" * 40 + "', '" + "x" * 40 + "')" + "|each('xx', 'xx')" * 200 + " }}",
        "{" * 3900,
        "{{" * 1900,
    ],
)
def test_no_template_takes_long_or_much(template: str, tmp_path: Path) -> None:
    """Whatever a template holds, reading and saying it (or refusing to) takes less than 0.2 s and 50 MB."""

    @dataclass(frozen=True)
    class One(Facts, group="sample/one", says=("it",)):
        a: float

    parse_template("{{ warm }}")  # Jinja2 itself is loaded
    folder = scenarios(tmp_path, f"[one]\nit = '''{template}'''\n".replace("'''", '"""'))
    words = Words(folder)

    def say(words: Words) -> float:
        """Say it, or be refused; return the seconds of the processor."""
        began = time.process_time()
        try:
            assert len(words.say(One(1.0), "it")) < 1_000_000
        except ScenarioError as error:
            assert "sample.toml" in str(error)  # noqa: PT017 - either is good
        return time.process_time() - began

    # The best of three: a busy machine makes any one of them longer.
    assert min(say(words), say(Words(folder)), say(Words(folder))) < 0.2
    tracemalloc.start()
    try:
        say(Words(words.folder))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 50e6


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("{{ volts|g }}", "{{ volt|g }}", "line 4: watts.prompt: there is no fact 'volt'"),
        ("{{ volts|g }}", "{{ volts|gee }}", "line 4: watts.prompt: there is no way 'gee'"),
        ("{{ volts|g }}", "{{ volts|sig(99) }}", "line 4: watts.prompt: {{ volts|sig }}"),
        ("{{ volts|g }}", "{{ volts|g }", "line 4: watts.prompt: the braces"),
        ("{{ volts|g }}", "{{ display|g }}", "line 4: watts.prompt: the sentence cannot be said"),
        ("prompt =", "promt =", "the sentence 'prompt' is missing"),
        ("[watts]", "[wats]", "the sentence 'prompt' is missing"),
        ("[watts]", "[watts", "not valid TOML"),
        ("prompt =", "other = 3\nprompt =", "line 4: watts.other: a sentence is text"),
    ],
)
def test_errors_name_file_line_and_key(old: str, new: str, told: str, tmp_path: Path) -> None:
    """A sentence that cannot be said is refused with the file, the line where there is one, and a way to mend it."""
    words = Words(scenarios(tmp_path, TEXT.replace(old, new, 1)))
    with pytest.raises(ScenarioError) as caught:
        words.say(facts(words), "prompt")
    assert "sample.toml" in str(caught.value)
    assert told in str(caught.value)


def test_a_subset_travels_as_json(tmp_path: Path, fresh_python: Callable[..., str]) -> None:
    """Groups go into JSON and are said from it with no file, no Jinja2 and no Babel."""
    words = Words(scenarios(tmp_path))
    carried = tmp_path / "subset.json"
    carried.write_text(json.dumps(words.subset(["sample/watts", "sample/buttons"])), "utf-8")
    again = Words.restored(json.loads(carried.read_text("utf-8")))
    told = facts(words)
    for key in WattsFacts.says_:
        assert again.say(told, key) == words.say(told, key)
    here = Path(__file__).parent
    loaded = fresh_python(
        f"import json, sys\nsys.path.insert(0, {str(here)!r})\nfrom sample_facts import Buttons, facts\n"
        "from probebook.words import Words\n"
        f"words = Words.restored(json.load(open({str(carried)!r}, encoding='utf-8')))\n"
        "assert words.say(facts(words), 'paths').startswith('The oven lamp and motor')\n"
        "print(words.say(Buttons(), 'check'), sorted({'jinja2', 'babel', 'pydantic'} & set(sys.modules)))"
    )
    assert loaded == "Check []"


def test_importing_words_is_light(fresh_python: Callable[..., str]) -> None:
    """The package loads neither Jinja2 nor Babel nor pydantic."""
    names = fresh_python(
        "import sys, probebook.words\nprint(sorted({'jinja2', 'babel', 'pydantic', 'numpy'} & set(sys.modules)))"
    )
    assert names == "[]"


def test_classes_are_registered_once() -> None:
    """A dataclass with slots is made twice by Python and counts once; a class without sentences does not count."""

    @dataclass(frozen=True, slots=True)
    class Slotted(Facts, group="sample/slotted", says=("a",)):
        x: int

    class Base(Facts, group="sample/slotted"):
        pass

    assert facts_by_group(Slotted.__module__)["sample/slotted"] == [Slotted]
    assert Base.says_ == ()


def test_a_single_name_is_no_list_of_sentences() -> None:
    """``says="prompt"`` would name six sentences of a letter each, and is refused."""
    with pytest.raises(TypeError, match="tuple of names"):

        class Wrong(Facts, group="sample/wrong", says="prompt"):  # type: ignore[arg-type]
            pass


def test_every_way_says_what_it_takes() -> None:
    """Each way names kinds of fact that there are."""
    kinds = {"number", "count", "text", "thing", "choice", "date", "many"}
    assert all(way.takes <= kinds and way.takes for way in WAYS.values())


def test_numbers_follow_the_language() -> None:
    """A language writes its own decimal sign, also before a unit; a display is left as the meter shows it."""
    german = Language("de", decimal=",", thousands=".")
    assert make_way(german, "quantity", ("ohm", 3), {})(47.25) == "47,2 Ω"
    assert make_way(german, "comma", (1,), {})(12345.6) == "12.345,6"
    assert make_way(german, "fixed", (2,), {})(0.5) == "0,50"
