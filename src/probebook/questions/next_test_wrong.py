"""Ways of choosing the next test badly, each computed for the job as it stands."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind, FaultKind, PartKind
from probebook.cases.outlook import load_between
from probebook.cases.words import load_words
from probebook.diagnosis import Complaint, Posterior, TrialKind, expected, posterior, title_of
from probebook.diagnosis.trials import by_number, joined
from probebook.diagnosis.value import Worth
from probebook.meters import Function
from probebook.unit_format import format_quantity

__all__ = ["NAMED", "SUSPECTS", "Misstep", "missteps"]

#: Suspects named, each with at least this probability.
SUSPECTS, NAMED = 6, 0.02
#: Tests tried until one is found that shows the same for every suspect.
TRIED = 40

#: A test tells nothing below this many bits.
NOTHING_TOLD = 0.02
#: With its wires on, a part tells less than this share of what it tells by itself.
MASKED = 0.6
#: A fault this likely is no longer a guess.
SETTLED = 0.85


@dataclass(frozen=True, slots=True)
class Misstep:
    """A bad choice: its slip, what is said of it, its words where it is no listed test, its worth where it is one."""

    slip: str
    here: str
    text: str = ""
    worth: Worth | None = None
    critical: bool = False


def missteps(
    appliance: Appliance, found: Posterior, ranking: Sequence[Worth], rng: random.Random, *, is_proved: bool
) -> list[Misstep]:
    """Bad choices, one for each slip: those that are dangerous in random order, then the others."""
    dangerous = list(_dangerous(appliance, found, is_proved=is_proved))
    rng.shuffle(dangerous)
    others = [
        m
        for m in (
            _in_parallel(appliance, ranking, rng),
            _telling_nothing(appliance, found, ranking, rng),
            _listening(appliance, found),
            _swapping(appliance, found),
        )
        if m is not None
    ]
    return [*dangerous, *others]


def _suspected_load(appliance: Appliance, found: Posterior) -> str:
    """The element that most of the suspicion falls on; the first of the appliance when none does."""
    weight = dict.fromkeys((b.name for b in appliance.branches if b.kind is BranchKind.ELEMENT), 0.0)
    for fault, probability in found.marginals().items():
        target = appliance.fault(fault).target
        if target in weight:
            weight[target] += probability
    return max(weight, key=lambda name: weight[name])


def _dangerous(appliance: Appliance, found: Posterior, *, is_proved: bool) -> Iterator[Misstep]:
    load = load_words(appliance, _suspected_load(appliance, found))
    yield Misstep(
        "live-ohms",
        "An ohmmeter on a live circuit tells nothing and can injure you.",
        f"Put the supply back and read ohms across the {load} while it should be heating",
        critical=True,
    )
    cut_outs = [p for p in appliance.parts if p.kind is PartKind.CUT_OUT]
    if cut_outs:
        yield Misstep(
            "bypass",
            "It would heat with nothing to stop it.",
            f"Bridge the {cut_outs[0].title} ({cut_outs[0].mark}) with a link, switch on and see whether it heats",
            critical=True,
        )
    if not is_proved:
        working = max(appliance.positions, key=lambda p: (len(p.heats), p.name))
        yield Misstep(
            "untested-return",
            "Earth continuity and insulation have not both been read and found good.",
            f"Refit everything, put the supply back and try it out at {working.title} straight away",
            critical=True,
        )


def _in_parallel(appliance: Appliance, ranking: Sequence[Worth], rng: random.Random) -> Misstep | None:
    """A load read with its wires on, that would tell far more with one of them off."""
    fitting: list[tuple[Worth, Worth]] = []
    for plain in ranking:
        trial = plain.trial
        if trial.kind is not TrialKind.METER or trial.function is not Function.OHMS or trial.lifted:
            continue
        if not load_between(appliance, *trial.probes):
            continue
        freed = [w for w in ranking if w.trial.probes == trial.probes and w.trial.lifted and w.bits >= 0.1]
        better = max(freed, key=lambda w: w.bits, default=None)
        if better is not None and plain.bits < MASKED * better.bits:
            fitting.append((plain, better))
    if not fitting:
        return None
    plain, better = rng.choice(fitting)
    off = joined(sorted(better.trial.lifted, key=by_number))
    here = (
        f"With every wire on this tells {plain.bits:.2f} bits, with {off} off {better.bits:.2f}: other paths join the "
        "same two terminals."
    )
    return Misstep("parallel-path", here, worth=plain)


def _telling_nothing(
    appliance: Appliance, found: Posterior, ranking: Sequence[Worth], rng: random.Random
) -> Misstep | None:
    """A reading that would be the same whichever of the suspects it is."""
    fitting = [
        w
        for w in ranking
        if w.bits < NOTHING_TOLD
        and w.trial.kind is TrialKind.METER
        and w.trial.function is Function.OHMS
        and not w.trial.dried
        and w.trial.calling
    ]
    suspects = [h.faults for h, probability in found.ranked()[:SUSPECTS] if probability >= NAMED]
    rng.shuffle(fitting)
    fitting.sort(key=lambda w: not (load_between(appliance, *w.trial.probes) or w.trial.lifted))
    for worth in fitting[:TRIED]:
        shown = {expected(appliance, worth.trial, faults, found.meters).text for faults in suspects}
        if len(shown) == 1:
            here = f"Whichever of the suspects it is, the meter will show {shown.pop()}."
            return Misstep("rules-out-nothing", here, worth=worth)
    return None


def _listening(appliance: Appliance, found: Posterior) -> Misstep | None:
    """The beeper across an element that it stays silent on, sound or open."""
    meter = next((m for m in found.meters if Function.CONTINUITY in m.functions), None)
    name = _suspected_load(appliance, found)
    branch = appliance.branches[appliance.branch(name)]
    if meter is None or meter.beeper_ohms is None or branch.cold_ohms < 1.2 * meter.beeper_ohms:
        return None
    a, b = (appliance.terminals[e] for e in branch.ends)
    here = (
        f"A sound one has about {format_quantity(branch.cold_ohms, 'ohm', 2)} and the beeper stops at "
        f"{format_quantity(meter.beeper_ohms, 'ohm', 2)}: it is silent whether the element is sound or open."
    )
    words = f"Listen whether the continuity beeper sounds across the {load_words(appliance, name)}, {a} to {b}"
    return Misstep("beeper-silence", here, words)


def _swapping(appliance: Appliance, found: Posterior) -> Misstep | None:
    """Fitting what usually fails with such a complaint, untested."""
    heard = [o for o in found.evidence if isinstance(o, Complaint)]
    before = posterior(appliance, heard, found.meters, draws=1)
    replaced = (FaultKind.OPEN, FaultKind.STUCK_OPEN, FaultKind.STUCK_CLOSED, FaultKind.DRIFT)
    for hypothesis, _ in before.ranked()[:8]:
        faults = sorted(hypothesis.faults)
        if len(faults) == 1 and appliance.fault(faults[0]).kind in replaced:
            likely = found.probability_of(faults)
            if likely > SETTLED:
                return None
            mend = re.sub(r"^find .*?, then ", "", appliance.fault(faults[0]).mend)
            now = "ruled out" if likely < 0.01 else f"no more than {100 * likely:.0f} % likely"
            here = (
                f"‘{title_of(appliance, faults)}’ is {now} by what is known: a new part on a guess costs more than a "
                "reading."
            )
            text = f"Test no more: take it for ‘{title_of(appliance, faults)}’, {mend}, and see whether that cures it"
            return Misstep("usual-suspect", here, text)
    return None
