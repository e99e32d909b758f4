"""Regions: what differs by country, as data. Supply, limits by role with their rules, colours, devices, usual words.

>>> from probebook.regions import load_region
"""

from __future__ import annotations

from probebook.regions.limits import Band, Limit, Rules, load_rules
from probebook.regions.loading import DEFAULT_REGION, load_region, region_ids
from probebook.regions.region import Region

__all__ = [
    "DEFAULT_REGION",
    "Band",
    "Limit",
    "Region",
    "Rules",
    "load_region",
    "load_rules",
    "region_ids",
]
