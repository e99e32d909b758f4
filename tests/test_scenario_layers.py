"""A folder of one's own over the trade that came with the package: by id, row by row, sentence by sentence."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.errors import ScenarioError, UsageError
from probebook.scenario_folder import ENVIRONMENT, fingerprint, folder_of_build, note_of_place, scenarios_dir
from probebook.scenario_layers import MARKER, file_in, files_in, layers, own_folder
from probebook.workbook.build.plan import load_plans
from probebook.workbook.starts import new_files, new_folder

SCENARIOS = Path(__file__).resolve().parents[1] / "scenarios"

SLIP = """
[[slip]]
id = "mine"
name = "my own slip"
way = "doubled the power"
advice = ["Use it as it stands."]
source = "invented for this test"
competences = ["C16"]
on = [{ form = "power/watts", path = "doubled" }]
"""


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder of one's own over the trade of the source tree."""
    monkeypatch.delenv(ENVIRONMENT, raising=False)
    folder = tmp_path / "college" / "scenarios"
    write(folder / MARKER, f'name = "college"\nbase = "{SCENARIOS}"\n')
    return folder


def write(path: Path, text: str) -> None:
    """Write a file and the folders it lies in."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def test_an_empty_own_folder_is_the_trade_it_lies_over(own: Path) -> None:
    """Nothing is in it, and everything can be read: appliances, meters, slips, words, region."""
    mine, trade = Library(own), Library(SCENARIOS)
    assert mine.appliance_ids == trade.appliance_ids
    assert mine.appliance("kettle").plate == trade.appliance("kettle").plate
    assert list(mine.slips) == list(trade.slips)
    assert mine.meters.keys() == trade.meters.keys()
    assert mine.region.supply == trade.region.supply
    assert [path.name for path in own.rglob("*.toml")] == [MARKER]


def test_an_own_file_stands_for_that_of_its_name_and_others_are_added(own: Path) -> None:
    """An own kettle of 2.2 kW is the kettle; an own jug is one more; every other appliance is the trade's."""
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8").replace('"2.8 kW"', '"2.2 kW"')
    write(own / "appliances" / "kettle.toml", text)
    write(own / "appliances" / "jug.toml", text.replace('id = "kettle"', 'id = "jug"'))
    library = Library(own)
    assert library.appliance("kettle").plate.watts == 2200
    assert "jug" in library.appliance_ids
    assert file_in(own, "appliances/kettle.toml") == own / "appliances" / "kettle.toml"
    assert file_in(own, "appliances/fan-oven.toml") == SCENARIOS / "appliances" / "fan-oven.toml"
    names = [path.name for path in files_in(own, "appliances")]
    assert names == sorted({*(p.name for p in (SCENARIOS / "appliances").glob("*.toml")), "jug.toml"})


def test_a_joined_file_adds_rows_to_the_appliance_of_its_name(own: Path) -> None:
    """One fault more on the trade's kettle, one of the trade's changed; parts and wires stay the trade's."""
    fault = next(f for f in Library(SCENARIOS).appliance("kettle").faults if f.id == "element-open")
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8")
    row = "[[fault]]" + text.partition("[[fault]]")[2].partition("[[fault]]")[0]
    other = row.replace('id = "element-open"', 'id = "mine"').replace('"E1.element"', '"FU1"')
    changed = row.replace(f"likelihood = {fault.likelihood:g}", "likelihood = 9")
    write(own / "appliances" / "kettle.toml", f"joined = true\n{other}\n{changed}")
    mine, theirs = Library(own).appliance("kettle"), Library(SCENARIOS).appliance("kettle")
    assert {f.id for f in mine.faults} == {f.id for f in theirs.faults} | {"mine"}
    assert mine.fault("element-open").likelihood == 9
    assert (mine.parts, mine.wires) == (theirs.parts, theirs.wires)
    assert [f.id for f in mine.faults] == [*(f.id for f in theirs.faults), "mine"]


def test_a_joined_file_is_joined_to_the_file_beneath_it_alone(own: Path, tmp_path: Path) -> None:
    """What a folder between took out of the trade's kettle does not come back with a fault that is added on top."""
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8")
    head, *faults = text.split("[[fault]]")
    gone = next(row for row in faults if 'kind = "user-setting"' in row)
    write(own / "appliances" / "kettle.toml", "[[fault]]".join([head, *(row for row in faults if row is not gone)]))
    top = tmp_path / "top"
    write(top / MARKER, f'name = "top"\nbase = "{own}"\n')
    write(
        top / "appliances" / "kettle.toml",
        "joined = true\n[[fault]]" + faults[0].replace("likelihood = ", "likelihood = 1"),
    )
    assert (
        len(Library(top).appliance("kettle").faults) == len(Library(own).appliance("kettle").faults) == len(faults) - 1
    )


def test_a_joined_file_with_nothing_of_its_name_is_told(own: Path) -> None:
    """There has to be something to join."""
    write(own / "appliances" / "jug.toml", 'joined = true\nid = "jug"\n')
    with pytest.raises(ScenarioError, match="nothing of this name that it could be joined to"):
        Library(own).appliance("jug")


def test_rows_of_lists_are_joined_by_id(own: Path) -> None:
    """An own slip stands beside the trade's; one of the trade's id takes its place, whole."""
    first = next(iter(Library(SCENARIOS).slips))
    write(own / "text" / "en" / "slips.toml", SLIP + SLIP.replace('"mine"', f'"{first}"'))
    mine = Library(own).slips
    assert mine.keys() == {*Library(SCENARIOS).slips, "mine"}
    assert mine[first].way == mine["mine"].way == "doubled the power"


