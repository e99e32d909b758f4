"""Every kind of file that a person can hand in: sound samples of it, what reads one, and what is done with it then."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from tree_mutations import shortened, to_toml

from probebook.api import explain
from probebook.appliances import load_appliance
from probebook.appliances.checking import Severity
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.diagnosis.files.reading import read_evidence
from probebook.errors import ScenarioError
from probebook.heating.checking import wrong_heat
from probebook.page.frame import Frame
from probebook.page.reading import Part, Reading
from probebook.page.start.collecting import Collector
from probebook.page.start.record import record_html, record_json
from probebook.page.start.start_page import start_page
from probebook.page.workbook_page import Book, workbook_page
from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import FieldKind, Question, Standing
from probebook.questions.model import Kind as Asked
from probebook.questions.registry import build_question
from probebook.regions import load_rules
from probebook.regions.checking import wrong_region
from probebook.scenario_layers import MARKER, layers
from probebook.words import Words
from probebook.workbook.build.compiling import compile_plan
from probebook.workbook.build.naming import check_plan
from probebook.workbook.build.plan import load_plan
from probebook.workbook.filecheck import check_file
from probebook.workbook.forms.form import Form
from probebook.workbook.journal import append_answer, read_journal
from probebook.workbook.language import sheet_words

__all__ = ["KINDS", "Kind", "kinds"]

ROOT = Path(__file__).resolve().parents[2]
SCENARIOS = ROOT / "scenarios"
KINDS = (
    "appliance", "plan", "heat", "kitchen", "slips", "limits", "region", "text", "evidence", "evidence-json", "journal",
    "key", "folder",
)  # fmt: skip
BOOK = "14-what-is-safe-to-look-at"
#: Questions that are built of an appliance that was read: those that are soon built.
BUILT = ("power", "reading", "verdict", "order", "replacement", "stop-or-go")
PLAN = """
id = "small"
number = 7
title = "A small workbook"
reader = "apprentice"
summary = "Three questions, invented for a test."
seed = "test"
appliance = "conventional-oven"
aims = ["ohms-law"]

[[block]]
text = "Read this first."

[[block]]
example = "power"
options = { form = "ohms", part = "E2.heater" }

[[block]]
show = "schematic"
position = "oven"

[[block]]
ask = "power"
times = 2
level = 1
options = { form = "amps", part = "E1.outer" }
"""
EVIDENCE = """
appliance = "conventional-oven"

[[complaint]]
position = "oven"
shows = { base = "off", top = "normal" }

[[tripped]]
position = "oven"
how = "holds"

[[seen]]
at = "E2"

[[reading]]
probes = ["E2.1", "E2.2"]
display = "45.8 Ω"
position = "oven"

[[reading]]
probes = ["E2.1", "E2.2"]
display = "OL"
lift = ["W10"]
"""


@dataclass(frozen=True)
class Kind:
    """A kind of file.

    ``samples`` are sound files: where each stands in the folder, and its text. ``read`` reads one, and returns what it
    found as sentences; ``use`` does with what was read what a workbook does with it, and either may refuse it.
    ``every`` says of how many that were read one is used.
    """

    samples: tuple[tuple[str, str], ...]
    read: Callable[[Path], list[str]]
    use: Callable[[Path], list[str]] = lambda _: []
    every: int = 1


def kinds(folder: Path) -> dict[str, Kind]:
    """Every kind of file, each read in ``folder``, which is somebody's own over the trade."""
    (folder / MARKER).write_text(f'base = "{SCENARIOS}"\n', "utf-8")
    found = {**_trade(folder), **_sentences(), **_evidence(), **_kept(folder)}
    return {name: found[name] for name in KINDS}


def _texts(pattern: str) -> dict[str, str]:
    return {path.relative_to(SCENARIOS).as_posix(): path.read_text("utf-8") for path in sorted(SCENARIOS.glob(pattern))}


