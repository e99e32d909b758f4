"""Papers on Jupyter's server: the page of each, and the kernel that keeps its answers. No key is looked for."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from jupyter_server.auth.decorator import authorized
from jupyter_server.base.handlers import APIHandler
from tornado import web

from probebook.assessment.sitting.page import paper_page
from probebook.errors import ProbebookError, UsageError
from probebook.page.handlers import NamedPage, OurDrawing, trouble_page
from probebook.page.kernels import kernel_of
from probebook.page.opening import TARGET, opening_line
from probebook.page.reading import NAMED, Reading, read_paper

__all__ = ["load"]

FOLDER = "probebook_papers"
#: What serves a paper in its kernel.
HOST = "probebook.assessment.sitting.host"


def _paper(folder: Path, name: str) -> Reading:
    path = folder / f"{name}.ipynb"
    if not NAMED.fullmatch(name) or not path.is_file():
        raise UsageError(f"there is no paper '{name}'", where=folder.name, remedy="check its name")
    reading = read_paper(path)
    if reading.name != name:
        raise UsageError(
            f"this is the paper '{reading.name}' under another name",
            where=path.name,
            remedy="give it its own name again",
        )
    return reading


class _PaperPage(NamedPage):
    """The page of a paper."""

    def page(self, name: str) -> tuple[str, int]:
        """The page, or why there is none."""
        folder: Path = self.settings[FOLDER]
        try:
            reading = _paper(folder, name)
        except ProbebookError as error:
            return trouble_page(name, error, self.frame()), 404
        return paper_page(reading, folder, self.frame(reading.language)), 200


class _PaperDrawing(OurDrawing):
    """A drawing of a paper."""

    def reading(self, name: str) -> Reading:
        """What the drawing stands in."""
        return _paper(self.settings[FOLDER], name)


class _PaperKernel(APIHandler):
    """Who keeps the answers of a paper."""

    auth_resource = "kernels"

    @web.authenticated
    @authorized
    async def post(self, name: str) -> None:
        """Answer with the id of the living kernel of the paper, and the line that makes it serve the page."""
        try:
            await asyncio.to_thread(_paper, self.settings[FOLDER], name)
        except ProbebookError as error:
            self.set_status(409)
            self.finish({"trouble": str(error)})
            return
        kernel_id = await kernel_of(self.settings, name)
        self.finish({"kernel": kernel_id, "code": opening_line(name, HOST), "target": TARGET})


def load(server: Any) -> None:
    """Add the pages of papers to a server."""
    from jupyter_server.utils import url_path_join

    app = server.web_app
    app.settings[FOLDER] = Path(server.root_dir)
    routes: list[tuple[str, Any]] = [
        (r"probebook/paper/([^/]+)", _PaperPage),
        (r"probebook/paper/([^/]+)/kernel", _PaperKernel),
        (r"probebook/paper/([^/]+)/drawing/[0-9a-f]+/(\d{1,4})", _PaperDrawing),
    ]
    app.add_handlers(".*$", [(url_path_join(app.settings["base_url"], route), handler) for route, handler in routes])
