"""The line that a kernel runs to serve the page of a workbook."""

from __future__ import annotations

__all__ = ["TARGET", "opening_line"]

#: The name under which a page opens its comm.
TARGET = "probebook.page"

# Modules that lie beside the notebook are not to be imported, whoever started the server.
_GUARD = "import sys; sys.path[:] = [place for place in sys.path if place]"


def opening_line(name: str, host: str = "probebook.page.host") -> str:
    """The code for a workbook of that name, or what else a module serves; running it again changes nothing."""
    return f"{_GUARD}\nfrom {host} import attend; attend({name!r})"
