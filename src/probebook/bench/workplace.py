"""The appliance on the bench with its instruments: what can be reached, what a meter shows, what a look shows."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind
from probebook.bench.assumed import BenchMinutes, Grading
from probebook.bench.conductors import dead_pairs
from probebook.bench.facts import Refused
from probebook.bench.state import BenchSpec, BenchState, Shown, fail
from probebook.cases.instance import Instance
from probebook.diagnosis import Complaint, Measured, Ran, Seen, Trial, model_of
from probebook.diagnosis.assumed import Minutes
from probebook.diagnosis.evidence import visible
from probebook.diagnosis.model import symptoms
from probebook.diagnosis.places import place_of, rest
from probebook.diagnosis.symptom_table import TEMPERATURE
from probebook.meters import Function, Meter
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Workplace"]


@dataclass(frozen=True, slots=True, eq=False)
class Workplace:
    """An appliance on the bench with its instruments: what can be reached, what they show, what is said."""

    spec: BenchSpec
    appliance: Appliance
    meters: tuple[Meter, ...]
    words: Words
    times: BenchMinutes
    grading: Grading
    made: Instance

    @property
    def minutes(self) -> Minutes:
        """Minutes of work, as the trade assumes them."""
        return model_of(self.appliance).assumed.minutes

    def say(self, facts: Facts, key: str) -> Phrase:
        """A sentence in the language of the bench."""
        return self.words.say(facts, key)

    def noun(self, name: str) -> Noun:
        """A thing of the appliance by its name."""
        return self.words.noun(name)

    def refusal(self, key: str) -> Phrase:
        """Why something cannot be done now."""
        return self.words.say(Refused(), key)

    def stop(self, state: BenchState, slip: str, facts: Facts, key: str) -> tuple[BenchState, Shown]:
        """The job ends by a slip that can kill; the sentence says which."""
        return fail(state, slip, self.words, self.words.say(facts, key))

    def start(self) -> BenchState:
        """How the job stands on arrival: appliance whole, supply on, nothing switched on."""
        told = (Complaint(self.spec.reported),)
        return BenchState(position=rest(self.appliance), evidence=told, pairs=dead_pairs(self.appliance))

    def terminals(self, state: BenchState) -> tuple[str, ...]:
        """Terminals that can be reached now, in the order of the appliance's file."""
        return tuple(t for t in self.appliance.terminals if self.cover_over(t) not in self.covers_on(state))

    def cover_over(self, terminal: str) -> str:
        """The cover over a terminal; empty where there is none."""
        return self.appliance.part(terminal.partition(".")[0]).cover

    def meter_for(self, function: Function) -> Meter:
        """The instrument with which a function is used."""
        return next(m for m in self.meters if function in m.functions)

    def shown_by(self, trial: Trial, *, nulled: bool) -> Measured:
        """What the meter shows in a trial; the same trial gives the same reading."""
        return self.shown_for(trial, self.made.ohms([trial])[0], nulled=nulled)

    def shown_for(self, trial: Trial, ohms: float, *, nulled: bool) -> Measured:
        """What the meter shows in a trial that puts these ohms between its probe tips."""
        errors = self.made.steady(trial.function, nulled=nulled) if self.spec.steady else None
        return self.made.shown(trial, ohms, nulled=nulled, errors=errors)

    def seen_at(self, mark: str) -> Seen:
        """What a look at a part or wire shows."""
        present = (self.appliance.fault(f) for f in self.spec.truth)
        here = (visible(f) for f in present if place_of(self.appliance, f) == mark)
        return Seen(mark, next((what for what in here if what), ""))

    def ran_in(self, position: str, *, record: bool = False) -> Ran:
        """What a functional run (or a heat-up record) in a position shows."""
        here = [s for s in symptoms(self.appliance, self.spec.truth) if s.position == position]
        return Ran(position, tuple(s for s in here if not record or s.subject == TEMPERATURE))

    def lamps_in(self, position: str) -> Ran:
        """What the lamps and neons show in a position."""
        kinds = (BranchKind.LAMP, BranchKind.NEON)
        lamps = {b.name for b in self.appliance.branches if b.kind in kinds}
        return Ran(position, tuple(s for s in self.ran_in(position).symptoms if s.subject in lamps))

    def beeps(self, item: Measured) -> bool | None:
        """Whether the beeper sounds at a reading; None where there is none."""
        limit = self.meter_for(item.trial.function).beeper_ohms
        return None if item.trial.function is not Function.CONTINUITY or limit is None else item.value < limit

    def covers_on(self, state: BenchState) -> frozenset[str]:
        """Covers that are on."""
        return frozenset(name for name, _ in self.appliance.covers) - state.uncovered
