"""Observations in words for people who read a job record: parts by title and mark, controls, wires, what was shown."""

from __future__ import annotations

import re

from probebook.appliances import Appliance, BranchKind
from probebook.cases.outlook import load_between
from probebook.diagnosis import Complaint, Measured, Observation, Ran, Seen, Symptom, Trial, Tripped
from probebook.diagnosis.symptoms import (
    COLD,
    HOLDS,
    NORMAL,
    OFF,
    PROTECTION,
    RIGHT,
    SHORT_OF,
    STRONGLY,
    TEMPERATURE,
    TOO_COOL,
    TOO_HOT,
    UNWANTED,
    WEAKLY,
)
from probebook.diagnosis.trials import by_number, joined
from probebook.meters import Function

__all__ = [
    "controls",
    "function_words",
    "load_words",
    "observation_line",
    "place",
    "probes",
    "run_words",
    "short",
    "subject_words",
    "wires_off",
]

_HOW = {
    OFF: "does not work",
    WEAKLY: "works weakly",
    NORMAL: "works",
    STRONGLY: "works too strongly",
    UNWANTED: "works although it should be off",
}
_TEMPERATURE = {
    RIGHT: "the set temperature is reached",
    COLD: "it stays cold",
    SHORT_OF: "the set temperature is never reached",
    TOO_COOL: "it settles well below the set temperature",
    TOO_HOT: "it goes well above the set temperature",
}


def short(title: str) -> str:
    """A title without what stands in brackets at its end, or after a comma or 'with'."""
    return re.sub(r"\s*\([^)]*\)$|,.*$| with .*$", "", title)


def place(appliance: Appliance, terminal: str) -> str:
    """A terminal in words: ``line (X1.L) of the mains terminal block``, ``tag 3 (S1.3) of the selector``."""
    mark, _, tag = terminal.partition(".")
    part = appliance.part(mark)
    if len(part.terminals) == 1:
        return f"the {short(part.title)} ({terminal})"
    name = {"L": "line", "N": "neutral", "E": "earth"}.get(tag, f"tag {tag}")
    return f"{name} ({terminal}) of the {short(part.title)}"


def probes(appliance: Appliance, a: str, b: str) -> str:
    """Where the probes are: across a named part, or from one named terminal to another."""
    load = load_between(appliance, a, b)
    if load:
        name = load_words(appliance, load)
        return f"across {'' if name.startswith('section ') else 'the '}{name}: {a} to {b}"
    first, second = appliance.part(a.partition(".")[0]), appliance.part(b.partition(".")[0])
    if first == second:
        contact = next(
            (
                c.name.partition(".")[2]
                for c in appliance.branches
                if c.kind is BranchKind.CONTACT and {appliance.terminals[e] for e in c.ends} == {a, b}
            ),
            "",
        )
        if contact and len(first.terminals) > 2:
            return f"contact {contact} of the {short(first.title)}: {a} to {b}"
        supply = {appliance.line: "line", appliance.neutral: "neutral", appliance.earth: "earth"}
        if a in supply and b in supply:
            return f"{supply[a]} to {supply[b]} at the {short(first.title)}: {a} to {b}"
        return f"across the {short(first.title)}: {a} to {b}"
    wire = next((w for w in appliance.wires if {w.start, w.end} == {a, b}), None)
    if wire:
        kind = "earth bond" if wire.is_earth else "wire"
        return f"{kind} {wire.mark} end to end: {place(appliance, a)} to {place(appliance, b)}"
    return f"{place(appliance, a)} to {place(appliance, b)}"


def load_words(appliance: Appliance, name: str) -> str:
    """A load by title: ``base element``, ``inner circuit of the top element``."""
    branch = appliance.branches[appliance.branch(name)]
    title = short(appliance.part(branch.part).title)
    alone = sum(b.kind is branch.kind and b.part == branch.part for b in appliance.branches) == 1
    own = name.partition(".")[2]
    if alone or not own:
        return title
    return f"section {own} of the {title}" if len(own) == 1 else f"{own} circuit of the {title}"


def controls(appliance: Appliance, trial: Trial) -> str:
    """How the controls stood, thermostats and cut-outs included."""
    words = [appliance.position(trial.position).title]
    if not trial.calling:
        words.append("thermostat not calling")
    if trial.opened:
        words.append(f"{joined(sorted(trial.opened))} warmed until it operates")
    return ", ".join(words)


def wires_off(trial: Trial) -> str:
    """Which wires were off, and whether it had been dried; a dash for none."""
    words = joined(sorted(trial.lifted, key=by_number)) if trial.lifted else "–"
    return f"{words} (dried out first)" if trial.dried else words


def function_words(item: Measured) -> str:
    """What the meter was set to, and how its leads stood."""
    if item.trial.function is Function.INSULATION:
        return "insulation, 500 V"
    return f"{item.trial.function.value}, leads {'nulled' if item.nulled else 'not nulled'}"


def subject_words(appliance: Appliance, subject: str) -> str:
    """What a symptom is about: a part by title, or the heat of a place."""
    for branch in appliance.branches:
        if branch.name == subject:
            return short(appliance.part(branch.part).title)
    parts = list(dict.fromkeys(b.part for b in appliance.branches if b.place == subject))
    sections = [b for b in appliance.branches if b.place == subject]
    if len(parts) == 1 and len(sections) == sum(b.part == parts[0] for b in appliance.branches if b.place):
        return short(appliance.part(parts[0]).title)
    if len(sections) == 1:
        return load_words(appliance, sections[0].name)
    return f"{subject} heat"


def symptom_words(appliance: Appliance, symptom: Symptom) -> str:
    """One symptom as a repairer would write it down."""
    if symptom.subject == PROTECTION:
        return "nothing trips" if symptom.how == HOLDS else f"the {symptom.how}"
    if symptom.subject == TEMPERATURE:
        return _TEMPERATURE.get(symptom.how, symptom.how)
    return f"{subject_words(appliance, symptom.subject)} {_HOW.get(symptom.how, symptom.how)}"


def run_words(appliance: Appliance, item: Ran) -> str:
    """What a functional run showed, what is amiss first."""
    ordered = sorted(item.symptoms, key=lambda s: s.how in (NORMAL, RIGHT, HOLDS))
    return "; ".join(symptom_words(appliance, s) for s in ordered)


def observation_line(appliance: Appliance, item: Observation) -> str:
    """One observation in a line, short enough to be chosen from a list."""
    if isinstance(item, Measured):
        trial = item.trial
        words = [f"{trial.function.value} {trial.probes[0]} to {trial.probes[1]}", controls(appliance, trial)]
        if trial.lifted:
            words.append(f"{joined(sorted(trial.lifted, key=by_number))} off")
        if trial.dried:
            words.append("dried out first")
        return f"{', '.join(words)}: {item.display}"
    if isinstance(item, Seen):
        return f"a look at {item.at}: {item.what or 'nothing to see'}"
    if isinstance(item, Ran):
        return f"functional run at {appliance.position(item.position).title}: {run_words(appliance, item)}"
    if isinstance(item, Tripped):
        return f"{appliance.position(item.position).title}: {item.how}"
    if isinstance(item, Complaint):
        return "what the customer says"
    raise AssertionError(item)
