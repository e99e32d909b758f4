"""Words as data: sentences of ``scenarios/text``, said of typed facts.

Python chooses *which* sentence is said and hands over the facts; the text says *how*. A sentence holds holes and
nothing else: ``{{ fact }}``, ``{{ fact|way }}``, ``{{ fact|way(2) }}``. Importing this package is cheap: Jinja2 is
loaded when a text is first read, Babel when a language other than English needs its rules.
"""

from __future__ import annotations

from probebook.words.facts import Facts, Phrase
from probebook.words.language import Language
from probebook.words.nouns import Named, Noun
from probebook.words.words import Words

__all__ = ["Facts", "Language", "Named", "Noun", "Phrase", "Words"]
