"""A sealed key opened: what was set for a class."""

from __future__ import annotations

from pathlib import Path

from probebook.assessment.codec import read_paper_set
from probebook.assessment.model import PaperSet
from probebook.assessment.setting.sealing import unseal
from probebook.errors import UsageError

__all__ = ["open_key"]


def open_key(path: Path, passphrase: str) -> PaperSet:
    """What a sealed key holds; UsageError says whether it is none, damaged, or the passphrase is another."""
    try:
        content = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise UsageError(f"the key cannot be read ({reason})", where=str(path), remedy="check the path") from error
    return read_paper_set(unseal(content, passphrase, path.name), path.name)
