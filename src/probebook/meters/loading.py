"""Instruments read from text files in ``scenarios/meters``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assumptions import load_assumptions
from probebook.errors import ScenarioError
from probebook.meters.assumed import Astray
from probebook.meters.model import Function, Meter, Range
from probebook.scenario_layers import files_in

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["load_meter", "load_meters"]


def load_meter(path: Path, words: Words | None = None) -> Meter:
    """Return the instrument that the TOML file ``path`` describes, its prose in the language of ``words``.

    Raises
    ------
    ScenarioError
        The file is missing, is not TOML, or a key is missing, unknown or wrong; one sentence names it.
    """
    from probebook.meters.filemodel import MeterFile
    from probebook.textfiles import load_text

    path = Path(path)
    text = load_text(path, MeterFile, words)
    if text.id != path.stem:
        raise ScenarioError(
            f'"{text.id}" differs from the file name', where=f"{path.name}: id", remedy=f'write "{path.stem}"'
        )
    ranges = []
    for function in Function:
        rows = getattr(text, function.value)
        if rows:
            ranges.append(
                (
                    function,
                    tuple(Range(row.up_to, row.resolution, row.of_reading, row.digits) for row in rows),
                )
            )
    assumptions = load_assumptions(path.resolve().parents[1])
    return Meter(
        id=text.id,
        title=text.title,
        source=text.source,
        note=text.note,
        ranges=tuple(ranges),
        lead_ohms=text.leads,
        can_null=text.can_null,
        beeper_ohms=text.beeper,
        insulation_volts=text.test_volts,
        input_ohms=text.input,
        gain_error=text.gain_error,
        role=text.role,
        astray=assumptions.get(Astray),
    )


def load_meters(folder: Path, words: Words | None = None) -> dict[str, Meter]:
    """Return every instrument in ``folder``, by id in order of file name, its prose in the language of ``words``.

    Raises
    ------
    ScenarioError
        A file cannot be used, or the folder holds none.
    """
    paths = files_in(Path(folder).parent, Path(folder).name)
    if not paths:
        raise ScenarioError("this folder holds no meter", where=str(folder), remedy="add a .toml file to it")
    meters = {meter.id: meter for meter in (load_meter(path, words) for path in paths)}
    taken: dict[str, str] = {}
    for meter in meters.values():
        if meter.role and meter.role in taken:
            raise ScenarioError(
                f'two meters serve as "{meter.role}": {taken[meter.role]} and {meter.id}',
                where=f"{meter.id}.toml: role",
                remedy='write role = "" in one of them',
            )
        taken[meter.role] = meter.id
    return meters
