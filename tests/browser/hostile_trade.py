"""Hostile scenario files, each in a folder of one's own over the trade, and the workbook that is built of it."""

from __future__ import annotations

import re
from pathlib import Path

from hostile_rows import ROOT, Row, aimed

from probebook.cases.library import Library
from probebook.errors import ProbebookError
from probebook.scenario_layers import MARKER
from probebook.workbook.build.files import build_all
from probebook.workbook.build.plan import load_plan

__all__ = ["REFUSED", "TRADE", "build_book", "refusal_of"]

SCENARIOS = ROOT / "scenarios"
#: As it stands in a line of TOML; Markdown, HTML and an address each would make something of it.
ATTACK = "<img src=x: onerror=MARK> [l](javascript:MARK) ![p](TRAP) <form action=TRAP></form>"
APPLIANCE, PLAN, KITCHEN = "appliances/kettle.toml", "workbooks/NAME.toml", "text/en/kitchen.toml"
POWER, SLIPS = "text/en/questions/power.toml", "text/en/slips.toml"
#: A plan that shows an appliance and asks about it; the whole of it is built once for all rows of one book.
PLAN_TEXT = """
id = "NAME"
number = 7
title = "Workbook NAME"
reader = "apprentice"
summary = "A summary."
seed = "test"
appliance = "kettle"

[[block]]
text = "## A lesson\\n\\nRead this first."

[[block]]
show = "plate"

[[block]]
show = "schematic"

[[block]]
ask = "power"
options = { form = "watts" }
"""
CASE_TEXT = (
    PLAN_TEXT
    + """
[[block]]
case = "one"
asks = ["fault"]
level = 1
"""
)
#: By book and row: the file, which texts of it are attacked, and whether notebook or key must hold the attack.
FIELDS: dict[str, dict[str, tuple[str, str, str]]] = {
    "trade-book-plate": {
        "trade-title": (APPLIANCE, r'^title = "kettle"', "notebook"),
        "trade-maker": (APPLIANCE, r'^maker = "[^"]*"', "notebook"),
        "trade-designation": (APPLIANCE, r'^designation = "[^"]*"', "notebook"),
        "trade-source": (APPLIANCE, r'^source = "[^"]*"', ""),
        "trade-part": (APPLIANCE, r'(?<=kind = "plug"\n)title = "plug"', ""),
        "trade-element": (APPLIANCE, r'(?<=kind = "element"\n)title = "[^"]*"', "notebook"),
        "trade-position": (APPLIANCE, r'(?<=name = "boil"\n)title = "[^"]*"', ""),
        "trade-note": (APPLIANCE, r'^note = "[^"]*"', ""),
        "trade-plan-title": (PLAN, r'^title = "[^"]*"', "notebook"),
        "trade-plan-summary": (PLAN, r'^summary = "[^"]*"', "notebook"),
        "trade-plan-text": (PLAN, r"Read this first\.", "notebook"),
        "trade-plan-heading": (PLAN, r"A lesson", "notebook"),
    },
    "trade-book-case": {
        "trade-fault": (APPLIANCE, r'(?<=kind = "open"\n)title = "[^"]*"', "key"),
        "trade-looks": (APPLIANCE, r'^looks = "[^"]*"', ""),
        "trade-mend": (APPLIANCE, r'^mend = "[^"]*"', "key"),
        "trade-basis": (APPLIANCE, r'^basis = "[^"]*"', ""),
    },
}
#: By book and row: the file, the rows that are added to it, and what must hold the attack.
ADDED: dict[str, dict[str, tuple[str, str, str]]] = {
    "trade-book-case": {
        "trade-names": (KITCHEN, 'given = ["ATTACK"]\nfamily = ["ATTACK"]\npremises = ["ATTACK"]\n', "notebook"),
        "trade-days": (KITCHEN, 'days = ["ATTACK"]\nsince = ["ATTACK"]\nremarks = ["ATTACK"]\nvague = ["ATTACK"]\n',
            "notebook"),
        "trade-thing": (KITCHEN, '[[appliance]]\nid = "kettle"\nfamily = "kettle"\nthing = "ATTACK"\nusual = "boil"\n'
            '[appliance.leads]\nboil = "when ATTACK"\n', "notebook"),
    },
    "trade-book-words": {
        "trade-slip": (SLIPS, '[[slip]]\nid = "doubled"\nname = "ATTACK"\nway = "ATTACK"\nadvice = ["ATTACK"]\n'
            'source = "ATTACK"\ncompetences = ["C16"]\non = [{ form = "power/watts", path = "doubled" }]\n', "key"),
        "trade-prompt": (POWER, 'prompt = "ATTACK of the {{ part }}"\n', "notebook"),
        "trade-explanation": (POWER, 'explanation = "ATTACK"\n', "key"),
        "trade-working": (POWER, 'working = "ATTACK"\n', "key"),
        "trade-label": (POWER, 'label = "ATTACK"\n', ""),
        "trade-question-title": (POWER, 'title = "ATTACK"\n', "key"),
        "trade-caution": ("text/en/cautions.toml", 'apprentice = "ATTACK"\n', "notebook"),
        "trade-outcome": ("outcomes.toml", '[[outcome]]\nid = "power"\ntitle = "ATTACK"\n', "key"),
        "trade-term": ("text/en/glossary.toml",
            '[[term]]\nid = "lesson"\nword = "lesson"\nforms = ["Read this"]\ntext = "ATTACK"\n', "notebook"),
    },
}  # fmt: skip
#: Scenario files that must be refused, in a sentence that holds these words.
REFUSED: dict[str, tuple[str, str, str]] = {
    "wrong-id-way": (APPLIANCE, 'id = "../../kettle"', "id"),
    "wrong-id-markup": (APPLIANCE, 'id = "<b>"', "id"),
    "wrong-mark": (APPLIANCE, '[[part]]\nmark = "<b>"\nkind = "plug"\ntitle = "x"\ntags = ["L"]\n', "part"),
    "wrong-escape": (APPLIANCE, 'title = "\\u001b[2J"', "hidden sign"),
    "wrong-turned": (APPLIANCE, 'title = "\\u202egnp.exe"', "hidden sign"),
    "wrong-hole": ("text/en/questions/power.toml", '[watts]\nprompt = "{{ part.__class__ }}"\n', "power.toml"),
    "wrong-code": (
        "text/en/questions/power.toml",
        '[watts]\nprompt = "{% for x in part %}{% endfor %}"\n',
        "power.toml",
    ),
    "wrong-call": ("text/en/questions/power.toml", '[watts]\nprompt = "{{ part() }}"\n', "power.toml"),
    "wrong-base": (MARKER, 'base = "/etc"\n', "base"),
    "wrong-base-self": (MARKER, 'base = "."\n', "without end"),
    "wrong-plan-case": (PLAN, PLAN_TEXT.replace('id = "NAME"', 'id = "../NAME"'), "id"),
    "wrong-plan-show": (PLAN, PLAN_TEXT.replace('"schematic"', '"<script>"'), "show"),
    "wrong-plan-appliance": (PLAN, PLAN_TEXT.replace('"kettle"', '"../../etc/passwd"'), "appliance"),
    "wrong-toml": (PLAN, "<script>top.ran.push(1)</script>", "TOML"),
}


