"""What Jupyter's server answers for us. Every address but those of our own modules asks for the server's token."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import urlencode

from jupyter_server.auth.decorator import allow_unauthenticated, authorized
from jupyter_server.base.handlers import APIHandler, JupyterHandler
from tornado import web

from probebook.errors import ProbebookError, UsageError
from probebook.page.books import Books
from probebook.page.facts import Elsewhere, PageTexts
from probebook.page.frame import KINDS, POLICY, Frame, framed, static_file, version
from probebook.page.kernels import kernel_of
from probebook.page.opening import TARGET, opening_line
from probebook.page.reading import Reading
from probebook.page.standing import page_words
from probebook.page.start.collecting import Collector
from probebook.page.start.record import record_html, record_json
from probebook.page.start.start_page import start_page
from probebook.page.workbook_page import sheet_page, workbook_page
from probebook.words import Phrase
from probebook.words.words import ENGLISH
from probebook.workbook.markup import safe

__all__ = ["BOOKS", "COLLECTOR", "ROUTES", "NamedPage", "OurDrawing", "OurPage", "trouble_page"]

#: Under which name the server's settings hold the workbooks.
BOOKS = "probebook_books"
COLLECTOR = "probebook_collector"
RESOURCE = "contents"


class OurPage(JupyterHandler):
    """A page of ours."""

    auth_resource = RESOURCE

    @property
    def content_security_policy(self) -> str:
        """What the page may load."""
        return POLICY

    def set_default_headers(self) -> None:
        """Say what the page may do, and that it is nobody else's."""
        super().set_default_headers()
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("Cross-Origin-Opener-Policy", "same-origin")
        self.set_header("Cache-Control", "no-store")

    @property
    def books(self) -> Books:
        """The workbooks that are served."""
        books: Books = self.settings[BOOKS]
        return books

    @property
    def collector(self) -> Collector:
        """What reads the journals."""
        collector: Collector = self.settings[COLLECTOR]
        return collector

    def is_passed_on(self) -> bool:
        """Whether the page was asked for with the token in its address; the browser is then sent on without it."""
        if "token" not in self.request.query_arguments:
            return False
        kept = [(name, value) for name, value in self._arguments() if name != "token"]
        self.redirect(self.request.path + (f"?{urlencode(kept)}" if kept else ""))
        return True

    def _arguments(self) -> list[tuple[str, str]]:
        return [(name, value) for name in self.request.query_arguments for value in self.get_query_arguments(name)]

    def frame(self, language: str = "") -> Frame:
        """Where the page stands."""
        return Frame(self.base_url, language or ENGLISH)


class _StartPage(OurPage):
    """The page where all workbooks and the learner's progress stand."""

    @web.authenticated
    @authorized
    async def get(self) -> None:
        """Write the page."""
        if not self.is_passed_on():
            self.finish(await asyncio.to_thread(self._page))

    def _page(self) -> str:
        found = self.collector.collect()
        return start_page(found.learner, self.frame(found.language), found.words, found.left_out, found.papers)


class _Record(OurPage):
    """The record of practice as a file to keep."""

    @web.authenticated
    @authorized
    async def get(self, kind: str) -> None:
        """Write the file."""
        made = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        text = await asyncio.to_thread(self._record, kind, made)
        self.set_header("Content-Type", f"{'application/json' if kind == 'json' else 'text/html'}; charset=utf-8")
        self.set_header("Content-Disposition", f'attachment; filename="record-of-practice-{made[:10]}.{kind}"')
        self.finish(text)

    def _record(self, kind: str, made: str) -> str:
        found = self.collector.collect()
        if kind == "json":
            return record_json(found.learner, made)
        return record_html(found.learner, made, found.words, found.language)


class NamedPage(OurPage):
    """A page of something with a name: a workbook, a paper."""

    @web.authenticated
    @authorized
    async def get(self, name: str) -> None:
        """Write the page."""
        if self.is_passed_on():
            return
        html, status = await asyncio.to_thread(self.page, name)
        self.xsrf_token  # noqa: B018 - being asked for, it is set as a cookie, which the page sends back
        self.set_status(status)
        self.finish(html)

    def page(self, name: str) -> tuple[str, int]:
        """The page and its status."""
        raise NotImplementedError


