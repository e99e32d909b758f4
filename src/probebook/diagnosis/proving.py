"""Whether the supply may go back: earth continuity and insulation, from what has been read.

The limits are those of the region the appliance stands in (roles ``earth.return-to-service`` and
``insulation.return-to-service``). They decide here only whether a functional run may be thought of; a verdict names the
rule it applies.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from probebook.appliances import Appliance
from probebook.appliances.supply.reaching import apart, position_for
from probebook.diagnosis.evidence import Measured, Observation
from probebook.diagnosis.model import About, ApplianceModel, model_of
from probebook.diagnosis.places import metalwork, rest
from probebook.diagnosis.trial import Trial, reading
from probebook.meters import Function, Meter, limits


class Proved(StrEnum):
    """What the readings say of earth and insulation."""

    GOOD = "good"
    BAD = "bad"
    NOT_YET = "not yet"


def proving_trials(appliance: Appliance) -> tuple[Trial, ...]:
    """The readings that must be good before the supply goes back; none for an appliance without metalwork."""
    metal = metalwork(appliance)
    if not metal:
        return ()
    still = rest(appliance)
    to_earth = appliance.earth or metal[0]
    earth = [reading(still, appliance.earth, t) for t in metal] if appliance.earth else []
    neutral = [reading(still, appliance.neutral, to_earth, Function.INSULATION)] if appliance.neutral else []
    lines = [reading(position_for(appliance, line), line, to_earth, Function.INSULATION) for line in appliance.lines]
    behind = [reading(still, t, to_earth, Function.INSULATION) for t in apart(appliance, still)]
    return (*earth, *neutral, *lines, *behind)


def proved(
    about: About, evidence: Sequence[Observation], meters: Sequence[Meter] = ()
) -> tuple[Proved, tuple[Trial, ...]]:
    """Whether earth and insulation were read and found good, and the readings still wanting.

    Any reading that is out of bounds on the same question makes it bad, whatever else was read; a reading taken after
    drying out stands for the one before, and low-ohms continuity for ohms. With the ``meters`` that read them, an earth
    path is out of bounds when nothing that the meter allows lies within them: leads and last digits are no path.
    """
    taken: dict[Trial, Measured] = {}
    for o in evidence:
        if isinstance(o, Measured):
            function = Function.OHMS if o.trial.function.through_leads else o.trial.function
            plain = reading(o.trial.position, *o.trial.probes, function, lifted=o.trial.lifted)
            if plain not in taken or o.trial.dried:
                taken[plain] = o
    model = model_of(about)
    wanted = proving_trials(model.appliance)
    for trial in wanted:
        if trial in taken and not _good(model, taken[trial], meters):
            return Proved.BAD, ()
    missing = tuple(t for t in wanted if t not in taken)
    return (Proved.NOT_YET if missing else Proved.GOOD), missing


def _good(model: ApplianceModel, item: Measured, meters: Sequence[Meter]) -> bool:
    function = item.trial.function
    if function is Function.INSULATION:
        return item.value >= model.least_insulation_ohms
    meter = next((m for m in meters if function in m.functions), None)
    least = item.value if meter is None else limits(meter, function, item.value, nulled=item.nulled)[0]
    return least <= model.most_earth_ohms
