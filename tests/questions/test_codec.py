from __future__ import annotations

import copy
import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from question_samples import ALL, ELEMENT, OPEN, ORDER, VERDICT

from probebook.errors import ScenarioError
from probebook.questions.codec import Sheet, decode_question, encode_question, marking_sheet, read_sheet
from probebook.questions.model import Question


@pytest.mark.parametrize("question", ALL, ids=lambda question: question.id)
def test_a_question_comes_back_equal(question: Question) -> None:
    """Encoding, writing as strict JSON and reading back gives an equal question."""
    text = json.dumps(encode_question(question), allow_nan=False)
    assert decode_question(json.loads(text)) == question


def test_an_open_band_is_kept_in_strict_json() -> None:
    """The infinite band of an open circuit survives JSON, which has no infinity (RFC 8259, section 6)."""
    text = json.dumps(encode_question(OPEN), allow_nan=False)
    band = decode_question(json.loads(text)).fields[0].band
    assert band is not None
    assert (band.low, band.high) == (math.inf, math.inf)


def test_a_sheet_comes_back_equal_and_has_one_spelling(tmp_path: Path) -> None:
    """A sheet read back is equal, and writing it again gives the same bytes."""
    text = marking_sheet(ALL, {"workbook": "ohms-and-watts", "title": "Ω und W"})
    path = tmp_path / "sheet.json"
    path.write_text(text, encoding="utf-8")
    sheet = read_sheet(path)
    assert sheet == Sheet({"workbook": "ohms-and-watts", "title": "Ω und W"}, ALL)
    assert marking_sheet(sheet.questions, sheet.meta) == text
    assert sheet.question("q03") == VERDICT


def test_whole_and_decimal_marks_are_spelt_alike() -> None:
    """Marks given as 2 and as 2.0 make the same bytes."""
    whole = replace(ELEMENT, fields=(replace(ELEMENT.fields[0], marks=2),))
    assert marking_sheet([whole], {}) == marking_sheet([ELEMENT], {})


