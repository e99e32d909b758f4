"""Scenario files made to do harm: each is refused in a sentence, quickly, in little memory."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from probebook.cases.library import Library
from probebook.errors import ProbebookError
from probebook.workbook.filecheck import check_file
from small_scenarios import small_scenarios

#: What a refusal may cost: seconds of processor, and megabytes over what was there before.
SECONDS, MEGABYTES = 1.0, 200

WHOLE: dict[str, bytes] = {
    "a key of 100000 parts": b".".join([b"a"] * 100_000) + b" = 1",
    "a quoted key of 50000 parts": b'."x"'.join([b'"a"'] * 50_000) + b" = 1",
    "a spaced key of 50000 parts": b" . ".join([b"a"] * 50_000) + b" = 1",
    "a table of 100000 parts": b"[" + b".".join([b"a"] * 100_000) + b"]",
    "a table in a table of 100000 parts": b"[[" + b".".join([b"a"] * 100_000) + b"]]",
    "an inline key of 100000 parts": b"x = {" + b".".join([b"a"] * 100_000) + b" = 1}",
    "200000 array tables": b"[[part]]\n" * 200_000,
    "200000 indented array tables": b" [[part]]\n" * 180_000,
    "100000 tables": b"\n".join(b"[t%d]" % n for n in range(100_000)),
    "100000 keys": b"\n".join(b"k%d = 1" % n for n in range(100_000)),
    "900000 items": b"x = [" + b"1," * 900_000 + b"]",
    "100000 brackets": b"x = " + b"[" * 100_000,
    "100000 braces": b"x = " + b"{a=" * 100_000,
    "5000 brackets that close": b"x = " + b"[" * 5_000 + b"]" * 5_000,
    "a number of a million digits": b"x = " + b"9" * 1_000_000,
    "a hexadecimal number of a million digits": b"x = 0x" + b"f" * 1_000_000,
    "an exponent of a million digits": b"x = 1e" + b"9" * 1_000_000,
    "a word of a million letters": b"a" * 1_000_000,
    "a million quotation marks": b'"' * 1_000_000,
    "a million apostrophes": b"'" * 1_000_000,
    "a million dots": b"." * 1_000_000,
    "a million spaces": b"a" + b" " * 1_000_000 + b"b",
    "a million line ends": b"\n" * 1_000_000,
    "a million equals signs": b"=" * 1_000_000,
    "a text that never ends": b'x = """' + b"a" * 1_000_000,
    "a text of a megabyte for a name": b'id = "' + b"a" * 1_000_000 + b'"',
    "a megabyte of noughts": bytes(1_000_000),
    "half a letter": b'x = "\xc3',
    "UTF-16": 'id = "a"'.encode("utf-16"),
    "six megabytes": b"#" * 6_000_000,
    "control characters": b'id = "\x1b[2J"',
    "nothing": b"",
    "not a number": b"x = nan",
    "a day that is none": b"x = 2026-02-31",
    "a half of a surrogate pair": rb'x = "\ud800"',
}
PLACES = ("appliances/kettle.toml", "workbooks/07-small.toml", "meters/hostile.toml")


@pytest.fixture(scope="module")
def scenarios(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Small scenarios, in which one file at a time is replaced."""
    folder = small_scenarios(tmp_path_factory.mktemp("hostile"))
    Library(folder).appliance("kettle")
    return folder


def cost(work: Callable[[], str]) -> tuple[str, float, float]:
    """What ``work`` said in a process of its own, the seconds of processor and the megabytes that it took."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        before = time.process_time()
        try:
            said = work()
        except BaseException as error:
            said = f"RAISED {type(error).__name__}: {error}"[:500]
        os.write(writing, f"{time.process_time() - before}\n{_peak()}\n{said}".encode(errors="replace")[:60_000])
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8", errors="replace") as stream:
        seconds, peak, said = stream.read().split("\n", 2)
    os.waitpid(child, 0)
    return said, float(seconds), float(peak) - _peak("VmRSS")


def _peak(what: str = "VmHWM") -> float:
    """Megabytes: the most that this process has held, or what it holds now."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1000 for line in lines if line.startswith(what))


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("name", WHOLE)
def test_a_hostile_file_is_refused_quickly(scenarios: Path, place: str, name: str) -> None:
    """Every finding is a sentence that fits a screen, within a second and 200 MB."""
    path = scenarios / place
    kept = path.read_bytes() if path.exists() else None
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(WHOLE[name])

    def work() -> str:
        try:
            return "\n".join(f"{each.where}: {each.message}" for each in check_file(path))
        except ProbebookError as error:
            return str(error)

    try:
        said, seconds, megabytes = cost(work)
    finally:
        if kept is None:
            path.unlink()
        else:
            path.write_bytes(kept)
    assert "RAISED" not in said
    assert said, "nothing was found wrong"
    assert len(said) < 20_000
    assert "\x1b" not in said
    assert seconds < SECONDS
    assert megabytes < MEGABYTES
