"""Which relays pull in when an appliance is switched on.

The contacts of a relay hang on what its coil gets, and what the coil gets hangs on contacts, maybe its own. Every way
in which the relays can stand is solved; one *holds* when the coils get, with the contacts so, what makes them stand so.
An appliance of which exactly one way holds in each position is settled. Where none does a relay chatters; where two do,
it stays as it was, which depends on what went before: files with either are refused
(:func:`refuse_unsettled`).

A coil pulls in on the power it takes: that which its winding takes at the volts it pulls in at. So one that is open
does not, whatever volts stand across the break.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from probebook.appliances.model import Appliance, BranchKind, PartKind, State
from probebook.appliances.states import branch_ends, branch_ohms
from probebook.appliances.supply.incoming import held_terminals
from probebook.circuit import energise
from probebook.errors import ScenarioError
from probebook.memo import memo_by_identity

__all__ = [
    "TableOf",
    "coils_of",
    "feeds_of",
    "pulled_in",
    "refuse_unsettled",
    "settled",
    "ways_to_stand",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Ohms of every branch, ``(..., m)``, with the relays of these marks pulled in, and the feeds of these marks live.
TableOf = Callable[[frozenset[str]], FloatArray]

#: More relays than this would be more than 16 circuits a state.
MOST_RELAYS = 4


@memo_by_identity(64)
def coils_of(appliance: Appliance) -> IntArray:
    """Numbers of the branches that are coils of relays, in the order of the parts."""
    return np.array([i for i, b in enumerate(appliance.branches) if b.kind is BranchKind.COIL], dtype=np.intp)


@memo_by_identity(64)
def feeds_of(appliance: Appliance) -> frozenset[str]:
    """Marks of the feeds of a second supply, which are there only while the supply is on."""
    return frozenset(part.mark for part in appliance.parts if part.kind is PartKind.FEED)


@memo_by_identity(64)
def ways_to_stand(appliance: Appliance) -> tuple[frozenset[str], ...]:
    """Every set of relays that can be pulled in, by mark; fewest first."""
    marks = [appliance.branches[i].part for i in coils_of(appliance).tolist()]
    return tuple(frozenset(some) for k in range(len(marks) + 1) for some in combinations(marks, k))


def settled(appliance: Appliance, held: Mapping[int, complex], table_of: TableOf, share: ArrayLike = 1.0) -> FloatArray:
    """Ohms of every branch with the relays as they come to stand, shape ``(..., m)``.

    Parameters
    ----------
    appliance
        Whose relays they are; without one the table is what ``table_of`` gives for none pulled in.
    held
        Volts of the terminals that the supply holds.
    table_of
        The ohms with a given set of relays pulled in and of feeds live.
    share
        What each state gets of the volts held, to be broadcast against the states.

    Notes
    -----
    Switched on from rest: of several ways that hold that with the fewest pulled in, and rest where none does. Only
    faults that no file lists get there.
    """
    return _standing(appliance, held, table_of, share)[0]


def _standing(
    appliance: Appliance, held: Mapping[int, complex], table_of: TableOf, share: ArrayLike = 1.0
) -> tuple[FloatArray, NDArray[np.intp], NDArray[np.intp]]:
    """The ohms, the place of the way in which relays stand, and how many ways hold: ``(..., m)``, ``(...)`` twice."""
    coils, ways = coils_of(appliance), ways_to_stand(appliance)
    feeds = feeds_of(appliance)
    found = table_of(feeds)
    which, holding = np.zeros(found.shape[:-1], dtype=np.intp), np.zeros(found.shape[:-1], dtype=np.intp)
    if not len(coils):
        return found, which, holding + 1
    rest, pulls = found.copy(), _pulls(appliance)
    gets = np.asarray(share, dtype=np.float64)[..., None] ** 2
    for place, pulled in enumerate(ways):
        ohms = table_of(feeds | pulled) if pulled else rest
        flow = energise(len(appliance.terminals), branch_ends(appliance), ohms, held)
        wanted = [appliance.branches[i].part in pulled for i in coils.tolist()]
        holds = ((gets * flow.watts[..., coils] >= pulls) == wanted).all(axis=-1)
        first = holds & (holding == 0)
        found[first], which[first] = ohms[first], place
        holding += holds
    return found, which, holding


def _pulls(appliance: Appliance) -> FloatArray:
    """Watts from which on each coil pulls in."""
    coils = [appliance.branches[i] for i in coils_of(appliance).tolist()]
    return np.array([b.pulls_in**2 / b.hot_ohms for b in coils])


def _table_of(appliance: Appliance, states: Sequence[State], volts: float, *, hot: bool) -> TableOf:
    def table(pulled: frozenset[str]) -> FloatArray:
        here = [replace(state, opened=state.opened | pulled) for state in states]
        return branch_ohms(appliance, here, hot=hot, test_volts=volts)

    return table


def pulled_in(appliance: Appliance, state: State) -> frozenset[str]:
    """Marks of the relays that are pulled in with the supply on, all warm; KeyError as :func:`branch_ohms`."""
    if not len(coils_of(appliance)):
        return frozenset()
    volts = appliance.supply.volts
    table = _table_of(appliance, [state], volts, hot=True)
    return ways_to_stand(appliance)[int(_standing(appliance, held_terminals(appliance, volts), table)[1][0])]


def refuse_unsettled(appliance: Appliance) -> None:
    """Refuse an appliance whose relays chatter or stay as they were; :class:`ScenarioError` with the place in the file.

    Every position is tried, sound and with each listed fault, the thermostats calling and not, cold and warm.
    """
    if not len(coils_of(appliance)):
        return
    if len(coils_of(appliance)) > MOST_RELAYS:
        raise ScenarioError(
            f"there are {len(coils_of(appliance))} relays", where="part", remedy=f"describe {MOST_RELAYS} at most"
        )
    listed = [("", ""), *((f"fault[{i + 1}] ({f.id})", f.id) for i, f in enumerate(appliance.faults))]
    tried = [
        (where or f"position[{i + 1}] ({position.name})", _volts(appliance, fault), hot, state)
        for where, fault in listed
        for i, position in enumerate(appliance.positions)
        for calling, hot in ((True, True), (False, True), (True, False), (False, False))
        for state in (State(position.name, calling=calling, faults=frozenset({fault} - {""})),)
    ]
    holding = _ways_that_hold(appliance, [(volts, hot, state) for _, volts, hot, state in tried])
    for (where, _, _, state), found in zip(tried, holding, strict=True):
        if found != 1:
            raise _unsettled(appliance, where, state.position, found)


def _volts(appliance: Appliance, fault: str) -> float:
    """What the supply gives with a fault, or with none (an empty id)."""
    return (appliance.fault(fault).volts if fault else None) or appliance.supply.volts


def _ways_that_hold(appliance: Appliance, tried: Sequence[tuple[float, bool, State]]) -> list[int]:
    """In how many ways the relays can stand, for each of the volts, hot or cold, and states; solved many at a time."""
    holding = [0] * len(tried)
    for volts, hot in sorted({(volts, hot) for volts, hot, _ in tried}):
        places = [n for n, (at, warm, _) in enumerate(tried) if (at, warm) == (volts, hot)]
        states = [tried[n][2] for n in places]
        table = _table_of(appliance, states, volts, hot=hot)
        for n, found in zip(places, _standing(appliance, held_terminals(appliance, volts), table)[2], strict=True):
            holding[n] = int(found)
    return holding


def _unsettled(appliance: Appliance, where: str, position: str, holding: int) -> ScenarioError:
    marks = ", ".join(sorted(ways_to_stand(appliance)[-1]))
    if holding:
        said = f"in position '{position}' the coils of {marks} hold in once they are in, and stay out once they are out"
        return ScenarioError(said, where=where, remedy="feed each coil past the contacts that it works itself")
    said = f"in position '{position}' the relays {marks} come to no rest: pulling in takes a coil its supply away"
    return ScenarioError(said, where=where, remedy="feed each coil past the contacts that it works itself")