def broken(question: Question, *path: Any, value: Any = None, drop: bool = False) -> dict[str, Any]:
    """The question as data with one value replaced or dropped."""
    data = copy.deepcopy(encode_question(question))
    place: Any = data
    for step in path[:-1]:
        place = place[step]
    if drop:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return data


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (broken(ELEMENT, "title", drop=True), "title"),
        (broken(ELEMENT, "titel", value="x"), "titel"),
        (broken(ELEMENT, "kind", value="riddle"), "kind"),
        (broken(ELEMENT, "level", value=1.5), "level"),
        (broken(ELEMENT, "level", value=True), "level"),
        (broken(ELEMENT, "id", value=" "), "id"),
        (broken(ELEMENT, "fields", value=[]), "fields"),
        (broken(ELEMENT, "fields", 0, "marks", value=-1), "fields[0].marks"),
        (broken(ELEMENT, "fields", 0, "marks", value=10**400), "fields[0].marks"),
        (broken(ELEMENT, "fields", 0, "unit", value="parsec"), "fields[0].unit"),
        (broken(ELEMENT, "fields", 0, "band", drop=True), "fields[0].band"),
        (broken(ELEMENT, "fields", 0, "band", value=[2, 1]), "fields[0].band"),
        (broken(ELEMENT, "fields", 0, "band", value=[2, "NaN"]), "fields[0].band[1]"),
        (broken(ELEMENT, "fields", 0, "answer", value=46), "fields[0].answer"),
        (broken(ELEMENT, "slips", 0, "field", value="amps"), "slips[0].field"),
        (broken(ELEMENT, "slips", 0, "band", drop=True), "slips[0].band"),
        (broken(ELEMENT, "slips", 1, "marks", value=3), "slips[1].marks"),
        (broken(VERDICT, "fields", 0, "answer", value="maybe"), "fields[0].answer"),
        (broken(VERDICT, "fields", 0, "partial", 0, value=["unknown", 2]), "fields[0].partial[0]"),
        (broken(VERDICT, "fields", 0, "partial", 0, value=["within", 1]), "fields[0].partial[0]"),
        (broken(VERDICT, "fields", 0, "options", 1, "id", value="within"), "fields[0].options[1].id"),
        (broken(VERDICT, "fields", 1, "answer", value=[]), "fields[1].answer"),
        (broken(VERDICT, "fields", 1, "answer", value=["plate", "plate"]), "fields[1].answer"),
        (broken(VERDICT, "fields", 1, "key", value="verdict"), "fields[1].key"),
        (broken(VERDICT, "slips", 0, "response", value="within"), "slips[0].response"),
        (broken(VERDICT, "slips", 1, "response", value="plate"), "slips[1].response"),
        (broken(VERDICT, "slips", 0, "critical", value="yes"), "slips[0].critical"),
        (broken(ORDER, "fields", 0, "before", value=[["off", "lid"]]), "fields[0].before[0]"),
        (broken(ORDER, "fields", 0, "before", value=[["off", "lock"], ["lock", "off"]]), "fields[0].before[1]"),
        (broken(ORDER, "fields", 0, "before", value=[]), "fields[0].before"),
        (broken(ORDER, "fields", 0, "answer", value=["off", "lock"]), "fields[0].answer"),
        (broken(ORDER, "slips", 0, "response", value=["prove", "cover"]), "slips[0].response"),
    ],
)
def test_a_fault_in_a_question_is_told_with_its_key(data: dict[str, Any], key: str) -> None:
    """Each broken question is refused in one sentence that begins with the key at fault."""
    with pytest.raises(ScenarioError) as caught:
        decode_question(data)
    assert str(caught.value).startswith(f"{key}: ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"format": 2, "meta": {}, "questions": []}',
        '{"format": 1, "questions": []}',
        "[" * 100_000,
    ],
)
def test_a_file_that_is_no_sheet_is_refused_by_name(tmp_path: Path, text: str) -> None:
    """Whatever text a file holds, it is refused in one sentence that names the file."""
    path = tmp_path / "bad.json"
    path.write_text(text)
    with pytest.raises(ScenarioError, match=r"bad\.json: "):
        read_sheet(path)


def test_a_missing_file_and_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    """A path with nothing there, a folder and a binary file are refused by name."""
    (tmp_path / "b.json").write_bytes(b"\xff\xfe\x00")
    for name in ("a.json", "b.json", "."):
        with pytest.raises(ScenarioError):
            read_sheet(tmp_path / name)


def test_two_questions_with_one_id_are_refused(tmp_path: Path) -> None:
    """An id names one question of a sheet only."""
    path = tmp_path / "s.json"
    path.write_text(marking_sheet([ELEMENT, ELEMENT], {}))
    with pytest.raises(ScenarioError, match=r"questions\[1\]\.id"):
        read_sheet(path)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(
                st.sampled_from(["id", "kind", "fields", "slips", "level", "key", "x"]), inner, max_size=5
            )
        ),
        max_leaves=15,
    )
)
def test_no_data_makes_reading_fail_otherwise(data: Any) -> None:
    """Arbitrary JSON data is refused as a scenario fault and in no other way."""
    with pytest.raises(ScenarioError):
        decode_question(data)


@given(st.data())
def test_one_value_replaced_anywhere_is_read_or_refused(data: st.DataObject) -> None:
    """With any one value of a sound question replaced, reading gives a question or a scenario fault."""
    encoded = copy.deepcopy(encode_question(data.draw(st.sampled_from(ALL))))
    places: list[tuple[Any, Any]] = []

    def collect(node: Any) -> None:
        for step in node if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ():
            places.append((node, step))
            collect(node[step])

    collect(encoded)
    node, step = data.draw(st.sampled_from(places))
    node[step] = data.draw(st.none() | st.integers() | st.text(max_size=4) | st.lists(st.text(max_size=3), max_size=3))
    try:
        assert isinstance(decode_question(encoded), Question)
    except ScenarioError:
        return
