"""A finding about a scenario file: how much it matters, where it is, what it is, how to mend it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from probebook.errors import ScenarioError

__all__ = ["Finding", "Severity"]


class Severity(StrEnum):
    """How much a finding matters."""

    ERROR = "error"
    WARNING = "warning"
    INFORMATION = "information"


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding: how much it matters, where it is, what it is and how to mend it ('' when there is nothing to do)."""

    severity: Severity
    where: str
    message: str
    remedy: str = ""

    def __str__(self) -> str:
        """The finding in one sentence."""
        return str(ScenarioError(self.message, where=self.where, remedy=self.remedy or None))
