"""Pictures of an appliance as text: schematic, harness, rating plate, meter face, and their words."""

from probebook.drawings.describing import describe
from probebook.drawings.harness_drawing import harness, wire_table
from probebook.drawings.meter_drawing import meter_face
from probebook.drawings.paths import carrying, closed_contacts
from probebook.drawings.plate_drawing import plate
from probebook.drawings.schematic_drawing import schematic

__all__ = ["carrying", "closed_contacts", "describe", "harness", "meter_face", "plate", "schematic", "wire_table"]
