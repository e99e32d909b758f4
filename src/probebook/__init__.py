"""Probebook: workbooks and assessments for people who learn to diagnose heating appliances with a meter.

Importing the package costs nothing: submodules load when they are first named, and no third-party
library is imported here.
"""

from __future__ import annotations

import importlib
import importlib.util
from typing import Any

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """Load the submodule ``name`` at its first use, so that ``probebook.units`` works after a bare import."""
    if not name.startswith("_"):
        full_name = f"{__name__}.{name}"
        if importlib.util.find_spec(full_name) is not None:
            return importlib.import_module(full_name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
