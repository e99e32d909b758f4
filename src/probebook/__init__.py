"""Probebook: workbooks and assessments for people who learn to diagnose heating appliances with a meter.

Importing the package costs nothing: submodules load when they are first named, and no other module,
of the standard library or beyond, is imported here.
"""

from __future__ import annotations

__version__ = "0.1.0"

TYPE_CHECKING = False  # typing's own name for it, without loading typing
if TYPE_CHECKING:
    from types import ModuleType


def __getattr__(name: str) -> ModuleType:
    """Load the submodule ``name`` at its first use, so that ``probebook.units`` works after a bare import."""
    import importlib

    full_name = f"{__name__}.{name}"
    if not name.startswith("_"):
        try:
            return importlib.import_module(full_name)
        except ModuleNotFoundError as error:
            if error.name != full_name:  # the submodule is there, and a library it needs is not
                raise
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
