"""The page of a paper: its text and drawings, and the places of its forms, benches and sheets."""

from __future__ import annotations

import re
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from urllib.parse import quote

from probebook.page.facts import Listed, PageTexts, StateWords, Troubles
from probebook.page.frame import BUNDLE, Frame, framed
from probebook.page.reading import Part, Reading
from probebook.page.standing import page_words
from probebook.words import Phrase
from probebook.workbook.markup import safe

__all__ = ["paper_page"]


def paper_page(reading: Reading, folder: Path, frame: Frame) -> str:
    """The page as HTML; every form in it is drawn by the kernel, from when it is there the time runs."""
    words = page_words(frame.language)
    name = reading.name
    say = {key: safe(words.say(PageTexts(), key)) for key in PageTexts.says_}
    told = {
        "name": name,
        "base": frame.base,
        "static": frame.static,
        "kernel": f"{frame.home}paper/{quote(name)}/kernel",
        "home": sha256(f"{folder}/{name}".encode()).hexdigest()[:16],
        "forms": {},
        "words": {
            **{key: words.say(Troubles(), key) for key in Troubles.says_},
            **{key: words.say(StateWords(), key) for key in StateWords.says_},
            "elsewhere": words.say(PageTexts(), "elsewhere"),
            "elsewhereLink": words.say(PageTexts(), "elsewhere-link"),
        },
        "elsewhere": f"{frame.base}doc/tree/{quote(name)}.ipynb",
        "signs": {},
    }
    bar = (
        f'<a class="pb-skip" href="#main">{say["skip"]}</a>\n'
        f'<header class="pb-top"><div class="pb-bar"><span class="pb-title">{safe(reading.title)}</span>'
        f'<button type="button" id="pb-open-contents" aria-expanded="false" aria-controls="pb-contents">'
        f"{say['contents']}</button></div>\n"
        '<div id="pb-trouble" class="pb-banner" role="status"></div>\n'
        f'<nav id="pb-contents" class="pb-contents" aria-label="{say["contents"]}">{_contents(reading.parts, frame)}'
        "</nav></header>\n"
    )
    parts = "".join(_part(part, say["coming"]) for part in reading.parts)
    stamp = sha256(repr(reading.drawings).encode()).hexdigest()[:12]
    parts = parts.replace('src="drawing:', f'src="{frame.home}paper/{quote(name)}/drawing/{stamp}/')
    main = f'<main id="main" tabindex="-1">\n{parts}</main>\n'
    return framed(frame, reading.title, bar + main, sheets=(BUNDLE,), entry="page/static/page.js", told=told)


def _contents(parts: Sequence[Part], frame: Frame) -> str:
    """The questions, by number and title."""
    words = page_words(frame.language)
    rows = []
    for part in parts:
        if part.kind == "text" and part.question and part.heading:
            number = part.question.removeprefix("q").lstrip("0")
            is_told = re.search(rf"\b{re.escape(number)}\b", part.heading.partition(":")[0]) is not None
            label = part.heading if is_told else words.say(Listed(number, Phrase(part.heading)), "question")
            rows.append(f'<li class="pb-listed"><a href="#{safe(part.question)}">{safe(label)}</a></li>')
    return f"<ul>{''.join(rows)}</ul>"


def _part(part: Part, coming: str) -> str:
    if part.kind == "text":
        return f'<section class="pb-text">{part.html}</section>\n'
    place = part.question if part.kind == "ask" else part.kind
    kind = "pb-place pb-ask" if part.kind == "ask" else "pb-place"
    return f'<div class="{kind}" data-place="{safe(place)}"><p class="pb-coming">{coming}</p></div>\n'
