"""Break every kind of file that a person can hand in, at random: lines, values, keys, bytes.

By hand: ``python tests/hostile/file_mutations.py 10000 [kind ...]`` prints, for each kind, how many were refused and
how many were sound, and every message that is not one sentence in our own words.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "appliances"))

from mutations import mutated

from probebook.appliances import load_appliance
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.diagnosis.files.reading import read_evidence
from probebook.errors import ProbebookError
from probebook.heating.checking import wrong_heat
from probebook.questions.codec import read_sheet
from probebook.questions.model import Standing
from probebook.regions import load_rules
from probebook.regions.checking import wrong_region
from probebook.scenario_layers import MARKER, layers
from probebook.words import Words
from probebook.workbook.build.naming import check_plan
from probebook.workbook.build.plan import load_plan
from probebook.workbook.journal import append_answer, read_journal

ROOT = Path(__file__).resolve().parents[2]
SCENARIOS = ROOT / "scenarios"

#: Words of libraries and of Python that no user is to read.
FOREIGN = re.compile(
    r"pydantic|Traceback|object at 0x|NoneType|\bKeyError|\bTypeError|\bValueError|validation error|Input should"
    r"|String should|should (?:match|have)\b|\bErrno\b|line \d+ column \d+ \(char|<class|_set_int_max"
)

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
    """A kind of file: sound samples by name, and what reads one; it returns what it found, each as a sentence."""

    samples: Mapping[str, str]
    read: Callable[[Path], list[str]]


def kinds(folder: Path) -> dict[str, Kind]:
    """Every kind of file, each read in ``folder``, which is somebody's own over the trade."""
    (folder / MARKER).write_text(f'base = "{SCENARIOS}"\n', "utf-8")
    trade, oven = Library(SCENARIOS), Library(SCENARIOS).appliance("conventional-oven")
    plates = {path.name: path.read_text("utf-8") for path in sorted((SCENARIOS / "appliances").glob("*.toml"))}
    plans = {path.name: path.read_text("utf-8") for path in sorted((SCENARIOS / "workbooks").glob("*.toml"))}
    heats = {name: text for name, text in plates.items() if "[heat]" in text}
    key = (ROOT / "answer_keys" / "14-what-is-safe-to-look-at.json").read_text("utf-8")

    def appliance(path: Path) -> list[str]:
        load_appliance(path, scenarios=SCENARIOS)
        return []

    def heat(path: Path) -> list[str]:
        return [str(error) for error in wrong_heat(load_appliance(path, scenarios=SCENARIOS))]

    def plan(path: Path) -> list[str]:
        check_plan(load_plan(path, trade.words), trade)
        return []

    def manners(path: Path) -> list[str]:
        kitchen.__wrapped__(path.parents[2], None)
        return []

    def slips(path: Path) -> list[str]:
        return list(Library(path.parents[2]).slips) and []

    def limits(path: Path) -> list[str]:
        load_rules(path)
        return []

    def region(path: Path) -> list[str]:
        return [str(error) for error in wrong_region(path)]

    def sentences(path: Path) -> list[str]:
        words = Words(path.parents[3])
        for table, said in words.text_file("questions/power").tables.items():
            for key in said:
                words.segments(f"questions/power/{table}", key)
        return []

    def evidence(path: Path) -> list[str]:
        read_evidence(path, oven)
        return []

    def journal(path: Path) -> list[str]:
        read_journal(path, "book")
        return []

    def sheet(path: Path) -> list[str]:
        read_sheet(path)
        return []

    def marker(path: Path) -> list[str]:
        layers(path.parent)
        return []

    texts = {name: (SCENARIOS / name).read_text("utf-8") for name in ("limits.toml", "regions/gb.toml")}
    english = {name: (SCENARIOS / name).read_text("utf-8") for name in (
        "text/en/kitchen.toml", "text/en/slips.toml", "text/en/questions/power.toml",
    )}  # fmt: skip
    return {
        "appliance": Kind({f"appliances/{name}": text for name, text in plates.items()}, appliance),
        "plan": Kind({f"workbooks/{name}": text for name, text in plans.items()}, plan),
        "heat": Kind({f"appliances/{name}": text for name, text in heats.items()}, heat),
        "kitchen": Kind({"text/en/kitchen.toml": english["text/en/kitchen.toml"]}, manners),
        "slips": Kind({"text/en/slips.toml": english["text/en/slips.toml"]}, slips),
        "limits": Kind({"limits.toml": texts["limits.toml"]}, limits),
        "region": Kind({"regions/gb.toml": texts["regions/gb.toml"]}, region),
        "text": Kind({"text/en/questions/power.toml": english["text/en/questions/power.toml"]}, sentences),
        "evidence": Kind({"evidence.toml": EVIDENCE}, evidence),
        "journal": Kind({"book.answers.jsonl": _journal(folder)}, journal),
        "key": Kind({"key.json": key}, sheet),
        "folder": Kind({f"own/{MARKER}": f'name = "x"\nbase = "{SCENARIOS}"\nworkbooks = "own"\n'}, marker),
    }


