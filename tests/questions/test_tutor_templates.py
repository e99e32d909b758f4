"""Templates in tutors' files: a hostile or mistaken one is named with file and key, costs nothing and shows nothing."""

from __future__ import annotations

import random
import resource
import shutil
import time
from pathlib import Path

import pytest

from probebook.cases.library import Library, library
from probebook.errors import ScenarioError
from probebook.questions.frame import Ask
from probebook.questions.knowhow import item_facts
from probebook.questions.knowhow_file import load_items
from probebook.questions.model import Kind
from probebook.questions.procedure_files import load_procedures, load_situations
from probebook.questions.registry import build_question
from probebook.words import Words

TRADE = library()

#: Templates that must be refused, and a word of what is said of each.
HOSTILE = {
    "{{ appliance.__class__ }}": "instead of the name of a fact",
    "{{ appliance|attr('__class__') }}": "no way 'attr'",
    "{{ appliance|format(900000000) }}": "no way 'format'",
    "{{ appliance|center(900000000) }}": "no way 'center'",
    "{{ 'a' * 10**9 }}": "instead of the name of a fact",
    "{{ appliance[0] }}": "instead of the name of a fact",
    "{{ cycler.__init__.__globals__ }}": "instead of the name of a fact",
    "{% for a in range(10**9) %}{% for b in range(10**9) %}x{% endfor %}{% endfor %}": "block",
    "{% set a = 'a' * 10**9 %}": "block",
    "{% include '/etc/passwd' %}": "block",
    "{# a note": "a remark in braces",
    "{appliance:>900000000}": "a brace stands alone",
    "{appliance.__class__}": "a brace stands alone",
    "{{ applliance }}": "no fact 'applliance'",
    "{{ __class__ }}": "no fact '__class__'",
    "{{ says_ }}": "no fact 'says_'",
    "{{ appliance": "braces cannot be read",
    "{{ appliance|fixed(2) }}": "does not suit",
    "{{ appliance|each('" + "x" * 900 + "') }}": "at most 40 characters",
    "{{ " + "(" * 900 + "appliance" + ")" * 900 + " }}": "",
    "x" * 5000: "longer than",
    "{{ appliance }}\x07": "hidden sign",
}  # fmt: skip


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"').replace("\x07", "\\u0007")


@pytest.fixture
def texts(tmp_path: Path) -> Path:
    """A folder with a copy of the tutors' files in it."""
    for name in ("knowhow.toml", "procedures/isolate-plug.toml", "procedures/situations.toml"):
        target = tmp_path / "text" / "en" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(TRADE.folder / "text" / "en" / name, target)
    for name in ("regions", "appliances"):
        shutil.copytree(TRADE.folder / name, tmp_path / name)
    return tmp_path


def _put(path: Path, key: str, template: str) -> None:
    """Put a template in place of the first text of a key."""
    lines = path.read_text("utf-8").splitlines()
    place = next(i for i, line in enumerate(lines) if line.startswith(f"{key} ="))
    lines[place] = f'{key} = "{_escaped(template)}"'
    path.write_text("\n".join(lines), "utf-8")


@pytest.mark.parametrize(
    ("name", "key", "load"),
    [
        ("knowhow.toml", "text", load_items),
        ("knowhow.toml", "here", load_items),
        ("procedures/isolate-plug.toml", "asks", load_procedures),
        ("procedures/isolate-plug.toml", "text", load_procedures),
        ("procedures/situations.toml", "proposed", load_situations),
        ("procedures/situations.toml", "because", load_situations),
    ],
)
def test_hostile_templates_are_refused_at_once(texts: Path, name: str, key: str, load: object) -> None:
    """Each hostile template is refused, file and key named, and takes no 0.2 s and no 50 MB beyond its sound file."""
    assert callable(load)
    path = texts / "text" / "en" / name
    whole = path.read_text("utf-8")
    load(texts, Words(TRADE.folder))  # loads what is loaded once
    begun = time.process_time()
    load(texts, Words(TRADE.folder))
    sound = time.process_time() - begun
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for template, told in HOSTILE.items():
        path.write_text(whole, "utf-8")
        _put(path, key, template)
        begun = time.process_time()
        with pytest.raises(ScenarioError) as caught:
            load(texts, Words(TRADE.folder))
        assert time.process_time() - begun < sound + 0.2, template[:60]
        assert told in str(caught.value), template[:60]
        assert path.name in str(caught.value)
        assert key in str(caught.value)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 50_000


