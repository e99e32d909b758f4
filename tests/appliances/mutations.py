"""Break appliance files at random: lines, values, keys and bytes.

By hand, before a release: ``python tests/appliances/mutations.py`` breaks the whole ten thousand and exits with 1 where
one of them is not refused in one sentence, or found valid.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from probebook.appliances import load_appliance
from probebook.appliances.checking import check_appliance
from probebook.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FOLDER = SCENARIOS / "appliances"

VALUES = (
    '""', "nothing", "0", "-1", '"0 W"', '"-3 kW"', '"1e400 W"', '"nan ohm"', '"12 kg"', "[]", "[[]]", "{}", "true",
    "1e308", '"E1.1"', '"X1.L"', '["1", "1"]', '"green-yellow"', '"pink"', '"0 %"', '"stuck-open"', '"leak"', "inf",
    '"\\u0000"', "1979-05-27", '"1/0 V"', '"9**9**9 ohm"', '"___ ohm"', '"١٢ W"', '["", ""]', '"2 W W"', "'''x'''",
    "nan", '"E1"', '"S1"', '"off"',
)  # fmt: skip


def _drop(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    del lines[at : at + rng.choice((1, 1, 1, 2, 9))]


def _twice(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    span = lines[at : at + rng.choice((1, 1, 9))]
    lines[at:at] = span


def _move(lines: list[str], rng: random.Random) -> None:
    line = lines.pop(rng.randrange(len(lines)))
    lines.insert(rng.randrange(len(lines) + 1), line)


def _pick(lines: list[str], rng: random.Random) -> int:
    return rng.choice([i for i, line in enumerate(lines) if " = " in line])


def _value(lines: list[str], rng: random.Random) -> None:
    at = _pick(lines, rng)
    lines[at] = lines[at].split(" = ")[0] + " = " + rng.choice(VALUES)


def _other_value(lines: list[str], rng: random.Random) -> None:
    at, other = _pick(lines, rng), _pick(lines, rng)
    lines[at] = lines[at].split(" = ")[0] + " = " + lines[other].split(" = ", 1)[1]


def _key(lines: list[str], rng: random.Random) -> None:
    at, other = _pick(lines, rng), _pick(lines, rng)
    name = rng.choice((lines[other].split(" = ")[0], "zzz", "a.b", '"" ', "mark"))
    lines[at] = name + " = " + lines[at].split(" = ", 1)[1]


def _header(lines: list[str], rng: random.Random) -> None:
    lines.insert(
        rng.randrange(len(lines)), rng.choice(("[plate]", "[[part]]", "[part]", "[[x]]", "[a.b.c]", "[[", "[heat]"))
    )


def _bytes(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    line = lines[at]
    for _ in range(rng.choice((1, 1, 4))):
        place = rng.randrange(len(line) + 1)
        line = (
            line[:place]
            + chr(rng.choice((0, 9, 34, 39, 46, 48, 91, 93, 123, 92, 0xE9, 0x2026, 0x1F600)))
            + line[place + 1 :]
        )
    lines[at] = line


def _digit(lines: list[str], rng: random.Random) -> None:
    at = rng.choice([i for i, line in enumerate(lines) if any(c.isdigit() for c in line)])
    places = [i for i, c in enumerate(lines[at]) if c.isdigit()]
    place = rng.choice(places)
    lines[at] = lines[at][:place] + rng.choice("0123456789.-eE") + lines[at][place + 1 :]


MUTATIONS: tuple[Callable[[list[str], random.Random], None], ...] = (
    _drop, _twice, _move, _value, _value, _other_value, _other_value, _key, _header, _bytes, _digit, _digit,
)  # fmt: skip


def mutated(text: str, rng: random.Random) -> bytes:
    """The text with one to three mutations, now and then with a byte that is not UTF-8."""
    lines = text.splitlines()
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        with suppress(IndexError, ValueError):  # little is left to be broken
            rng.choice(MUTATIONS)(lines, rng)
    content = "\n".join(lines).encode()
    if rng.random() < 0.02:
        at = rng.randrange(len(content) or 1)
        content = content[:at] + b"\xff" + content[at + 1 :]
    return content


def one_sentence(error: ScenarioError) -> bool:
    """Whether an error is one line that ends in a full stop, names its file and gives no Python away."""
    text = str(error)
    return len(text.splitlines()) == 1 and text.endswith(".") and "Traceback" not in text and ".toml" in text


def survive(count: int, seed: int, folder: Path, every: int = 1) -> Counter[str]:
    """Load every n-th of ``count`` mutated files; count what became of them. Only a ScenarioError is not let through.

    The appliances take turns, and each number has its own randomness: its file is the same whichever others are loaded.
    """
    texts = {path.name: path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.toml"))}
    (folder / "appliances").mkdir(exist_ok=True)
    told: Counter[str] = Counter()
    names = sorted(texts)
    for number in range(0, count, every):
        rng = random.Random(f"{seed}/{number}")
        name = names[number % len(names)]
        path = folder / "appliances" / name
        path.write_bytes(mutated(texts[name], rng))
        try:
            load_appliance(path, scenarios=SCENARIOS)
        except ScenarioError as error:
            told["refused" if one_sentence(error) else f"refused badly: {error}"] += 1
            continue
        told["valid"] += 1
        if told["valid"] % 5 == 0:
            told["found fault with"] += bool(check_appliance(path, scenarios=SCENARIOS))
    return told


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        result = survive(10_000, 8, Path(scratch))
    print(dict(result))
    sys.exit(not result.keys() <= {"refused", "valid", "found fault with"})
