"""The record of practice: what the journals say, as a page of its own and as data, to keep or to hand to a tutor."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from probebook.page.start.facts import AfterHints, Dated, OfMarks, RecordStand, RecordTexts, StartTexts
from probebook.page.start.learner import Done, Learner
from probebook.page.start.start_page import standing_words, weakest_first
from probebook.page.start.tables import cell, marks_of, table
from probebook.words import Words
from probebook.workbook.document import document
from probebook.workbook.forms.hints import hint_id
from probebook.workbook.journal import Entry
from probebook.workbook.markup import inline, safe

__all__ = ["record_data", "record_html", "record_json"]

#: Of the form of the data; a later form that is read otherwise gets another number.
FORM = 1


def record_data(learner: Learner, made: str) -> dict[str, Any]:
    """The record as plain JSON data; ``made`` is the time it is made (UTC, ISO 8601)."""
    return {
        "form": FORM,
        "made": made,
        "workbooks": [_workbook(done) for done in learner.workbooks if done.history.entries],
        "dangers": [
            {"workbook": item.workbook, "question": item.question, "time": item.time, "mended": item.mended}
            for item in learner.dangers
        ],
        "outcomes": [
            {
                "outcome": line.outcome,
                "title": line.title,
                "answers": line.known.answers,
                "known": round(line.known.probability, 4),
                "owed": line.known.owed,
                "mastered": line.mastered,
                "weeks": {
                    week: {"marks": marks, "out_of": out_of}
                    for week, (marks, out_of) in zip(learner.weeks, line.weeks, strict=True)
                },
            }
            for line in learner.outcomes
        ],
        "slips": [{"name": name, "times": times} for name, times in learner.slips],
    }


def _workbook(done: Done) -> dict[str, Any]:
    now = done.standings
    return {
        "name": done.name,
        "title": done.book.reading.title,
        "questions": now.questions,
        "answered": now.answered,
        "marks": now.marks,
        "out_of": now.out_of,
        "lines_not_as_written": len(done.history.problems),
        "answers": [
            {
                "n": entry.n,
                "time": entry.time,
                "question": entry.question,
                "standing": str(entry.standing),
                "marks": entry.marks,
                "out_of": _out_of(done, entry),
                "hints": _hints(done, entry),
                "response": entry.response,
            }
            for entry in done.history.entries
            if entry.scored
        ],
    }


def _out_of(done: Done, entry: Entry) -> float:
    """Marks to be had for a question, of the workbook or of practice; 0 where that is not known."""
    record = done.records().get(entry.question)
    try:
        return float(str(record["marks"])) if record else done.book.sheet.question(entry.question).marks
    except (KeyError, ValueError):
        return 0.0


def _hints(done: Done, entry: Entry) -> int:
    """How many hints to the question were read before an answer to it."""
    return sum(hint.n < entry.n for hint in done.of(hint_id(entry.question)))


def record_json(learner: Learner, made: str) -> str:
    """The record as JSON text."""
    return json.dumps(record_data(learner, made), ensure_ascii=False, indent=1) + "\n"


def record_html(learner: Learner, made: str, words: Words, language: str) -> str:
    """The record as one file of HTML that asks for nothing else."""
    texts = {key: safe(words.say(RecordTexts(), key)) for key in RecordTexts.says_}
    start = {key: safe(words.say(StartTexts(), key)) for key in StartTexts.says_}
    looks = (files("probebook.page") / "static" / "record.css").read_text(encoding="utf-8")
    body = (
        f"<h1>{texts['title']}</h1>\n<p>{texts['lead']}</p>\n"
        f"<p>{safe(words.say(RecordStand(made, 0), 'made'))}</p>\n"
        f"<h2>{start['dangers']}</h2>\n{_dangers(learner, texts, start, words)}"
        f"<h2>{start['workbooks']}</h2>\n{_workbooks(learner, texts, words)}"
        f"<h2>{start['outcomes']}</h2>\n{_outcomes(learner, start, words)}"
        f"<h2>{texts['all-answers']}</h2>\n{_answers(learner, texts, words)}"
    )
    title = words.say(RecordTexts(), "title")
    return document(title, language, f"<style>\n{looks}</style>", f"<main>\n{body}</main>\n")


def _standing(done: Done, entry: Entry, words: Words) -> str:
    """How an answer stands, and after how many hints."""
    said, read = words.say(RecordTexts(), str(entry.standing)), _hints(done, entry)
    return safe(words.say(AfterHints(said, read), "after-hints") if read else said)


def _dangers(learner: Learner, texts: dict[str, str], start: dict[str, str], words: Words) -> str:
    if not learner.dangers:
        return f"<p>{texts['no-dangers']}</p>\n"
    items = "".join(
        f"<li>{safe(words.say(Dated(item.question_title, item.workbook_title, item.time[:10]), 'danger'))}"
        f"<br>{inline(item.said)}<br><b>{start['mended' if item.mended else 'not-mended']}</b></li>\n"
        for item in learner.dangers
    )
    return f"<ul>{items}</ul>\n"


def _workbooks(learner: Learner, texts: dict[str, str], words: Words) -> str:
    heads = [texts["workbook"], f"#{texts['answered']}", f"#{texts['marks']}", texts["journal"]]
    rows = []
    for done in learner.workbooks:
        if not done.history.entries:
            continue
        now, lines = done.standings, len(done.history.problems)
        kept = texts["journal-whole"] if not lines else safe(words.say(RecordStand("", lines), "journal-problems"))
        answered = safe(words.say(OfMarks(now.answered, now.questions), "of"))
        figures = [cell(answered, figure=True), cell(marks_of(now.marks, now.out_of, words), figure=True)]
        rows.append([done.book.reading.title, *figures, cell(kept)])
    return table(texts["workbook"], heads, rows)


def _outcomes(learner: Learner, start: dict[str, str], words: Words) -> str:
    rows = [
        [line.title, cell(safe(standing_words(line, words))), cell(str(line.known.answers), figure=True)]
        for line in weakest_first(learner.outcomes)
    ]
    return table(start["outcomes"], [start["outcome"], start["standing"], f"#{start['answers']}"], rows)


def _answers(learner: Learner, texts: dict[str, str], words: Words) -> str:
    dated = [(entry.time, done, entry) for done in learner.workbooks for entry in done.history.entries if entry.scored]
    rows = []
    for time, done, entry in sorted(dated, key=lambda item: (item[0], item[1].name, item[2].n)):
        name = entry.question.removeprefix("q").lstrip("0") if entry.question.startswith("q") else entry.question
        cells = [cell(safe(done.book.reading.title)), cell(safe(name)), cell(_standing(done, entry, words))]
        rows.append([time, *cells, cell(marks_of(entry.marks, _out_of(done, entry), words), figure=True)])
    heads = [texts["time"], texts["workbook"], texts["question"], texts["answer"], f"#{texts['marks']}"]
    return table(texts["all-answers"], heads, rows)
