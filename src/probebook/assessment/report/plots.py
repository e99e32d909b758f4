"""Plots of a report as SVG; their data stand in the table below them."""

from __future__ import annotations

from collections.abc import Sequence

from probebook.assessment.report.analysis import ItemFigures
from probebook.workbook.markup import safe

__all__ = ["difficulty_plot", "facility_plot"]

#: Units of the drawing: height of a row, room for names, length of an axis, edge.
ROW, NAMES, AXIS, EDGE = 22, 190, 420, 40
#: Letters of a name that there is room for.
LETTERS = 26


def _svg(width: float, height: float, title: str, parts: Sequence[str]) -> str:
    return (
        f'<figure><svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{safe(title)}" '
        f'viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}">{"".join(parts)}</svg>'
        f"<figcaption>{safe(title)}</figcaption></figure>\n"
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 1) -> str:
    return f'<line class="ink" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke-width="{width:g}"/>'


def _text(x: float, y: float, text: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{safe(text)}</text>'


def facility_plot(items: Sequence[ItemFigures], title: str) -> str:
    """A point for each place, with its interval, between nought and one."""
    bottom = ROW * (len(items) + 0.5)
    parts = [_line(NAMES, bottom, NAMES + AXIS, bottom)]
    for tick in (0.0, 0.25, 0.5, 0.75, 1.0):
        x = NAMES + AXIS * tick
        parts += [_line(x, bottom, x, bottom + 5), _text(x, bottom + 18, f"{tick:g}", "middle")]
    for row, item in enumerate(items):
        y = ROW * (row + 0.75)
        low, middle, high = (NAMES + AXIS * share for share in (item.low, item.facility, item.high))
        name = item.place if len(item.place) <= LETTERS else f"{item.place[: LETTERS - 1]}…"
        parts += [_text(NAMES - 8, y + 4, name, "end"), _line(low, y, high, y)]
        parts.append(f'<circle class="mark" cx="{middle:.1f}" cy="{y:.1f}" r="5"/>')
    return _svg(NAMES + AXIS + EDGE, bottom + 26, title, parts)


def difficulty_plot(items: Sequence[ItemFigures], title: str) -> str:
    """A point for each place: difficulty as foretold and as estimated, with its interval; alike on the slant."""
    ends = [value for i in items for value in (i.foretold, i.estimated - 1.96 * i.error, i.estimated + 1.96 * i.error)]
    low, high = min(ends), max(ends)
    span = max(high - low, 1.0)

    def across(value: float) -> float:
        return EDGE + 360 * (value - low) / span

    def up(value: float) -> float:
        return 380 - 360 * (value - low) / span

    parts = [_line(EDGE, 380, 400, 380), _line(EDGE, 20, EDGE, 380), _line(EDGE, 380, 400, 20, 0.5)]
    for tick in range(round(low), round(low + span) + 1):
        if low <= tick <= low + span:
            name = f"{tick}".replace("-", "−")
            parts += [_text(across(tick), 398, name, "middle"), _text(EDGE - 8, up(tick) + 4, name, "end")]
    for item in items:
        x, half = across(item.foretold), 1.96 * item.error
        parts.append(_line(x, up(item.estimated - half), x, up(item.estimated + half)))
        parts.append(
            f'<circle class="mark" cx="{x:.1f}" cy="{up(item.estimated):.1f}" r="5">'
            f"<title>{safe(item.place)}</title></circle>"
        )
    return _svg(420, 410, title, parts)
