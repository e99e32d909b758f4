"""Pages of our own for workbooks, as an extension of Jupyter's server: its tokens, kernels and sessions, our pages.

A page holds the text and the drawings of a workbook at once; its forms are the components that a notebook shows, held
by a host of ours at both ends: :mod:`probebook.page.host` in the kernel, ``static/host.js`` in the page.
"""

from __future__ import annotations

from typing import Any

__all__ = ["_jupyter_server_extension_points", "_load_jupyter_server_extension"]


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    """Say to Jupyter's server what there is to load."""
    return [{"module": "probebook.page"}]


def _load_jupyter_server_extension(server: Any) -> None:
    """Add our pages to a server that is starting."""
    from probebook.page.extension import load

    load(server)
