"""Instruments read from text files in ``scenarios/meters``."""

from __future__ import annotations

from pathlib import Path

from probebook.errors import ScenarioError
from probebook.meters.model import Function, Meter, Range

__all__ = ["load_meter", "load_meters"]


def load_meter(path: Path) -> Meter:
    """Return the instrument that the TOML file ``path`` describes.

    Raises
    ------
    ScenarioError
        The file is missing, is not TOML, or a key is missing, unknown or wrong; one sentence names it.
    """
    from probebook.meters.filemodel import MeterFile
    from probebook.textfiles import load_text

    path = Path(path)
    text = load_text(path, MeterFile)
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
    )


def load_meters(folder: Path) -> dict[str, Meter]:
    """Return every instrument in ``folder``, by id in order of file name.

    Raises
    ------
    ScenarioError
        A file cannot be used, or the folder holds none.
    """
    paths = sorted(Path(folder).glob("*.toml"))
    if not paths:
        raise ScenarioError("this folder holds no meter", where=str(folder), remedy="add a .toml file to it")
    meters = (load_meter(path) for path in paths)
    return {meter.id: meter for meter in meters}
