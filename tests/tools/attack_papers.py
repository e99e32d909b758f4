"""Papers attacked by somebody who has them, this package, its scenarios and its published workbooks, and no secret.

Each route chooses an option of a question from what is shown alone; the key is looked at afterwards. Printed are hits
against chance by route and kind of question, with the 95 % interval of the hit rate (Wilson 1927) and the probability
of so many hits by chance (Poisson-binomial, exact), corrected for the number of lines (Holm 1979).

    python tests/tools/attack_papers.py --learners 10        # 50 papers: ten of each blueprint
    python tests/tools/attack_papers.py --key SET.key --passphrase-file FILE
"""

from __future__ import annotations

import argparse
import random
import re
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from probebook.api import assessing, load_library
from probebook.assessment.model import Learner, PaperSet
from probebook.assessment.report.classical import wilson
from probebook.assessment.report.drift import holm
from probebook.questions.codec import read_sheet
from probebook.questions.model import FieldKind, Question

ROOT = Path(__file__).resolve().parents[2]
FIGURE = re.compile(r"\d+(?:[.,]\d+)*")
WORD = re.compile(r"[^\W\d_]{3,}")


@dataclass(frozen=True)
class Shown:
    """What a learner sees of a field where one option is chosen."""

    kind: str
    prompt: str
    label: str
    options: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """A field as it is shown, and the place of its key, which no route is told."""

    shown: Shown
    key: int


@dataclass(frozen=True)
class Line:
    """How a route fared with a kind: tries, hits, hits expected by chance, and how likely so many are by chance."""

    route: str
    kind: str
    tries: int
    hits: int
    chance: float
    likely: float

    @property
    def bounds(self) -> tuple[float, float]:
        """The 95 % interval of the hit rate."""
        return wilson(self.hits / self.tries, self.tries)


def asked_in(questions: Iterable[Question]) -> list[Asked]:
    """Every field of the questions in which one option is chosen."""
    found = []
    for question in questions:
        for field in question.fields:
            if field.kind is not FieldKind.CHOICE or len(field.options) < 2:
                continue
            ids = [option.id for option in field.options]
            texts = tuple(option.text for option in field.options)
            shown = Shown(question.kind.value, question.prompt, field.label, texts)
            found.append(Asked(shown, ids.index(str(field.answer))))
    return found


def skeleton(text: str) -> str:
    """A text with every figure and every name of a part taken out."""
    return re.sub(r"\s+", " ", FIGURE.sub("#", re.sub(r"\b[A-Z]{1,2}\d+(?:\.\w+)?", "@", text))).strip().lower()


# ---------------------------------------------------------------- routes

#: A route: how good each option looks; None where the route says nothing of this question.
Route = Callable[[Shown], Sequence[float] | None]


def place(number: int) -> Route:
    """Always the option at one place, from the front (0 …) or from the end (-1)."""

    def looks(shown: Shown) -> Sequence[float] | None:
        last = len(shown.options)
        if not -last <= number < last:
            return None
        return [float(at == number % last) for at in range(last)]

    return looks


def by(measure: Callable[[str], float], *, least: bool = False) -> Route:
    """The option with the most of something, or the least."""
    return lambda shown: [(-1 if least else 1) * measure(text) for text in shown.options]


def figures(text: str) -> float:
    """How many figures stand in a text."""
    return len(FIGURE.findall(text))


def words(text: str) -> set[str]:
    """The words of three letters or more."""
    return {word.lower() for word in WORD.findall(text)}


def like_the_others(shown: Shown) -> Sequence[float]:
    """The option that shares most words with the other options."""
    sets = [words(text) for text in shown.options]
    return [
        sum(len(one & other) / max(len(one | other), 1) for other in sets if other is not one) / len(sets)
        for one in sets
    ]


def in_the_prompt(shown: Shown) -> Sequence[float]:
    """The option most of whose words stand in the question."""
    asked = words(shown.prompt)
    return [len(words(text) & asked) / max(len(words(text)), 1) for text in shown.options]


