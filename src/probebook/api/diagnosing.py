"""What follows from readings; and diagnosis by consistency, which knows of no appliance."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.diagnosis import Posterior, posterior
from probebook.diagnosis import explain as explain_evidence
from probebook.diagnosis import read_evidence as read_evidence_file
from probebook.errors import UsageError
from probebook.meters import USUAL_ROLES, Meter

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.cases.library import Library
    from probebook.diagnosis import Evidence, Explanation, Observation

__all__ = ["diagnose", "explain", "read_evidence"]


def read_evidence(path: Path, appliance: Appliance) -> Evidence:
    """Read what was observed on an appliance from a TOML or JSON file.

    Parameters
    ----------
    path
        The file; ``docs/formats.md`` lists its keys.
    appliance
        What it is about.

    Returns
    -------
    tuple of observations
        Complaints, trips, looks and runs, then readings, in file order.

    Raises
    ------
    UsageError
        There is no such file, or it names something that the appliance does not have.
    ScenarioError
        The file cannot be used; one sentence names key and remedy.

    Examples
    --------
    >>> from probebook import load_appliance, read_evidence
    >>> read_evidence("no-such-file.toml", load_appliance("kettle"))
    Traceback (most recent call last):
    ...
    probebook.errors.UsageError: no-such-file.toml: there is no such file; name a file of readings.
    """
    if not Path(path).is_file():
        raise UsageError("there is no such file", where=str(path), remedy="name a file of readings")
    return read_evidence_file(Path(path), appliance)


def diagnose(
    appliance: Appliance, evidence: Sequence[Observation], library: Library, meters: Sequence[Meter] = ()
) -> Posterior:
    """Weigh evidence: say how probable each set of faults is.

    Parameters
    ----------
    appliance
        What it is about.
    evidence
        Observations of any sort in any order.
    library
        The trade, whose usual instruments were used where no ``meters`` are named.
    meters
        The instruments; the first that has a function was used for it.

    Returns
    -------
    Posterior
        ``hypotheses`` (H of them) and ``probabilities``, shape ``(H,)``, which sum to 1.

    Raises
    ------
    KeyError
        A reading names a position, wire or terminal that the appliance does not have.
    UsageError
        No instrument has a function that was used, or it cannot show what was read.

    Examples
    --------
    >>> from probebook import diagnose, load_library, make_case
    >>> library = load_library()
    >>> case = make_case("conventional-oven", "guide", 1, library=library, truth=("base-open",))
    >>> found = diagnose(library.appliance(case.appliance), case.evidence, library)
    >>> sorted(found.ranked()[0][0].faults), found.determined
    (['base-open'], True)
    """
    return posterior(appliance, evidence, _instruments(library, meters))


def explain(
    appliance: Appliance, evidence: Sequence[Observation], library: Library, meters: Sequence[Meter] = ()
) -> Explanation:
    """Say what follows from evidence: what is probable, what rules out what, what to test next.

    Parameters
    ----------
    appliance, evidence, library, meters
        As of :func:`diagnose`; sentences are in the language of the library.

    Returns
    -------
    Explanation
        Sentences with their figures; ``to_json()`` gives plain data.

    Raises
    ------
    KeyError, UsageError
        As of :func:`diagnose`.

    Examples
    --------
    >>> from probebook import explain, load_library, make_case
    >>> library = load_library()
    >>> case = make_case("conventional-oven", "guide", 1, library=library, truth=("base-open",))
    >>> explain(library.appliance(case.appliance), case.evidence, library).rows[0].faults
    ('base-open',)
    """
    return explain_evidence(appliance, evidence, _instruments(library, meters), words=library.words)


def _instruments(library: Library, meters: Sequence[Meter]) -> tuple[Meter, ...]:
    return tuple(meters) or tuple(map(library.meter_for, USUAL_ROLES))
