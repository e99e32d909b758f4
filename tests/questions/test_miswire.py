"""Miswire questions: one connection explains all the checks, found again on a general graph library."""

from __future__ import annotations

import math
import re

import networkx as nx
import pytest
from case_samples import TRADE, keys_and_slips_are_marked

from probebook.appliances import OHMMETER_VOLTS, Appliance, State, branch_ends, branch_ohms
from probebook.meters import Function
from probebook.questions.frame import Ask
from probebook.questions.miswire.refitting import AS_DRAWN, Check, Miswiring, checks, miswirings, ohms_of
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question


def _questions(appliance: str, level: int) -> list[Question]:
    return [build_question(Ask("q01", Kind.MISWIRE, f"wires {n}", level, appliance), TRADE) for n in range(3)]


def _on_graph(appliance: Appliance, miswiring: Miswiring, check: Check) -> float:
    """Ohms of a check by networkx, with the wires moved as the miswiring says."""
    volts = appliance.region.test_volts if check.function is Function.INSULATION else OHMMETER_VOLTS
    off = frozenset((miswiring.off,)) if miswiring.off else frozenset()
    ohms = branch_ohms(appliance, [State(check.position, lifted=off)], test_volts=volts)[0]
    graph = nx.Graph()
    for branch, (one, other), value in zip(appliance.branches, branch_ends(appliance), ohms, strict=True):
        ends = [appliance.terminals[int(one)], appliance.terminals[int(other)]]
        for mark, belongs, now in miswiring.moves:
            if branch.name == mark:
                ends = [now if end == belongs else end for end in ends]
        if math.isfinite(value) and ends[0] != ends[1]:
            siemens = graph.edges[ends]["siemens"] if graph.has_edge(*ends) else 0.0
            graph.add_edge(*ends, siemens=siemens + 1.0 / max(float(value), 1e-9))
    a, b = check.probes
    if a not in graph or b not in graph or not nx.has_path(graph, a, b):
        return math.inf
    part = graph.subgraph(nx.node_connected_component(graph, a))
    found = float(nx.resistance_distance(part, a, b, weight="siemens", invert_weight=False))
    return math.inf if check.function is not Function.INSULATION and found > 1e7 else found


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_readings_of_miswired_appliances_agree_with_networkx(appliance_id: str) -> None:
    """What the checks show with wires moved agrees with networkx.resistance_distance on the moved graph.

    To 3 parts in 1000: networkx works by a pseudo-inverse, which is no better between milliohms and megohms.
    """
    appliance = TRADE.appliance(appliance_id)
    wanted = checks(appliance)
    every = [AS_DRAWN, *miswirings(appliance)]
    for miswiring in every[:: max(1, len(every) // 12)]:
        for check, found in zip(wanted, ohms_of(appliance, miswiring, wanted), strict=True):
            assert found == pytest.approx(_on_graph(appliance, miswiring, check), rel=3e-3, abs=1e-6)


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
@pytest.mark.parametrize("level", [1, 2])
def test_one_option_fits_every_check(appliance_id: str, level: int) -> None:
    """Of the connections offered only the key gives, on networkx, every reading shown to within a fifth."""
    appliance = TRADE.appliance(appliance_id)
    wanted = checks(appliance)
    by_key = {m.key: m for m in (AS_DRAWN, *miswirings(appliance))}
    for question in _questions(appliance_id, level):
        shown = re.findall(r"\*\*([^*]+)\*\* \|$", question.prompt, re.M)
        fits = [
            option.id
            for option in question.fields[0].options
            if all(
                _agrees(text, _on_graph(appliance, by_key[option.id], check), check.function)
                for text, check in zip(shown, wanted, strict=True)
            )
        ]
        assert fits == [question.fields[0].answer]


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_what_a_check_would_show_is_what_networkx_finds(appliance_id: str) -> None:
    """Each figure said against a wrong connection, and each of the working, is that of networkx and of the table."""
    appliance = TRADE.appliance(appliance_id)
    wanted = checks(appliance)
    by_key = {m.key: m for m in (AS_DRAWN, *miswirings(appliance))}
    for question in _questions(appliance_id, 2):
        shown = re.findall(r"\*\*([^*]+)\*\* \|$", question.prompt, re.M)
        told = 0
        for option in question.fields[0].options:
            for number, would, display in re.findall(
                r"Check (\d+) would then show (.+?); it shows (.+?)\.$", option.why
            ):
                place = int(number) - 1
                _means(would, _on_graph(appliance, by_key[option.id], wanted[place]))
                assert display == shown[place]
                told += 1
        assert told == len(question.fields[0].options) - 1
        key = by_key[str(question.fields[0].answer)]
        for line in question.working.splitlines():
            found = re.fullmatch(
                r"Check (\d+): as drawn (.+?), with .+ (about .+|OL|a path .+|many .+); it shows (.+)\.", line
            )
            assert found is not None, line
            place = int(found[1]) - 1
            _means(found[2], _on_graph(appliance, AS_DRAWN, wanted[place]))
            _means(found[3], _on_graph(appliance, key, wanted[place]))
            assert found[4] == shown[place]


def _means(said: str, ohms: float) -> None:
    """A figure as the text says it agrees with ohms: to its last place, or on the right side of a limit."""
    limits = {"OL": math.inf, "a path of next to no resistance": 0.0, "many megohms": math.inf, "over 1 MΩ": math.inf}
    if said == "OL":
        assert math.isinf(ohms)
    elif said in limits:
        assert (ohms < 1e6) == (limits[said] < 1e6)
    elif said == "under 0.1 Ω":
        assert ohms < 0.1
    else:
        number = re.fullmatch(r"(?:about )?([\d.e+]+) Ω", said)
        assert number is not None, said
        assert float(number[1]) == pytest.approx(ohms, rel=6e-3, abs=0.06)


def _agrees(text: str, ohms: float, function: Function) -> bool:
    number = re.match(r"([\d.]+) (M|k)?Ω", text)
    value = math.inf if number is None else float(number[1]) * {"M": 1e6, "k": 1e3, None: 1.0}[number[2]]
    if function is Function.INSULATION:
        return (value < 1e6) == (ohms < 1e6)
    if math.isinf(value) or math.isinf(ohms):
        return math.isinf(value) == math.isinf(ohms)
    return abs(math.log(max(value, 1.0) / max(ohms, 1.0))) < 0.2


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
@pytest.mark.parametrize("level", [1, 2])
def test_keys_and_slips_are_marked(appliance_id: str, level: int) -> None:
    """The key earns full marks and every slip its own mark and advice; there are at least three slips."""
    for question in _questions(appliance_id, level):
        assert len(question.slips) >= 3
        keys_and_slips_are_marked(question)


def test_passing_a_missing_earth_fails_the_task() -> None:
    """Where the earth bond was left off, calling every connection right is a critical mistake."""
    met = 0
    for n in range(40):
        question = build_question(Ask("q01", Kind.MISWIRE, f"earth {n}", 1, "conventional-oven"), TRADE)
        if str(question.fields[0].answer).endswith("-off"):
            met += 1
            assert any(s.slip == "earth-forgotten" and s.critical for s in question.slips)
    assert met
