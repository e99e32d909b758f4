"""Workbooks: notebooks with questions that are answered, marked and remembered where they stand.

A notebook begins with ``from probebook.workbook import open_workbook``. That loads ipywidgets and plain Python only.
"""

from probebook.workbook.player import Workbook, open_workbook

__all__ = ["Workbook", "open_workbook"]