def _own(folder: Path, name: str, files: dict[str, str]) -> Path:
    """A folder of one's own with these files."""
    own = folder.parent / "own" / name
    for file, text in {MARKER: f'base = "{SCENARIOS}"\n', **files}.items():
        path = own / file.replace("NAME", name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.replace("NAME", name), "utf-8")
    return own


def _attacked(text: str, pattern: str, attack: str) -> str:
    """The text with the attack behind whatever the pattern finds, within its quotation marks."""

    def put(found: re.Match[str]) -> str:
        return f'{found[0][:-1]} {attack}"' if found[0].endswith('"') else f"{found[0]} {attack}"

    changed = re.sub(pattern, put, text, flags=re.MULTILINE)
    assert changed != text, pattern
    return changed


def build_book(folder: Path, book: str, trap: str) -> None:
    """Build the workbook of a folder of one's own in which each row of that book has put its attack."""
    files = {PLAN: CASE_TEXT if book == "trade-book-case" else PLAN_TEXT}
    for name, (file, pattern, _) in FIELDS.get(book, {}).items():
        text = files.get(file) or (SCENARIOS / file).read_text("utf-8")
        files[file] = _attacked(text, pattern, aimed(ATTACK, name, trap))
    for name, (file, rows, _) in ADDED.get(book, {}).items():
        head = "[watts]\n" if file == POWER else ""
        files[file] = files.get(file, head) + rows.replace("ATTACK", aimed(ATTACK, name, trap))
    library = Library(_own(folder, book, files))
    plan = load_plan(library.folder / f"workbooks/{book}.toml", library.words)
    for name, text in build_all([plan], library).items():
        path = folder.parent / name.replace(plan.stem, book)
        path.parent.mkdir(exist_ok=True)
        path.write_text(text.replace(plan.stem, book), "utf-8")


def refusal_of(folder: Path, name: str) -> str:
    """What is said of a scenario file that must be refused; empty where it was built."""
    file, given, _ = REFUSED[name]
    text = given
    if file == APPLIANCE:
        whole = (SCENARIOS / file).read_text("utf-8")
        key = given.partition(" = ")[0]
        text = (
            whole + given if given.startswith("[[") else re.sub(rf"(?m)^{key} = .*$", lambda _: given, whole, count=1)
        )
    try:
        library = Library(_own(folder, name, {PLAN: PLAN_TEXT, file: text}))
        build_all([load_plan(library.folder / f"workbooks/{name}.toml", library.words)], library)
    except ProbebookError as error:
        return str(error)
    return ""


#: Rows whose attacks stand in a workbook: ``says`` names what must hold them, ``notebook``, ``key`` or nothing.
TRADE: tuple[Row, ...] = tuple(
    Row(name, says=told[2], book=book)
    for books in (FIELDS, ADDED)
    for book, rows in books.items()
    for name, told in rows.items()
)
