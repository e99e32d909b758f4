"""Break what a file holds rather than how it is written: keys taken away, types changed, figures without measure.

A tree is what ``tomllib`` or ``json`` reads; :func:`to_toml` writes one, so that it can be read again.
"""

from __future__ import annotations

import json
import math
import random
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from typing import Any

__all__ = ["broken_tree", "shortened", "to_toml"]

#: A container of the tree and the key or place of something in it.
Place = tuple[Any, Any]

NESTED: Any = "deep"
for _ in range(40):
    NESTED = [NESTED]

#: What may stand in the place of anything.
STRANGE: tuple[Any, ...] = (
    "", " ", "0", "-1", "x", "\u202e", "\u200b", "\ufeff", "e\u0301", "٣ W", "\uff11\uff12 W", "😀", "ß", "İ",
    "\x1b[2J", "\x7f", "a\nb", "a\tb", "\\", '"', "'", "`", "|", "*x*", "_x_", "<script>alert(1)</script>",
    "{{ 7 * 7 }}", "{{ x", "{% if %}", "{{ part|watts }}", "${HOME}", "%s", "{0}", "../../../etc/passwd", "/dev/zero",
    "__class__", "nan", "inf", "-inf", "1e400 W", "-5 W", "0 W", "1150 kg", "1e-300 ohm", "0 ohm", "-1 ohm",
    "1e300 ohm", "5 %", "500 %", "-300 degC", "x" * 5000, "x " * 3000, "9" * 400, 0, -1, 1, 2, 10**30, -(10**400),
    0.0, -0.0, 1e308, 5e-324, math.inf, -math.inf, math.nan, True, False, [], {}, [[]], [{}], {"": 0},
    {"a": {"b": []}}, [0], [""], ["", ""], [1, "a", {}], NESTED, [1] * 3000, ["x"] * 600, date(1979, 5, 27),
    datetime(1979, 5, 27, 7, 32), time(7, 32),
)  # fmt: skip


def places(tree: Any) -> Iterator[Place]:
    """Every place in a tree that something can be taken from or put into, outermost first."""
    waiting = [tree]
    while waiting:
        found = waiting.pop(0)
        keys = list(found) if isinstance(found, dict) else range(len(found))
        for key in keys:
            yield found, key
            if isinstance(found[key], (dict, list)):
                waiting.append(found[key])


def near(name: str, rng: random.Random) -> str:
    """A name as somebody mistypes it."""
    at = rng.randrange(len(name) + 1)
    return rng.choice((
        name[:at] + name[at + 1 :], name[:at] + rng.choice("aeinrst-_ .É") + name[at:], name.upper(), name.title(),
        name + "s", name.replace("-", "_"), name.replace("_", "-"), name[::-1], f" {name} ", name[:at],
    ))  # fmt: skip


def _drop(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng)
    del held[key]


def _rename(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, _: isinstance(held, dict))
    value = held.pop(key)
    held[near(key, rng)] = value


def _strange(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng)
    held[key] = _copied(rng.choice(STRANGE))


def _mistyped(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, key: isinstance(held[key], str))
    held[key] = near(held[key], rng)


def _other(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng)
    other, there = _one(tree, rng)
    held[key] = _copied(other[there])


def _repeated(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, _: isinstance(held, list))
    held.insert(rng.randrange(len(held) + 1), _copied(held[key]))


def _cut(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, key: isinstance(held[key], list))
    held[key] = held[key][: rng.choice((0, 1, 1, 2))]


def _measure(tree: Any, rng: random.Random) -> None:
    """Another figure, sign, size or unit in a text that holds a figure; a figure that is none."""
    held, key = _one(tree, rng, lambda held, key: _has_figure(held[key]))
    value = held[key]
    if isinstance(value, str):
        figure = rng.choice(("0", "-1", "1e30", "1e-30", "00012", "1.2.3", "1,5", "٣", "nan", "1e999", "", "9" * 60))
        held[key] = re.sub(r"[0-9.]+", figure, value, count=1)
    else:
        held[key] = rng.choice((-value, value * 10**6, value / 10**6, 0, value + 1, value + 0.5, str(value), 10**300))


def _unmeasured(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, key: isinstance(held[key], str) and _has_figure(held[key]))
    unit = rng.choice(("kg", "degC", "ohm/m", "W", "V", "A", "%", "mm2", "l", "m", "s", "K", "J", "", "furlong", "Ω²"))
    held[key] = re.sub(r"(?<=[0-9]) ?[^0-9 ]*$", f" {unit}", held[key])


def _more(tree: Any, rng: random.Random) -> None:
    held, key = _one(tree, rng, lambda held, _: isinstance(held, dict))
    held[rng.choice(("", "id", "mark", "name", "kind", "__init__", "a.b", "x" * 300, near(key, rng)))] = _copied(
        rng.choice(STRANGE)
    )


WAYS: tuple[Callable[[Any, random.Random], None], ...] = (
    _drop, _drop, _rename, _strange, _strange, _strange, _mistyped, _mistyped, _other, _other, _repeated, _cut,
    _measure, _measure, _unmeasured, _more,
)  # fmt: skip


def broken_tree(tree: Any, rng: random.Random) -> Any:
    """A copy of a tree with one to three things in it broken."""
    copied = _copied(tree)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        try:
            rng.choice(WAYS)(copied, rng)
        except (IndexError, OverflowError, TypeError):  # nothing of the sort is there, or two keys are no longer alike
            continue
    return copied


def _one(tree: Any, rng: random.Random, fits: Callable[[Any, Any], bool] = lambda _held, _key: True) -> Place:
    """Any place that fits, shallow ones as often as deep ones; IndexError when none does."""
    found = [place for place in places(tree) if fits(*place)]
    return rng.choice(found[:40]) if rng.random() < 0.3 else rng.choice(found)


def _has_figure(value: Any) -> bool:
    if isinstance(value, str):
        return re.search(r"[0-9]", value) is not None
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(held) for key, held in value.items()}
    return [_copied(held) for held in value] if isinstance(value, list) else value


def shortened(tree: Any, most: int = 4) -> Any:
    """A tree whose lists hold few items each: as sound as before where every item is of one sort."""
    if isinstance(tree, dict):
        return {key: shortened(held, most) for key, held in tree.items()}
    return [shortened(held, most) for held in tree[:most]] if isinstance(tree, list) else tree


def to_toml(tree: dict[str, Any]) -> str:
    """The tree as TOML: tables and rows by headers where that can be, everything else in one line."""
    lines: list[str] = []
    for tables in (False, True):
        for key, held in tree.items():
            rows = [held] if isinstance(held, dict) else held
            is_table = isinstance(rows, list) and bool(rows) and all(isinstance(row, dict) for row in rows)
            if is_table is not tables:
                continue
            if not is_table:
                lines.append(f"{_key(key)} = {_value(held)}")
                continue
            mark = f"[{_key(key)}]" if isinstance(held, dict) else f"[[{_key(key)}]]"
            for row in rows:
                lines += ["", mark, *(f"{_key(name)} = {_value(item)}" for name, item in row.items())]
    return "\n".join(lines) + "\n"


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else json.dumps(key, ensure_ascii=False)


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {_value(held)}" for key, held in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, bool):
        return str(value).lower()
    return "0" if value is None else repr(value)
