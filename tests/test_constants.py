"""Numbers in the code: a judgement of the trade or of teaching is data, and every other constant says what it is.

Population: every constant of a module, in every module of the package, whose value is made of numbers.
"""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "probebook"

#: Why a number may stand in the code, and which do: module, then names.
REASONS: dict[str, dict[str, str]] = {
    "the number of a file format": {
        "assessment/codec": "FORMAT",
        "assessment/report/files": "FORMAT",
        "assessment/setting/sealing": "FORMAT",
        "assessment/moderation/record": "FORMAT",
        "assessment/report/history": "APPLICATION OLDEST",
        "assessment/setting/writing": "FORMAT",
        "assessment/sitting/handin": "FORMAT",
        "page/start/record": "FORM",
        "publish/package/report": "FORMAT",
        "questions/codec": "FORMAT",
        "questions/sheetmodel": "FORMAT",
        "workbook/build/kept": "FORMAT",
    },
    "a bound on what is read: beyond it a file, a text or a request is refused": {
        "api/assessing": "SHORTEST_SECRET",
        "assessment/codec": "LONGEST",
        "assessment/marking/marks": "LONGEST_CHOICE",
        "assessment/marking/overrides": "LONGEST LONGEST_TEXT",
        "assessment/moderation/record": "LONGEST LONGEST_TEXT",
        "assessment/marking/sheets": "LONGEST LONGEST_ANSWER LONGEST_NAME",
        "assessment/setting/classfile": "LONGEST MOST_LEARNERS LONGEST_NAME MOST_TIME",
        "assessment/setting/sealing": "LONGEST_HEADER LONGEST SHORTEST_PASSPHRASE",
        "assessment/sitting/handin": "LONGEST DEEPEST MOST_EVENTS LONGEST_ANSWER MOST_FIELDS",
        "assessment/sitting/carried": "LARGEST",
        "assessment/sitting/paper": "LONGEST",
        "assessment/sitting/line": "LONGEST",
        "hub/joblog": "LONGEST",
        "hub/checking": "LONGEST_REASON",
        "hub/configuration": "MOST_TASKS LONGEST_FILE",
        "hub/jobs": "MOST_FAULTS MOST_BACKS",
        "hub/learners": "LONGEST",
        "hub/papers": "MOST_HANDINS",
        "hub/ports": "LOWEST HIGHEST NEEDED",
        "hub/service": "LONGEST",
        "appliances/faults": "LEAST_LEAK",
        "appliances/relays": "MOST_RELAYS",
        "bench/table/readings": "LARGEST",
        "bench/acts": "LONGEST MOST",
        "cases/generate": "LEVELS",
        "diagnosis/files/reading": "LARGEST",
        "files": "LONGEST_SOCKET_FOLDER",
        "publish/package/names": "LONGEST",
        "learning/formats": "HIGHEST_GUESS HIGHEST_SLIP",
        "page/host": "MOST_PAGES",
        "page/terms": "MOST",
        "questions/codec": "LONGEST_SHEET",
        "scenario_folder": "DIGITS",
        "scenario_layers": "MOST_LAYERS",
        "textfiles": "LARGEST_FILE MOST_LINES MOST_TABLES MOST_KEYS MOST_ITEMS MOST_PARTS_OF_KEY",
        "units": "LONGEST_TEXT",
        "words/templates": "LONGEST LONGEST_HOLE MOST_HOLES",
        "words/way_registry": "MOST_DIGITS LONGEST_SEPARATOR",
        "workbook/chained": "LONGEST",
        "workbook/drafts": "LARGEST",
        "workbook/build/kept": "MOST LONGEST",
        "workbook/finding": "LONGEST_NOTEBOOK",
        "workbook/forms/bench": "MOST_FAULTS",
        "workbook/forms/view": "LONGEST_TEXT",
    },
    "stands in a sentence where a page puts its own figure; no sentence says it": {
        "bench/table/sentences": "MARK TESTS",
        "site/marking": "MARKS ATTEMPTS",
        "workbook/forms/bench_table": "MARK",
    },
    "sizes, places and room in drawings and in print": {
        "assessment/report/plots": "ROW NAMES AXIS EDGE LETTERS",
        "cli/explain": "WIDEST",
        "drawings/arranging": "HINT_ROW _CLEAR",
        "drawings/bench/drawing": "_RAYS",
        "drawings/bench/layout": "_LINE _PAD _GAP _BOLD wide narrow",
        "drawings/grounds": "BUS_FROM EARTH_BUS_FROM BUS_STEPS BUS_REACH _MARGIN",
        "drawings/harness_drawing": "PITCH _BOX _FAN _SPACE _EDGE _HEAD",
        "drawings/layout": "HEAD_GAP",
        "drawings/marking": "_HALF_LINE _CLEAR _SHOWN",
        "drawings/reader/arrows": "_LONG _HALF _APART _CLEAR _MOST",
        "drawings/reader/folding": "WIDE SHARE CLEAR STEP",
        "drawings/routing": "_STEPS _BEND _CROSSING _BUS_CROSSING _SIDEWAYS _AWAY",
        "drawings/schematic_drawing": "REACH BAND BUS",
        "drawings/svg": "SMALL NORMAL LARGE",
        "drawings/symbols": "SPAN HALF TERMINAL_RADIUS _PLAIN HEAVY",
        "drawings/units": "GRID INSET RETURN _ROW _RETURN_ROW",
        "heating/plots": "_NEAREST",
        "publish/package/asking": "ROOM",
        "publish/paper": "USUAL LARGE ROWS LARGE_SHEET",
        "publish/pictures": "NARROWER CM UNIT OVERLAP MOST_PARTS USUAL",
    },
    "how long or how often something is tried before it is given up": {
        "workbook/build/files": "WORTH_WHILE",
        "site/benches": "DRAWS",
        "api/assessing": "MANY",
        "assessment/setting/items": "DRAWS",
        "assessment/setting/papers": "TRIES CHANGES",
        "cases/generate": "DRAWS STAY",
        "cluster": "PATIENCE",
        "assessment/sitting/line": "PATIENCE",
        "hub/checking": "PATIENCE",
        "hub/configuration": "STARTING ENDING",
        "hub/learners": "PATIENCE LOOK",
        "hub/service": "LOOK IDLE SLOW",
        "hub/starting": "STARTING ENDING ROUND LOOK",
        "cli/open": "REST",
        "diagnosis/inference": "DRAWS",
        "assessment/report/history": "PATIENCE",
        "diagnosis/solving/policy": "PATIENCE",
        "page/kernels": "PATIENCE",
        "questions/next_test/slips": "TRIED",
        "questions/registry": "DRAWS",
        "workbook/chained": "PATIENCE",
        "workbook/drafts": "GATHERED",
        "workbook/player": "AGAIN",
        "workbook/practice/fresh": "DRAWS CASE_DRAWS",
        "cli/common": "FIRST_LINE NEXT_LINE",
        "stopping": "STOPPED PATIENCE LONGEST_HOLD",
        "workbook/running": "PATIENCE",
    },
    "the working of a sum: grids, weights, tolerances, what counts as nought or as endless, digits that are compared": {
        "bench/table/diagram": "_BATCH",
        "assessment/model": "SPARE",
        "assessment/report/choices": "THIRD",
        "assessment/report/classical": "GROUP Z95",
        "assessment/report/consistency": "POINTS",
        "assessment/report/drift": "LOOSE",
        "assessment/report/rasch": "POINTS ROUNDS ARRIVED FARTHEST WIDTH",
        "assessment/setting/proving": "CLOSE",
        "cases/trial_table": "LEAST_BITS",
        "circuit/extremes": "OPEN_ABOVE SHORT_BELOW DEAD_SHORT NOUGHT",
        "circuit/plan": "ZERO_ROW",
        "circuit/replay": "CHUNK_STATES CHUNK_BYTES FEW",
        "diagnosis/inference": "FEW_DRAWS LEAST",
        "diagnosis/observing": "CUTS LEAST",
        "diagnosis/open/cells": "OVERLAP CUT",
        "diagnosis/open/insulation": "TELLS",
        "diagnosis/open/networks": "BRIDGE",
        "diagnosis/open/use": "OPEN",
        "diagnosis/open/ways": "PLACES",
        "diagnosis/open/weighing": "WIDER",
        "diagnosis/physics/paths": "JOINS",
        "diagnosis/physics/responses": "LEAST_OHMS SEVERITIES",
        "diagnosis/physics/temperature": "STEP",
        "diagnosis/probability/displays": "PLACES INSIDE OUTSIDE LEAST_OHMS",
        "diagnosis/probability/insulation": "NOTICEABLE SURELY LEAST MOST_STEPS",
        "diagnosis/probability/integration": "FAR SEED",
        "diagnosis/probability/leakage": "OUT_OF_REACH LEAST",
        "diagnosis/probability/linear": "HOPELESS",
        "diagnosis/probability/lognormal": "STEP GRID NARROWEST SHARE_STEP SHARE_OF_DEVIATION SHARE_END NEGLIGIBLE",
        "diagnosis/probability/shared": "GAIN GAIN_WEIGHTS NODES WEIGHTS PANEL LEFT_OUT MOST NOTHING",
        "diagnosis/saying/contrasts": "MANY FEW",
        "diagnosis/symptom_table": "WAYS",
        "diagnosis/value": "ENOUGH MOST BEYOND LEAST_BITS",
        "drawings/paths": "_LOAD _JOINT _NOTHING",
        "heating/events": "_TIME_TOLERANCE",
        "heating/network": "_BLOCK _STILL",
        "heating/running": "_TABLE _FIRST_CHUNK _CHUNK_GROWTH _MOST_SWITCHINGS_A_SECOND _HAIR _NO_FLOW",
        "heating/simulate": "_LOOK _SENSOR_PART",
        "meters/likelihood": "ENDLESS STEEPEST",
        "meters/propagation": "STEP",
        "meters/reading": "SAME",
        "meters/scale": "SLACK",
        "meters/uncertainty": "COVERAGE",
        "numerics/chi_square": "_ENOUGH _MOST _TINY",
        "numerics/rounding": "COMPARED STORED SHOWN _MOST_POWER",
        "physical/failures": "_TRIED _NOUGHT _ENDLESS",
        "physical/readings": "_AIR _METAL _NO_DROP",
        "physical/use": "_OPEN _AIR",
        "publish/package/bands": "FARTHEST",
        "publish/package/items": "SAME",
        "publish/package/numbers": "NEAR",
        "questions/miswire/facts": "ROUNDED_AWAY",
        "words/language": "_COUNTED",
        "words/levelling": "MOST ROUNDS STEP NEAR",
        "words/number_ways": "NEAR",
        "workbook/preview/reading_tables": "NOTHING",
    },
    "a constant of nature or of units, or a figure that nothing turns on within wide bounds": {
        "appliances/alloys": "REFERENCE_CELSIUS",
        "appliances/loading": "TYPICAL_AREA",
        "appliances/parts": "KELVIN",
        "appliances/states": "OHMMETER_VOLTS",
        "drawings/saying": "CELSIUS",
        "heating/installed": "ZERO_CELSIUS",
        "heating/record": "JOULES_PER_KWH",
        "heating/saying": "HUNDRED",
        "heating/vessels": "WATER_HEAT AIR_HEAT",
        "questions/power/facts/single": "COLD_AT",
        "questions/replacement/ratings": "ZERO",
        "questions/verdict/build/conductor": "SQUARE_MILLIMETRE",
        "questions/verdict/facts/earth": "MILLIOHM",
        "questions/verdict/facts/insulation": "MEGOHM",
        "unit_format": "_LEAST_OHMS",
        "units": "LEAST_OVER_RANGE",
        "workbook/forms/hints": "SCALES",
        "workbook/pages/lessons": "HOUR",
        "workbook/pages/reference": "LEAST_WATTS RATED",
    },
    "sizes that the sealing of keys rests on": {
        "api/assessing": "SECRET",
        "assessment/setting/sealing": "N R P SALT NONCE",
        "assessment/moderation/pack": "NAME",
        "assessment/sitting/chain": "RECEIPT",
    },
    "how far clocks of machines may differ, and what documents and archives bear that show no day and no machine": {
        "assessment/marking/judging": "OLD SLACK",
        "assessment/sitting/clock": "SLACK",
        "publish/package/packing": "TIME PLAIN UNIX",
        "publish/printing": "DAY",
    },
    "how many of a thing are shown, named or offered: room on a page; another number draws other questions": {
        "site/benches": "LEVELS",
        "bench/table/sentences": "MOST_TESTS",
        "bench/table/bench_table": "MOST_FAULTS",
        "diagnosis/saying/explaining": "ROWS NEXT",
        "drawings/telling/branches": "MOST",
        "learning/duration": "STEP",
        "questions/curve/facts/judging": "RIVALS",
        "questions/curve/facts/presenting": "SPANS",
        "questions/curve/facts/record": "_STEPS _ROWS _LAST_CYCLES _TIMES_A_CYCLE",
        "questions/fault/build": "NAMED",
        "questions/fault/contrasts": "MOST",
        "questions/fault/deciding": "OTHERS",
        "questions/fault/reasons": "TOLD",
        "questions/miswire/build": "WRONG",
        "questions/miswire/slips": "FEWEST",
        "questions/record/facts": "QUOTED ENTRIES",
        "questions/replacement/build": "WRONG FEWEST",
        "questions/trace/build/contacts": "FEWEST MOST",
        "questions/trace/build/symbols": "SCALE",
        "questions/trace/build/wires": "WIRES",
        "questions/trace/signs": "RIVALS",
        "questions/trace/slips/breaks": "LEFT_OUT",
        "questions/stop_or_go/build": "BORROWED OPENING",
        "questions/trace/slips/contacts": "OTHERS",
        "questions/trace/slips/heats": "EACH",
        "questions/trace/slips/wires": "TRACED LEFT_OUT",
        "questions/verdict/build/judged": "THOUGHTS",
        "questions/verdict/slips/earth": "MOST",
        "questions/verdict/slips/power": "FEWEST MOST",
        "workbook/forms/hints": "FEWEST",
        "workbook/pages/lessons": "ENOUGH",
        "workbook/pages/walk": "NAMED",
    },
    "for the pages of a learner who has a workbook and its key and no scenarios": {
        "learning/mastery": "LATELY MOSTLY",
        "page/start/learner": "WEEKS SLIPS",
        "workbook/forms/form": "ATTEMPTS_FOR_WORKING",
        "workbook/practice/cell": "LATELY EASY HARD",
        "workbook/practice/fresh": "OTHERS",
        "workbook/progress": "SURE",
    },
    "what a field is worth stands beside it, as in all builders": {
        "questions/next_test/build": "OTHER_LINES",
    },
}


