"""A whole bench as a table: what is read, what is seen, how long it takes, what is said. No fault, and no key.

:func:`table_of` is all that the page needs to run a bench without the kernel. What a job on it earns is not in it: that
is :func:`key_of`, which a page for practice may hold and a paper must not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

from probebook.appliances import PartKind, Position
from probebook.appliances.naming import load_noun
from probebook.appliances.supply.reaching import mounted, tells_of
from probebook.bench.acts import DIAL, NOTHING_WRONG
from probebook.bench.conductors import dead_pairs, lines_read, sides
from probebook.bench.facts import Looks, LooksSound, RanAt
from probebook.bench.grading import OUTSIDE
from probebook.bench.reading import metalwork, to_look_at, turned
from probebook.bench.simulator import Bench
from probebook.bench.table.readings import readings_of
from probebook.bench.table.sentences import sentences
from probebook.cases.wording import run_words
from probebook.diagnosis import Ran
from probebook.diagnosis.candidates import settled
from probebook.words import Phrase

__all__ = ["key_of", "table_of"]

#: More faults than these nobody concludes in a page.
MOST_FAULTS = 2


def table_of(bench: Bench, *, with_par: bool = True) -> dict[str, Any]:
    """The table as plain JSON data; without the par, a job that has ended is compared with nothing.

    Raises
    ------
    UsageError
        The instruments of the bench err anew in every reading (:attr:`BenchSpec.steady`).
    """
    job = _job(bench)
    return {
        "job": job if with_par else {**job, "par": None},
        "looks": {mark: _look(bench, mark) for mark in to_look_at(bench.appliance)},
        "tries": {position.name: _tries(bench, position.name) for position in bench.appliance.positions},
        "says": sentences(bench, with_par=with_par),
        "readings": readings_of(bench),
    }


def key_of(bench: Bench) -> dict[str, Any]:
    """What a job on a bench earns, as far as the acts alone tell it: for practice, in the open.

    ``right`` are the conclusions that name what is wrong, ``grading`` the marks; whether a learner's own readings
    support a conclusion is weighed by the core alone.
    """
    appliance, rules, spec = bench.appliance, bench.grading, bench.spec
    truth = settled(appliance, spec.truth)
    named = [fault.id for fault in appliance.faults]
    chosen = (found for size in range(MOST_FAULTS + 1) for found in combinations(sorted(named), size))
    return {
        "right": [" + ".join(found) or NOTHING_WRONG for found in chosen if settled(appliance, found) == truth],
        "outside": [fault.id for fault in appliance.faults if fault.kind in OUTSIDE],
        "par": {"trials": spec.par_trials, "minutes": spec.par_minutes},
        "grading": {
            "safety": rules.safety,
            "support": rules.support,
            "economy": rules.economy,
            "conclusion": rules.conclusion,
            "thrifty": rules.thrifty,
            "fair": rules.fair,
            "spare_trials": rules.spare_trials,
            "spare_minutes": rules.spare_minutes,
        },
    }


def _job(bench: Bench) -> dict[str, Any]:
    """What the appliance is to the hand: covers, wires, what can be reached, how long each thing takes."""
    appliance, made = bench.appliance, bench.start()
    return {
        "position": made.position,
        "positions": [_position(bench, p) for p in appliance.positions],
        "cycles": any(branch.cycles for branch in appliance.branches),
        "records": bool(appliance.heat),
        "covers": dict(appliance.covers),
        "terminals": {name: bench.cover_over(name) for name in appliance.terminals},
        "parts": {part.mark: part.cover for part in appliance.parts},
        "cut_outs": [part.mark for part in appliance.parts if part.kind is PartKind.CUT_OUT],
        "wires": [{"mark": w.mark, "ends": [w.start, w.end], "earth": w.is_earth} for w in appliance.wires],
        "line": appliance.line,
        "neutral": appliance.neutral,
        "earth": appliance.earth,
        **_three_phase(bench),
        "metal": sorted(metalwork(appliance)),
        "turned": [list(probes) for probes in turned(appliance)],
        "faults": [{"id": f.id, "title": str(bench.noun(f.title))} for f in appliance.faults],
        "meters": {f.value: [bench.meter_for(f).id, _nulls(bench, f)] for f in DIAL},
        "minutes": dict(_minutes(bench)),
        "par": [bench.spec.par_trials, round(bench.spec.par_minutes, 1)],
    }


def _position(bench: Bench, position: Position) -> dict[str, Any]:
    """A position; of three lines also which are joined to a load in it, with thermostats calling and resting."""
    appliance, plain = bench.appliance, {"name": position.name, "heats": bool(position.heats)}
    if not appliance.other_lines:
        return plain
    read = {key: lines_read(appliance, position.name, calling=key == "reaches") for key in ("reaches", "resting")}
    keys = {"tells": True, "tells_resting": False}
    told = {key: _told(tells_of(appliance, position.name, calling=calls)) for key, calls in keys.items()}
    return {**plain, **{key: list(lines) for key, lines in read.items()}, **told}


def _told(by_terminal: Mapping[str, tuple[str, ...]]) -> list[list[list[str]]]:
    """Terminals that tell of the same loads, with these loads."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for terminal, loads in by_terminal.items():
        if loads:
            groups.setdefault(loads, []).append(terminal)
    return [[terminals, list(loads)] for loads, terminals in groups.items()]


def _three_phase(bench: Bench) -> dict[str, Any]:
    """What is different where there are three lines: the pairs to test for dead, the sides of an insulation test."""
    appliance = bench.appliance
    if not appliance.other_lines:
        return {}
    loads = {name: str(load_noun(bench.words, appliance, name)) for name in mounted(appliance)}
    return {"pairs": list(dead_pairs(appliance)), "sides": dict(sides(appliance)), "loads": loads}


def _nulls(bench: Bench, function: Any) -> bool:
    return function.through_leads and bench.meter_for(function).can_null


def _minutes(bench: Bench) -> Iterator[tuple[str, float]]:
    for name in ("switch_off", "lock_off", "prove_tester", "test_dead", "null_leads"):
        yield name, getattr(bench.times, name)
    for name in ("probe", "insulation_test", "look", "lift", "set_controls", "dry_out", "restore", "run", "record"):
        yield name, getattr(bench.minutes, name)


def _look(bench: Bench, mark: str) -> str:
    seen = bench.seen_at(mark)
    return str(
        bench.say(Looks(mark, Phrase(seen.what)), "looks") if seen.what else bench.say(LooksSound(mark), "looks-sound")
    )


def _tries(bench: Bench, position: str) -> dict[str, Any]:
    """What a run, a record and a look at the lamps show in a position; None where there is nothing to see."""
    return {
        "watched": _tried(bench, bench.lamps_in(position), "watched"),
        "ran": _tried(bench, bench.ran_in(position), "ran"),
        "recorded": _tried(bench, bench.ran_in(position, record=True), "recorded"),
    }


def _tried(bench: Bench, ran: Ran, key: str) -> dict[str, Any] | None:
    if not ran.symptoms:
        return None
    title = bench.noun(bench.appliance.position(ran.position).title)
    said = bench.say(RanAt(title, Phrase(run_words(bench.appliance, ran, bench.words))), key)
    return {"said": str(said), "lit": {symptom.subject: symptom.how for symptom in ran.symptoms}}