def _journal(folder: Path) -> str:
    path = folder / "sample.answers.jsonl"
    path.unlink(missing_ok=True)
    for number in range(6):
        append_answer(
            path,
            question=f"q{number:02d}",
            response={"ohms": "47 ohm", "why": ["a", "b"]},
            standing=Standing.SLIP,
            marks=0.5 * number,
            time="2026-01-02T10:00:00Z",
            origin="book",
        )
    text = path.read_text("utf-8")
    path.unlink()
    return text


VALUES = ("null", "-1", "1e999", "NaN", '""', "[]", "{}", "true", '"\\ud800"', "[[1]]", "9" * 400, '"x"', '{"a": null}')


def _broken_json(text: str, rng: random.Random) -> bytes:
    """JSON with a value, a stretch or a byte changed."""
    for _ in range(rng.choice((1, 1, 2))):
        values = [
            found.span(1) for found in re.finditer(r'": ?("(?:[^"\\]|\\.)*"|[-0-9.e]+|true|false|null|\[|\{)', text)
        ]
        start, end = rng.choice(values) if values else (0, 1)
        at = rng.randrange(len(text))
        text = rng.choice((
            lambda t, s=start, e=end: t[:s] + rng.choice(VALUES) + t[e:],
            lambda t, s=start, e=end: t[:s] + rng.choice(VALUES) + t[e:],
            lambda t, a=at: t[:a] + t[a + rng.randrange(1, 80) :],
            lambda t, a=at: t[:a] + chr(rng.choice((0, 10, 34, 44, 92, 123, 125, 0xE9))) + t[a + 1 :],
            lambda t, a=at: t[:a] + t[a : a + 60] * 2 + t[a + 60 :],
        ))(text)  # fmt: skip
    return text.encode("utf-8", "surrogatepass")


def _heat_alone(text: str, rng: random.Random) -> bytes:
    """An appliance whose [heat] table alone is broken."""
    before, _, rest = text.partition("[heat]")
    table, mark, after = rest.partition("\n# ---")
    content = mutated(f"[heat]{table}", rng)
    return before.encode() + content + (mark + after).encode()


def survive(kind: str, count: int, seed: int, folder: Path) -> Counter[str]:
    """Read ``count`` broken files of a kind; count what became of them. What is no ProbebookError is let through.

    Returns
    -------
    Counter
        ``sound``, ``refused``, and each sentence that is not one line in our own words.
    """
    found, rng = kinds(folder)[kind], random.Random(f"{kind}/{seed}")
    told: Counter[str] = Counter()
    for _ in range(count):
        name = rng.choice(sorted(found.samples))
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        break_ = _heat_alone if kind == "heat" else _broken_json if kind in ("journal", "key") else mutated
        content = break_(found.samples[name], rng)
        path.write_bytes(content)
        try:
            said = found.read(path)
        except ProbebookError as error:
            said = [str(error)]
        except Exception as error:
            Path(tempfile.gettempdir(), f"broken-{kind}{path.suffix}").write_bytes(content)
            raise AssertionError(f"{kind}: {type(error).__name__}: {error}") from error
        finally:
            path.unlink(missing_ok=True)
        told["refused" if said else "sound"] += 1
        told.update(f"badly said: {sentence}" for sentence in _badly(said))
    return told


def _badly(said: list[str]) -> Iterator[str]:
    for sentence in said:
        if len(sentence.splitlines()) != 1 or not sentence.endswith((".", "!", "?")) or FOREIGN.search(sentence):
            yield sentence


if __name__ == "__main__":
    number = int(sys.argv[1])
    with tempfile.TemporaryDirectory() as scratch:
        for each in sys.argv[2:] or list(kinds(Path(scratch))):
            result = survive(each, number, 1, Path(scratch))
            print(each, result["refused"], "refused,", result["sound"], "sound", flush=True)
            bad = [(n, text) for text, n in result.most_common() if text.startswith("badly")]
            for n, text in bad[:12]:
                print("   ", n, text[:220], flush=True)
