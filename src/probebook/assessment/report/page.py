"""The report as one HTML page with no script and no request; everything that came from a file is escaped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict

from probebook.assessment.model import MarkedClass
from probebook.assessment.report import facts as told
from probebook.assessment.report.analysis import ItemFigures, Report
from probebook.assessment.report.classical import Z95
from probebook.assessment.report.drift import History
from probebook.assessment.report.plots import difficulty_plot, facility_plot
from probebook.words import Words
from probebook.workbook.document import document
from probebook.workbook.markup import safe
from probebook.workbook.style import style_tag

__all__ = ["Names", "report_page", "tomorrow"]

#: What stands for an id where a person reads: outcome or slip → its title.
Names = Mapping[str, str]


class _Page:
    """What the parts of the page share."""

    def __init__(self, words: Words, outcomes: Names, slips: Names) -> None:
        self.words, self.outcomes, self.slips = words, outcomes, slips

    def head(self, key: str) -> str:
        return str(self.words.say(told.HeadTexts(), key))

    def text(self, key: str) -> str:
        return str(self.words.say(told.ReportTexts(), key))

    def figure(self, value: float, digits: int = 2) -> str:
        return self.text("untold") if math.isnan(value) else f"{value:.{digits}f}".replace("-", "−")

    def table(self, heads: Sequence[str], rows: Iterable[Sequence[str | float]]) -> str:
        top = "".join(f'<th scope="col">{safe(self.head(key))}</th>' for key in heads)
        body = "".join(f"<tr>{''.join(self.cell(cell) for cell in row)}</tr>\n" for row in rows)
        return f'<div class="wide"><table><thead><tr>{top}</tr></thead>\n<tbody>\n{body}</tbody></table></div>\n'

    def cell(self, value: str | float) -> str:
        if isinstance(value, str):
            return f"<td>{safe(value)}</td>"
        return f'<td class="n">{safe(str(value) if isinstance(value, int) else self.figure(value))}</td>'


def report_page(
    found: Report, marked: MarkedClass, words: Words, outcomes: Names, slips: Names, history: History | None = None
) -> str:
    """The whole page; with what earlier sittings say, where there is a history."""
    page = _Page(words, outcomes, slips)
    title = words.say(told.ClassFacts(found.title, found.paper.learners), "title")
    few = words.say(told.ClassFacts(found.title, found.paper.learners), "few")
    note = f"<p><strong>{safe(few)}</strong></p>" if found.paper.is_small else ""
    parts = [
        f'<section class="danger"><h2>{safe(page.text("safety"))}</h2>{_dangers(page, found)}</section>',
        f"<h2>{safe(page.text('tomorrow'))}</h2><p>{safe(tomorrow(found, words, outcomes, slips))}</p>{note}",
        f"<h2>{safe(page.text('paper'))}</h2>{_whole(page, found)}",
        f"<h2>{safe(page.text('items'))}</h2><p>{safe(page.text('how-read'))}</p>{_items(page, found.items)}",
        f"<h2>{safe(page.text('outcomes'))}</h2>{_outcomes(page, found)}",
        f"<h2>{safe(page.text('slips'))}</h2>"
        + page.table(("slip", "times"), [(page.slips.get(slip, slip), times) for slip, times in found.slips]),
        f"<h2>{safe(page.text('answers'))}</h2><p>{safe(page.text('how-answers'))}</p>{_answers(page, found)}",
        _history(page, history) if history else "",
        f"<h2>{safe(page.text('learners'))}</h2>{_learners(page, found)}{_typed(page, marked)}",
        _left_out(page, marked),
    ]
    body = f"<main>\n<h1>{safe(title)}</h1>\n" + "\n".join(parts) + "\n</main>\n"
    return document(title, words.language.tag, style_tag("report"), body)


def tomorrow(found: Report, words: Words, outcomes: Names, slips: Names) -> str:
    """What to teach tomorrow, in a paragraph: safety, the weakest outcome, the commonest slip."""
    outcome, share, needing = found.outcomes[0] if found.outcomes else ("", 0.0, 0)
    slip, times = found.slips[0] if found.slips else ("", 0)
    whom = tuple(dict.fromkeys(each.name for each in found.dangers))
    facts = told.TomorrowFacts(whom, outcomes.get(outcome, outcome), share, needing, slips.get(slip, slip), times)
    keys = [key for key, said in (("danger", whom), ("outcome", outcome), ("slip", slip)) if said]
    return " ".join(words.say(facts, key) for key in keys or ["nothing"])


def _dangers(page: _Page, found: Report) -> str:
    if not found.dangers:
        return f"<p>{safe(page.text('no-danger'))}</p>"
    rows = [(each.name, each.place, ", ".join(page.slips.get(s, s) for s in each.slips)) for each in found.dangers]
    return page.table(("learner", "where", "slip"), rows)


def _whole(page: _Page, found: Report) -> str:
    paper = found.paper
    rows: list[tuple[str, str]] = [
        (page.head("mean"), page.figure(paper.mean)),
        (page.head("passed"), f"{paper.passed}/{paper.learners}"),
        (page.head("alpha"), page.figure(paper.alpha)),
        (page.head("interval"), _interval(page, paper.low, paper.high)),
        (page.head("kr20"), page.figure(paper.kr20)),
        (page.head("error"), page.figure(paper.error, 1)),
    ]
    decided = asdict(paper.decisions) if paper.decisions else {}
    rows += [(page.head(key), page.figure(decided.get(key, math.nan))) for key in ("accuracy", "consistency", "kappa")]
    rows += [(page.head(key), page.figure(getattr(paper, key))) for key in ("equality", "model")]
    return page.table(("figure", "value"), rows)


def _interval(page: _Page, low: float, high: float) -> str:
    return page.text("untold") if math.isnan(low) else f"{page.figure(low)} – {page.figure(high)}"


def _items(page: _Page, items: Sequence[ItemFigures]) -> str:
    if not items:
        return ""
    rows = [
        (
            item.place, page.outcomes.get(item.outcome, item.outcome), item.facility,
            _interval(page, item.low, item.high), item.discrimination, item.upper_lower, item.foretold,
            f"{page.figure(item.estimated)} ± {page.figure(Z95 * item.error)}",
            str(page.words.say(told.LookFacts(item.look), "why")) if item.look else "",
        )
        for item in items
    ]  # fmt: skip
    heads = (
        "place", "outcome", "facility", "interval", "discrimination", "upper-lower", "foretold", "estimated", "look",
    )  # fmt: skip
    return (
        facility_plot(items, page.text("plot-facility"))
        + difficulty_plot(items, page.text("plot-difficulty"))
        + page.table(heads, rows)
    )


def _outcomes(page: _Page, found: Report) -> str:
    rows = [
        (
            page.outcomes.get(outcome, outcome),
            share,
            ", ".join(each.name for each in found.learners if outcome in each.help),
        )
        for outcome, share, _ in found.outcomes
    ]
    return page.table(("outcome", "share", "helped"), rows)


def _answers(page: _Page, found: Report) -> str:
    rows = [
        (
            each.place, each.part,
            str(page.words.say(told.AnswerFacts(page.slips.get(each.answer, each.answer)), each.sort)),
            each.times, each.top, each.bottom,
        )
        for each in found.answers
    ]  # fmt: skip
    return page.table(("place", "part", "answer", "times", "top", "bottom"), rows)


def _history(page: _Page, history: History) -> str:
    title, how = (safe(page.text(key)) for key in ("history", "how-history"))
    sittings = [(each.sat_on, each.learners, each.passed, each.mean, each.alpha) for each in history.sittings]
    text = f"<h2>{title}</h2>{page.table(('day', 'papers', 'passed', 'mean', 'alpha'), sittings)}"
    if not history.drifts:
        return f"{text}<p>{safe(page.text('first' if len(history.sittings) == 1 else 'untold'))}</p>"
    moved = {
        "harder": tuple(each.place for each in history.drifts if each.moved and each.z > 0),
        "easier": tuple(each.place for each in history.drifts if each.moved and each.z < 0),
    }
    keys = [key for key, places in moved.items() if places] or ["none"]
    said = " ".join(page.words.say(told.DriftFacts(moved.get(key, ())), key) for key in keys)
    rows = [
        (
            each.place, each.facility_before, each.facility,
            f"{page.figure(each.before)} ± {page.figure(Z95 * each.before_error)}",
            f"{page.figure(each.level)} ± {page.figure(Z95 * each.error)}",
            each.z, page.figure(each.p, 3), "⚠" if each.moved else "",
        )
        for each in history.drifts
    ]  # fmt: skip
    heads = ("place", "facility-before", "facility", "before", "now", "z", "p", "moved")
    return f"{text}<p>{how}</p><p><strong>{safe(said)}</strong></p>{page.table(heads, rows)}"


def _typed(page: _Page, marked: MarkedClass) -> str:
    typed = sum(paper.typed for paper in marked.papers)
    return f"<p>{safe(page.words.say(told.TypedFacts(typed), 'typed'))}</p>" if typed else ""


def _learners(page: _Page, found: Report) -> str:
    rows = [
        (
            each.name, f"{each.marks:g}/{each.out_of:g}", str(page.words.say(told.YesFacts(each.passed), "passed")),
            each.difficulty, ", ".join(page.outcomes.get(outcome, outcome) for outcome in each.help),
        )
        for each in sorted(found.learners, key=lambda each: (each.name, each.id))
    ]  # fmt: skip
    return page.table(("learner", "marks", "passed", "difficulty", "help"), rows)


def _left_out(page: _Page, marked: MarkedClass) -> str:
    text = ""
    if marked.refused:
        rows = [(each.file, each.reason) for each in marked.refused]
        text += f"<h2>{safe(page.text('refused'))}</h2>{page.table(('file', 'reason'), rows)}"
    if marked.absent:
        names = "".join(f"<li>{safe(each.name)}</li>" for each in marked.absent)
        text += f"<h2>{safe(page.text('absent'))}</h2><ul>{names}</ul>"
    return text
