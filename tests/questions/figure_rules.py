"""Sums that explain figures: a question taken apart as its reader has it, and what follows from its prompt by rule.

Nothing here knows of the code that builds questions: the rules are written again, from the texts.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator

import networkx as nx
from figure_sheets import (
    NUMBER,
    SCALED,
    TRADE,
    WITH_UNIT,
    Sheet,
    figures,
    number,
    plain,
    stepped,
    take_sums,
)

from probebook.appliances import State, branch_ends, branch_ohms
from probebook.meters import Function


def by_ohms_law(sheet: Sheet) -> list[float]:
    """Ohms, watts, amperes from those of the prompt, hot and cold, at each of its volts: V²/P, V²/R, V/R, P/V."""
    told = plain(sheet.prompt)
    read = {unit: [number(n) * SCALED[u] for n, u in WITH_UNIT.findall(told) if u.endswith(unit)] for unit in "VWΩ"}
    factors = [1.0, *(float(f) for f in re.findall(r"([\d.]+) times", told))]
    if len(factors) == 1:
        factors += sorted({round(b.hot_ohms / b.cold_ohms, 3) for b in sheet.named if b.watts})
    found = [*factors]
    for volts in read["V"]:
        found += [x for watts in read["W"] for x in (volts**2 / watts, watts / volts)]
        found += [volts**2 / (factor * watts) for watts in read["W"] for factor in factors]
        for ohms, factor in itertools.product(filter(None, read["Ω"]), factors):
            found += [factor * ohms, volts**2 / (factor * ohms), volts / ohms]
    return found


def by_the_meter(sheet: Sheet) -> list[float]:
    """What an accuracy statement of the prompt makes of its readings, in ohms, volts and watts."""
    told = plain(sheet.prompt)
    stated = re.search(r"±\((?:([\d.]+) % of reading|([\d.]+) ×(?: reading)?) \+ (\d+) digits\)", told)
    stated = stated or re.search(r"±\(([\d.]+)()[^()]*\+ (\d+) digits\)", told)
    if stated is None:
        return []
    share = float(stated[1]) / 100 if stated[1] and float(stated[1]) >= 0.1 else float(stated[1] or stated[2])
    found: list[float] = []
    step = re.search(r"one digit being ([\d.]+) ", told)
    factors = [1.0, *(float(f) for f in re.findall(r"([\d.]+) times", told))]
    for shown, unit in re.findall(rf"({NUMBER}) ({'|'.join(SCALED)})(?![\w/])", told):
        value, scale = number(shown), SCALED[unit]
        digit = float(step[1]) if step else 10.0 ** -len(shown.partition(".")[2])
        leads = [0.0, *(number(x) for x in re.findall(r"together[^.;]*? showed ([\d.]+) Ω", told))]
        width = share * value + int(stated[3]) * digit
        for lead in leads:
            cut = [value - lead, value - lead - width, value - lead + width]
            found += [scale * x for x in (*cut, width)]
            volts = [number(v) for v in re.findall(r"at (\d+) V", told)]
            found += [v**2 / (f * x) for v in volts for f in factors for x in cut if x > 0 and unit == "Ω"]
    return found


def by_difference(sheet: Sheet) -> list[float]:
    """By how much one reading of the prompt is off another, and a known resistor off its value."""
    known = re.findall(rf"({NUMBER}) Ω ± ([\d.]+) %", sheet.prompt)
    off = [number(r) * float(share) / 100 for r, share in known]
    pairs = itertools.combinations(figures(sheet.prompt), 2)
    return off + [abs(a - b) for a, b in pairs if 0.5 < a / max(b, 1e-9) < 2.0]


def by_hand(sheet: Sheet) -> list[float]:
    """What else is reckoned in the kinds power, verdict and replacement, each by the rule that its sentence names."""
    told, said = plain(sheet.prompt), sheet.said
    read = {unit: [number(n) * SCALED[u] for n, u in WITH_UNIT.findall(told) if u.endswith(unit)] for unit in "VWΩA"}
    sums = [number(n) for n in re.findall(rf"= ({NUMBER}) W", said)]
    rated = [b.watts for b in sheet.appliance.branches if b.watts] if sheet.appliance else []
    found = [500.0, *(5 * amps for amps in read["A"])]  # volts of insulation tests; type B acts at once from five times
    found += [abs(a - b) for a, b in itertools.combinations(read["Ω"], 2)]
    found += [a + b for a, b in itertools.combinations(read["Ω"], 2)]
    for one, other in itertools.permutations(read["V"], 2):
        found += [100 * abs((one / other) ** 2 - 1), *(w * (one / other) ** 2 for w in (*read["W"], *sums))]
    for volts, (one, other) in itertools.product(read["V"], itertools.permutations(read["Ω"], 2)):
        found += [volts * one / (one + other), volts * 1e-6]
    found += [100 * (float(factor) - 1) for factor in re.findall(r"([\d.]+) times", told)]
    found += [math.ceil(100 * abs(s / w - 1)) for s in sums for w in rated]
    listed = [number(n) for n in re.findall(rf"\(({NUMBER}) W\)", said)] or read["W"][:6]
    if len(listed) < 9:
        some = [math.fsum(c) for n in range(1, len(listed) + 1) for c in itertools.combinations(listed, n)]
        found += [*some, *(volts_w / v for volts_w in some for v in read["V"])]
        found += [100 * part / math.fsum(listed) for part in some]
    for row in re.findall(r"the ohms add: ([\d. +]+) =", said):  # side by side each takes its own
        found += [math.fsum(volts**2 / float(r) for r in row.split(" + ")) for volts in read["V"]]
    half = re.findall(rf"belong to (\d+) V: on (\d+) V it would give about ({NUMBER}) W in place of ({NUMBER}) W", said)
    for low, high, much, little in half:
        if not math.isclose(number(little) * (int(high) / int(low)) ** 2, number(much), rel_tol=0.006):
            sheet.wrong.append(f"{little} W at {low} V is not {much} W at {high} V")
        found += [float(low), number(much), *([number(little)] if number(little) in [*rated, *_pairs(rated)] else [])]
    for joint in re.findall(rf"joint of ({NUMBER}) Ω", said):
        found.append(number(joint))
        heat = [number(joint) * (v / (v * v / w + number(joint))) ** 2 for v in (*read["V"], 230.0) for w in rated]
        found += [round(watts, -1) for watts in heat]
    return found


def _pairs(watts: list[float]) -> list[float]:
    return [math.fsum(c) for n in (2, 3) for c in itertools.combinations(watts, n)]


def by_the_record(sheet: Sheet) -> list[float]:
    """What a heat-up record says: swings, cycles, the time to a temperature, shares of the current."""
    rows = [(float(t), float(a)) for t, a in re.findall(r"^\| (\d+) \| (\d+) \|", sheet.prompt, re.M)]
    if not rows:
        return []
    spans = [(float(a), float(b)) for a, b in re.findall(r"(\d+\.\d) to (\d+\.\d)", sheet.prompt)]
    amps = [number(a) for a in re.findall(rf"({NUMBER}) A\b", sheet.prompt)]
    settings = [number(a) for a in re.findall(r"thermostat at (\d+) °C", sheet.prompt)]
    late = [a for t, a in rows if t >= rows[-1][0] / 2]
    found = [rows[-1][0], *(x for span in spans for x in span), *(round(x) for span in spans[:1] for x in span)]
    found += _currents(sheet, amps)
    for a, b in itertools.permutations(_currents(sheet, amps), 2):
        # of the current, and of the heat at another voltage: from the share as told, or before it was rounded
        found += [100 * a / b, 100 * (round(a / b, 2)) ** 2, 100 * (a / b) ** 2]
        told = [float(share) for share in re.findall(r"A, (0\.\d+) × the usual current", sheet.said)]
        near = [s for s in told if (a - 0.05) / (b + 0.05) - 0.005 <= s <= (a + 0.05) / max(b - 0.05, 0.1) + 0.005]
        found += [x for s in near for x in (100 * s, 100 * s**2)]  # from currents before they were rounded
    heaters = [number(w) for w in re.findall(rf"({NUMBER}) W \(", sheet.prompt)]
    # One of them out: the current of a sound one is told to one decimal, what it would be is worked out before that.
    sound = [
        number(a) + off for a in re.findall(rf"a sound one takes ({NUMBER}) A", sheet.said) for off in (-0.04, 0.04)
    ]
    found += [a - watts / 230 for a in {*_currents(sheet, amps), *sound} for watts in heaters]
    swing = re.search(r"between about ([\d.]+) °C and ([\d.]+) °C", sheet.said)
    held = late[-1]
    if swing:
        low, high = float(swing[1]), float(swing[2])
        if not (min(late) - 6 <= low <= min(late) + 1 and max(late) - 1 <= high <= max(late) + 6):
            sheet.wrong.append(f"the table swings between {min(late):g} and {max(late):g}")
        held = (low + high) / 2
        found += [low, high, math.floor(held), math.ceil(held)]
    else:
        found += late[-1:] + ([] if spans else [(min(late) + max(late)) / 2])
        held = (min(late) + max(late)) / 2
    for claimed in re.findall(r"holds(?: about)? (\d+) °C", sheet.said):
        found += [float(claimed)] if abs(float(claimed) - held) <= 4 else []
        found += [abs(float(claimed) - s) for s in settings]
    return [*found, *_cycles(spans), *_times(sheet, rows)]


def _currents(sheet: Sheet, amps: list[float]) -> list[float]:
    """Currents of the prompt, and those of the heaters that it names, with what lamps and fans take beside them."""
    watts = math.fsum(number(w) for w in re.findall(r"(\d+) W \(", sheet.prompt)) or 0.0
    single = re.search(r"one heater rated (\d+) W", sheet.prompt)
    due = (float(single[1]) if single else watts) / 230
    told = [number(a) for a in re.findall(rf"a sound one takes ({NUMBER}) A", sheet.said)]
    return [*amps, *(a for a in told if due - 0.06 <= a <= due + 0.4)]


def _cycles(spans: list[tuple[float, float]]) -> list[float]:
    """Lengths of whole cycles between any two times of switching on, and how long the heaters are on and off in one."""
    found: list[float] = []
    for i, j in itertools.combinations(range(len(spans)), 2):
        if j - i == min(3, len(spans) - 1):
            found.append((spans[j][0] - spans[i][0]) / (j - i))
            on = math.fsum(b - a for a, b in spans[i:j]) / (j - i)
            found += [on, found[-1] - on]
    return found


def _times(sheet: Sheet, rows: list[tuple[float, float]]) -> list[float]:
    """When the air came to a temperature, by the straight line between two rows, and within them by the curve."""
    found: list[float] = []
    wanted = re.search(r"first (?:reach|come to) (\d+) °C", sheet.prompt)
    if wanted:
        goal = float(wanted[1])
        (t0, a0), (t1, a1) = next(p for p in itertools.pairwise(rows) if p[0][1] < goal <= p[1][1])
        found += [t0, a0, t1, a1, t0 + (t1 - t0) * (goal - a0) / (a1 - a0)]
        found += [float(x) for x in re.findall(r"([\d.]+) min", sheet.said) if t0 < float(x) < t1]
    for minutes in re.findall(r"needs (\d+) min to its setting", sheet.said):
        at = next(a0 + (a1 - a0) * (float(minutes) - t0) / (t1 - t0)
                  for (t0, a0), (t1, a1) in itertools.pairwise(rows) if t0 <= float(minutes) <= t1)  # fmt: skip
        setting = re.search(r"thermostat at (\d+) °C", sheet.prompt)
        found += [float(minutes)] if setting and abs(at - float(setting[1])) <= 8 else []
    for peak in re.findall(r"(?:goes on to|only at|again at) (\d+) °C", sheet.said):
        near = [a for _, a in rows]
        found += [float(peak)] if min(near) <= float(peak) <= max(near) + 12 else []
    return found


def of_the_file(sheet: Sheet) -> list[float]:
    """Cold ohms, making tolerance and what it makes of cold and of hot ohms, and what a file says of mending."""
    found: list[float] = []
    for fault in sheet.appliance.faults if sheet.appliance else ():
        found += figures(fault.mend) if fault.mend in sheet.said else []
    for b in sheet.named:
        found += [b.cold_ohms, b.strikes_at, 100 * b.tolerance, b.watts]
    return found


def by_the_band(sheet: Sheet) -> list[float]:
    """Ends of what is accepted: the making tolerance and the statement of the meter that the prompt names."""
    found: list[float] = [0.2]  # ohms of a good joint or contact, at most: common practice, no published source
    for meter in (m for m in TRADE.meters.values() if m.title in sheet.prompt):
        if Function.OHMS not in meter.functions:
            continue
        ranges = meter.ranges_of(Function.OHMS)
        found += [r.full_scale for r in ranges]
        leads = 0.0 if "leads nulled" in sheet.prompt else meter.lead_ohms
        for b in sheet.named:
            for end, way in ((b.cold_ohms * (1 - b.tolerance), -1), (b.hot_ohms * (1 + b.tolerance), 1)):
                used = next((r for r in ranges if end + leads <= r.full_scale), None)
                if used is not None:
                    width = used.fraction_of_reading * (end + leads) + (used.digits + 0.5) * used.resolution
                    width += ranges[0].resolution if not leads else 0.0
                    found.append(end + leads + way * width)
    return found


def by_the_circuit(sheet: Sheet) -> list[float]:
    """Ohms between the probes that the prompt names, wires on and as it says, by a general graph library."""
    probes = re.search(r"probes are on (\S+?)(?:,| and) .*?(\S+\.\S+?)[,. ]", sheet.prompt)
    title = re.search(r"The controls stand at (.+?) \(switch", sheet.prompt)
    appliance = sheet.appliance
    if appliance is None or title is None:
        return []
    position = next((p.name for p in appliance.positions if p.title == title[1]), None)
    pairs = [tuple(re.findall(r"(?<![\w.])([A-Z]+\d*\.\w+)(?![\w.])", probes[0]))] if probes else []
    pairs += [(appliance.line, appliance.neutral)]
    if position is None:
        return []
    calling = "does not call" not in sheet.prompt and "off part of the cycle" not in sheet.prompt
    fault = re.search(r"nothing else is wrong: (.+?)\.", sheet.prompt)
    named = frozenset(f.id for f in appliance.faults if fault and f.title == fault[1])
    lifted = frozenset(re.findall(r"Wire (W\d+) ", sheet.prompt))
    found: list[float] = []
    for off, most in itertools.product((frozenset[str](), lifted), (False, True)):
        ohms = branch_ohms(appliance, [State(position, calling=calling, faults=named, lifted=off)])[0]
        for i, b in enumerate(appliance.branches):
            if most and b.kind == "element":
                ohms[i] *= b.hot_ohms / b.cold_ohms * (1 + b.tolerance)
        graph = nx.MultiGraph()
        for (a, b), r in zip(branch_ends(appliance), ohms.tolist(), strict=True):
            if math.isfinite(r):
                graph.add_edge(int(a), int(b), ohms=r)
        for pair in (p for p in pairs if len(p) == 2):
            a, b = (appliance.terminal(t) for t in pair)
            if a in graph and b in graph and nx.has_path(graph, a, b):
                part = graph.subgraph(nx.node_connected_component(graph, a))
                whole = float(nx.resistance_distance(part, a, b, weight="ohms", invert_weight=True))
                found += [whole, *_shown(whole, sheet, most=most)]
    return found


def _shown(ohms: float, sheet: Sheet, *, most: bool) -> Iterator[float]:
    """What the meter of the prompt shows for so many ohms, or the most it may show, its leads not nulled."""
    for meter in (m for m in TRADE.meters.values() if m.title in sheet.prompt and Function.OHMS in m.functions):
        value = ohms + meter.lead_ohms
        used = next((r for r in meter.ranges_of(Function.OHMS) if value <= r.full_scale), None)
        if used is not None:
            width = used.fraction_of_reading * value + (used.digits + 0.5) * used.resolution
            yield value + (width if most else 0.0)


RULES = {
    "power": (by_ohms_law, by_hand, of_the_file),
    "verdict": (by_ohms_law, by_the_meter, by_difference),
    "reading": (by_ohms_law, by_the_band, by_the_circuit, of_the_file),
    "trace": (),
    "replacement": (by_hand, of_the_file),
    "curve": (by_the_record,),
}


def account(sheet: Sheet) -> None:
    """Gather the figures that are accounted for."""
    sheet.known = [0.0, *figures(sheet.prompt), *figures(sheet.options)]
    for rule in RULES[sheet.kind]:
        sheet.known += rule(sheet)
    take_sums(sheet)


def unaccounted(sheet: Sheet) -> list[float]:
    """Figures of explanation and working that follow from nothing."""
    return [value for value, step in stepped(sheet.said) if not sheet.knows(value, step)]
