"""What stands unchecked in the forms of a workbook, in a small file beside its journal.

A draft is nobody's answer yet: it uses no attempt and is forgotten when it is checked. The file is replaced whole, soon
after something was typed, ticked or done on the bench, so that it comes back on another day and after any end of the
kernel. Whatever is wrong with the file, the workbook opens without it.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from probebook.errors import UsageError
from probebook.files import not_a_file, sweep, write_atomic
from probebook.questions.model import Response

__all__ = ["SUFFIX", "Drafts"]

#: The file is named after its notebook, with this instead of ``.ipynb``.
SUFFIX = ".drafts.json"
#: Seconds that what is typed is gathered for before it is written.
GATHERED = 0.4
#: A larger file (bytes) is left alone.
LARGEST = 2_000_000


class Drafts:
    """The drafts of one workbook.

    Parameters
    ----------
    path
        The file they are kept in.
    build
        The build of the workbook: what was typed into another one does not come back here.
    """

    def __init__(self, path: Path, build: str) -> None:
        self.path = path
        self._build = build
        sweep(path.parent, path.name)
        self._kept = self._read()
        self._changed: dict[str, dict[str, Response] | None] = {}
        self._is_waiting = False

    def of(self, question: str) -> Mapping[str, Response] | None:
        """What stood unchecked in the form of a question; None where nothing did."""
        return self._kept.get(question)

    def note(self, question: str, response: dict[str, Response]) -> None:
        """Keep what stands in a form now; it is on disk within half a second."""
        if self._kept.get(question) != response:
            self._kept[question] = response
            self._change(question, response)

    def drop(self, question: str) -> None:
        """Forget a draft: it was checked."""
        if self._kept.pop(question, None) is not None:
            self._change(question, None)

    def flush(self) -> None:
        """Write what was changed; the drafts of another kernel on the same workbook stay."""
        self._is_waiting = False
        if not self._changed:
            return
        drafts = self._read() | {name: kept for name, kept in self._changed.items() if kept is not None}
        for name in [name for name, kept in self._changed.items() if kept is None]:
            drafts.pop(name, None)
        with suppress(UsageError):  # said at opening
            if not not_a_file(self.path):
                write_atomic(self.path, json.dumps({"build": self._build, "drafts": drafts}, sort_keys=True))
                self._changed = {}

    def _change(self, question: str, response: dict[str, Response] | None) -> None:
        self._changed[question] = response
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self.flush()
            return
        if not self._is_waiting:
            self._is_waiting = True
            loop.call_later(GATHERED, self.flush)

    def _read(self) -> dict[str, dict[str, Response]]:
        try:
            if not_a_file(self.path) or self.path.stat().st_size > LARGEST:
                return {}
            data = json.loads(self.path.read_bytes())
            if data["build"] != self._build:
                return {}
            return {str(name): _response(kept) for name, kept in data["drafts"].items()}
        except (OSError, ValueError, RecursionError, LookupError, TypeError, AttributeError):
            return {}


def _response(kept: Mapping[str, object]) -> dict[str, Response]:
    """A draft as it was written; what is neither text nor a list of texts is left out."""
    found: dict[str, Response] = {}
    for key, value in kept.items():
        if isinstance(value, str):
            found[key] = value
        elif isinstance(value, list):
            found[key] = [item for item in value if isinstance(item, str)]
    return found