def _short(name: str, most: int = 6) -> tuple[tuple[str, str], ...]:
    """A file of the trade as it is, and with few rows in each list."""
    text = (SCENARIOS / name).read_text("utf-8")
    short = to_toml(shortened(tomllib.loads(text), most))
    return ((name, short), (name, short), (name, short), (name, short), (name, text))


# ---------------------------------------------------------------- the trade


def _trade(folder: Path) -> dict[str, Kind]:
    trade = Library(SCENARIOS)
    plates = _texts("appliances/*.toml")
    heats = {name: text for name, text in plates.items() if "[heat]" in text}

    def appliance(path: Path) -> list[str]:
        load_appliance(path, scenarios=SCENARIOS)
        return []

    def heat(path: Path) -> list[str]:
        return [str(error) for error in wrong_heat(load_appliance(path, scenarios=SCENARIOS))]

    def built(path: Path) -> list[str]:
        own = Library(folder)
        found = check_file(path, own)
        wrong = [each for each in found if each.severity is Severity.ERROR]
        if not wrong:
            _build(own, path.stem)
        return [f"{each.where}: {each.message}; {each.remedy}." for each in wrong]

    def plan(path: Path) -> list[str]:
        check_plan(load_plan(path, trade.words), trade)
        return []

    def compiled(path: Path) -> list[str]:
        compile_plan(load_plan(path, trade.words), trade)
        return []

    def limits(path: Path) -> list[str]:
        load_rules(path)
        return []

    def region(path: Path) -> list[str]:
        return [str(error) for error in wrong_region(path)]

    def elsewhere(path: Path) -> list[str]:
        _build(Library(folder, region="gb"), "kettle")
        return []

    def marker(path: Path) -> list[str]:
        layers(path.parent)
        return []

    plans = tuple(_texts("workbooks/*.toml").items())
    return {
        "appliance": Kind(tuple(plates.items()), appliance, built, every=20),
        "plan": Kind(plans + (("workbooks/small.toml", PLAN),) * len(plans), plan, _small(compiled), every=20),
        "heat": Kind(tuple(heats.items()), heat),
        "limits": Kind(_short("limits.toml", 8), limits, elsewhere, every=10),
        "region": Kind(_short("regions/gb.toml", 99), region, elsewhere, every=10),
        "folder": Kind(
            ((f"own/{MARKER}", f'name = "x"\nbase = "{SCENARIOS}"\nworkbooks = "own"\n'),), marker
        ),
    }  # fmt: skip


def _small(use: Callable[[Path], list[str]]) -> Callable[[Path], list[str]]:
    return lambda path: use(path) if path.stem == "small" else []


def _build(library: Library, appliance: str) -> None:
    """Questions of an appliance; that no fair one is found is said in a sentence, and no matter here."""
    for kind in BUILT:
        with suppress(ScenarioError):
            build_question(Ask("q01", Asked(kind), "hostile", appliance=appliance), library)


# ---------------------------------------------------------------- sentences


def _sentences() -> dict[str, Kind]:
    power = "text/en/questions/power.toml"
    tables = tomllib.loads((SCENARIOS / power).read_text("utf-8"))

    def manners(path: Path) -> list[str]:
        kitchen.__wrapped__(path.parents[2], None)
        return []

    def slips(path: Path) -> list[str]:
        return list(Library(path.parents[2]).slips) and []

    def looked_over(path: Path) -> list[str]:
        kitchen.cache_clear()
        found = check_file(path, Library(path.parents[2]))
        return [f"{each.where}: {each.message}; {each.remedy or 'x'}." for each in found]

    def sentences(path: Path) -> list[str]:
        words = Words(path.parents[3])
        for table, said in words.text_file("questions/power").tables.items():
            for key in said:
                words.segments(f"questions/power/{table}", key)
        return []

    def said(path: Path) -> list[str]:
        _build(Library(path.parents[3]), "kettle")
        return []

    return {
        "kitchen": Kind(_short("text/en/kitchen.toml"), manners, looked_over, every=100),
        "slips": Kind(_short("text/en/slips.toml"), slips, looked_over, every=100),
        "text": Kind(tuple((power, to_toml({name: held})) for name, held in tables.items()), sentences, said, every=20),
    }