def figures_of_the_prompt(shown: Shown) -> Sequence[float] | None:
    """The option most of whose figures stand in the question."""
    asked = set(FIGURE.findall(shown.prompt))
    found = [sum(figure in asked for figure in FIGURE.findall(text)) for text in shown.options]
    return [float(each) for each in found] if any(found) else None


def seen(public: Sequence[Asked], name: Callable[[str], str], *, by_kind: bool = False) -> Route:
    """The option that was most often the key in published workbooks, by its text or something made of it."""
    right, all_ = Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for each in public:
        for at, text in enumerate(each.shown.options):
            called = (each.shown.kind if by_kind else "", name(text))
            all_[called] += 1
            right[called] += at == each.key

    def looks(shown: Shown) -> Sequence[float] | None:
        names = [(shown.kind if by_kind else "", name(text)) for text in shown.options]
        if not any(all_[called] for called in names):
            return None
        base = 1 / len(names)
        return [(right[called] + base) / (all_[called] + 1) for called in names]

    return looks


def habits(public: Sequence[Asked]) -> Route:
    """Naive Bayes over the words of an option, learnt from published workbooks by kind."""
    right: dict[str, Counter[str]] = defaultdict(Counter)
    wrong: dict[str, Counter[str]] = defaultdict(Counter)
    for each in public:
        for at, text in enumerate(each.shown.options):
            (right if at == each.key else wrong)[each.shown.kind].update(words(text))

    def looks(shown: Shown) -> Sequence[float] | None:
        good, bad = right[shown.kind], wrong[shown.kind]
        if not good:
            return None
        many, few = sum(good.values()) + 1, sum(bad.values()) + 1
        return [
            sum(float(np.log((good[word] + 0.5) / many * few / (bad[word] + 0.5))) for word in words(text))
            / max(len(words(text)), 1)
            for text in shown.options
        ]

    return looks


def length_rank(public: Sequence[Asked]) -> Route:
    """The rank in length that was most often the key's in published questions of the kind."""
    found: dict[tuple[str, int], Counter[int]] = defaultdict(Counter)

    def ranks(options: Sequence[str]) -> list[int]:
        order = sorted(range(len(options)), key=lambda at: len(options[at]))
        return [order.index(at) for at in range(len(options))]

    for each in public:
        found[each.shown.kind, len(each.shown.options)][ranks(each.shown.options)[each.key]] += 1

    def looks(shown: Shown) -> Sequence[float] | None:
        usual = found.get((shown.kind, len(shown.options)))
        return [float(usual[rank]) for rank in ranks(shown.options)] if usual else None

    return looks


def scenario_texts(folder: Path) -> dict[str, str]:
    """Skeleton of every text of the scenarios → the name of the key it stands under (``right``, ``wrong.text``)."""
    found: dict[str, str] = {}

    def walk(value: object, name: str) -> None:
        if isinstance(value, str):
            found.setdefault(skeleton(re.sub(r"\{\{.*?\}\}", "#", value)), name)
        elif isinstance(value, list):
            for each in value:
                walk(each, name)
        elif isinstance(value, dict):
            for key, each in value.items():
                walk(each, f"{name.rpartition('.')[2]}.{key}")

    for path in sorted((folder / "text" / "en").rglob("*.toml")):
        walk(tomllib.loads(path.read_text("utf-8")), "")
    return found


def looked_up(public: Sequence[Asked], folder: Path) -> Route:
    """The option whose text stands in the scenarios under a key that held keys in published workbooks."""
    texts = scenario_texts(folder)
    return seen(public, lambda text: texts.get(skeleton(text), "nowhere"))


def routes(public: Sequence[Asked], folder: Path) -> dict[str, Route]:
    """Every route by its name."""
    return {
        "first": place(0),
        "second": place(1),
        "third": place(2),
        "last": place(-1),
        "longest": by(len),
        "shortest": by(len, least=True),
        "most figures": by(figures),
        "fewest figures": by(figures, least=True),
        "most like the others": like_the_others,
        "least like the others": lambda shown: [-each for each in like_the_others(shown)],
        "words of the prompt": in_the_prompt,
        "figures of the prompt": figures_of_the_prompt,
        "usual rank in length": length_rank(public),
        "same text in workbooks": seen(public, str),
        "same words in workbooks": seen(public, skeleton),
        "usual key of the kind": seen(public, skeleton, by_kind=True),
        "habits of wording": habits(public),
        "looked up in scenarios": looked_up(public, folder),
    }


