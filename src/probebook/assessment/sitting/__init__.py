"""Sitting: a paper opened, answered, handed in.

A paper begins with ``from probebook.assessment.sitting import open_paper``; widgets load when that is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from probebook.assessment.sitting.paper import OpenPaper, open_paper

__all__ = ["OpenPaper", "open_paper"]


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    """Say to Jupyter's server what there is to load."""
    return [{"module": "probebook.assessment.sitting"}]


def _load_jupyter_server_extension(server: Any) -> None:
    """Add the pages of papers to a server that is starting."""
    from probebook.assessment.sitting.serving import load

    load(server)


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module("probebook.assessment.sitting.paper"), name)
