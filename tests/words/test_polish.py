"""Twenty sentences in a language with genders, cases and four plurals: the facts there are suffice to say them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from probebook.appliances import Appliance, State, naming
from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.questions import situation_words as scene
from probebook.questions.power.facts import element, series, several, single
from probebook.scenario_folder import scenarios_dir
from probebook.words import Phrase
from probebook.words.checking import check_words

OUTER, INNER, BASE = "E1.outer", "E1.inner", "E2.heater"
ON = {OUTER: 820.0, BASE: 1500.0}


@pytest.fixture(scope="module")
def polish(tmp_path_factory: pytest.TempPathFactory) -> Library:
    """The scenarios with a Polish scrap laid over them, in Polish."""
    folder = tmp_path_factory.mktemp("polish") / "scenarios"
    shutil.copytree(scenarios_dir(), folder)
    shutil.copytree(Path(__file__).parent / "polish", folder, dirs_exist_ok=True)
    return Library(folder, "pl")


@pytest.fixture(scope="module")
def oven(polish: Library) -> Appliance:
    """The conventional oven, its prose in Polish."""
    return polish.appliance("conventional-oven")


def test_names_have_cases_and_gender(polish: Library, oven: Appliance) -> None:
    """A composed name has the gender of its head and a form for each case that is written."""
    words = polish.words
    inner = naming.branch_name(words, oven, oven.branches[oven.branch(INNER)])
    assert inner.text == "obwód wewnętrzny grzałki górnej E1"
    assert inner.form("genitive") == "obwodu wewnętrznego grzałki górnej E1"
    assert (inner.gender, inner.id) == ("m", INNER)
    base = naming.branch_name(words, oven, oven.branches[oven.branch(BASE)])
    assert (base.text, base.form("locative"), base.gender) == ("grzałka dolna E2", "grzałce dolnej E2", "f")
    assert str(naming.load_noun(words, oven, OUTER)) == "obwód zewnętrzny grzałki górnej"
    place = naming.probes_place(words, oven, "X1.L", "S1.P1")
    assert place == (
        "przewód W1 od końca do końca: faza (X1.L) listwy zaciskowej – zacisk P1 (S1.P1) przełącznika piekarnika"
    )
    named = naming.branch_with_terminals(words, oven, oven.branches[oven.branch(BASE)])
    assert str(named) == "grzałka dolna E2 (zaciski **E2.1** i **E2.2**)"


def test_how_things_stand(polish: Library, oven: Appliance) -> None:
    """The appliance, a lifted wire, the controls, a thermostat that calls and the meter are said in Polish."""
    words = polish.words
    assert scene.opening(words, oven) == (
        "**Piekarnik do zabudowy.** Urządzenie jest odłączone i zablokowane, a brak napięcia sprawdzony."
    )
    assert scene.lift_words(words, oven, ["W1"], ["S1.P1"]) == (
        "Przewód **W1** (brązowy, od X1.L do S1.P1) jest odłączony od S1.P1; wszystkie inne przewody są podłączone."
    )
    stand = scene.controls_words(words, oven, State("oven"))
    assert stand.startswith("Pokrętło stoi na **grzanie górne i dolne** (zwarte styki: S1.")
    assert stand.endswith("Termostat piekarnika B1 żąda grzania (styk zwarty).")
    meter = polish.meter("bench-multimeter")
    said = scene.meter_words(words, meter, Function.OHMS, nulled=False)
    assert said.startswith("Miernik: multimetr stołowy, omy, przewody nie wyzerowane (0,")


def test_questions_of_power(polish: Library, oven: Appliance) -> None:
    """Prompts, explanations and workings decline their nouns, agree with their gender and keep a display verbatim."""
    words = polish.words
    base = oven.branches[oven.branch(BASE)]
    reading = read(polish.meter("bench-multimeter"), Function.OHMS, 35.3, nulled=True)
    watts = element.watts_facts(words, oven, base, reading, Phrase(""))
    assert words.say(watts, "prompt") == (
        "Po odłączeniu jednego przewodu rezystancja grzałki dolnej E2 w piekarniku do zabudowy wynosi "
        f"**{reading.display}** (przewody miernika wyzerowane). Napięcie zasilania to 230 V. "
        "Jaką moc pobierałaby ona według tego odczytu?"
    )
    assert words.say(watts, "working").startswith("P = V² ÷ R = 230 × 230 ÷ 35,")
    ohms = element.ohms_facts(words, oven, oven.branches[oven.branch(INNER)])
    assert words.say(ohms, "prompt").startswith(
        "Obwód wewnętrzny grzałki górnej E1 w piekarniku do zabudowy jest przewidziany na **1350 W** przy"
    )
    assert "tolerancja wykonania to ±5 %" in words.say(ohms, "explanation")
    other = single.other_voltage_facts(words, oven, base, 240.0)
    said = words.say(other, "explanation")
    assert "= 1,043 raza" in said
    assert "To o 9 % więcej, choć" in said


def test_lists_and_counts(polish: Library, oven: Appliance) -> None:
    """Several parts and counts take the plural form that Polish has for them."""
    words = polish.words
    total = several.total_facts(words, oven, "oven", ON, as_ohms=False)
    assert words.say(total, "explanation-resting") == (
        "W tej pozycji grzeją: obwód zewnętrzny grzałki górnej E1 (820 W) i grzałka dolna E2 (1500 W). "
        "Leżą równolegle, więc ich moce się dodają: 2320 W. "
        "Nie jest podłączony: obwód wewnętrzny grzałki górnej E1."
    )
    share = several.share_facts(words, oven, "oven", ON, BASE, as_ohms=False)
    assert "| część | zaciski | moc przy 230 V |" in words.say(share, "prompt")
    assert "**Grzałka dolna E2** ma przerwę" in words.say(share, "prompt")
    assert words.say(share, "here.equal-shares") == "Pozostaje 1 z 2 obwodów, ale nierównych."
    pair = several.branch_amps_facts(words, oven, "oven", ON, (BASE, OUTER))
    assert words.say(pair, "label.amps") == "Prąd w grzałce dolnej E2"
    assert words.say(pair, "here.other-part").endswith(" A to prąd w obwodzie zewnętrznym grzałki górnej E1.")
    joined = series.series_facts(words, oven, [BASE, OUTER], "", as_ohms=False)
    assert words.say(joined, "prompt-mistake") == (
        "Po naprawie **grzałkę dolną E2** oraz **obwód zewnętrzny grzałki górnej E1** połączono omyłkowo szeregowo "
        "na 230 V zamiast równolegle. Jaką moc pobierają te obwody razem?"
    )


def test_the_check_wants_nothing_but_what_is_not_yet_said(polish: Library) -> None:
    """Of a scrap, the check names sentences, tables and files that are missing, and nothing else."""
    told = [str(finding) for finding in check_words(polish.folder, "pl")]
    wrong = [t for t in told if " is missing" not in t and "there is no such file" not in t]
    assert wrong == []


def test_twenty_sentences_are_written(polish: Library) -> None:
    """The scrap holds at least twenty sentences of more than four words."""
    from probebook.words.sources import read_text_file

    folder = polish.folder / "text" / "pl"
    texts = [
        text
        for name in ("names", "questions/scene", "questions/power")
        for table in read_text_file(folder / f"{name}.toml", name).tables.values()
        for text in table.values()
    ]
    assert sum(len(text.split()) > 4 for text in texts) >= 20