# ---------------------------------------------------------------- evidence


def _evidence() -> dict[str, Kind]:
    trade = Library(SCENARIOS)
    oven = trade.appliance("conventional-oven")

    def evidence(path: Path) -> list[str]:
        read_evidence(path, oven)
        return []

    def explained(path: Path) -> list[str]:
        explain(oven, read_evidence(path, oven), trade, ())
        return []

    as_json = json.dumps(tomllib.loads(EVIDENCE), ensure_ascii=False, indent=1)
    return {
        "evidence": Kind((("evidence.toml", EVIDENCE),), evidence, explained, every=30),
        "evidence-json": Kind((("evidence.json", as_json),), evidence, explained, every=30),
    }


# ---------------------------------------------------------------- what is kept


def _kept(folder: Path) -> dict[str, Kind]:
    key = (ROOT / "answer_keys" / f"{BOOK}.json").read_text("utf-8")
    sheet = json.loads(key)
    few = json.dumps({**sheet, "questions": sheet["questions"][:3]}, ensure_ascii=False, indent=1)
    sound = read_sheet(ROOT / "answer_keys" / f"{BOOK}.json")
    name = f"{BOOK}.answers.jsonl"

    def journal(path: Path) -> list[str]:
        read_journal(path, BOOK)
        return []

    def shown(path: Path) -> list[str]:
        _shown(sound, path.parent)
        return []

    def key_file(path: Path) -> list[str]:
        read_sheet(path)
        return []

    def asked(path: Path) -> list[str]:
        found = read_sheet(path)
        words = sheet_words(found)
        _shown(found, path.parent)
        for question in found.questions:
            for response in _responses(question):
                mark(question, response, words)
            if not question.bench:
                Form(question, words)
        return []

    return {
        "journal": Kind(((name, _journal(folder, name, sound)),), journal, shown, every=25),
        "key": Kind((("key.json", few),) * 9 + (("key.json", key),), key_file, asked, every=10),
    }


def _shown(sheet: Sheet, folder: Path) -> None:
    """The pages that tell of a workbook: its own, the start page, the record of practice."""
    parts = tuple(Part("ask", question=question.id) for question in sheet.questions)
    book = Book(Reading(BOOK, "A title", "", (*parts, Part("progress"))), sheet, folder)
    frame = Frame("/", "en")
    workbook_page(book, frame)
    books = SimpleNamespace(names=lambda: [BOOK], book=lambda _: book, paper=lambda _: "")
    found = Collector(books).collect()  # type: ignore[arg-type]
    start_page(found.learner, frame, found.words, found.left_out, found.papers)
    record_json(found.learner, "2026-01-02T10:00:00Z")
    record_html(found.learner, "2026-01-02T10:00:00Z", found.words, found.language)


def _responses(question: Question) -> Iterator[Mapping[str, Any]]:
    """The right answer, each slip, nothing, and what is no answer."""
    yield {field.key: field.answer for field in question.fields if field.kind is not FieldKind.BENCH}
    for slip in question.slips:
        yield {slip.field: slip.response}
    yield {}
    yield {field.key: "47 ohm" for field in question.fields if field.kind is not FieldKind.BENCH}


def _journal(folder: Path, name: str, sheet: Sheet) -> str:
    path = folder / name
    path.unlink(missing_ok=True)
    for number, question in enumerate(sheet.questions[:6]):
        response = {field.key: field.answer for field in question.fields if field.answer is not None}
        append_answer(
            path,
            question=question.id,
            response=response,  # type: ignore[arg-type]
            standing=Standing.SLIP if number % 2 else Standing.RIGHT,
            marks=0.5 * number,
            time="2026-01-02T10:00:00Z",
            origin=BOOK,
        )
    text = path.read_text("utf-8")
    path.unlink()
    return text
