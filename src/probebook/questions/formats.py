"""The text formats of what several kinds of question read. Loads pydantic; readers import it when needed."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from probebook.questions.model import Kind
from probebook.textfiles import Prose, StrictModel

Person = Literal["apprentice", "owner", "licensed"]
Supply = Literal["any", "fixed", "plug"]


class DifficultyText(StrictModel):
    """``difficulty.toml``: weights of the model of difficulty, in logits.

    ``base`` stands alone; ``branches`` weighs the logarithm of paths to follow, ``steps`` each step of the working
    after the first, ``unit_changes``, ``traps`` (slips on offer) and ``rivals`` (wrong options) each one of them,
    ``level`` each level above the first; ``kinds`` adds what a kind of question is harder than others.
    """

    base: float
    branches: float
    steps: float
    unit_changes: float
    traps: float
    rivals: float
    level: float
    kinds: dict[Kind, float]


class WayText(StrictModel):
    """``[[item.way]]``: something to choose; without a ``slip`` it is the right one; ``here`` says why it is or is not.

    ``other`` says the same shorter or longer: whichever is taken, length must not tell the right one. A ``critical``
    way is a mistake that could hurt somebody.
    """

    text: Prose
    other: Prose = ""
    here: Prose
    slip: str = ""
    critical: bool = False


class ItemText(StrictModel):
    """``[[item]]``: a question of knowledge.

    Its texts may name an appliance (``{{ appliance }}``), an element of it (``{{ part }}``, ``{{ mark }}``), what that
    reads cold (``{{ ohms|ohms }}``), its rating (``{{ watts|watts }}``, ``{{ volts|g }} V``) and words of the region.
    ``needs`` is a kind of part that the appliance must have; ``supply`` how it must be fed; ``regions`` where it is
    true, everywhere when none is named.
    """

    id: str
    form: Literal["instrument", "connect", "colour", "drawing"]
    title: Prose
    text: Prose
    label: Prose
    way: tuple[WayText, ...] = Field(min_length=3, max_length=6)
    explanation: Prose = ""
    outcome: str
    competences: tuple[str, ...]
    source: str
    level: int = Field(default=1, ge=1, le=4)
    supply: Supply = "any"
    needs: str = ""
    regions: tuple[str, ...] = ()


class KnowhowText(StrictModel):
    """``knowhow.toml``: all questions of knowledge."""

    item: tuple[ItemText, ...]


class StepText(StrictModel):
    """``[[step]]``: a step of a procedure; ``after`` names steps that come before it; ``keep`` asks it always."""

    id: str
    text: Prose
    after: tuple[str, ...] = ()
    keep: bool = False


class WrongText(StrictModel):
    """``[[wrong]]``: two steps taken the wrong way round: the ``slip`` that is, and ``here``, what comes of it."""

    earlier: str
    later: str
    slip: str
    here: Prose
    critical: bool = False


class ProcedureText(StrictModel):
    """``procedures/<id>.toml``: a procedure whose steps are put in order.

    ``asks`` is the task; ``person`` whose procedure it is; ``supply`` how the appliance must be fed. Its texts may name
    the appliance (``{{ appliance }}``) and words of the region. ``without`` is an appliance it is not asked of.
    """

    id: str
    title: Prose
    asks: Prose
    person: Person
    supply: Supply
    without: str = ""
    regions: tuple[str, ...] = ()
    outcome: str
    competences: tuple[str, ...]
    source: str
    step: tuple[StepText, ...] = Field(min_length=5)
    wrong: tuple[WrongText, ...]


class ChoiceText(StrictModel):
    """``[[situation.choice]]``: something to do; without a ``slip`` it is right; ``here`` says why it is or is not.

    ``other`` says the same shorter or longer: whichever is taken, length must not tell the right one.
    """

    text: Prose
    other: Prose = ""
    here: Prose
    slip: str = ""
    critical: bool = False


class SituationText(StrictModel):
    """``[[situation]]``: whether to go on or to stop, and what to do.

    ``proposed`` is the next step that is judged, ``because`` why the decision is right; ``slip`` that of the wrong
    decision. ``needs`` is a kind of part that the appliance must have, ``without`` an appliance it is not told of.
    ``borrow`` names situations whose right choice is wrong here, and ``acts`` the slip of whoever does what is right
    here where it is not due.
    """

    id: str
    person: Person
    text: Prose
    proposed: Prose
    decision: Literal["go", "stop"]
    slip: str = ""
    because: Prose
    choice: tuple[ChoiceText, ...] = Field(min_length=3)
    outcome: str
    competences: tuple[str, ...]
    source: str
    level: int = Field(default=1, ge=1, le=4)
    supply: Supply = "any"
    needs: str = ""
    without: str = ""
    regions: tuple[str, ...] = ()
    critical: bool = False
    borrow: tuple[str, ...] = ()
    acts: str = ""


class SituationsText(StrictModel):
    """``procedures/situations.toml``: all situations."""

    situation: tuple[SituationText, ...]
