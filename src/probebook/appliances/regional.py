"""What an appliance's file becomes in a country that does otherwise: plugs without a fuse.

The files are written for a country whose plugs hold one. Where they hold none, the line pin of the plug is the end of
the lead's core: the fuse, its clip and their faults go, and nothing else changes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from probebook.appliances.model import PartKind

if TYPE_CHECKING:
    from probebook.appliances.schema import ApplianceText, WireText
    from probebook.regions import Region

__all__ = ["for_region"]


def for_region(text: ApplianceText, region: Region) -> ApplianceText:
    """The file as it reads in a region: without the fuse under the plug's cover where plugs hold none."""
    plug = next((part for part in text.part if part.kind is PartKind.PLUG), None)
    if plug is None or region.devices.fuse is not None:
        return text
    fuses = {p.mark for p in text.part if p.kind is PartKind.FUSE and p.cover and p.cover == plug.cover}
    clips = [w for w in text.wire if {_part(w.start), _part(w.end)} <= {plug.mark, *fuses} and _part(w.end) in fuses]
    fed_by = {_part(clip.end): clip.start for clip in clips}
    gone = {*fuses, *(clip.mark for clip in clips)}
    return text.model_copy(
        update={
            "part": tuple(part for part in text.part if part.mark not in gone),
            "wire": tuple(_moved(wire, fed_by) for wire in text.wire if wire.mark not in gone),
            "fault": tuple(fault for fault in text.fault if _part(fault.on) not in gone),
        }
    )


def _part(name: str) -> str:
    return name.partition(".")[0]


def _moved(wire: WireText, fed_by: dict[str, str]) -> WireText:
    """The wire with an end that was on a fuse on what fed the fuse."""
    ends = {"start": fed_by.get(_part(wire.start), wire.start), "end": fed_by.get(_part(wire.end), wire.end)}
    return wire.model_copy(update=ends)
