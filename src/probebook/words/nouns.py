"""Nouns: names of things, with what a language needs to put them into a sentence."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Named", "Noun"]


@dataclass(frozen=True)
class Noun:
    """The name of a thing, in the language it is said in.

    Attributes
    ----------
    id
        What the thing is, in every language the same.
    text
        The name, in the singular unless ``number`` says otherwise.
    plural
        The name of several; empty where the language file gives none.
    article
        The indefinite article, where it is not what the language's rule gives.
    gender
        As the language file writes it ('m', 'f', 'n'), empty where the language has none.
    number
        'one', or 'many' for a name that is a plural itself.
    forms
        (case, text) pairs.
    """

    id: str
    text: str
    plural: str = ""
    article: str = ""
    gender: str = ""
    number: str = "one"
    forms: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        """Return the name."""
        return self.text

    def form(self, case: str) -> str:
        """Return the name in a case; the plain name where the language has no such form."""
        return next((text for name, text in self.forms if name == case), self.text)


@dataclass(frozen=True)
class Named(Noun):
    """A name made of other names, such as that of a circuit of an element.

    Attributes
    ----------
    parts
        (role, noun or text) pairs it was made of.
    """

    parts: tuple[tuple[str, Noun | str], ...] = ()

    def part(self, role: str) -> Noun | str:
        """Return what plays a role in the name; KeyError when nothing does."""
        return dict(self.parts)[role]
