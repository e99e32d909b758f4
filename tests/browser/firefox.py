"""Pages in Firefox: a learner's hands there are written beside the browser code, and what was seen comes back."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from probebook.questions.codec import Sheet
from probebook.questions.model import FieldKind, Question
from probebook.workbook.forms.view import from_response, view
from probebook.workbook.language import sheet_words

CODE = Path(__file__).resolve().parents[1] / "browser_code"
FIREFOX = shutil.which("firefox-esr") or shutil.which("firefox")
IS_THERE = FIREFOX is not None and (CODE / "node_modules" / "puppeteer-core").is_dir()


def answer(
    question: Question, sheet: Sheet, response: dict[str, Any], by: str, *, right: bool = False
) -> dict[str, Any]:
    """A response as hands give it, field by field; ``by`` is ``keys`` or ``mouse``; ``right`` where it is."""
    told = view(question, sheet_words(sheet))["fields"]
    asked = [field for field in question.fields if field.kind is not FieldKind.BENCH]
    fields = [
        {
            "kind": field.kind.value,
            "given": from_response(field, response[field.key]),
            "shown": list(shown.get("options", ())) if field.kind is FieldKind.ORDER else [],
        }
        for field, shown in zip(asked, told, strict=False)
    ]
    return {"by": by, "fields": fields, "tone": ".pb-tone-right" if right else ""}


def visit(name: str, url: str, ready: str, forms: int, **more: Any) -> dict[str, Any]:
    """A page to open: ``ready`` is there when it lives, ``forms`` (a count) at the end; what to do is in ``more``.

    ``scope`` is the form that ``answers`` are given in, or the place of the bench that ``spots`` are pressed on, in order.
    """
    return {"name": name, "url": url, "ready": ready, "forms": forms, "scope": "", "answers": [], "spots": []} | more


def in_firefox(visits: Iterable[dict[str, Any]], scratch: Path) -> list[dict[str, Any]]:
    """Make the visits, one after the other in one Firefox; what was seen in each."""
    job = scratch / "visits.json"
    job.write_text(json.dumps({"firefox": FIREFOX, "visits": list(visits)}), encoding="utf-8")
    done = subprocess.run(
        ["node", str(CODE / "firefox.js"), str(job)], capture_output=True, text=True, timeout=1200, check=False
    )
    assert done.returncode == 0, done.stderr
    seen: list[dict[str, Any]] = json.loads(done.stdout)
    failed = [f"{one['name']}: {one['failed'][:300]}" for one in seen if "failed" in one]
    assert failed == [], "\n".join(failed)
    return seen