def test_a_manner_of_speaking_is_added_and_the_names_stay(own: Path) -> None:
    """The own kitchen.toml holds one appliance; names, premises and phrases are the trade's."""
    text = '[[appliance]]\nid = "jug"\nfamily = "kettle"\nthing = "jug"\nusual = "boil"\nleads = { boil = "when on" }\n'
    write(own / "text" / "en" / "kitchen.toml", text)
    mine, theirs = kitchen(own), kitchen(SCENARIOS)
    assert set(mine.manners) == {*theirs.manners, "jug"}
    assert (mine.given, mine.phrases) == (theirs.given, theirs.phrases)


def test_a_sentence_is_said_in_an_own_way(own: Path) -> None:
    """One sentence of a file of ours, said otherwise; the rest of the file is ours."""
    write(own / "text" / "en" / "cli.toml", '[open]\nstopped = "That is all."\n')
    tables = Library(own).words.text_file("cli").tables
    assert tables["open"]["stopped"] == "That is all."
    assert tables["open"]["stop"] == Library(SCENARIOS).words.text_file("cli").tables["open"]["stop"]


def test_the_fingerprint_covers_the_own_files_and_those_below(own: Path, tmp_path: Path) -> None:
    """A letter in an own file, or in a file of the base, gives another; the name of the folder does not."""
    base = Path(shutil.copytree(SCENARIOS, tmp_path / "base"))
    write(own / MARKER, 'base = "../../base"\n')
    was = fingerprint(own)
    assert was != fingerprint(base)
    write(own / MARKER, 'name = "another"\nbase = "../../base"\n')
    assert fingerprint(own) == was
    write(own / "text" / "en" / "slips.toml", SLIP)
    assert fingerprint(own) not in (was, fingerprint(base))
    (own / "text" / "en" / "slips.toml").unlink()
    assert fingerprint(own) == was
    with (base / "outcomes.toml").open("a") as file:
        file.write("# a remark\n")
    assert fingerprint(own) != was


def test_an_own_folder_is_found_from_below_by_commands_and_kernels(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the folder, in workbooks/ beside it, in the scenarios themselves; a named folder and the environment win."""
    keys = own.parent / "answer_keys"
    for place in (own.parent, keys, own / "appliances"):
        place.mkdir(exist_ok=True)
        monkeypatch.chdir(place)
        assert scenarios_dir().resolve() == own
    assert note_of_place(own, own.parent) == ""
    monkeypatch.chdir("/")
    assert folder_of_build(fingerprint(own), keys).resolve() == own
    monkeypatch.setenv(ENVIRONMENT, str(SCENARIOS))
    monkeypatch.chdir(own.parent)
    assert scenarios_dir() == SCENARIOS
    assert scenarios_dir(own) == own


def test_its_own_workbooks_are_built_or_all(own: Path) -> None:
    """A plan of one's own alone is built, unless the folder says all."""
    write(own / "appliances" / "kettle.toml", "joined = true\n")
    library = Library(own)
    (path, text), *_ = new_files("workbook", "mine", library, "kettle").items()
    write(path, text)
    assert [(plan.id, plan.number) for plan in load_plans(own)] == [("mine", 1)]
    write(path, text.replace("number = 1 ", "number = 99"))
    write(own / MARKER, f'base = "{SCENARIOS}"\nworkbooks = "all"\n')
    assert [plan.id for plan in load_plans(own)] == [*(plan.id for plan in load_plans(SCENARIOS)), "mine"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('nme = "x"', "probebook.toml: nme: this key is not known here; did you mean 'name'."),
        ("name = 3", "probebook.toml: name: this is no text"),
        ('base = "nowhere"', 'probebook.toml: base: there are no scenario files in "nowhere"'),
        ('base = "\\u0000"', "probebook.toml: base: the text holds the hidden sign U+0000"),
        ('base = "."', "lie over each other without end"),
        ('workbooks = "some"', 'probebook.toml: workbooks: "some" is not one of the choices; write "own" or "all".'),
        ("=", "probebook.toml: the text is not valid TOML"),
    ],
)
def test_a_bad_marker_is_one_sentence(own: Path, text: str, sentence: str) -> None:
    """What makes a folder one's own is read strictly."""
    write(own / MARKER, text)
    with pytest.raises(ScenarioError) as caught:
        layers(own)
    assert sentence in str(caught.value)


def test_names_of_starts_are_names_of_files_everywhere(own: Path, tmp_path: Path) -> None:
    """A name that would leave the folder, mean a device or be taken is refused, with one that would do."""
    for name, remedy in (
        ("Plate Warmer", "write 'plate-warmer'"),
        ("../up", "write 'up'"),
        ("nul", "write small letters"),
        ("", "write small letters"),
    ):
        with pytest.raises(UsageError) as caught:
            new_folder(name, tmp_path, SCENARIOS)
        assert remedy in str(caught.value)
    for kind, name in (
        ("appliance", "kettle"),
        ("slip", next(iter(Library(SCENARIOS).slips))),
        ("workbook", "controls"),
    ):
        with pytest.raises(UsageError, match="already"):
            new_files(kind, name, Library(own))
    with pytest.raises(UsageError, match="not said which appliance"):
        new_files("workbook", "mine", Library(own))
    with pytest.raises(UsageError, match="not your own; run 'probebook new folder NAME'"):
        new_files("slip", "mine", Library(SCENARIOS))


def test_a_marker_names_its_folder(own: Path) -> None:
    """What its tutor calls it, what it lies over, what is built of it."""
    found = own_folder(own)
    assert found is not None
    assert (found.name, found.base, found.workbooks) == ("college", SCENARIOS, "own")
    assert own_folder(SCENARIOS) is None
