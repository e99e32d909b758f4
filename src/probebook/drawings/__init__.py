"""Pictures of an appliance as text: schematic, harness, rating plate, meter face, and their words."""
