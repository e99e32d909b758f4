"""The model of an appliance that diagnosis works with: built once, handed on, and filled as it is asked.

It knows no words and takes no reading: hypotheses, trials, access, what meters would find, what people would notice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from probebook.appliances import Appliance, earth_limit
from probebook.diagnosis.access import Access
from probebook.diagnosis.assumed import DiagnosisAssumed
from probebook.diagnosis.candidates import Hypothesis, list_hypotheses, settled
from probebook.diagnosis.physics.responses import Response, ResponseTable
from probebook.diagnosis.physics.work import Work, work_of
from probebook.diagnosis.places import rest
from probebook.diagnosis.symptom_table import Symptoms, heats, symptoms_at
from probebook.diagnosis.trial import Trial
from probebook.diagnosis.trial_list import list_trials
from probebook.memo import memo_by_identity

__all__ = ["About", "ApplianceModel", "hypotheses", "model_of", "noticed", "response", "symptoms", "trials"]


class ApplianceModel:
    """Everything that follows from an appliance alone, each thing worked out at first need.

    Parameters
    ----------
    appliance
        What it is about.
    assumed
        Chances, spreads, minutes and thresholds.
    """

    def __init__(self, appliance: Appliance, assumed: DiagnosisAssumed) -> None:
        self.appliance = appliance
        self.assumed = assumed
        self._symptoms: dict[tuple[str, bool], tuple[Symptoms, ...]] = {}

    @cached_property
    def hypotheses(self) -> tuple[Hypothesis, ...]:
        """``h`` hypotheses; the first is *nothing wrong*."""
        return list_hypotheses(self.appliance, self.assumed.chances)

    @cached_property
    def rows(self) -> dict[frozenset[str], int]:
        """Place of each hypothesis by its faults, in order."""
        return {h.faults: row for row, h in enumerate(self.hypotheses)}

    @cached_property
    def trials(self) -> tuple[Trial, ...]:
        """The sensible trials, in a fixed order."""
        return list_trials(self.appliance)

    @cached_property
    def rest(self) -> str:
        """The position of the controls at rest."""
        return rest(self.appliance)

    @cached_property
    def test_volts(self) -> float:
        """Test voltage of an insulation test here, V d.c."""
        return self.appliance.region.test_volts

    @cached_property
    def most_earth_ohms(self) -> float:
        """The most that the earth path may have before the supply goes back, ohms."""
        return earth_limit(self.appliance).high

    @cached_property
    def least_insulation_ohms(self) -> float:
        """The least that insulation must have before the supply goes back, ohms."""
        return self.appliance.region.rule("insulation.return-to-service").low

    @cached_property
    def access(self) -> Access:
        """What is under which cover."""
        return Access.of(self.appliance)

    @cached_property
    def work(self) -> Work:
        """The appliance switched on, in every working position under each hypothesis."""
        return work_of(self.appliance, self.hypotheses)

    @cached_property
    def responses(self) -> ResponseTable:
        """What meter trials would find under each hypothesis."""
        return ResponseTable(self.appliance, self.hypotheses, self.assumed.spreads)

    def response(self, trials: Sequence[Trial]) -> Response:
        """The response of every hypothesis to meter trials; KeyError for what the appliance does not have."""
        return self.responses.response(trials)

    @cached_property
    def symptom_table(self) -> dict[frozenset[str], Symptoms]:
        """The symptoms of every hypothesis in all working positions, by its faults."""
        positions = self.work.positions if heats(self.appliance) else ()
        parts = [self.symptoms_in(position) for position in positions]
        rows = [tuple(s for part in parts for s in part[row]) for row in range(len(self.hypotheses))]
        same = {row: row for row in rows}  # kept once, however many hypotheses show them
        return {h.faults: same[row] for h, row in zip(self.hypotheses, rows, strict=True)}

    def symptoms_in(self, position: str, *, warmth: bool = True) -> tuple[Symptoms, ...]:
        """The symptoms in one position under each hypothesis, in their order; none in a position that is no work.

        Without ``warmth`` how the temperature does is left out, and nothing has to be simulated.
        """
        found = self._symptoms.get((position, warmth))
        if found is None:
            if not heats(self.appliance) or position not in self.work.positions:
                found = ((),) * len(self.hypotheses)
            else:
                found = symptoms_at(self.appliance, self.work, position, self.assumed.noticing, warmth=warmth)
            self._symptoms[position, warmth] = found
        return found

    def symptoms(self, faults: Iterable[str]) -> Symptoms:
        """Everything there is to notice with these faults, in all working positions."""
        return self.symptom_table[settled(self.appliance, faults)]

    def noticed(self, faults: Iterable[str]) -> Symptoms:
        """The symptoms that differ from those of the sound appliance: what a complaint can be about."""
        usual = set(self.symptoms(()))
        return tuple(s for s in self.symptoms(faults) if s not in usual)


#: What a function is told of an appliance: the appliance, or its model where that is at hand.
About = Appliance | ApplianceModel


@memo_by_identity(64)
def _model(appliance: Appliance) -> ApplianceModel:
    return ApplianceModel(appliance, DiagnosisAssumed.of(appliance.assumptions))


def model_of(about: About) -> ApplianceModel:
    """The model of an appliance, built once for each; a model is handed back as it is."""
    return about if isinstance(about, ApplianceModel) else _model(about)


def hypotheses(about: About) -> tuple[Hypothesis, ...]:
    """Every hypothesis about an appliance: *nothing wrong*, the single faults in file order, then the pairs."""
    return model_of(about).hypotheses


def trials(about: About) -> tuple[Trial, ...]:
    """The sensible trials on an appliance, each once, in a fixed order; a few hundred at most."""
    return model_of(about).trials


def response(about: About, trials: Sequence[Trial]) -> Response:
    """The response of every hypothesis to meter trials; KeyError for what the appliance does not have."""
    return model_of(about).response(trials)


def symptoms(about: About, faults: Iterable[str]) -> Symptoms:
    """Everything there is to notice of an appliance with these faults, in all working positions."""
    return model_of(about).symptoms(faults)


def noticed(about: About, faults: Iterable[str]) -> Symptoms:
    """The symptoms that differ from those of the sound appliance: what a complaint can be about."""
    return model_of(about).noticed(faults)
