"""A language laid over the prose of a scenario file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from probebook.appliances import load_appliance
from probebook.errors import ScenarioError
from probebook.scenario_folder import scenarios_dir
from probebook.words import Words

LANGUAGE = 'title = "Deutsch"\nlocale = "de"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A scenarios folder with the kettle and a second language."""
    shutil.copytree(scenarios_dir(), tmp_path, dirs_exist_ok=True)
    (tmp_path / "text" / "de" / "appliances").mkdir(parents=True)
    (tmp_path / "text" / "de" / "language.toml").write_text(LANGUAGE, "utf-8")
    return tmp_path


def lay(folder: Path, text: str) -> Path:
    """Write the language's file over the kettle; return the kettle's own."""
    (folder / "text" / "de" / "appliances" / "kettle.toml").write_text(text, "utf-8")
    return folder / "appliances" / "kettle.toml"


def test_prose_is_said_in_the_language(folder: Path) -> None:
    """Rows are found by mark or id; what the language leaves out stays as it was, and no figure changes."""
    path = lay(folder, 'title = "Kessel"\n[[part]]\nmark = "E1"\ntitle = "Heizung, rund"\nshort = "Heizung"\n')
    german, english = load_appliance(path, Words(folder, "de")), load_appliance(path)
    assert (german.title, german.part("E1").title, german.part("E1").short) == ("Kessel", "Heizung, rund", "Heizung")
    assert german.branches == english.branches
    assert german.part("S1") == english.part("S1")


def test_without_a_file_the_prose_stays(folder: Path) -> None:
    """A language that has no file for an appliance shows it as it is."""
    path = folder / "appliances" / "kettle.toml"
    assert load_appliance(path, Words(folder, "de")) == load_appliance(path)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('titel = "x"\n', "titel: this key is not known here"),
        ("title = 3\n", "title: the file that this is laid over has another kind of value"),
        (
            '[[part]]\nmark = "E9"\ntitle = "x"\n',
            "part[1]: the file that this is laid over has no row",
        ),
        ('[[part]]\ntitle = "x"\n', "part[1]: nothing says which row this is"),
        ('[plate]\npower = "1 kW"\n', "a language may change prose only"),
        ('[plate]\nmaker = "x"\n', "a language may change prose only"),
        (
            '[[fault]]\nid = "element-open"\nlikelihood = 900\n',
            "a language may change prose only",
        ),
        ("title =\n", "not valid TOML"),
    ],
)
def test_a_language_changes_prose_only(text: str, told: str, folder: Path) -> None:
    """Anything else in the language's file is refused, and the file named."""
    path = lay(folder, text)
    with pytest.raises(ScenarioError) as caught:
        load_appliance(path, Words(folder, "de"))
    assert "text/de/appliances/kettle.toml" in str(caught.value)
    assert any(each in str(caught.value) for each in told.split("|"))
