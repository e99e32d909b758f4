"""A class from blueprint to report: set, sat by simulated learners of known ability through the papers' forms, marked.

Each learner answers an item right with the probability of the Rasch model, from an ability that was drawn and the
difficulty that the model foretold; wrong answers are slips that the item knows, where it has some. Three of the twenty
questions are jobs on the bench, done by the key or by the acts of a slip. Printed are the figures that the ends of the
machinery must agree on. The seed was fixed before anything was looked at.

    python tests/tools/class_of_thirty.py                   # thirty learners, twenty questions
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import math
import random
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from scipy.stats import spearmanr

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "assessment"))

from sitters import right, sit, slipped

from probebook.api import assessing, load_library
from probebook.api.reporting import report_class
from probebook.assessment.codec import read_marks
from probebook.assessment.model import Item, Learner
from probebook.assessment.report import rasch
from probebook.assessment.report.places import grid_of
from probebook.questions.model import FieldKind, Response

ROOT = Path(__file__).resolve().parents[2]
SEED = 20261127
PASSPHRASE = "an invented class, sat by nobody"
#: Spread of the abilities (logits): of a class that holds beginners and learners near their end.
SPREAD = 1.5

#: Rows of the project's own blueprints: id, outcome, kind, level, options, items.
ROWS = (
    ("watts", "power", "power", 1, 'form = "watts"', 1),
    ("amps", "power", "power", 2, 'form = "amps"', 1),
    ("other-voltage", "power", "power", 2, 'form = "other-voltage"', 1),
    ("hot-and-cold", "power", "power", 2, 'form = "hot-cold"', 1),
    ("leads", "leads", "reading", 2, 'form = "leads"', 1),
    ("kind-of-fault", "continuity", "reading", 2, 'form = "sign"', 1),
    ("sheath", "insulation", "reading", 2, 'form = "insulation"', 1),
    ("tolerance", "tolerance", "verdict", 2, 'form = "power"', 1),
    ("closer", "tolerance", "verdict", 4, 'form = "power"', 1),
    ("insulation", "insulation", "verdict", 1, 'form = "insulation"', 1),
    ("which-wires", "trace", "trace", 2, 'form = "wires"', 2),
    ("broken-wire", "trace", "trace", 2, 'form = "break"', 1),
    ("volts", "trace", "trace", 2, 'form = "volts"', 1),
    ("symbol", "trace", "trace", 2, 'form = "symbol"', 1),
    ("parallel", "parallel", "reading", 2, 'form = "open"', 1),
    ("wrong-tag", "reconnect", "miswire", 2, "", 1),
)
#: Jobs on the bench, on appliances whose tables are soon worked out.
BENCH = """[[row]]
id = "bench"
outcome = "conclude"
kind = "bench"
level = 2
marks = 2
items = 3
appliances = ["kettle", "immersion-heater", "solid-plate", "eye-level-grill"]
"""


@dataclass(frozen=True)
class Agreed:
    """What came out: rank correlations of mark and ability, and of estimated and foretold difficulty."""

    learners: int
    places: int
    mark_and_ability: float
    estimated_and_foretold: float
    marks_alone_and_foretold: float
    range: tuple[float, float]


def blueprint(folder: Path) -> Path:
    """Write the blueprint of the trial."""
    rows = "".join(
        f'[[row]]\nid = "{name}"\noutcome = "{outcome}"\nkind = "{kind}"\nlevel = {level}\nmarks = 2\nitems = {items}\n'
        + f"options = {{ {options} }}\n" * bool(options)
        for name, outcome, kind, level, options, items in ROWS
    )
    head = (
        'id = "trial"\ntitle = "Trial"\nsummary = "An invented trial."\nreader = "apprentice"\nregion = "gb"\n'
        'minutes = "90 min"\nband = [-3.0, 3.0]\npass-share = 0.6\n'
    )
    path = folder / "trial.toml"
    path.write_text(head + rows + BENCH, "utf-8")
    return path


def wrong(item: Item, rng: random.Random) -> dict[str, Response]:
    """An answer that earns little: a slip, else wrong in every field."""
    found = slipped(item)
    if found and rng.random() < 0.5 and len(item.question.fields) == 1:
        return found[1]
    given: dict[str, Response] = {}
    for field in item.question.fields:
        if field.kind is FieldKind.BENCH:
            given[field.key] = list(rng.choice(item.question.slips).response)
        elif field.kind is FieldKind.QUANTITY:
            slips = [slip for slip in item.question.slips if slip.field == field.key and isinstance(slip.response, str)]
            given[field.key] = str(rng.choice(slips).response) if slips else "987654321"
        elif field.kind is FieldKind.CHOICE:
            partial = {option for option, _ in field.partial}
            others = [o.id for o in field.options if o.id != field.answer and o.id not in partial]
            given[field.key] = rng.choice(others or [o.id for o in field.options if o.id != field.answer])
        elif field.kind is FieldKind.CHOICES:
            given[field.key] = [o.id for o in field.options if o.id not in field.answer]
        else:
            given[field.key] = list(reversed(field.answer))
    return given


def run(learners: int, folder: Path, seed: int = SEED, jobs: int = 1) -> Agreed:
    """Set, sit, mark and report a class in a folder."""
    library = load_library(ROOT / "scenarios")
    rng = random.Random(seed)
    people = [Learner(f"l{number:02d}", f"Learner {number:02d}") for number in range(1, learners + 1)]
    ability = {each.id: rng.gauss(-0.5, SPREAD) for each in people}
    made = assessing.set_class(
        str(blueprint(folder)),
        people,
        folder / "set",
        PASSPHRASE,
        library,
        secret="7c" * 32,
        pool=assessing.executor(jobs),
    )
    (folder / "in").mkdir()
    for paper in made.papers.papers:
        answers = right(paper)
        for item in paper.items:
            if rng.random() > 1 / (1 + math.exp(item.question.difficulty - ability[paper.learner.id])):
                answers[item.id] = wrong(item, rng)
        with contextlib.redirect_stdout(io.StringIO()):  # what a page would show
            opened = sit(folder / "set" / "papers", made.papers.blueprint.paper_name(paper.learner), paper, answers)
        opened.handin.rename(folder / "in" / opened.handin.name)
    marked = assessing.mark_folder(folder / "in", assessing.open_key(made.key, PASSPHRASE), folder / "marks", library)
    assert not marked.refused
    report_class(folder / "marks", library, folder / "history.db")
    return agreed(folder / "marks", ability)


def agreed(folder: Path, ability: dict[str, float]) -> Agreed:
    """What the written marks and report say of the abilities and difficulties that were put in."""
    marked = read_marks(folder / "marks.json")
    report = json.loads((folder / "report.json").read_text("utf-8"))
    grid = grid_of(marked)
    alone = rasch.fit(grid.table("share"), None, rasch.Prior(3.0, 0.5, moving=True))
    foretold = [item["foretold"] for item in report["items"]]
    marks = [paper.marks / paper.out_of for paper in marked.papers]
    return Agreed(
        len(marked.papers),
        len(grid.places),
        float(spearmanr(marks, [ability[paper.learner.id] for paper in marked.papers]).statistic),
        float(spearmanr([item["estimated"] for item in report["items"]], foretold).statistic),
        float(spearmanr(alone.difficulties, foretold).statistic),
        (min(foretold), max(foretold)),
    )


def main() -> None:
    """Run it and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--learners", type=int, default=30)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--folder", type=Path, help="where everything is kept; nowhere when not given")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = given.folder or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        found = run(given.learners, folder, jobs=given.jobs)
    print(f"{found.learners} learners, {found.places} places, seed {SEED}")
    print(f"difficulty foretold from {found.range[0]:.2f} to {found.range[1]:.2f} logits")
    print(f"rank correlation of mark and ability: {found.mark_and_ability:.3f} (at least 0.8)")
    print(f"rank correlation of estimated and foretold difficulty: {found.estimated_and_foretold:.3f} (at least 0.6)")
    print(f"the same, estimated from the marks alone: {found.marks_alone_and_foretold:.3f}")
    ok = found.mark_and_ability >= 0.8 and found.estimated_and_foretold >= 0.6
    sys.exit(0 if ok else 1)


if __name__ == "__main__":
    main()
