"""Everything of the trade that questions draw on, read from ``scenarios/`` when first asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from probebook.appliances import Appliance, load_appliance
from probebook.errors import UsageError
from probebook.meters import Meter, load_meters
from probebook.textfiles import scenarios_dir

__all__ = ["Library", "Outcome", "SlipNote", "library"]


@dataclass(frozen=True, slots=True)
class SlipNote:
    """A named wrong way of working, from ``slips.toml``.

    ``way`` completes 'you have …' and ``advice`` says what to do instead; ``source`` on whose word people do this.
    """

    id: str
    name: str
    way: str
    advice: str
    source: str
    competences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """Something to be learnt: a row of a blueprint and of a report."""

    id: str
    title: str


class Library:
    """The trade as one ``scenarios`` folder describes it; files are read once, at first need.

    Parameters
    ----------
    folder
        The ``scenarios`` folder.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._appliances: dict[str, Appliance] = {}

    @cached_property
    def appliance_ids(self) -> tuple[str, ...]:
        """Ids of all appliances, in order of file name."""
        return tuple(sorted(path.stem for path in (self.folder / "appliances").glob("*.toml")))

    def appliance(self, appliance_id: str) -> Appliance:
        """The appliance of that id; :class:`UsageError` when there is none, :class:`ScenarioError` when it is bad."""
        if appliance_id not in self._appliances:
            if appliance_id not in self.appliance_ids:
                raise UsageError(
                    f"there is no appliance '{appliance_id}'",
                    where=str(self.folder / "appliances"),
                    remedy=f"choose one of {', '.join(self.appliance_ids)}",
                )
            self._appliances[appliance_id] = load_appliance(self.folder / "appliances" / f"{appliance_id}.toml")
        return self._appliances[appliance_id]

    @cached_property
    def meters(self) -> dict[str, Meter]:
        """All instruments by id."""
        return load_meters(self.folder / "meters")

    def meter(self, meter_id: str) -> Meter:
        """The instrument of that id; :class:`UsageError` when there is none."""
        if meter_id not in self.meters:
            raise UsageError(
                f"there is no meter '{meter_id}'",
                where=str(self.folder / "meters"),
                remedy=f"choose one of {', '.join(self.meters)}",
            )
        return self.meters[meter_id]

    @cached_property
    def slips(self) -> dict[str, SlipNote]:
        """All slips by id."""
        from probebook.textfiles import StrictModel, load_text

        class Row(StrictModel):
            id: str
            name: str
            way: str
            advice: str
            source: str
            competences: tuple[str, ...]

        class File(StrictModel):
            slip: tuple[Row, ...]

        rows = load_text(self.folder / "slips.toml", File).slip
        return {r.id: SlipNote(r.id, r.name, r.way, r.advice, r.source, r.competences) for r in rows}

    @cached_property
    def outcomes(self) -> dict[str, Outcome]:
        """All outcomes by id, in teaching order."""
        from probebook.textfiles import StrictModel, load_text

        class Row(StrictModel):
            id: str
            title: str

        class File(StrictModel):
            outcome: tuple[Row, ...]

        return {row.id: Outcome(row.id, row.title) for row in load_text(self.folder / "outcomes.toml", File).outcome}


@cache
def library(folder: Path | None = None) -> Library:
    """The library of a ``scenarios`` folder (the one in force when none is named)."""
    return Library(scenarios_dir(folder))
