"""Whether an option's place, length or figures tell the key: ``python tests/benchmarks/items.py [COUNT]``.

Draws COUNT fresh questions (300; 2,000 for figures to go by) over every ask of the committed plans, appliance by
appliance, and prints for each family and route how often the route finds the key, what an even pick would find, and
95 % bounds. Rows whose bounds of 99.9 % lie above chance are marked. The draws are seeded: two runs print the same.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests" / "independent")]

from item_routes import Shown, Tally, tallied  # noqa: E402

from probebook.cases.library import Library, library  # noqa: E402
from probebook.errors import ProbebookError  # noqa: E402
from probebook.learning.choosing import Template  # noqa: E402
from probebook.questions.codec import read_sheet  # noqa: E402
from probebook.questions.model import FieldKind, Question  # noqa: E402
from probebook.questions.procedures import Situation  # noqa: E402
from probebook.workbook.build.plan import load_plans  # noqa: E402
from probebook.workbook.practice.fresh import Order, _is_name, _names, rebuilt  # noqa: E402
from probebook.workbook.practice.templates import templates_of  # noqa: E402

COUNT = 300
#: Families of which the form says more than the kind.
FORMS = frozenset({"verdict", "reading", "power", "trace", "curve"})


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    shown = [item for family, question in drawn(count) for item in choices(family, question)]
    report(tallied(shown))


def drawn(count: int, seed: str = "tells") -> Iterator[tuple[str, Question]]:
    """Fresh questions, each with its family, over all asks and appliances in turn."""
    trade = library()
    plans = load_plans(trade.folder, trade.words)
    sheets = {plan.stem: read_sheet(ROOT / "answer_keys" / f"{plan.stem}.json") for plan in plans}
    templates = [t for t in templates_of(plans, sheets) if t.kind != "bench"]
    names = frozenset().union(*(_names(trade, a) for a in trade.appliance_ids))
    made = number = 0
    while made < count:
        template = templates[number % len(templates)]
        options = {k: v for k, v in (template.options or {}).items() if k == "form" or not _is_name(v, names)}
        if "situation" in options:
            person = next(s.person for s in _situations(trade) if s.id == options["situation"])
            options = {"person": person, "outcome": template.outcome}
        options.pop("item", None)
        for turn in range(len(trade.appliance_ids)):
            which = (number * 5 + number // len(templates) + turn) % len(trade.appliance_ids)
            appliance = trade.appliance_ids[which]
            name = f"{seed}/{number}/{turn}"
            order = Order("q01", template.kind, name, appliance, template.level, options, name if template.case else "")
            try:
                question, _ = rebuilt(order, trade)
            except ProbebookError:
                continue
            made += 1
            yield _family(template, question), question
            break
        number += 1


def _situations(trade: Library) -> tuple[Situation, ...]:
    from probebook.questions.procedure_files import load_situations

    return load_situations(trade.folder, trade.words)


def _family(template: Template, question: Question) -> str:
    kind = str(template.kind)
    form = str((template.options or {}).get("form", ""))
    if kind == "stop-or-go":
        person = (
            next(s.person for s in _situations(library()) if s.id == (template.options or {})["situation"])
            if "situation" in (template.options or {})
            else "?"
        )
        return f"{kind}/{person}"
    return f"{kind}/{form}" if kind in FORMS and form else kind


def choices(family: str, question: Question) -> Iterator[Shown]:
    """The choices of a question as a learner sees them."""
    for field in question.fields:
        if field.kind is FieldKind.CHOICE and isinstance(field.answer, str) and len(field.options) > 1:
            options = tuple((option.id, option.text) for option in field.options)
            yield Shown(f"{family}:{field.key}", question.prompt, options, field.answer)


def report(found: dict[tuple[str, str], Tally]) -> None:
    """Print the tallies, the telling ones marked."""
    print(f"{'family':42} {'route':36} hits   n   share chance  95 % bounds")
    for (family, route), tally in sorted(found.items(), key=lambda item: (item[0][0] != "all", item[0][0])):
        low, high = tally.bounds()
        mark = " <-- beats chance" if tally.beats_chance() else ""
        if family == "all" or mark:
            print(
                f"{family:42} {route:36} {tally.hits:4} {tally.n:4} {tally.share:6.1%} {tally.chance:6.1%}"
                f"  {low:.1%} to {high:.1%}{mark}"
            )


if __name__ == "__main__":
    main()
