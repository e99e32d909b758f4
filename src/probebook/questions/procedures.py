"""Procedures and situations as data: what orders and stop-or-go questions are made of.

A procedure is a set of steps with what each has to come after, and the pairs that people get the wrong way round; a
situation is a person, a place to decide, and what each choice would lead to. Files: ``scenarios/procedures``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.errors import ScenarioError
from probebook.questions.marking import implied_pairs

__all__ = ["Choice", "Procedure", "Situation", "Step", "WrongPair", "load_procedures", "load_situations"]


@dataclass(frozen=True, slots=True)
class Step:
    """A step; ``after`` are the ids it has to come after, ``keep`` steps are in every question drawn from it."""

    id: str
    text: str
    after: tuple[str, ...] = ()
    keep: bool = False


@dataclass(frozen=True, slots=True)
class WrongPair:
    """Two steps that are got the wrong way round: the slip that shows and what to say of it here."""

    earlier: str
    later: str
    slip: str
    here: str
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Procedure:
    """Steps, their precedence, and how people go wrong.

    ``asks`` is the question (``{appliance}`` stands for its title); ``person`` who does it; ``supply`` the kind of
    supply it is for (``fixed``, ``plug`` or ``any``).
    """

    id: str
    title: str
    asks: str
    person: str
    supply: str
    outcome: str
    competences: tuple[str, ...]
    source: str
    steps: tuple[Step, ...]
    wrong: tuple[WrongPair, ...]

    @property
    def before(self) -> frozenset[tuple[str, str]]:
        """Every pair (earlier, later) that has to hold, those that follow from others included."""
        return implied_pairs((earlier, step.id) for step in self.steps for earlier in step.after)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to do next: ``slip`` is empty for the right one; ``here`` says why it is right or wrong."""

    text: str
    here: str
    slip: str = ""
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Situation:
    """A point at which somebody goes on or stops.

    ``proposed`` is what is about to be done and ``go`` whether it may be; ``slip`` is what the wrong decision shows,
    ``critical`` whether it fails the question; ``because`` is the rule; ``supply`` and ``needs`` (a part kind the
    appliance must have, or empty) say which appliances it fits.
    """

    id: str
    person: str
    text: str
    proposed: str
    go: bool
    slip: str
    because: str
    choices: tuple[Choice, ...]
    outcome: str
    competences: tuple[str, ...]
    source: str
    level: int = 1
    supply: str = "any"
    needs: str = ""
    critical: bool = False


@cache
def load_procedures(folder: Path) -> tuple[Procedure, ...]:
    """Every procedure in ``folder/procedures`` (``folder`` is the scenarios folder), in order of id.

    Raises
    ------
    ScenarioError
        A file is bad: an unknown step, a circle, or a wrong pair that the order does not forbid.
    """
    from typing import Literal

    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class StepText(StrictModel):
        id: str
        text: str
        after: tuple[str, ...] = ()
        keep: bool = False

    class WrongText(StrictModel):
        earlier: str
        later: str
        slip: str
        here: str
        critical: bool = False

    class File(StrictModel):
        id: str
        title: str
        asks: str
        person: Literal["apprentice", "owner", "licensed"]
        supply: Literal["any", "fixed", "plug"]
        outcome: str
        competences: tuple[str, ...]
        source: str
        step: tuple[StepText, ...] = Field(min_length=5)
        wrong: tuple[WrongText, ...]

    found = []
    for path in sorted((folder / "procedures").glob("*.toml")):
        if path.stem == "situations":
            continue
        text = load_text(path, File)
        procedure = Procedure(
            id=text.id,
            title=text.title,
            asks=text.asks,
            person=text.person,
            supply=text.supply,
            outcome=text.outcome,
            competences=text.competences,
            source=text.source,
            steps=tuple(Step(s.id, s.text, s.after, s.keep) for s in text.step),
            wrong=tuple(WrongPair(w.earlier, w.later, w.slip, w.here, w.critical) for w in text.wrong),
        )
        _check(procedure, path)
        found.append(procedure)
    return tuple(found)


def _check(procedure: Procedure, path: Path) -> None:
    if procedure.id != path.stem:
        raise ScenarioError(
            f"the id '{procedure.id}' differs from the file's name",
            where=f"{path.name}: id",
            remedy=f'write id = "{path.stem}"',
        )
    known = {step.id for step in procedure.steps}
    for number, step in enumerate(procedure.steps):
        for earlier in step.after:
            if earlier not in known:
                raise ScenarioError(
                    f"there is no step '{earlier}'",
                    where=f"{path.name}: step[{number + 1}].after",
                    remedy=f"name one of {', '.join(sorted(known))}",
                )
    pairs = procedure.before
    if any(a == b for a, b in pairs):
        raise ScenarioError("the steps run in a circle", where=f"{path.name}: step", remedy="take one 'after' out")
    for number, wrong in enumerate(procedure.wrong):
        if (wrong.earlier, wrong.later) not in pairs:
            raise ScenarioError(
                f"nothing says that '{wrong.earlier}' comes before '{wrong.later}'",
                where=f"{path.name}: wrong[{number + 1}]",
                remedy="give the later step an 'after', or take the pair out",
            )


@cache
def load_situations(folder: Path) -> tuple[Situation, ...]:
    """Every situation in ``folder/procedures/situations.toml``, in file order; ScenarioError when the file is bad."""
    from typing import Literal

    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class ChoiceText(StrictModel):
        text: str
        here: str
        slip: str = ""
        critical: bool = False

    class SituationText(StrictModel):
        id: str
        person: Literal["apprentice", "owner", "licensed"]
        text: str
        proposed: str
        decision: Literal["go", "stop"]
        slip: str = ""
        because: str
        choice: tuple[ChoiceText, ...] = Field(min_length=3)
        outcome: str
        competences: tuple[str, ...]
        source: str
        level: int = Field(default=1, ge=1, le=4)
        supply: Literal["any", "fixed", "plug"] = "any"
        needs: str = ""
        critical: bool = False

    class File(StrictModel):
        situation: tuple[SituationText, ...]

    path = folder / "procedures" / "situations.toml"
    found: list[Situation] = []
    for number, text in enumerate(load_text(path, File).situation):
        where = f"{path.name}: situation[{number + 1}]"
        right = [c for c in text.choice if not c.slip]
        if len(right) != 1:
            raise ScenarioError(
                f"'{text.id}' has {len(right)} choices without a slip",
                where=f"{where}.choice",
                remedy="leave 'slip' out of the right choice and give every other one its slip",
            )
        if any(text.id == other.id for other in found):
            raise ScenarioError(f"the id '{text.id}' is used twice", where=f"{where}.id", remedy="give each its own")
        found.append(
            Situation(
                id=text.id,
                person=text.person,
                text=text.text,
                proposed=text.proposed,
                go=text.decision == "go",
                slip=text.slip or ("stopped-too-soon" if text.decision == "go" else "overreach"),
                because=text.because,
                choices=tuple(Choice(c.text, c.here, c.slip, c.critical) for c in text.choice),
                outcome=text.outcome,
                competences=text.competences,
                source=text.source,
                level=text.level,
                supply=text.supply,
                needs=text.needs,
                critical=text.critical,
            )
        )
    return tuple(found)
