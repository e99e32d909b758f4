"""One page that shows an appliance: for whoever writes an appliance file, and for a tutor who wants it on paper.

Everything on it is computed from the file: the drawings, what each fault changes, and what the meters show on a healthy
one. The same file gives the same bytes.
"""

from probebook.workbook.preview.readings import Healthy, healthy_readings
from probebook.workbook.preview.whole import preview

__all__ = ["Healthy", "healthy_readings", "preview"]
