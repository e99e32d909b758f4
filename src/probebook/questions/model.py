"""What a question is: text, answer fields, key, slips, explanation. Pure data, JSON in and out.

A question is compiled once from a case (see the modules named after each kind) and from then on carries everything that
marking needs, so that a workbook can be opened, marked and explained without the circuit core being loaded. The key and
the slips were computed by that core; nothing here invents a number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from dataclasses import field as attribute
from enum import StrEnum
from importlib.util import find_spec

from probebook.numerics.rounding import stored


class Kind(StrEnum):
    """The kinds of question: those named here, and whatever folder of ``questions`` holds a ``build``.

    A kind that is not named here is found by its folder: ``Kind("count-wires")`` is the kind of
    ``questions/count_wires/build.py``.
    """

    READING = "reading"
    POWER = "power"
    VERDICT = "verdict"
    TRACE = "trace"
    ORDER = "order"
    NEXT_TEST = "next-test"
    BENCH = "bench"
    FAULT = "fault"
    MISWIRE = "miswire"
    REPLACEMENT = "replacement"
    CURVE = "curve"
    STOP_OR_GO = "stop-or-go"
    RECORD = "record"

    @classmethod
    def _missing_(cls, value: object) -> Kind | None:
        """The kind of a folder that is not named above; None where there is none."""
        if not isinstance(value, str) or not value.replace("-", "").isalnum() or not value.islower():
            return None
        try:
            found = find_spec(f"probebook.questions.{value.replace('-', '_')}.build")
        except ModuleNotFoundError:
            return None
        if found is None:
            return None
        member = str.__new__(cls, value)
        member._name_, member._value_ = value.replace("-", "_").upper(), value
        cls._value2member_map_[value] = cls._member_map_[member._name_] = member
        return member


#: Kinds whose options are worded in more than one way (:mod:`probebook.words.levelling`): the same prompt with other
#: wordings is the same question.
REWORDED = frozenset({Kind.POWER, Kind.READING, Kind.RECORD, Kind.STOP_OR_GO, Kind.VERDICT})


class FieldKind(StrEnum):
    """How a field is answered."""

    QUANTITY = "quantity"
    CHOICE = "choice"
    CHOICES = "choices"
    ORDER = "order"
    BENCH = "bench"


#: What a learner gives for one field: typed text, an option id, or a list of option ids.
Response = str | list[str]


@dataclass(frozen=True, slots=True)
class Option:
    """One thing to choose or to put in order; ``why`` says in a sentence why it is right or wrong here."""

    id: str
    text: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """Closed interval of accepted values in SI units, its ends to as many digits as files keep.

    ``low = high = inf`` accepts an open circuit (``OL``) only.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "low", stored(self.low))
        object.__setattr__(self, "high", stored(self.high))

    def holds(self, value: float) -> bool:
        """Whether the value lies within the band."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Field:
    """One thing to answer.

    Attributes
    ----------
    key
        Unique in the question.
    kind, label
        How it is answered, and the words before it.
    marks
        Marks for this field when right; 0 until the question is put together.
    unit
        Unit expected of a quantity (``ohm``, ``W``, ``A``, ``V``), empty otherwise.
    options
        What to choose from or to put in order.
    answer
        The key: typed text of a quantity as a good learner would give it, an option id, or a list of option ids
        (for ORDER one right order).
    band
        Accepted values of a quantity.
    before
        ORDER: pairs (earlier, later) that must hold; every order that respects them all is right.
    partial
        CHOICE: marks for options that deserve some (option id, marks), the key not among them.
    allow_open
        Whether ``OL`` / 'open' is a meaningful answer to a quantity.
    """

    key: str
    kind: FieldKind
    label: str
    marks: float
    answer: Response
    unit: str = ""
    options: tuple[Option, ...] = ()
    band: Band | None = None
    before: tuple[tuple[str, str], ...] = ()
    partial: tuple[tuple[str, float], ...] = ()
    allow_open: bool = False


@dataclass(frozen=True, slots=True)
class Slip:
    """A named wrong way of working, the answer it gives here, what that earns and what to say.

    ``slip`` is an id from ``text/en/slips.toml``; ``field`` the field it shows in; ``response`` the answer that
    shows it; ``band`` the typed values that match (quantities only); ``marks`` the marks the field then earns;
    ``critical`` fails the whole question whatever else was right.

    In an ORDER field ``response`` is a pair [later, earlier] and shows when those two stand in that wrong order; in a
    CHOICES field it is a wrong option that is ticked, or the whole list of ticks. For a pair and for one tick the field
    keeps the marks it has by its own rule, unless the slip is critical.
    """

    slip: str
    field: str
    response: Response
    advice: str
    marks: float = 0.0
    band: Band | None = None
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Effort:
    """What makes a question hard, as its builder counts it; the model of difficulty weighs it.

    Attributes
    ----------
    paths
        Paths or parts that have to be told apart, at least 1.
    steps
        Steps of the way to the answer, at least 1.
    unit_changes
        Changes of unit or prefix on the way.
    traps
        Slips that wait; all the question knows where None.
    """

    paths: int = 1
    steps: int = 1
    unit_changes: int = 0
    traps: int | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """A question ready to be asked, marked and explained. Text is Markdown.

    ``pictures`` go with the prompt, which says the same in words: (file name, SVG text). ``bench`` is what the virtual
    bench of a question answered there is set up from, as JSON; empty for all others. ``effort`` is what its builder
    counted; it is weighed into ``difficulty`` when the question is compiled and does not travel in a marking sheet.
    """

    id: str
    kind: Kind
    outcome: str
    level: int
    title: str
    prompt: str
    fields: tuple[Field, ...]
    slips: tuple[Slip, ...]
    explanation: str
    working: str = ""
    difficulty: float = 0.0
    competences: tuple[str, ...] = ()
    case: str = ""
    pictures: tuple[tuple[str, str], ...] = ()
    bench: str = ""
    effort: Effort | None = attribute(default=None, compare=False)

    @property
    def marks(self) -> float:
        """Marks when everything is right."""
        return math.fsum(field.marks for field in self.fields)

    def field(self, key: str) -> Field:
        """The field of that key; KeyError when there is none."""
        for field in self.fields:
            if field.key == key:
                return field
        raise KeyError(key)

    def key(self) -> dict[str, Response]:
        """The response that earns full marks."""
        return {field.key: field.answer for field in self.fields}


class Standing(StrEnum):
    """How an answer stands."""

    RIGHT = "right"
    PARTLY = "partly right"
    SLIP = "slip"
    WRONG = "wrong"
    BLANK = "blank"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class FieldMark:
    """The mark of one field, with the sentence the learner reads and the slip recognised, if any."""

    key: str
    standing: Standing
    marks: float
    message: str
    slip: str = ""


@dataclass(frozen=True, slots=True)
class Marked:
    """The mark of a whole question.

    ``scored`` is false when something was blank or unreadable: nothing is lost then, the learner is asked to mend it
    and no attempt is used up.
    """

    marks: float
    out_of: float
    standing: Standing
    message: str
    fields: tuple[FieldMark, ...]
    critical: bool = False

    @property
    def scored(self) -> bool:
        """Whether this counts as an attempt."""
        return self.standing not in (Standing.BLANK, Standing.UNREADABLE)
