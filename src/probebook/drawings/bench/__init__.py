"""The appliance as it stands on the virtual bench, drawn so that everything on it can be touched."""

from probebook.drawings.bench.drawing import workbench

__all__ = ["workbench"]
