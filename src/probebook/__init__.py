"""Probebook: workbooks and assessments for people who learn to diagnose heating appliances with a meter.

What is listed in ``__all__`` is the public face; each name has its own documentation and an example::

    from probebook import load_appliance, load_library, take_reading

Importing the package costs nothing: names and submodules load when they are first used, and no other module, of the
standard library or beyond, is imported here.
"""

from __future__ import annotations

__version__ = "0.1.0"

TYPE_CHECKING = False  # typing's own name for it, without loading typing
if TYPE_CHECKING:
    from typing import Any

    from probebook.api import *  # noqa: F403 - for type checkers; at run time names load when first used

#: Public names and the modules they are written in.
HOMES = {
    "Appliance": "probebook.appliances",
    "Case": "probebook.cases.model",
    "Energised": "probebook.api.bench",
    "Kind": "probebook.questions.model",
    "Library": "probebook.cases.library",
    "Marked": "probebook.questions.model",
    "Meter": "probebook.meters",
    "Question": "probebook.questions.model",
    "State": "probebook.appliances",
    "Taken": "probebook.api.bench",
    "build_files": "probebook.api.workbooks",
    "build_question": "probebook.api.questions",
    "check_file": "probebook.api.files",
    "compile_workbook": "probebook.api.workbooks",
    "count_coverage": "probebook.api.workbooks",
    "diagnose": "probebook.api.diagnosing",
    "energise": "probebook.api.bench",
    "explain": "probebook.api.diagnosing",
    "load_appliance": "probebook.api.trade",
    "load_library": "probebook.api.trade",
    "load_plans": "probebook.api.workbooks",
    "make_case": "probebook.api.questions",
    "mark_answer": "probebook.api.questions",
    "minimal_candidates": "probebook.diagnosis.probability.conflicts",
    "minimal_conflicts": "probebook.diagnosis.probability.conflicts",
    "preview_page": "probebook.api.files",
    "read_evidence": "probebook.api.diagnosing",
    "scenario_files": "probebook.api.files",
    "stale_files": "probebook.api.workbooks",
    "take_reading": "probebook.api.bench",
    "usual_meter": "probebook.api.bench",
    "verify_workbooks": "probebook.api.workbooks",
    "write_atomic": "probebook.files",
    "write_files": "probebook.api.workbooks",
}

__all__ = ["__version__", *HOMES]


def __getattr__(name: str) -> Any:
    """Load a public name or a submodule at its first use, so that ``probebook.units`` works after a bare import."""
    import importlib

    if name in HOMES:
        found = getattr(importlib.import_module(HOMES[name]), name)
        globals()[name] = found
        return found
    full_name = f"{__name__}.{name}"
    if not name.startswith("_"):
        try:
            return importlib.import_module(full_name)
        except ModuleNotFoundError as error:
            if error.name != full_name:  # the submodule is there, and a library it needs is not
                raise
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    """Return the public names and what is loaded already."""
    return sorted({*__all__, *globals()})
