"""Break every kind of file that a person can hand in, at random: lines, values, keys, bytes, and what they hold.

By hand: ``python tests/hostile/file_mutations.py 10000 [kind ...]`` prints, for each kind, how many were refused and
how many were sound, and every message that is not one sentence in our own words. ``--seed N`` breaks them otherwise.
"""

from __future__ import annotations

import json
import random
import re
import resource
import sys
import tempfile
import time
import tomllib
import traceback
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "appliances"))

from file_kinds import Kind, kinds
from mutations import mutated
from tree_mutations import broken_tree, to_toml

from probebook.errors import ProbebookError

__all__ = ["survive"]

#: What a refusal may cost: seconds of processor, and megabytes over what was there before.
SECONDS, MEGABYTES = 1.0, 200
#: Words of libraries and of Python that no user is to read.
FOREIGN = re.compile(
    r"pydantic|Traceback|object at 0x|NoneType|\bKeyError|\bTypeError|\bValueError|validation error|Input should"
    r"|String should|should (?:match|have|be)\b|\bErrno\b|line \d+ column \d+|\(char \d|<class|<enum|set_int_max"
    r"|Expecting|Extra data|delimiter|Invalid (?:control|\\)|jinja|Undefined|codec can't|surrogate|isoformat"
    r"|\bliteral\b|\btuple\b|\bdict\b|\bNone\b|\bstr\b|\bint\b|\bfloat\b|RecursionError|maximum recursion"
)
VALUES = ("null", "-1", "1e999", "NaN", '""', "[]", "{}", "true", '"\\ud800"', "[[1]]", "9" * 400, '"x"', '{"a": null}')
#: Hidden signs, and such as may stand for another.
LETTERS = (0, 7, 9, 10, 13, 27, 34, 39, 44, 46, 48, 61, 91, 92, 123, 125, 0xE9, 0x200B, 0x202E, 0x2026, 0xFEFF, 0x1F600)


def broken_json(text: str, rng: random.Random) -> bytes:
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
            lambda t, a=at: t[:a] + chr(rng.choice(LETTERS)) + t[a + 1 :],
            lambda t, a=at: t[:a] + t[a : a + 60] * 2 + t[a + 60 :],
        ))(text)  # fmt: skip
    return text.encode("utf-8", "surrogatepass")


def broken_bytes(text: str, rng: random.Random) -> bytes:
    """The file with bytes changed, lost, put in or cut off, wherever it is."""
    content = bytearray(text.encode())
    for _ in range(rng.choice((1, 1, 2, 8))):
        at = rng.randrange(len(content) or 1)
        match rng.randrange(6):
            case 0:
                content[at : at + 1] = bytes([rng.randrange(256)])
            case 1:
                del content[at : at + rng.choice((1, 1, 3, 40))]
            case 2:
                content[at:at] = chr(rng.choice(LETTERS)).encode()
            case 3:
                del content[at:]
            case 4:
                content[at:at] = bytes(content[at : at + 200])
            case _:
                content[at : at + 1] = bytes([content[at] ^ 1 << rng.randrange(8)]) if content else b""
    return bytes(content)


def _broken_document(text: str, rng: random.Random) -> bytes:
    """What JSON holds, broken; of a journal that of one line."""
    lines = text.splitlines()
    if lines and all(line.startswith("{") and line.endswith("}") for line in lines):
        at = rng.randrange(len(lines))
        lines[at] = json.dumps(broken_tree(json.loads(lines[at]), rng), default=str)
        return ("\n".join(lines) + "\n").encode()
    return json.dumps(broken_tree(json.loads(text), rng), default=str).encode()


def _heat_alone(text: str, rng: random.Random) -> bytes:
    """An appliance whose [heat] table alone is broken."""
    if rng.random() < 0.5:
        tree = tomllib.loads(text)
        return to_toml({**tree, **broken_tree({"heat": tree["heat"]}, rng)}).encode()
    before, _, rest = text.partition("[heat]")
    table, mark, after = rest.partition("\n# ---")
    content = mutated(f"[heat]{table}", rng)
    return before.encode() + content + (mark + after).encode()


def broken(kind: str, name: str, text: str, rng: random.Random) -> bytes:
    """A broken copy of a sound file: its lines, its bytes, or what it holds."""
    chance = rng.random()
    if chance < 0.15:
        return broken_bytes(text, rng)
    if kind == "heat":
        return _heat_alone(text, rng)
    if not name.endswith(".toml"):
        return _broken_document(text, rng) if chance < 0.6 else broken_json(text, rng)
    if chance < 0.6:
        return to_toml(broken_tree(tomllib.loads(text), rng)).encode("utf-8", "surrogatepass")
    return mutated(text, rng)


def survive(kind: str, count: int, seed: int, folder: Path) -> Counter[str]:
    """Read ``count`` broken files of a kind; count what became of them.

    Returns
    -------
    Counter
        ``sound``, ``refused``, ``refused in use`` of those that were sound, and each sentence that is not one line in
        our own words, or took too long, and each exception that no reader of ours raised; such a file is kept among
        the temporary ones.
    """
    found, rng = kinds(folder)[kind], random.Random(f"{kind}/{seed}")
    told: Counter[str] = Counter()
    for _ in range(count):
        name, text = rng.choice(found.samples)
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        content = broken(kind, name, text, rng)
        path.write_bytes(content)
        try:
            told.update(_told(found, path, told))
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            what = f"raised: {type(error).__name__} at {Path(last.filename).name}:{last.lineno}: {error}"
            if what not in told:
                kept = Path(tempfile.gettempdir(), f"broken-{kind}-{len(told)}{path.suffix}")
                kept.write_bytes(content)
            told.update([what])
        finally:
            path.unlink(missing_ok=True)
    return told


def _told(kind: Kind, path: Path, before: Counter[str]) -> Iterator[str]:
    """What became of one file."""
    began = time.process_time()
    try:
        said = kind.read(path)
    except ProbebookError as error:
        said = [str(error)]
    if said and time.process_time() - began > SECONDS:
        yield f"slowly refused: {said[0]}"
    yield "refused" if said else "sound"
    if not said and before["sound"] % kind.every == 0:
        try:
            said = kind.use(path)
        except ProbebookError as error:
            said = [str(error)]
        if said:
            yield "refused in use"
    for sentence in said:
        if len(sentence.splitlines()) != 1 or not sentence.endswith((".", "!", "?")) or foreign(sentence):
            yield f"badly said: {sentence}"


def foreign(sentence: str) -> bool:
    """Whether a sentence has words of a library outside what it quotes."""
    return FOREIGN.search(re.sub(r"'[^']*'|\"[^\"]*\"", "''", sentence)) is not None


def _main(arguments: list[str]) -> None:
    seed = int(arguments.pop(arguments.index("--seed") + 1)) if "--seed" in arguments else 1
    number, *wanted = [each for each in arguments if each != "--seed"]
    with tempfile.TemporaryDirectory() as scratch:
        for each in wanted or list(kinds(Path(scratch))):
            held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            began = time.perf_counter()
            result = survive(each, int(number), seed, Path(scratch))
            grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - held) / 1000
            counts = ", ".join(f"{result[what]} {what}" for what in ("refused", "sound", "refused in use"))
            print(f"{each}: {counts}; {time.perf_counter() - began:.0f} s, {grown:.0f} MB more", flush=True)
            bad = [(n, text) for text, n in result.most_common() if text.startswith(("badly", "slowly", "raised"))]
            for n, text in bad[:40]:
                print("   ", n, text[:260], flush=True)


if __name__ == "__main__":
    _main(sys.argv[1:])
