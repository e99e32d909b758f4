"""Options of questions: each is of a kind that is checked, by its type or against the names that there are."""

from __future__ import annotations

import pytest

from probebook.questions.model import Kind
from probebook.questions.options.named import _NAMES, PLAIN, options_of

#: Options that may hold any text.
FREE: frozenset[str] = frozenset()


@pytest.mark.parametrize("kind", list(Kind))
def test_every_option_is_checked(kind: Kind) -> None:
    """An option is plain, or names something, or is free text on purpose: none is refused for want of a rule."""
    assert set(options_of(kind)) - set(PLAIN) - set(_NAMES) <= FREE


def test_every_rule_is_of_an_option() -> None:
    """No rule is left over from an option that no kind reads any more; none is both plain and a name."""
    known = {key for kind in Kind for key in options_of(kind)}
    assert set(PLAIN) | set(_NAMES) | FREE == known
    assert not set(PLAIN) & set(_NAMES)
