"""The attack on papers: it finds a tell that is there, cries at none that is not, and papers tell nothing by shape."""

from __future__ import annotations

import random
import sys
from pathlib import Path

from classes import Class

from probebook.assessment.report.drift import holm

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))

from attack_papers import Asked, Route, Shown, attack, by, fields_of, place, report, routes, seen

WORDS = ("ohm", "volt", "ampere", "watt", "lead", "probe", "earth", "sheath", "limit", "fault")
#: Routes that go by the shape of the options alone.
SHAPE = (
    "first", "second", "third", "last", "longest", "shortest", "most figures", "fewest figures", "usual rank in length",
)  # fmt: skip


def invented(number: int, seed: int, *, told: bool) -> list[Asked]:
    """Invented choices of four options; where ``told``, the key is the longest in three of four."""
    rng = random.Random(seed)
    found = []
    for _ in range(number):
        options = [" ".join(rng.choices(WORDS, k=rng.randint(3, 6))) for _ in range(4)]
        key = rng.randrange(4)
        if told and rng.random() < 0.75:
            key = max(range(4), key=lambda at, texts=options: len(texts[at]))  # type: ignore[misc]
        found.append(Asked(Shown("verdict", "", "", tuple(options)), key))
    return found


def beyond(papers: list[Asked], ways: dict[str, Route]) -> set[str]:
    """The routes that are beyond chance with some kind, corrected for their number."""
    lines = attack(papers, ways)
    return {line.route for line, p in zip(lines, holm([line.likely for line in lines]), strict=True) if p < 0.05}


def test_a_tell_that_was_planted_is_found_and_no_other() -> None:
    """Where the longest is the key in three of four, that route is beyond chance and places are not."""
    ways = {"longest": by(len), "first": place(0), "last": place(-1)}
    assert beyond(invented(80, 1, told=True), ways) == {"longest"}
    assert beyond(invented(80, 2, told=False), ways) == set()


def test_a_wording_met_as_a_key_before_is_found() -> None:
    """Options that were keys in published workbooks are chosen again; where none was seen the route says nothing."""
    public = [Asked(Shown("verdict", "", "", ("right as ever", f"wrong {n}")), 0) for n in range(9)]
    papers = [Asked(Shown("verdict", "", "", (f"another {n}", "right as ever")), 1) for n in range(9)]
    (line,) = (each for each in attack(papers, {"seen": seen(public, str)}) if each.kind == "*")
    assert (line.tries, line.hits) == (9, 9)
    assert line.likely == 0.5**9
    assert seen(public, str)(Shown("verdict", "", "", ("x", "y"))) is None


def test_papers_tell_nothing_by_shape(five: Class) -> None:
    """Neither place, length nor number of figures of an option tells the key of a paper beyond chance."""
    papers = fields_of(five.papers)
    ways = {name: route for name, route in routes([], Path("nowhere")).items() if name in SHAPE}
    assert len(papers) > 20
    assert beyond(papers, ways) == set()
    assert "longest" in report(attack(papers, ways))
