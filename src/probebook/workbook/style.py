"""How forms look: style sheets from the package's files, as the cell of a notebook takes them.

Colours come from JupyterLab's own theme, so that light and dark both have their contrast.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

__all__ = ["style_tag"]


@cache
def style_tag(*names: str) -> str:
    """The style sheets of these names (``form`` for ``static/form.css``) as one ``style`` element."""
    folder = files("probebook.workbook") / "static"
    sheets = [(folder / f"{name}.css").read_text(encoding="utf-8") for name in names]
    return f"<style>\n{''.join(sheets)}</style>"
