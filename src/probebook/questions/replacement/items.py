"""Lines of the stock list: the right part, and others like it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from probebook.appliances import Appliance, Part
from probebook.appliances.naming import part_noun
from probebook.cases.seeds import stream
from probebook.questions.replacement.ratings import Rating, rating_of
from probebook.questions.replacement.stock import Stock, fit_of
from probebook.words import Noun, Words

__all__ = ["Item", "Respect", "fitted_otherwise", "part_wanted", "rated_otherwise"]

#: In what a part may fail to fit.
Respect = Literal["fixing", "size", "terminals"]


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the stock list."""

    code: str
    make: str
    name: Noun
    rating: Rating
    fixing: Noun
    terminals: Noun
    size: Noun

    def fit(self, respect: Respect) -> Noun:
        """How it fits in one respect."""
        return {"fixing": self.fixing, "size": self.size, "terminals": self.terminals}[respect]


def part_wanted(words: Words, appliance: Appliance, part: Part, source: Stock) -> Item:
    """The right part, with the fixing, terminals and size it always has."""
    rng = stream("fit", appliance.id, part.mark)
    fit = fit_of(appliance, part, source)
    return Item(
        code=f"{part.mark[0]}{rng.randrange(1000, 10000)}",
        make=rng.choice(source.makes),
        name=part_noun(words, part),
        rating=rating_of(appliance, part),
        fixing=rng.choice(fit.fixings),
        terminals=rng.choice(fit.terminals),
        size=rng.choice(fit.sizes),
    )


def rated_otherwise(item: Item, source: Stock, rating: Rating) -> Item:
    """Another line that fits like this one and is rated otherwise, with another code and make."""
    return _other(replace(item, rating=rating), source, "rating", rating.stamp)


def fitted_otherwise(item: Item, source: Stock, respect: Respect, fit: Noun) -> Item:
    """Another line that is rated like this one and fits otherwise in one respect, with another code and make."""
    changed = {
        "fixing": replace(item, fixing=fit),
        "size": replace(item, size=fit),
        "terminals": replace(item, terminals=fit),
    }[respect]
    return _other(changed, source, respect, fit.id)


def _other(item: Item, source: Stock, respect: str, key: str) -> Item:
    rng = stream("other", item.code, (respect, key))
    code = f"{item.code[0]}{rng.randrange(1000, 10000)}"
    return replace(item, code=code, make=rng.choice(source.makes))
