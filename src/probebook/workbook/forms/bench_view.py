"""What a page is told of a bench once: drawings, what can be done to what, and words. Nothing in it tells the fault.

It depends on the appliance and the language alone: two benches of one appliance have the same view, whatever is wrong
with them. What has been done is in :mod:`probebook.workbook.forms.bench_state`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from probebook.appliances import Appliance, BranchKind, PartKind, Wire
from probebook.bench.acts import DIAL, Verb
from probebook.bench.conductors import dead_pairs
from probebook.bench.possible import every_act
from probebook.bench.reading import to_look_at
from probebook.bench.simulator import Bench
from probebook.bench.telling import act_words, dial_words
from probebook.drawings import closed_contacts, schematic
from probebook.drawings.bench import workbench
from probebook.drawings.meter_drawing import DIAL as PRINTED
from probebook.words import Words
from probebook.workbook.forms.bench_facts import (
    BenchButtons,
    BenchHeads,
    BenchLists,
    BenchTitle,
    BenchWords,
    CoverButton,
    CoveredTerminal,
    ListedPart,
    ListedTerminal,
    ListedWire,
    LogHeads,
    TestButton,
    WireAlone,
)

__all__ = ["sections", "view"]

_NAMES = re.compile(r"<(title|desc|metadata)\b[^>]*>[^<]*</\1>\n?| (?:id|data-live|data-lifted|data-flow)=\"[^\"]*\"")
_HEADS = {
    "supply": (Verb.ISOLATE, Verb.LOCK, Verb.PROVE, Verb.TEST, Verb.ENERGISE),
    "covers": (Verb.COVER_OFF, Verb.COVER_ON),
    "controls": (Verb.CONTROLS, Verb.CALLING, Verb.RESTING, Verb.WATCH, Verb.RUN, Verb.RECORD),
    "wires": (Verb.LIFT, Verb.REFIT),
    "look": (Verb.LOOK, Verb.DRY, Verb.BYPASS),
    "meter": (Verb.METER, Verb.NULL),
}


def view(bench: Bench) -> dict[str, Any]:
    """All that does not change while the job goes on, as plain JSON data."""
    words, appliance = bench.words, bench.appliance
    return {
        "language": words.language.id,
        "title": words.say(BenchTitle(words.noun(appliance.title)), "title"),
        "drawings": {
            "wide": _terse(workbench(words, appliance)),
            "narrow": _terse(workbench(words, appliance, narrow=True)),
            "schematic": _terse(schematic(words, appliance, moving=True)),
        },
        "steps": list(_steps(words, appliance)),
        "supply": _plain(words, "energise", Verb.ENERGISE),
        "covers": [_cover(words, name) for name, _ in appliance.covers],
        "positions": [_position(words, appliance, p.name) for p in appliance.positions],
        "thermostat": _thermostat(words, appliance),
        "tries": _tries(words, appliance),
        "dry": _plain(words, "dry", Verb.DRY),
        "dial": [_setting(bench, function) for function in DIAL],
        "null": _plain(words, "null", Verb.NULL),
        "terminals": [_terminal(words, appliance, name) for name in appliance.terminals],
        "parts": [_part(words, appliance, mark) for mark in (p.mark for p in appliance.parts)],
        "wires": [_wire(words, appliance, wire) for wire in appliance.wires],
        "faults": [str(words.noun(fault.title)) for fault in appliance.faults],
        "lists": list(sections(words, appliance)),
        "words": _words(words),
    }


def _terse(svg: str) -> str:
    """A drawing without what the page takes out of it: what things are called it says itself, from the view."""
    return _NAMES.sub("", svg)


def sections(words: Words, appliance: Appliance) -> Iterator[dict[str, Any]]:
    """Every act that can ever be done, under its heading, in words."""
    acts = {verb: [f"{verb.value} {what}".strip() for what in whats] for verb, whats in every_act(appliance)}
    for head, verbs in _HEADS.items():
        found = [{"act": act, "label": _listed(words, appliance, act)} for verb in verbs for act in acts[verb]]
        yield {"label": words.say(BenchHeads(), head), "acts": found}


def _words(words: Words) -> dict[str, str]:
    said = {key: str(words.say(BenchWords(), key)) for key in BenchWords.says_}
    said |= {f"head-{key}": str(words.say(BenchHeads(), key)) for key in BenchHeads.says_}
    said |= {f"log-{key}": str(words.say(LogHeads(), key)) for key in LogHeads.says_}
    for key in ("look", "bridge", "lift", "refit", "read", "conclude", "restart", "restart-hint"):
        said[key] = str(words.say(BenchButtons(), key))
    for key in ("probe", "to", "nothing-wrong"):
        said[key] = str(words.say(BenchLists(), key))
    return said


def _listed(words: Words, appliance: Appliance, act: str) -> str:
    said = act_words(words, appliance, act)
    return said[:1].upper() + said[1:]


def _plain(words: Words, key: str, act: str) -> dict[str, str]:
    return {"act": str(act), "label": str(words.say(BenchButtons(), key))}


def _steps(words: Words, appliance: Appliance) -> Iterator[dict[str, Any]]:
    """The steps of isolating and proving dead; ``done`` names what the state says when one is done."""
    yield {**_plain(words, "isolate", Verb.ISOLATE), "done": "isolated"}
    yield {**_plain(words, "lock", Verb.LOCK), "done": "locked"}
    yield {**_plain(words, "prove", Verb.PROVE), "done": "tester_proved"}
    for pair in dead_pairs(appliance):
        label = str(words.say(TestButton(pair.replace("-", "–")), "test"))
        yield {"act": f"{Verb.TEST} {pair}", "label": label, "done": f"tested {pair}"}
    yield {**_plain(words, "prove-again", Verb.PROVE), "done": "tester_proved_again"}


def _cover(words: Words, name: str) -> dict[str, str]:
    facts = CoverButton(words.noun(name))
    return {
        "name": name,
        "label": str(words.noun(name)),
        "off": str(words.say(facts, "cover-off")),
        "on": str(words.say(facts, "cover-on")),
        "off_act": f"{Verb.COVER_OFF} {name}",
        "on_act": f"{Verb.COVER_ON} {name}",
    }


def _position(words: Words, appliance: Appliance, name: str) -> dict[str, Any]:
    return {
        "name": name,
        "label": str(words.noun(appliance.position(name).title)),
        "act": f"{Verb.CONTROLS} {name}",
        "closed": sorted(closed_contacts(appliance, name)),
        "resting": sorted(closed_contacts(appliance, name, calling=False)),
    }


def _thermostat(words: Words, appliance: Appliance) -> list[dict[str, str]]:
    if not any(branch.cycles for branch in appliance.branches):
        return []
    return [_plain(words, "calling", Verb.CALLING), _plain(words, "resting", Verb.RESTING)]


def _tries(words: Words, appliance: Appliance) -> list[dict[str, str]]:
    found = [_plain(words, "watch", Verb.WATCH), _plain(words, "run", Verb.RUN)]
    return [*found, _plain(words, "record", Verb.RECORD)] if appliance.heat else found


def _setting(bench: Bench, function: Any) -> dict[str, str]:
    return {
        "function": function.value,
        "act": f"{Verb.METER} {function.value}",
        "sign": dict(PRINTED)[function],
        "label": str(dial_words(bench.words, bench.appliance, function, alone=True)),
        "meter": str(bench.noun(bench.meter_for(function).title)),
    }


def _terminal(words: Words, appliance: Appliance, name: str) -> dict[str, str]:
    part = appliance.part(name.partition(".")[0])
    title = words.noun(part.title)
    said: dict[str, str] = {"name": name, "cover": part.cover}
    said["label"] = str(words.say(ListedTerminal(name, title), "terminal"))
    said["covered"] = said["label"]
    if part.cover:
        said["covered"] = str(words.say(CoveredTerminal(name, title, words.noun(part.cover)), "terminal-covered"))
    return said


def _part(words: Words, appliance: Appliance, mark: str) -> dict[str, Any]:
    part = appliance.part(mark)
    branches = [b for b in appliance.branches if b.part == mark and b.kind is not BranchKind.INSULATION]
    alone = [b.place for b in branches if b.place and len(_heated_by(appliance, b.place)) == 1]
    return {
        "mark": mark,
        "cover": part.cover,
        "label": str(words.say(ListedPart(mark, words.noun(part.title)), "part-named")),
        "look": f"{Verb.LOOK} {mark}" if mark in to_look_at(appliance) else "",
        "bridge": f"{Verb.BYPASS} {mark}" if part.kind is PartKind.CUT_OUT else "",
        "subjects": sorted({mark, *(b.name for b in branches), *alone}),
    }


def _heated_by(appliance: Appliance, place: str) -> set[str]:
    return {b.part for b in appliance.branches if b.place == place}


def _wire(words: Words, appliance: Appliance, wire: Wire) -> dict[str, Any]:
    mark, colour = wire.mark, words.noun(wire.colour)
    return {
        "mark": mark,
        "ends": [wire.start, wire.end],
        "label": str(words.say(ListedWire(mark, colour, wire.start, wire.end), "wire-named")),
        "short": str(words.say(WireAlone(mark), "wire-alone")),
        "lift": f"{Verb.LIFT} {mark}",
        "refit": f"{Verb.REFIT} {mark}",
        "look": f"{Verb.LOOK} {mark}",
        "lift_words": _listed(words, appliance, f"{Verb.LIFT} {mark}"),
        "refit_words": _listed(words, appliance, f"{Verb.REFIT} {mark}"),
    }
