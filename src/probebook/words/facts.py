"""Facts: what a sentence is told, as frozen dataclasses that name the sentences they serve."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import ClassVar, NewType

__all__ = ["Facts", "Phrase", "facts_by_group", "texts_beside"]

#: Text that was said already, with holes filled: a sentence or a clause inside another.
Phrase = NewType("Phrase", str)

_classes: dict[str, dict[str, type[Facts]]] = {}


class Facts:
    """Base of all facts; a subclass is a frozen dataclass and names its group and its sentences.

    ``class Watts(Facts, group="questions/power/watts", says=("prompt", "working"))`` serves two sentences of the table
    ``[watts]`` in ``text/<language>/questions/power.toml``. A subclass without ``says`` is a base that others share.

    Attributes
    ----------
    group_
        File and table, ``<file>/<table>``, without the folder of the language.
    says_
        Ids of the sentences, as they stand in the table; dots lead into tables inside it.
    """

    group_: ClassVar[str] = ""
    says_: ClassVar[tuple[str, ...]] = ()

    def __init_subclass__(cls, group: str | None = None, says: tuple[str, ...] | None = None, **rest: object) -> None:
        super().__init_subclass__(**rest)
        if isinstance(says, str):
            raise TypeError(f"{cls.__qualname__}: says= is a tuple of names, not one text")
        if group is not None:
            cls.group_ = group
        if says is not None:
            cls.says_ = says
        # A dataclass with slots is made twice and comes without keywords the second time: the later class replaces.
        named_here = group is not None or says is not None or "says_" in cls.__dict__
        if named_here and cls.group_ and cls.says_:
            _classes.setdefault(cls.group_, {})[f"{cls.__module__}.{cls.__name__}"] = cls


def facts_by_group(prefix: str = "probebook.") -> dict[str, list[type[Facts]]]:
    """Return all classes of facts that were imported so far, by group, of modules that begin with ``prefix``."""
    found = {
        group: [cls for name, cls in sorted(classes.items()) if name.startswith(prefix)]
        for group, classes in sorted(_classes.items())
    }
    return {group: classes for group, classes in found.items() if classes}


def texts_beside(file: str, language: str) -> list[Path]:
    """Return where the sentences of a file would lie beside the code of their facts: ``words.<language>.toml``."""
    modules = {
        cls.__module__
        for group, kinds in _classes.items()
        if group.rpartition("/")[0] == file
        for cls in kinds.values()
    }
    sources = (getattr(sys.modules.get(name), "__file__", None) for name in sorted(modules))
    return [Path(source).with_name(f"words.{language}.toml") for source in sources if source]
