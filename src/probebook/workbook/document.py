"""Pages that are files of their own: one HTML text that asks for nothing, runs nothing and sends nothing."""

from __future__ import annotations

from probebook.workbook.markup import safe

__all__ = ["POLICY", "document"]

#: Nothing of such a page may load, run or send anything.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"


def document(title: str, language: str, looks: str, body: str, *, is_large: bool = False) -> str:
    """A whole page.

    Parameters
    ----------
    title, language
        Its title as text, and the tag of its language.
    looks
        Its ``style`` element.
    body
        What it shows, as HTML of ours.
    is_large
        Whether in letters half as large again.
    """
    size = ' style="font-size: 150%"' if is_large else ""
    return (
        f'<!DOCTYPE html>\n<html lang="{safe(language)}"{size}>\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{safe(title)}</title>\n{looks}\n</head>\n<body>\n{body}</body>\n</html>\n"
    )
