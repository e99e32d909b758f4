"""The public face of Probebook: what a script, a notebook or the command line may use.

Every name here is a name of the package too (``from probebook import load_library``), and loads when it is first
asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from probebook import HOMES

if TYPE_CHECKING:
    from probebook.api.bench import Energised, Taken, energise, take_reading, usual_meter
    from probebook.api.diagnosing import diagnose, explain, read_evidence
    from probebook.api.files import check_file, preview_page, scenario_files
    from probebook.api.questions import build_question, make_case, mark_answer
    from probebook.api.trade import load_appliance, load_library
    from probebook.api.workbooks import (
        build_files,
        compile_workbook,
        count_coverage,
        load_plans,
        stale_files,
        verify_workbooks,
        write_files,
    )
    from probebook.appliances import Appliance, State
    from probebook.cases.library import Library
    from probebook.cases.model import Case
    from probebook.diagnosis.probability.conflicts import minimal_candidates, minimal_conflicts
    from probebook.files import write_atomic
    from probebook.meters import Meter
    from probebook.questions.model import Kind, Marked, Question

__all__ = [
    "Appliance",
    "Case",
    "Energised",
    "Kind",
    "Library",
    "Marked",
    "Meter",
    "Question",
    "State",
    "Taken",
    "build_files",
    "build_question",
    "check_file",
    "compile_workbook",
    "count_coverage",
    "diagnose",
    "energise",
    "explain",
    "load_appliance",
    "load_library",
    "load_plans",
    "make_case",
    "mark_answer",
    "minimal_candidates",
    "minimal_conflicts",
    "preview_page",
    "read_evidence",
    "scenario_files",
    "stale_files",
    "take_reading",
    "usual_meter",
    "verify_workbooks",
    "write_atomic",
    "write_files",
]


def __getattr__(name: str) -> Any:
    """Load a public name from the module it is written in."""
    if name not in HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(HOMES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
