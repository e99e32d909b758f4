"""Alloy tables as the heating floor uses them; they are read one floor below."""

from __future__ import annotations

from probebook.appliances.alloys import Alloy, cold_ohms, hot_ohms, load_alloys, rated_ohms, temperature_factor

__all__ = ["Alloy", "cold_ohms", "hot_ohms", "load_alloys", "rated_ohms", "temperature_factor"]
