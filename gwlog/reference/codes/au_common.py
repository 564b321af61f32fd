"""What the Australian profiles share: the summer in which soil is flushed lies at the turn of the year."""

from __future__ import annotations

from gwlog.reference.upkeep import DEFAULT_UPKEEP, FLUSH_SOIL, FLUSH_SOIL_SOUTH

SOUTHERN_UPKEEP = tuple(FLUSH_SOIL_SOUTH if task is FLUSH_SOIL else task for task in DEFAULT_UPKEEP)