def test_a_unit_that_does_not_suit_is_named(texts: Path) -> None:
    """Ohms shown in watts, and a figure that no way is named for, are refused."""
    path = texts / "text" / "en" / "knowhow.toml"
    whole = path.read_text("utf-8")
    for template, told in {
        "{{ ohms|watts }}": "cannot be shown in W",
        "{{ volts }}": "no way is named",
        "{{ ohms|ohms(99) }}": "digits",
    }.items():
        path.write_text(whole, "utf-8")
        _put(path, "text", template)
        with pytest.raises(ScenarioError, match=r"knowhow\.toml: item\[1\]\.text") as caught:
            load_items(texts, Words(TRADE.folder))
        assert told in str(caught.value)


def test_a_template_that_was_not_checked_says_nothing_either() -> None:
    """Said without having been checked, a hostile template still raises an error and is never carried out."""
    facts = item_facts(TRADE.words, TRADE.appliance("kettle"), random.Random(1))
    for template in HOSTILE:
        if template != "{{ appliance|fixed(2) }}":
            with pytest.raises(ScenarioError):
                TRADE.words.say_text(facts, template, "knowhow.toml: one")
    with pytest.raises(ScenarioError, match="cannot be said"):
        TRADE.words.say_text(facts, "{{ appliance|fixed(2) }}", "knowhow.toml: one")


def test_a_reworded_text_is_asked_as_reworded(tmp_path: Path) -> None:
    """A tutor who rewords a situation with holes of his own choice gets it said, with this appliance's words."""
    folder = tmp_path / "scenarios"
    shutil.copytree(TRADE.folder, folder)
    path = folder / "text" / "en" / "procedures" / "situations.toml"
    _put(path, "text", "Your {{ appliance }} reads {{ insulation_good }}, {{ appliance|capital }} and all.")
    question = build_question(
        Ask("q01", Kind.STOP_OR_GO, "s", 1, "kettle", {"situation": "no-second-proof"}), Library(folder)
    )
    assert question.prompt.startswith("Your kettle reads ")
    assert " MΩ, Kettle and all.\n\nProposed: **take the cover off now**." in question.prompt


def test_another_language_lies_over_the_english(texts: Path) -> None:
    """A language says an item and a step in its own words; what it leaves out stays, what it invents is refused."""
    (texts / "text" / "xx" / "procedures").mkdir(parents=True)
    words = Words(texts, "xx")
    (texts / "text" / "xx" / "knowhow.toml").write_text(
        '[[item]]\nid = "prove-dead"\ntitle = "Welches?"\n[[item.way]]\ntext = "Zweipolig"\n', "utf-8"
    )
    (texts / "text" / "xx" / "procedures" / "isolate-plug.toml").write_text(
        'asks = "{{ appliance }}?"\n[[step]]\nid = "unplug"\ntext = "Stecker ziehen"\n', "utf-8"
    )
    item = load_items(texts, words)[0]
    assert (item.title, item.ways[0].text) == ("Welches?", "Zweipolig")
    assert item.ways[1].text == load_items(texts)[0].ways[1].text
    procedure = load_procedures(texts, words)[0]
    assert procedure.asks == "{{ appliance }}?"
    assert next(s.text for s in procedure.steps if s.id == "unplug") == "Stecker ziehen"
    (texts / "text" / "xx" / "knowhow.toml").write_text('[[item]]\nid = "prove-dead"\nform = "colour"\n', "utf-8")
    with pytest.raises(ScenarioError, match="may change prose only"):
        load_items(texts, Words(texts, "xx"))


def test_the_pseudo_language_marks_texts_and_keeps_holes() -> None:
    """Every word of an item, a procedure and a situation bears the mark, and holes are still filled."""
    trade = Library(TRADE.folder, "qps")
    assert load_procedures(trade.folder, trade.words)[0].asks != load_procedures(trade.folder)[0].asks
    asked = Ask("q01", Kind.STOP_OR_GO, "s", 1, "kettle", {"situation": "no-second-proof"})
    said = build_question(asked, trade).prompt
    plain = build_question(asked, TRADE).prompt
    assert "{" not in said
    assert said.replace("¤", "") == plain
    assert "apprentice¤" in said
