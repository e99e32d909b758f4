"""What the commands found, line by line as people read it, in a language."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probebook.api import facts as told

if TYPE_CHECKING:
    from probebook.api.bench import Taken
    from probebook.appliances.checking import Finding
    from probebook.cases.library import Library
    from probebook.diagnosis import Explanation
    from probebook.learning.coverage import Coverage
    from probebook.words import Words
    from probebook.workbook.verifying import Finding as Verified

__all__ = [
    "built_line",
    "checked_lines",
    "coverage_lines",
    "current_line",
    "explanation_lines",
    "finding_json",
    "open_lines",
    "reading_lines",
    "stopped_line",
    "verified_json",
    "verified_lines",
    "wrote_line",
]


def reading_lines(taken: Taken, words: Words) -> list[str]:
    """Return the display of a reading, and in continuity what the beeper does."""
    lines: list[str] = [words.say(told.Shown(*taken.probes, taken.shown.display), "display")]
    if taken.shown.beeps is not None:
        lines.append(words.say(told.Beeper(taken.beeper_ohms), "sounds" if taken.shown.beeps else "silent"))
    return lines


# ---------------------------------------------------------------- explain


def explanation_lines(found: Explanation, title: str, words: Words, width: int = 110) -> list[str]:
    """Return what follows from evidence about the appliance of a title; long sentences are wrapped at ``width``."""
    texts = told.ExplainTexts()
    lines: list[str] = [words.say(told.Observed(title, len(found.findings)), "head")]
    for number, finding in enumerate(found.findings, start=1):
        line = told.ObservedLine(number, finding.text, finding.sound)
        lines.append(f"  {words.say(line, 'finding-sound' if finding.sound else 'finding')}")
    if not found.fits:
        lines += ["", *(_wrapped(sentence, "", width) for sentence in found.misfit)]
        return [*lines, *(["", found.aside, *_probable(found, words)] if found.aside else [])]
    if found.off_list:
        lines += ["", *(_wrapped(sentence, "", width) for sentence in found.off_list), "", *_probable(found, words)]
        return lines
    how = "determined" if found.determined else "unproved" if found.besides else "open"
    lines += ["", words.say(texts, how), *_probable(found, words)]
    if found.besides:
        lines += ["", _wrapped(found.besides, "", width)]
    if found.exclusions:
        lines += ["", words.say(texts, "exclusions"), *_spoken_against(found, words, width)]
    if found.following:
        lines += ["", words.say(texts, "next")]
        for text, worth in found.following:
            lines.append(f"  {words.say(told.WorthFacts(worth.bits, worth.minutes, text), 'worth')}")
    return lines


def _probable(found: Explanation, words: Words) -> list[str]:
    percents = [words.say(told.ProbabilityFacts(100 * row.probability), "probability") for row in found.rows]
    return [f"  {percent:>7}  {row.title}" for percent, row in zip(percents, found.rows, strict=True)]


def _spoken_against(found: Explanation, words: Words, width: int) -> list[str]:
    """Rivals by the observation that excludes them, then those that something speaks against, then all others."""
    groups: dict[tuple[int, str], list[str]] = {}
    for item in sorted(found.exclusions, key=lambda a: a.exclusion.observation):
        if item.exclusion.excludes:
            groups.setdefault((item.exclusion.observation, item.contrast), []).append(item.title)
    lines = [
        _wrapped(words.say(told.AgainstFacts(contrast, tuple(titles)), "against"), f"  {number + 1}. ", width)
        for (number, contrast), titles in groups.items()
    ]
    for item in sorted(found.exclusions, key=lambda a: -a.exclusion.observation):
        if not item.silent and not item.exclusion.excludes:
            number = f"{item.exclusion.observation + 1}. " if item.exclusion.observation >= 0 else "   "
            lines.append(_wrapped(item.sentence, f"  {number}", width))
    return [*lines, _wrapped(found.unopposed, "     ", width)] if found.unopposed else lines


def _wrapped(text: str, lead: str, width: int) -> str:
    return textwrap.fill(text, width=width, initial_indent=lead, subsequent_indent=" " * len(lead))


# ---------------------------------------------------------------- coverage


def coverage_lines(found: Coverage, workbooks: int, library: Library) -> list[str]:
    """Return the tables of what a bank of some workbooks covers, and what is missing to the goal."""
    words = library.words
    texts = told.CoverageTexts()
    lines: list[str] = [words.say(told.BankFacts(found.questions, workbooks), "bank"), "", words.say(texts, "items")]
    lines += [f"  {row.id}  {row.screen}  {found.count(row.id):4d}  {row.text}" for row in found.on_screen]
    lines += ["", *_shares(found, words)]
    if found.out_of_scope:
        lines += ["", words.say(texts, "out-of-scope")]
        lines += [f"  {row.id}  {row.text}" for row in found.out_of_scope]
    titles = {outcome.id: outcome.title for outcome in library.outcomes.values()}
    lines += ["", words.say(texts, "by-outcome"), *_by_outcome(found, titles, words)]
    missing = found.short_of_goal(words)
    lines += ["", words.say(told.ShortFacts(len(missing)), "short") if missing else words.say(texts, "reached")]
    return lines + [f"  {sentence}" for sentence in missing]


def _shares(found: Coverage, words: Words) -> list[str]:
    texts, wanted = told.CoverageTexts(), found.goal.items
    figures = [
        (words.say(texts, "all"), found.overall(), found.overall(wanted)),
        (words.say(texts, "screen"), found.share(found.on_screen), found.share(found.on_screen, wanted)),
    ]
    well = found.by_theme(wanted)
    for theme, share in found.by_theme().items():
        figures.append((words.say(told.ThemeFacts(theme), "theme"), share, well[theme]))
    wide = max(len(name) for name, *_ in figures)
    rows = [f"  {name:{wide}}  {one.say(words):>17}  {three.say(words):>17}" for name, one, three in figures]
    seen = words.say(told.SeenFacts(found.seen().say(words)), "seen")
    return [words.say(told.WantedFacts(wanted), "competences"), *rows, f"  {seen}"]


def _by_outcome(found: Coverage, titles: Mapping[str, str], words: Words) -> list[str]:
    """Outcome × kind, the kinds as columns of figures."""
    from probebook.questions.model import Kind

    kinds = [kind for kind in Kind if any(kind in row for row in found.kinds.values())]
    every = words.say(told.CoverageTexts(), "every-kind")
    wide = max((len(titles.get(outcome, outcome)) for outcome in found.kinds), default=0)
    head = " ".join(f"{kind!s:>{max(len(kind), 4)}}" for kind in kinds)
    lines = [f"  {'':{wide}} {head}   {every}"]
    for outcome, row in found.kinds.items():
        cells = " ".join(f"{row.get(kind, 0) or '·':>{max(len(kind), 4)}}" for kind in kinds)
        lines.append(f"  {titles.get(outcome, outcome):{wide}} {cells} {sum(row.values()):5d}")
    totals = " ".join(f"{sum(row.get(kind, 0) for row in found.kinds.values()):>{max(len(kind), 4)}}" for kind in kinds)
    return [*lines, f"  {every:{wide}} {totals} {found.questions:5d}"]


# ---------------------------------------------------------------- files


def verified_lines(findings: Sequence[Verified], seconds: float, words: Words) -> list[str]:
    """Return the table of verified workbooks, their sum, and every problem."""
    heads = [words.say(told.VerifyTexts(), key) for key in ("workbook", "questions", "answers", "seconds", "result")]
    wide = max(len(f.workbook) for f in findings)
    lines = ["  ".join((f"{heads[0]:{wide}}", *heads[1:]))]
    for f in findings:
        result = words.say(told.VerifyTexts(), "verified")
        if f.problems:
            result = words.say(told.ProblemsFacts(len(f.problems)), "problems")
        cells = zip((f.questions, f.attempts, f"{f.seconds:.1f}"), heads[1:4], strict=True)
        lines.append("  ".join((f"{f.workbook:{wide}}", *(f"{cell!s:>{len(head)}}" for cell, head in cells), result)))
    questions, answers = sum(f.questions for f in findings), sum(f.attempts for f in findings)
    lines.append(words.say(told.VerifiedFacts(len(findings), questions, answers, seconds), "sum"))
    return lines + [f"  {f.workbook}: {problem}" for f in findings for problem in f.problems]


def verified_json(findings: Sequence[Verified]) -> dict[str, Any]:
    """Return what verifying found as plain data."""
    return {
        "workbooks": [
            {
                "workbook": f.workbook,
                "questions": f.questions,
                "attempts": f.attempts,
                "seconds": round(f.seconds, 3),
                "problems": list(f.problems),
            }
            for f in findings
        ],
        "verified": not any(f.problems for f in findings),
    }


def open_lines(name: str, address: str, words: Words) -> list[str]:
    """Say where a workbook (or all of them, for no name) is open, and how to stop."""
    line = words.say(told.ServedFacts(name, address), "workbook" if name else "workbooks")
    return [line, words.say(told.ServeTexts(), "stop")]


def stopped_line(words: Words) -> str:
    """Say that the server has stopped."""
    return words.say(told.ServeTexts(), "stopped")


def checked_lines(files: int, findings: Sequence[Finding], words: Words, *, quiet: bool = False) -> list[str]:
    """Return a line a finding (without information when ``quiet``), and how many files and errors there are."""
    lines: list[str] = [
        words.say(told.FoundFacts(f.severity.value, str(f)), "finding")
        for f in findings
        if not quiet or f.severity.value != "information"
    ]
    errors = sum(f.severity.value == "error" for f in findings)
    return [*lines, words.say(told.CheckedFacts(files, errors), "sum")]


def finding_json(path: Path, finding: Finding) -> dict[str, str]:
    """Return a finding of a file as plain data."""
    return {
        "file": str(path),
        "severity": finding.severity.value,
        "where": finding.where,
        "message": finding.message,
        "remedy": finding.remedy,
    }


def built_line(workbooks: int, folder: Path, words: Words) -> str:
    """Say how many workbooks were built into a folder."""
    from probebook.workbook.build.files import KEYS, WORKBOOKS

    return words.say(told.BuiltFacts(workbooks, str(folder / WORKBOOKS), str(folder / KEYS)), "built")


def current_line(files: int, words: Words) -> str:
    """Say that built files are up to date."""
    return words.say(told.CurrentFacts(files), "current")


def started_line(kind: str, name: str, words: Words) -> str:
    """Say what comes after a start of that kind."""
    return words.say(told.StartedFacts(name), kind)


def site_line(pages: int, folder: Path, words: Words) -> str:
    """Say how many pages a static folder holds."""
    return words.say(told.SiteFacts(pages, str(folder)), "site")


def wrote_line(path: Path, words: Words) -> str:
    """Say that a file was written."""
    return words.say(told.WroteFacts(str(path)), "wrote")
