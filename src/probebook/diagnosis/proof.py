"""Why the key is the key: the fewest observations that establish it, and what excludes each rival.

The factor of an observation against a rival is p(observation | key) / p(observation | rival): how many times better the
key explains it. Each is said in plain words with the numbers a learner can check.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import Appliance
from probebook.diagnosis.evidence import Complaint, Measured, Observation, Ran, Seen, Tripped
from probebook.diagnosis.hypotheses import Hypothesis, title_of
from probebook.diagnosis.posterior import FEW_DRAWS, Posterior, determined, posterior
from probebook.diagnosis.prediction import expected
from probebook.diagnosis.symptoms import Symptom, symptoms
from probebook.diagnosis.trials import Trial, by_number, joined

#: Rivals with at least this prior are answered one by one.
NOTICEABLE = 0.002
#: A factor at least this large excludes a rival by one observation.
EXCLUDES = 100.0
#: A load's own reading: nothing beside it changes the ohms by more than this share.
ALONE = 0.03


@dataclass(frozen=True, slots=True)
class Exclusion:
    """What speaks against one rival.

    Attributes
    ----------
    rival
        Its faults.
    title
        The rival in words.
    observation
        Place in the evidence of the observation that speaks most against it; -1 where none does.
    factor
        How many times better the key explains that observation.
    total
        The same for all observations of the proof together.
    sentence
        The reason in plain words.
    """

    rival: frozenset[str]
    title: str
    observation: int
    factor: float
    total: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Proof:
    """That the evidence establishes a key, or that it does not.

    Attributes
    ----------
    truth, title
        The faults that were to be proved, and in words.
    established
        Whether the observations below determine it (:func:`~probebook.diagnosis.determined`) and it is the key.
    observations
        Places in the evidence of the fewest observations found that are enough, in order; all of it when it is not.
    probability, runner_up
        Of the key, and of the best rival, on those observations.
    exclusions
        One for each rival with a noticeable prior, most probable first.
    """

    truth: frozenset[str]
    title: str
    established: bool
    observations: tuple[int, ...]
    probability: float
    runner_up: float
    exclusions: tuple[Exclusion, ...]


def prove(found: Posterior, truth: Iterable[str]) -> Proof:
    """Prove a set of faults from the evidence of a posterior.

    The set of observations is found greedily and then thinned until none can be left out; UsageError when the faults
    are not among the hypotheses.
    """
    row = found.row(truth)
    key = found.hypotheses[row]
    chosen = _fewest(found, row)
    on = posterior(found.appliance, [found.evidence[i] for i in chosen], found.meters)
    rivals = np.delete(on.probabilities, row)
    return Proof(
        truth=key.faults,
        title=title_of(found.appliance, key.faults),
        established=_establishes(on, row),
        observations=chosen,
        probability=float(on.probabilities[row]),
        runner_up=float(rivals.max(initial=0.0)),
        exclusions=tuple(
            exclusion(found, row, i, chosen)
            for i, h in sorted(enumerate(found.hypotheses), key=lambda p: (-p[1].prior, p[1].name))
            if i != row and h.prior >= NOTICEABLE
        ),
    )


def _establishes(found: Posterior, row: int) -> bool:
    return determined(found) and int(np.argmax(found.probabilities)) == row


def _on(found: Posterior, chosen: Iterable[int]) -> Posterior:
    return posterior(found.appliance, [found.evidence[i] for i in sorted(chosen)], found.meters, draws=FEW_DRAWS)


def _fewest(found: Posterior, row: int) -> tuple[int, ...]:
    """Places of the fewest observations found that establish the hypothesis in ``row``; all when nothing does."""
    everything = tuple(range(len(found.evidence)))
    if not _establishes(found, row):
        return everything
    prior = np.log([h.prior for h in found.hypotheses])
    chosen: list[int] = []
    while len(chosen) < len(everything):
        score = prior + found.by_observation[:, chosen].sum(axis=1)
        best = max(
            (i for i in everything if i not in chosen),
            key=lambda i: (_share(score + found.by_observation[:, i], row), -i),
        )
        chosen.append(best)
        if _establishes(_on(found, chosen), row):
            break
    for i in list(chosen):
        fewer = [j for j in chosen if j != i]
        if _establishes(_on(found, fewer), row):
            chosen = fewer
    return tuple(sorted(chosen))


def _share(score: np.ndarray, row: int) -> float:
    return float(1.0 / np.exp(score - score[row]).sum())


def exclusion(found: Posterior, row: int, rival: int, among: Sequence[int]) -> Exclusion:
    """What of the observations at places ``among`` speaks against the hypothesis ``rival``, for that in ``row``."""
    appliance, other = found.appliance, found.hypotheses[rival]
    title = title_of(appliance, other.faults)
    ratios = found.by_observation[row, list(among)] - found.by_observation[rival, list(among)]
    total = _factor(float(ratios.sum()))
    if not len(ratios) or float(ratios.max()) < math.log(2.0):
        return Exclusion(other.faults, title, -1, 1.0, total, f"Nothing here speaks against {title}.")
    best = int(np.argmax(ratios))
    place, factor = among[best], _factor(float(ratios[best]))
    sentence = contrast(appliance, found.evidence[place], found, other)
    if factor >= EXCLUDES:
        sentence += f" That excludes {title}: the key explains the observation {_times(factor)} better."
    else:
        sentence += f" The key explains that {_times(factor)} better than {title}."
    return Exclusion(other.faults, title, place, factor, total, sentence)


def _factor(ratio: float) -> float:
    return math.exp(min(ratio, 300.0))


def _times(factor: float) -> str:
    if factor >= 1e6:
        return "more than a million times"
    if factor < 10:
        return f"{factor:.1f} times"
    rounded = round(factor, -math.floor(math.log10(factor)) + 1)
    return f"about {rounded:,.0f} times"


def contrast(appliance: Appliance, observation: Observation, found: Posterior, rival: Hypothesis) -> str:
    """What the rival would have given in place of the observation, and what was observed: one sentence."""
    if isinstance(observation, Measured):
        return _against_reading(appliance, observation, found, rival)
    if isinstance(observation, Seen):
        seen = observation.what or "nothing to see"
        return f"A look at {observation.at} finds: {seen}."
    told = _symptoms_of(observation)
    would = {(s.position, s.subject): s.how for s in symptoms(appliance, rival.faults)}
    differing = [s for s in told if would.get((s.position, s.subject)) != s.how]
    who = "The customer says" if isinstance(observation, Complaint) else "The run shows"
    parts = [
        f"{_subject(appliance, s)} in {_position(appliance, s.position)} is '{s.how}'"
        f" (it would be '{would.get((s.position, s.subject), 'off')}')"
        for s in differing[:3]
    ]
    return f"{who}: {joined(parts)}." if parts else f"{who} what {title_of(appliance, rival.faults)} would do as well."


def _symptoms_of(observation: Ran | Complaint | Tripped) -> tuple[Symptom, ...]:
    if isinstance(observation, Tripped):
        return (Symptom(observation.position, "protection", observation.how),)
    return observation.symptoms


def _subject(appliance: Appliance, symptom: Symptom) -> str:
    for part in appliance.parts:
        if part.mark == symptom.subject:
            return f"the {part.title}"
    return f"the {symptom.subject}" + ("" if symptom.subject in ("protection", "temperature") else " heat")


def _position(appliance: Appliance, name: str) -> str:
    return f"position '{next((p.title for p in appliance.positions if p.name == name), name)}'"


def _against_reading(appliance: Appliance, observation: Measured, found: Posterior, rival: Hypothesis) -> str:
    trial = observation.trial
    band = expected(appliance, trial, rival.faults, found.meters, nulled=observation.nulled).text
    shown = observation.display or expected_display(observation, found)
    sound = expected(appliance, trial, (), found.meters, nulled=observation.nulled)
    if sound.text == band and math.isfinite(sound.nominal):
        what, controls = _sound_thing(appliance, trial, sound.nominal)
        return f"A sound {what} would read {band} {where(trial)}{controls}; the meter shows {shown}."
    return (
        f"With {title_of(appliance, rival.faults)} the meter would show {band} {where(trial)}; the meter shows {shown}."
    )


def _sound_thing(appliance: Appliance, trial: Trial, ohms: float) -> tuple[str, str]:
    """What reads so when it is sound, and the controls if they matter.

    The load that the probes are across, as long as nothing lies beside it; else the appliance as it is set.
    """
    load = load_across(appliance, trial)
    if load and math.isclose(ohms, appliance.branches[appliance.branch(load)].cold_ohms, rel_tol=ALONE):
        return titled(appliance, load), ""
    return "appliance", f" with the controls at {appliance.position(trial.position).title}"


def expected_display(observation: Measured, found: Posterior) -> str:
    """The display of a reading that was given as a number only."""
    from probebook.diagnosis.integration import meter_for
    from probebook.diagnosis.prediction import display

    meter = meter_for(found.meters, observation.trial.function)
    leads = meter.leads_in(observation.trial.function, nulled=observation.nulled)
    return display(meter, observation.trial.function, max(0.0, observation.value - leads), nulled=observation.nulled)


def load_across(appliance: Appliance, trial: Trial) -> str:
    """The branch of the load that the probes are across; empty where they are across none."""
    for branch in appliance.branches:
        if branch.watts > 0 and {appliance.terminals[e] for e in branch.ends} == set(trial.probes):
            return branch.name
    return ""


def titled(appliance: Appliance, load: str) -> str:
    """A load in words: its part, or the circuit of it where the part has several."""
    branch = appliance.branches[appliance.branch(load)]
    title = appliance.part(branch.part).title
    section = branch.name.removeprefix(branch.part).lstrip(".")
    several = sum(b.part == branch.part and b.watts > 0 for b in appliance.branches) > 1
    return f"{section} circuit of the {title}" if several and section else title


def where(trial: Trial) -> str:
    """Where and how a reading was taken, to follow 'would read 52 Ω'."""
    words = [f"between {trial.probes[0]} and {trial.probes[1]}"]
    if trial.lifted:
        words.append(f"with {joined(sorted(trial.lifted, key=by_number))} off")
    if trial.dried:
        words.append("after drying out")
    return " ".join(words)