def constants(source: str) -> list[str]:
    """Return the names that a module gives to numbers; types, texts and tables by name are none."""
    found: list[str] = []
    for node in ast.parse(source).body:
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        parts = list(ast.walk(node.value))
        numbers = [p for p in parts if isinstance(p, ast.Constant) and type(p.value) in (int, float)]
        others = [
            p
            for p in parts
            if isinstance(p, ast.Dict) or (isinstance(p, ast.Constant) and type(p.value) in (str, bytes))
        ]
        is_type = any(isinstance(p, ast.Name) and p.id == "Annotated" for p in parts)
        if numbers and not others and not is_type:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            found += [p.id for target in targets for p in ast.walk(target) if isinstance(p, ast.Name)]
    return found


def test_every_number_with_a_name_says_why_it_is_no_judgement() -> None:
    """A new figure goes into scenarios/assumptions.toml, or here with the reason why it is none; nothing else stays."""
    there = {
        (path.relative_to(PACKAGE).with_suffix("").as_posix(), name)
        for path in PACKAGE.rglob("*.py")
        for name in constants(path.read_text("utf-8"))
    }
    told = {(module, name) for known in REASONS.values() for module, names in known.items() for name in names.split()}
    assert there - told == set()
    assert told - there == set()


def test_a_number_with_a_name_is_found() -> None:
    """The check above sees one alone, several, a negative one, a sum and an array; texts and types it leaves alone."""
    numbers = "A = 3\nB, C = -1.0, 2\nD: float = 2 * 0.5\nE = array([1.0])\n"
    source = numbers + "F = 'x'\nG = Annotated[int, 3]\nH = Form('a', 1)\n"
    assert constants(source) == ["A", "B", "C", "D", "E"]
