"""Pictures of an appliance as text: schematic, harness, rating plate, meter face, and their words."""

from probebook.drawings.describe import describe
from probebook.drawings.dial import meter_face
from probebook.drawings.harness import harness, wire_table
from probebook.drawings.paths import carrying, closed_contacts
from probebook.drawings.plate import plate
from probebook.drawings.schematic import schematic

__all__ = ["carrying", "closed_contacts", "describe", "harness", "meter_face", "plate", "schematic", "wire_table"]
