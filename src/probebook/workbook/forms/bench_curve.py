"""The heat-up record taken on a bench as a curve: what a thermometer in the appliance would have shown."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence

from probebook.bench.acts import Verb
from probebook.bench.simulator import Bench
from probebook.memo import memo_by_identity
from probebook.workbook.forms.bench_facts import CurveTitle
from probebook.workbook.forms.bench_state import Step

__all__ = ["curve_of", "record_in"]


def curve_of(bench: Bench, steps: Sequence[Step]) -> dict[str, str]:
    """The record taken last: its title, its picture (an SVG file in base64), the same in words; empty without one."""
    taken = next((step for step in reversed(steps) if step.act == Verb.RECORD), None)
    return record_in(bench, taken.picture["position"]) if taken else {}


def record_in(bench: Bench, position: str) -> dict[str, str]:
    """The record taken in a position, as :func:`curve_of` gives it."""
    return dict(_drawn(bench, position))


@memo_by_identity(8, also=1)
def _drawn(bench: Bench, position: str) -> dict[str, str]:
    """The record in a position. What opened when is not said: a thermometer does not tell it."""
    from probebook.heating.installed import record_of
    from probebook.heating.plots import record_svg
    from probebook.heating.saying import summary

    words = bench.words
    record = record_of(bench.appliance, position, bench.spec.truth)
    title = words.say(CurveTitle(bench.noun(bench.appliance.position(position).title)), "curve")
    svg = record_svg(words, record, title=title, contacts=False)
    told = summary(words, record, contacts=False)
    return {"title": str(title), "svg": b64encode(svg.encode()).decode("ascii"), "told": str(told)}
