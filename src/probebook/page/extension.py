"""The start of our pages with Jupyter's server."""

from __future__ import annotations

import logging
import re
from pathlib import Path
from typing import Any
from urllib.parse import unquote

__all__ = ["load"]

_WORKBOOK = re.compile(r".*/probebook/workbook/([^/?#]+)")


def load(server: Any) -> None:
    """Add our pages to a server; the kernel of the workbook it is to open first is started along with it."""
    from jupyter_server.utils import url_path_join

    from probebook.page.books import Books
    from probebook.page.handlers import BOOKS, COLLECTOR, ROUTES
    from probebook.page.start.collecting import Collector

    app = server.web_app
    books = app.settings[BOOKS] = Books(Path(server.root_dir))
    collector = app.settings[COLLECTOR] = Collector(books)
    logging.getLogger("asyncio").addFilter(_is_of_note)
    base = app.settings["base_url"]
    app.add_handlers(".*$", [(url_path_join(base, route), *rest) for route, *rest in ROUTES])

    async def begin() -> None:
        from asyncio import gather, to_thread

        from probebook.page.kernels import warm

        found = _WORKBOOK.fullmatch(server.default_url)
        name = unquote(found[1]) if found is not None else ""
        if name in books.names():
            await gather(warm(app.settings, name), to_thread(books.book, name))
        elif server.default_url.endswith("/probebook/"):
            await to_thread(collector.collect)

    server.io_loop.add_callback(begin)


def _is_of_note(record: logging.LogRecord) -> bool:
    """Whether somebody should read it: that a page has left before it was told the last of its kernel is no news."""
    from tornado.websocket import WebSocketClosedError

    return record.exc_info is None or not isinstance(record.exc_info[1], WebSocketClosedError)
