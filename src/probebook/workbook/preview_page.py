"""The shell of a preview page: one self-contained HTML file for screen and print, light and dark, with no requests."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from probebook.workbook.markup import safe

__all__ = ["Section", "figure", "page", "table"]

#: Columns whose heading starts with this hold figures and are set to the right.
FIGURES = "#"


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the page: its anchor, its heading, its HTML."""

    anchor: str
    heading: str
    html: str


def table(caption: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with its caption; cells are HTML. The first cell of a row is its heading, and ``#`` marks figures."""
    figures = [name.startswith(FIGURES) for name in head]
    names = "".join(
        f'<th scope="col"{_figure(is_figure)}>{safe(name.removeprefix(FIGURES))}</th>'
        for name, is_figure in zip(head, figures, strict=True)
    )
    body = "".join(f"<tr>{_row(row, figures)}</tr>\n" for row in rows)
    many = ' class="many"' if len(head) > 4 else ""
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{safe(caption)}"><table{many}><caption>'
        f"{safe(caption)}</caption>\n<thead><tr>{names}</tr></thead>\n<tbody>\n{body}</tbody></table></div>\n"
    )


def _row(row: Sequence[str], figures: Sequence[bool]) -> str:
    first, *rest = row
    cells = "".join(f"<td{_figure(is_figure)}>{cell}</td>" for cell, is_figure in zip(rest, figures[1:], strict=True))
    return f'<th scope="row"{_figure(figures[0])}>{first}</th>{cells}'


def _figure(is_figure: bool) -> str:
    return ' class="figure"' if is_figure else ""


def figure(svg: str, caption: str, words: str = "") -> str:
    """A drawing with its caption, and what it says in words folded away below it."""
    told = f"<details><summary>In words</summary><p>{safe(words)}</p></details>" if words else ""
    return (
        f'<figure><div class="wide" tabindex="0" role="region" aria-label="{safe(caption)}">{svg}</div>'
        f"<figcaption>{safe(caption)}</figcaption>{told}</figure>\n"
    )


def page(title: str, lead: str, sections: Sequence[Section]) -> str:
    """The whole page; ``lead`` is HTML."""
    links = "".join(f'<li><a href="#{s.anchor}">{safe(s.heading)}</a></li>' for s in sections)
    body = "".join(
        f'<section id="{s.anchor}" aria-labelledby="{s.anchor}-h"><h2 id="{s.anchor}-h">{safe(s.heading)}</h2>\n'
        f"{s.html}</section>\n"
        for s in sections
    )
    return (
        '<!DOCTYPE html>\n<html lang="en-GB">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{safe(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f'<header><h1>{safe(title)}</h1>\n{lead}</header>\n<nav aria-label="Contents"><ul>{links}</ul></nav>\n'
        f"<main>\n{body}</main>\n</body>\n</html>\n"
    )


_STYLE = """
:root { --ink: #1b2026; --soft: #4a5560; --paper: #fcfcf8; --panel: #f1f0e9; --line: #cfcdc2; --copper: #8a4312; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e9e7e0; --soft: #b3b8bd; --paper: #15191d; --panel: #20262b; --line: #3d464d; --copper: #eaa873; }
}
* { box-sizing: border-box; }
html { scroll-behavior: smooth; }
@media (prefers-reduced-motion: reduce) { html { scroll-behavior: auto; } }
body { margin: 0 auto; max-width: 76rem; padding: 2.5rem clamp(1rem, 4vw, 3rem) 4rem; background: var(--paper);
  color: var(--ink); font: 1rem/1.55 "Liberation Sans", Arial, Helvetica, sans-serif; }
header { border-top: 6px solid var(--copper); padding-top: 1.2rem; display: flow-root; }
h1 { margin: 0 0 .4rem; font-size: clamp(1.7rem, 4vw, 2.5rem); line-height: 1.12; letter-spacing: -.015em; }
h1::first-letter { text-transform: uppercase; }
h2 { margin: 3rem 0 .8rem; font-size: 1.35rem; line-height: 1.25; padding-bottom: .35rem;
  border-bottom: 2px solid var(--copper); }
h3 { margin: 1.8rem 0 .5rem; font-size: 1.05rem; }
p { max-width: 46rem; margin: .5rem 0; }
.lead { color: var(--soft); }
.caution { border-left: 5px solid var(--copper); background: var(--panel); padding: .7rem 1rem; margin: 1rem 0;
  max-width: 46rem; display: flow-root; }
a { color: var(--copper); text-underline-offset: .15em; }
:focus-visible { outline: 3px solid var(--copper); outline-offset: 2px; }
nav ul { display: flex; flex-wrap: wrap; gap: .3rem 1.3rem; list-style: none; margin: 1.4rem 0 0; padding: .7rem 0;
  border-block: 1px solid var(--line); }
nav a { display: inline-block; padding: .15rem 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: .4rem 0 1.4rem; font-size: .94rem; }
caption { text-align: left; font-weight: 700; padding: .5rem 0; }
th, td { text-align: left; vertical-align: top; padding: .34rem 1.2rem .34rem 0; border-bottom: 1px solid var(--line); }
thead th { color: var(--soft); font-weight: 600; font-size: .86rem; border-bottom: 2px solid var(--soft);
  vertical-align: bottom; }
tbody th { font-weight: 600; }
.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.keep { white-space: nowrap; }
figure { margin: 1.2rem 0 1.8rem; }
figure svg { display: block; max-width: 100%; height: auto; }
figcaption { color: var(--soft); font-size: .92rem; margin-top: .4rem; }
details { margin-top: .3rem; font-size: .92rem; }
summary { cursor: pointer; color: var(--copper); width: fit-content; }
.swatch { display: inline-block; width: 1.5em; height: .8em; margin-right: .5em; border: 1px solid var(--soft);
  border-radius: 2px; print-color-adjust: exact; }
.bar { display: inline-block; height: .62em; background: var(--copper); margin-right: .5em; border-radius: 1px;
  print-color-adjust: exact; }
.plate { float: right; margin: 0 0 1rem 2rem; max-width: 24rem; }
.finding { margin: .3rem 0; }
@media (max-width: 46rem) {
  .many { min-width: 46rem; }
  .plate { float: none; margin: 1rem 0; }
  figure .wide svg { max-width: none; min-width: 44rem; }
  .plate svg { min-width: 0 !important; max-width: 100% !important; }
}
@media (min-width: 60rem) { caption { white-space: nowrap; } }
@media print {
  :root { --ink: #000; --soft: #333; --paper: #fff; --panel: #fff; --line: #bbb; --copper: #6b340e; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  nav, details { display: none; }
  h2 { margin-top: 1.4rem; }
  h2, h3, caption { break-after: avoid; }
  figure, tr { break-inside: avoid; }
  figure svg { max-height: 22cm; margin: 0 auto; }
  .wide { overflow: visible; }
  th, td { padding-right: .7rem; }
}
@page { margin: 16mm 14mm; }
"""
