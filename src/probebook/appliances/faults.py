"""How each kind of fault changes the circuit.

One function a kind: given what the scenario file says of the fault and the branches of the appliance, it returns the
changes. A kind that needs a figure (``ohms``, ``factor``, ``power``, ``volts``, ``offset``) says so when it is missing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from probebook.appliances.model import Branch, BranchKind, Change, FaultKind
from probebook.errors import ScenarioError, near_name


@dataclass(frozen=True, slots=True)
class FaultDraft:
    """The figures of a fault as its file states them, in SI units; nan where the file is silent."""

    kind: FaultKind
    on: str
    ohms: float = math.nan
    ohms_hot: float = math.nan
    factor: float = math.nan
    power: float = math.nan
    volts: float = math.nan
    offset: float = math.nan
    along: float = math.nan
    to: str = ""
    end: str = ""


@dataclass(frozen=True, slots=True)
class FaultEffect:
    """What a fault does: changes to branches, and what is not a branch (thermostat, supply, motor)."""

    changes: tuple[Change, ...] = ()
    offset: float = 0.0
    volts: float = 0.0
    stops: str = ""
    recovers: bool = False


Branches = Mapping[str, Branch]


def _figure(draft: FaultDraft, key: str, example: str) -> float:
    value = float(getattr(draft, key))
    if math.isnan(value):
        raise ScenarioError(
            f"a fault of kind '{draft.kind}' needs the figure '{key}'", remedy=f"write for example {key} = {example}"
        )
    return value


def _a(kind: BranchKind) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _branch(draft: FaultDraft, branches: Branches, *kinds: BranchKind) -> Branch:
    branch = branches.get(draft.on)
    if branch is None:
        near = near_name(draft.on, branches) if draft.on else None
        hint = "name a section (E1.outer), a contact (S1.a), a single-path part (F1) or a wire (W7)"
        raise ScenarioError(
            f"there is nothing called '{draft.on}' for the fault to be on",
            remedy=f"did you mean '{near}'" if near else hint,
        )
    if branch.kind not in kinds:
        wanted = " or ".join(_a(kind) for kind in kinds)
        raise ScenarioError(
            f"a fault of kind '{draft.kind}' cannot be on '{draft.on}', which is {_a(branch.kind)}",
            remedy=f"put it on {wanted}, or choose another kind",
        )
    return branch


#: A leak at a point of a section has at least so many times the ohms of it.
LEAST_LEAK = 20.0

_LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.FUSE, BranchKind.COIL)


def _open(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, *_LOADS)
    return FaultEffect((Change(branch.name, force=math.inf),))


def _drift(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.ELEMENT)
    return FaultEffect((Change(branch.name, factor=_figure(draft, "factor", "1.25")),))


def _wrong_part(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.ELEMENT)
    watts = _figure(draft, "power", '"1.05 kW"')
    if not watts > 0.0:
        raise ScenarioError("the wrong part's rating must be more than nothing", remedy='write power = "1.05 kW"')
    return FaultEffect((Change(branch.name, factor=branch.watts / watts),))


def _leak(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.ELEMENT, BranchKind.MOTOR)
    path = next((b for b in branches.values() if b.name.startswith(f"{branch.name}~")), None)
    if path is None:
        raise ScenarioError(
            f"'{draft.on}' has no insulation path to leak through",
            remedy="give its part the keys 'mounted_on' and 'insulation'",
        )
    ohms = _figure(draft, "ohms", '"35 kohm"')
    hot = None if math.isnan(draft.ohms_hot) else draft.ohms_hot
    recovers = draft.kind is FaultKind.DAMP
    if not draft.along > 0.0:
        return FaultEffect((Change(path.name, force=ohms, force_hot=hot),), recovers=recovers)
    if min(ohms, ohms if hot is None else hot) < LEAST_LEAK * branch.hot_ohms:
        raise ScenarioError(
            f"a leak along '{draft.on}' of less than {LEAST_LEAK * branch.hot_ohms:.3g} Ω takes its heat as well",
            remedy="write more ohms, or leave 'along' out",
        )
    far = branches[far_path(path.name)]
    cold_ends = _from_ends(ohms, branch.cold_ohms, draft.along)
    hot_ends = _from_ends(ohms if hot is None else hot, branch.hot_ohms, draft.along)
    pairs = zip((path.name, far.name), cold_ends, hot_ends, strict=True)
    return FaultEffect(tuple(Change(name, force=c, force_hot=h) for name, c, h in pairs), recovers=recovers)


def far_path(path: str) -> str:
    """Name of the path to metalwork from the second end of a section, by that from its first."""
    return f"{path}~far"


def _from_ends(leak: float, section: float, along: float) -> tuple[float, float]:
    """Ohms to metalwork from either end that do what ``leak`` does at a point, by turning star into delta.

    What that adds to the section itself, a quarter of its share of the leak at most, is left out: little over 1 %.
    """
    first = math.inf if along >= 1.0 else leak / (1.0 - along) + along * section
    return first, leak / along + (1.0 - along) * section


def _high_resistance(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.WIRE, BranchKind.CONTACT)
    ohms = _figure(draft, "ohms", '"12 ohm"')
    own = branch.cold_ohms if math.isfinite(branch.cold_ohms) else branch.hot_ohms  # a contact that rests open
    if not ohms > own:
        raise ScenarioError(
            f"'{draft.on}' has {own:.3g} Ω when it is sound, and this fault would add no more than that",
            remedy='write more, for example ohms = "2 ohm"',
        )
    return FaultEffect((Change(branch.name, series=ohms),))


def _broken_wire(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.WIRE)
    return FaultEffect((Change(branch.name, force=math.inf),))


def _misplaced_wire(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.WIRE)
    moved = branches.get(misplaced_name(draft))
    if moved is None:
        raise ScenarioError(
            f"wire '{draft.on}' has no wrong place to go to", remedy="give the fault the keys 'end' and 'to'"
        )
    return FaultEffect((Change(branch.name, force=math.inf), Change(moved.name, force=branch.cold_ohms)))


def misplaced_name(draft: FaultDraft) -> str:
    """Name of the branch that a misplaced wire becomes: ``W7>S1.2``."""
    return f"{draft.on}>{draft.to}"


def _stuck_open(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.CONTACT)
    return FaultEffect((Change(branch.name, force=math.inf),))


def _stuck_closed(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.CONTACT)
    return FaultEffect((Change(branch.name, force=branch.hot_ohms),))


def _out_of_calibration(draft: FaultDraft, branches: Branches) -> FaultEffect:
    _branch(draft, branches, BranchKind.CONTACT)
    return FaultEffect(offset=_figure(draft, "offset", '"-40 K"'))


def _seized(draft: FaultDraft, branches: Branches) -> FaultEffect:
    branch = _branch(draft, branches, BranchKind.MOTOR)
    return FaultEffect(stops=branch.part)


def _low_supply(draft: FaultDraft, branches: Branches) -> FaultEffect:
    del branches
    return FaultEffect(volts=_figure(draft, "volts", '"205 V"'))


def _user_setting(draft: FaultDraft, branches: Branches) -> FaultEffect:
    del draft, branches
    return FaultEffect()


_KINDS: Mapping[FaultKind, Callable[[FaultDraft, Branches], FaultEffect]] = {
    FaultKind.OPEN: _open,
    FaultKind.DRIFT: _drift,
    FaultKind.WRONG_PART: _wrong_part,
    FaultKind.LEAK: _leak,
    FaultKind.DAMP: _leak,
    FaultKind.HIGH_RESISTANCE: _high_resistance,
    FaultKind.BROKEN_WIRE: _broken_wire,
    FaultKind.MISPLACED_WIRE: _misplaced_wire,
    FaultKind.EARTH_OFF: _broken_wire,
    FaultKind.STUCK_OPEN: _stuck_open,
    FaultKind.STUCK_CLOSED: _stuck_closed,
    FaultKind.OUT_OF_CALIBRATION: _out_of_calibration,
    FaultKind.SEIZED: _seized,
    FaultKind.LOW_SUPPLY: _low_supply,
    FaultKind.USER_SETTING: _user_setting,
}


def fault_effect(draft: FaultDraft, branches: Branches) -> FaultEffect:
    """What the fault does to the appliance; :class:`ScenarioError` (without a place) when it cannot be there."""
    return _KINDS[draft.kind](draft, branches)
