"""Everything of the trade that questions draw on, read from ``scenarios/`` when first asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path

from probebook.appliances import Appliance, load_appliance
from probebook.assumptions import Assumptions, load_assumptions
from probebook.errors import UsageError, choose_one
from probebook.meters import Meter, load_meters
from probebook.meters.model import ROLES
from probebook.regions import DEFAULT_REGION, Region, load_region
from probebook.scenario_folder import fingerprint, scenarios_dir
from probebook.scenario_layers import file_in, files_in
from probebook.words import Noun, Words

__all__ = ["Library", "Outcome", "SlipNote", "library"]


@dataclass(frozen=True, slots=True)
class SlipNote:
    """A named wrong way of working, from ``text/en/slips.toml``.

    ``way`` completes 'you have …'; ``advice``, sentence by sentence, says what to do instead; ``source`` on whose word
    people do this; ``on`` (form, wrong path) where it is met without any code.
    """

    id: str
    name: str
    way: str
    advice: tuple[str, ...]
    source: str
    competences: tuple[str, ...]
    on: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """Something to be learnt: a row of a blueprint and of a report.

    ``able`` says for each reader (``apprentice``, ``owner``) what one can do who has learnt it.
    """

    id: str
    title: str
    able: Mapping[str, str] = field(default_factory=dict)


class Library:
    """The trade as one ``scenarios`` folder describes it; files are read once, at first need.

    Parameters
    ----------
    folder
        The ``scenarios`` folder.
    language
        Language of every sentence: a folder in ``text/``.
    region
        Id of the country whose supply, rules, devices and words hold: a file in ``regions/``.
    """

    def __init__(self, folder: Path, language: str = "en", region: str = DEFAULT_REGION) -> None:
        self.folder = folder
        self.language = language
        self._region = region
        self._appliances: dict[str, Appliance] = {}

    @cached_property
    def appliance_ids(self) -> tuple[str, ...]:
        """Ids of all appliances, in order of file name."""
        return tuple(sorted(path.stem for path in files_in(self.folder, "appliances")))

    def appliance(self, appliance_id: str) -> Appliance:
        """The appliance of that id; :class:`UsageError` when there is none, :class:`ScenarioError` when it is bad."""
        if appliance_id not in self._appliances:
            if appliance_id not in self.appliance_ids:
                raise UsageError(
                    f"there is no appliance '{appliance_id}'",
                    where=str(self.folder / "appliances"),
                    remedy=choose_one(appliance_id, self.appliance_ids),
                )
            self._appliances[appliance_id] = load_appliance(
                file_in(self.folder, f"appliances/{appliance_id}.toml"),
                self.words,
                scenarios=self.folder,
                region=self.region,
            )
        return self._appliances[appliance_id]

    @cached_property
    def fingerprint(self) -> str:
        """What stands for the whole folder as it was when first asked: an answer key carries it."""
        return fingerprint(self.folder.resolve())

    @cached_property
    def region(self) -> Region:
        """The country: supply, limits by role, colours, devices, usual words."""
        return load_region(self.folder, self._region)

    @cached_property
    def assumptions(self) -> Assumptions:
        """Figures that are judgements of the trade or of teaching."""
        return load_assumptions(self.folder)

    def word(self, key: str) -> Noun:
        """The region's usual word for a thing, in the language of this library."""
        return self.words.adopted(self.region.word(key))

    @cached_property
    def words(self) -> Words:
        """Every sentence people read, in the language of this library."""
        return Words(self.folder, self.language)

    @cached_property
    def meters(self) -> dict[str, Meter]:
        """All instruments by id."""
        return load_meters(self.folder / "meters", self.words)

    def meter(self, meter_id: str) -> Meter:
        """The instrument of that id; :class:`UsageError` when there is none."""
        if meter_id not in self.meters:
            raise UsageError(
                f"there is no meter '{meter_id}'",
                where=str(self.folder / "meters"),
                remedy=choose_one(meter_id, self.meters),
            )
        return self.meters[meter_id]

    def meter_for(self, role: str) -> Meter:
        """The instrument that serves as ``role`` (``bench``, ``pocket`` ...); :class:`UsageError` when none does."""
        for meter in self.meters.values():
            if meter.role == role:
                return meter
        raise UsageError(
            f"no meter serves as '{role}'",
            where=str(self.folder / "meters"),
            remedy=f'write role = "{role}" in one; the roles are {", ".join(ROLES)}',
        )

    @cached_property
    def slips(self) -> dict[str, SlipNote]:
        """All slips by id."""
        from probebook.cases.formats import SlipsText
        from probebook.scenario_layers import load_joined

        rows = load_joined(self.folder / "text" / "en" / "slips.toml", SlipsText, self.words).slip
        return {
            r.id: SlipNote(
                r.id, r.name, r.way, r.advice, r.source, r.competences, tuple((use.form, use.path) for use in r.on)
            )
            for r in rows
        }

    @cached_property
    def outcomes(self) -> dict[str, Outcome]:
        """All outcomes by id, in teaching order."""
        from probebook.cases.formats import OutcomesText
        from probebook.scenario_layers import load_joined

        rows = load_joined(self.folder / "outcomes.toml", OutcomesText, self.words).outcome
        return {
            row.id: Outcome(
                row.id, row.title, {"apprentice": row.able or row.title, "owner": row.owner or row.able or row.title}
            )
            for row in rows
        }


@cache
def library(folder: Path | None = None, region: str = DEFAULT_REGION, language: str = "en") -> Library:
    """The library of a ``scenarios`` folder (the one in force when none is named), in a region and a language."""
    return Library(scenarios_dir(folder), language=language, region=region)