class _WorkbookPage(NamedPage):
    """The page of a workbook, or that of its reference sheet."""

    def initialize(self, *, is_sheet: bool = False) -> None:
        """Say which of the two."""
        self._is_sheet = is_sheet

    def page(self, name: str) -> tuple[str, int]:
        """The page, or why there is none."""
        try:
            book = self.books.book(name)
            frame = self.frame(book.reading.language)
            if not self._is_sheet:
                return workbook_page(book, frame), 200
            if not book.reading.sheet:
                raise UsageError(page_words(frame.language).say(PageTexts(), "no-sheet"))
            return sheet_page(book, frame), 200
        except ProbebookError as error:
            return trouble_page(name, error, self.frame()), 404


def trouble_page(name: str, error: ProbebookError, frame: Frame) -> str:
    """The page that says why something of this name is not shown."""
    words = page_words(frame.language)
    text = str(error)
    trouble = words.say(Elsewhere(Phrase(f"{text[:1].upper()}{text[1:]}")), "not-here")
    back = f'<p><a href="{frame.home}">{safe(words.say(PageTexts(), "all-workbooks"))}</a></p>'
    body = f"<main><h1>{safe(name)}</h1><p>{safe(trouble)}</p>{back}</main>"
    return framed(frame, name, body, sheets=("page/static/page.css",))


class OurDrawing(JupyterHandler):
    """A drawing of a workbook; by itself in a window it may do no more than in a page."""

    auth_resource = RESOURCE

    @property
    def content_security_policy(self) -> str:
        """What the drawing may load: nothing."""
        return "; ".join(("default-src 'none'", "style-src 'unsafe-inline'", "sandbox"))

    def reading(self, name: str) -> Reading:
        """What the drawing stands in."""
        books: Books = self.settings[BOOKS]
        return books.book(name).reading

    @web.authenticated
    @authorized
    async def get(self, name: str, number: str) -> None:
        """Write the drawing."""
        try:
            content = (await asyncio.to_thread(self.reading, name)).drawings[int(number)]
        except (ProbebookError, IndexError) as error:
            raise web.HTTPError(404) from error
        self.set_header("Content-Type", "image/svg+xml")
        self.set_header("Cache-Control", "private, max-age=31536000, immutable")
        # https://fetch.spec.whatwg.org/#cross-origin-resource-policy-header
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")
        self.finish(content)


class _Kernel(APIHandler):
    """Who marks the workbook of a page."""

    auth_resource = "kernels"

    @web.authenticated
    @authorized
    async def post(self, name: str) -> None:
        """Answer with the id of the living kernel of the workbook, and the line that makes it serve the page."""
        books: Books = self.settings[BOOKS]
        try:
            await asyncio.to_thread(books.book, name)
        except ProbebookError as error:
            self.set_status(409)
            self.finish({"trouble": str(error)})
            return
        kernel_id = await kernel_of(self.settings, name)
        self.finish({"kernel": kernel_id, "code": opening_line(name), "target": TARGET})


class _Static(JupyterHandler):
    """Our modules, style sheets and signs: what anybody has who has the package, so nobody is asked who they are.

    A browser fetches modules in a manner that a hub takes cookies for only with a token that no module can bring.
    Pages of other places may not take them in, so that none can find out that we run here.
    """

    @allow_unauthenticated
    async def get(self, asked: str, path: str) -> None:
        """Write a file; only those of our package that pages load can be asked for."""
        content = static_file(path) if asked == version() else None
        if content is None:
            raise web.HTTPError(404)
        self.set_header("Content-Type", f"{KINDS[PurePosixPath(path).suffix]}; charset=utf-8")
        self.set_header("Cache-Control", "private, max-age=31536000, immutable")
        # https://fetch.spec.whatwg.org/#cross-origin-resource-policy-header
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")
        self.finish(content)


#: Addresses below the server's root, and what answers there.
ROUTES: list[tuple[Any, ...]] = [
    (r"probebook/?", _StartPage),
    (r"probebook/record\.(html|json)", _Record),
    (r"probebook/workbook/([^/]+)", _WorkbookPage),
    (r"probebook/sheet/([^/]+)", _WorkbookPage, {"is_sheet": True}),
    (r"probebook/workbook/([^/]+)/kernel", _Kernel),
    (r"probebook/workbook/([^/]+)/drawing/[0-9a-f]+/(\d{1,4})", OurDrawing),
    (r"probebook/static/([0-9a-f]+)/([\w/.-]+)", _Static),
]
