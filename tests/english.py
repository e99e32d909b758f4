"""English, as the scenarios of the source tree say it, for tests that mark or show something."""

from __future__ import annotations

from pathlib import Path

from probebook.words import Words

WORDS = Words(Path(__file__).resolve().parents[1] / "scenarios")
