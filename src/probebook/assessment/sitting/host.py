"""The kernel's end of the page of a paper: its forms, benches and sheets, spoken for as those of a workbook are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import comm

from probebook.assessment.sitting.paper import JOURNAL, OpenPaper, paper_in
from probebook.page.host import Host
from probebook.page.opening import TARGET

__all__ = ["PaperHost", "attend"]

#: Parts of a paper beside its questions; each stands in a place of its name.
SHEETS = ("head", "review", "hand-in")

_attended: dict[Path, PaperHost] = {}


def attend(name: str, folder: Path | None = None) -> PaperHost:
    """Serve the page of a paper in this kernel, once; the time of the sitting runs from the first page on.

    Raises
    ------
    NotebookError
        The notebook is no paper, or its journal cannot be kept.
    """
    here = (folder or Path.cwd()).resolve()
    journal = here / f"{name}{JOURNAL}"
    if journal not in _attended:
        host = PaperHost()
        comm.create_comm = host.channel
        host.sit(paper_in(name, here))
        comm.get_comm_manager().register_target(TARGET, host.attach)
        _attended[journal] = host
    return _attended[journal]


class PaperHost(Host):
    """Holds the components of one paper for its pages; nothing of how an answer stands is ever told."""

    def sit(self, paper: OpenPaper) -> None:
        """Make the forms of a paper, and what stands beside them."""
        for part in SHEETS:
            self._mount(part, [(part, paper.sheet(part))])
        for name, form in paper.forms.items():
            self._mount(name, [(name, component) for component in form.components])

    def _whole(self) -> dict[str, Any]:
        places = {place: self._told(keys) for place, keys in self._places.items()}
        return {"say": "open", "notices": [], "places": places, "html": {}, "elsewhere": [], "standings": None}

    def _tell_standings(self) -> None:
        pass
