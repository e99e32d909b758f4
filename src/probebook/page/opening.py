"""How a kernel is started that serves the page of a workbook, and the line that it runs for it."""

from __future__ import annotations

__all__ = ["RETURNED", "TARGET", "opening_line"]

#: The name under which a page opens its comm.
TARGET = "probebook.page"
#: Of the environment of a kernel. Tables of hundreds of hypotheses come and go in it: the C library gives what is freed
#: (bytes) back at once.
RETURNED = {"MALLOC_MMAP_THRESHOLD_": "1048576", "MALLOC_TRIM_THRESHOLD_": "1048576"}

# Modules that lie beside the notebook are not to be imported, whoever started the server.
_GUARD = "import sys; sys.path[:] = [place for place in sys.path if place]"


def opening_line(name: str, host: str = "probebook.page.host") -> str:
    """The code for a workbook of that name, or what else a module serves; running it again changes nothing."""
    return f"{_GUARD}\nfrom {host} import attend; attend({name!r})"
