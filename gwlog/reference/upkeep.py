"""Recurring maintenance of a laundry graywater system: what, how often, in which months, on whose word.

The names are stable: the logbook and its reminders know a task by its name.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, Sure, assumed
from gwlog.values import dataclass

VALLEY_WATER = "Valley Water, laundry-to-landscape guidance"
INSPECTION_TABLE = "California Plumbing Code / Uniform Plumbing Code, graywater inspection table"
DESIGN_MANUAL = "utility design manual for laundry-to-landscape systems"
NSW = "New South Wales Guideline for greywater in single households"
WA_CODE = "Western Australia Code of Practice for the Reuse of Greywater"
OREGON_REPORT = "Oregon Administrative Rules 340-053-0110(1)(a)(C), where a report in time waives or cuts the fee"


@dataclass(frozen=True, slots=True, eq=False)
class UpkeepDefault:
    """A task that comes with a code profile.

    `every`: a count and a unit, like “12 months”, “6 weeks”, “1 month”, from the last time it was done.
    `months`: the months of the year in which it is due (1 = January), None for all year. `why`: in one
    sentence, what it is good for.
    """

    name: str
    every: str
    months: tuple[int, ...] | None
    why: str
    source: str
    edition: str
    sure: Sure


RAINLESS_NORTH = (5, 6, 7, 8, 9, 10)
"""Months without much rain in a dry-summer climate of the northern hemisphere; working assumption."""

RAINLESS_SOUTH = (11, 12, 1, 2, 3, 4)
"""The same in the southern hemisphere; working assumption."""

GROWING_SEASON = (4, 5, 6, 7, 8, 9, 10)
"""April to October: the growing season where a code does not name months; working assumption."""

LOOK = UpkeepDefault(
    "look for ponding and runoff", "1 month", None,
    "Water that stands or runs off a few hours after a load shows a basin that gets too much.",
    f"{WA_CODE}, 4.5.2", "2010", "read")
THROW_VALVE = UpkeepDefault(
    "throw the valve both ways", "12 months", None,
    "A valve that has stuck cannot send a load to the sewer.",
    INSPECTION_TABLE, "", "memory")
READ_LABELS = UpkeepDefault(
    "read the labels on pipe and valve", "12 months", None,
    "Whoever comes next must see that the water in the pipe is not for drinking.",
    INSPECTION_TABLE, "", "memory")
CHECK_VENT = UpkeepDefault(
    "check the air vent, clamps and joints", "12 months", None,
    "Without a working vent the line can siphon the machine; a weeping joint wets the wall.",
    DESIGN_MANUAL, "", "memory")
FLUSH_LINE = UpkeepDefault(
    "flush the line", "12 months", None,
    "Lint settles where the pipe lies low.",
    DESIGN_MANUAL, "", "memory")
CLEAR_OUTLETS = UpkeepDefault(
    "clear the outlet ends and renew composted mulch", "12 months", None,
    "Roots and lint close the open ends, and rotted chips no longer take a load's surge.",
    VALLEY_WATER, "", "read")
FLUSH_SOIL = UpkeepDefault(
    "flush the soil with drinking water", "6 weeks", RAINLESS_NORTH,
    "Where no rain falls, salt from the wash stays in the root zone until clean water carries it down.",
    NSW, "2007/8", "read")
FLUSH_SOIL_SOUTH = UpkeepDefault(
    FLUSH_SOIL.name, FLUSH_SOIL.every, RAINLESS_SOUTH, FLUSH_SOIL.why,
    FLUSH_SOIL.source, FLUSH_SOIL.edition, FLUSH_SOIL.sure)
YEARLY_RECORD = UpkeepDefault(
    "yearly record", "12 months", None,
    "A record for the landlord or the agency, made while the year is still remembered.",
    OREGON_REPORT, "2011", "read")
TOP_UP_SEASON = UpkeepDefault(
    "top up the mulch to 4 in", "1 month", GROWING_SEASON,
    "The cover is kept up through the growing season; the monthly look is a working assumption.",
    "Washington Administrative Code 246-274-100", "2011", "read")

DEFAULT_UPKEEP: tuple[UpkeepDefault, ...] = (
    LOOK, THROW_VALVE, READ_LABELS, CHECK_VENT, FLUSH_LINE, CLEAR_OUTLETS, FLUSH_SOIL, YEARLY_RECORD,
)
"""What every profile starts with. Cover is not among them: its date follows from its measurements."""

CLEAN_FILTER = UpkeepDefault(
    "clean the filter", "3 months", None,
    "Only where a filter was fitted; a washer line to open ends has none.",
    INSPECTION_TABLE, "", "memory")

KEEP_COVER = Sourced("as needed", f"{INSPECTION_TABLE}: keep the cover, no ponding", "", "memory")
KEEP_RECORDS_YEARS = Sourced(
    5, "Colorado 5 CCR 1002-86, 86.14, of category C2 over 2,000 gal/day; taken as a useful default", "", "read")

COVER_ON_DRAINED_SOIL_IN = Sourced((3.0, 4.0), "Iowa State University Extension, mulch depth", "", "read")
COVER_ON_HEAVY_SOIL_IN = Sourced((2.0, 3.0), "Iowa State University Extension, mulch depth", "", "read")
CLEAR_OF_TRUNK_IN = Sourced(6.0, "Iowa State University Extension, mulch depth", "", "read")
CHIP_POROSITY = Sourced(
    (0.66, 0.78), "Christianson et al., Applied Engineering in Agriculture 26(5):849-854", "2010", "read")
SETTLING_PER_YEAR = assumed(0.40, "no citable rate; fitted to the basin's measurements once there are two")
COVER_MARGIN_MM = assumed(13.0, "half an inch before the code's minimum")
