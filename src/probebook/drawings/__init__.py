"""Pictures of an appliance as text: schematic, harness, rating plate, meter face, and their words."""

from probebook.drawings.harness_drawing import harness, wire_table
from probebook.drawings.meter_drawing import meter_face
from probebook.drawings.paths import carrying, closed_contacts
from probebook.drawings.plate_drawing import plate
from probebook.drawings.reader.flowing import flow_of
from probebook.drawings.reader.reading import Reading, readings_of
from probebook.drawings.schematic_drawing import schematic
from probebook.drawings.telling.branches import describe_branches
from probebook.drawings.telling.describing import describe

__all__ = [
    "Reading",
    "carrying",
    "closed_contacts",
    "describe",
    "describe_branches",
    "flow_of",
    "harness",
    "meter_face",
    "plate",
    "readings_of",
    "schematic",
    "wire_table",
]