# ---------------------------------------------------------------- counting


def attack(papers: Sequence[Asked], found: dict[str, Route], seed: int = 0) -> list[Line]:
    """How each route fares with each kind, and with all (``*``)."""
    rng = random.Random(seed)
    tries: dict[tuple[str, str], list[tuple[bool, float]]] = defaultdict(list)
    for each in papers:
        for name, route in found.items():
            looks = route(each.shown)
            if looks is None:
                continue
            best = [at for at, value in enumerate(looks) if value >= max(looks) - 1e-12]
            if len(best) == len(looks):
                continue  # the route tells nothing here
            chosen = best[rng.randrange(len(best))]
            for kind in (each.shown.kind, "*"):
                tries[name, kind].append((chosen == each.key, 1 / len(looks)))
    return [
        Line(name, kind, len(told), sum(hit for hit, _ in told), sum(p for _, p in told), _tail(told))
        for (name, kind), told in tries.items()
    ]


def _tail(told: Sequence[tuple[bool, float]]) -> float:
    """The probability of at least so many hits by chance."""
    ways = np.array([1.0])
    for _, chance in told:
        ways = np.convolve(ways, [1 - chance, chance])
    return float(min(1.0, ways[sum(hit for hit, _ in told) :].sum()))


def report(lines: Sequence[Line]) -> str:
    """The lines as text, ``!`` before each that is beyond chance."""
    rows = []
    for line, adjusted in sorted(
        zip(lines, holm([line.likely for line in lines]), strict=True), key=lambda pair: (pair[0].route, pair[0].kind)
    ):
        low, high = line.bounds
        rows.append(
            f"{'!' if adjusted < 0.05 else ' '} {line.route:24} {line.kind:12} {line.tries:5d} "
            f"{line.hits / line.tries:5.2f} [{low:4.2f}, {high:4.2f}]  chance {line.chance / line.tries:4.2f}  "
            f"p {adjusted:.2g}"
        )
    return "\n".join(rows)


def public_fields(root: Path = ROOT) -> list[Asked]:
    """What is published: the keys of the committed workbooks."""
    return asked_in(
        question for path in sorted((root / "answer_keys").glob("*.json")) for question in read_sheet(path).questions
    )


def fields_of(papers: PaperSet) -> list[Asked]:
    """The fields of a set."""
    return asked_in(item.question for paper in papers.papers for item in paper.items)


def main() -> None:
    """Set papers, or open some that were set, and attack them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--learners", type=int, default=10, help="papers of each blueprint")
    parser.add_argument("--key", type=Path, action="append", help="a sealed key of papers that were set")
    parser.add_argument("--passphrase-file", type=Path)
    parser.add_argument("--secret", default="a7" * 32)
    given = parser.parse_args()
    library = load_library(ROOT / "scenarios")
    if given.key:
        passphrase = given.passphrase_file.read_text("utf-8").rstrip("\r\n")
        sets = [assessing.open_key(path, passphrase) for path in given.key]
    else:
        from probebook.assessment.setting.blueprints import blueprint_ids
        from probebook.assessment.setting.papers import set_papers

        people = [Learner(f"l{number:02d}", f"Learner {number}") for number in range(given.learners)]
        sets = [
            set_papers(assessing.read_blueprint(name, library), people, given.secret, library, "2026-01-01T00:00:00Z")
            for name in blueprint_ids(library.folder)
        ]
    fields = [field for papers in sets for field in fields_of(papers)]
    print(f"{sum(len(papers.papers) for papers in sets)} papers, {len(fields)} choices")
    print(report(attack(fields, routes(public_fields(), ROOT / "scenarios"))))


if __name__ == "__main__":
    main()
