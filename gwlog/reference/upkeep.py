"""Recurring maintenance of a laundry graywater system: what, how often, in which months, on whose word.

The names are stable: the logbook and its reminders know a task by its name.
"""

from __future__ import annotations

from gwlog.reference.source import PRACTICE, Sourced, Sure, assumed
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
    "The mulch is kept up through the growing season; the monthly look is a working assumption.",
    "Washington Administrative Code 246-274-100", "2011", "read")

HOW = {FLUSH_LINE.name: "a plain rinse load, or a bucket; never a hose from the house"}
"""How a task is done where doing it wrongly would harm: a hose at the line joins it to the drinking water."""


def with_how(name: str) -> str:
    """A task's name as it is told: “flush the line (a plain rinse load, …)”, others as they are."""
    how = HOW.get(name.casefold())
    return f"{name} ({how})" if how else name


DEFAULT_UPKEEP: tuple[UpkeepDefault, ...] = (
    LOOK, THROW_VALVE, READ_LABELS, CHECK_VENT, FLUSH_LINE, CLEAR_OUTLETS, FLUSH_SOIL, YEARLY_RECORD,
)
"""What every profile starts with. Cover is not among them: its date follows from its measurements."""

HAVE_WITNESSED = UpkeepDefault(
    "have the seal number witnessed", "1 month", None,
    "What somebody outside of the household has noted cannot be rewritten unseen.",
    PRACTICE, "", "common practice")
"""For those who want it: a household takes it into its site file. Logging a witness does it."""

CLEAN_FILTER = UpkeepDefault(
    "clean the filter", "3 months", None,
    "Only where a filter was fitted; a washer line to open ends has none.",
    INSPECTION_TABLE, "", "memory")


@dataclass(frozen=True, slots=True, eq=False)
class OnceDefault:
    """A task of a new system that comes once.

    `after`: how long after the first load to the garden, like “1 week”; None: before the first load. `answers`: the
    question about the system itself for which it is evidence, or None.
    """

    name: str
    after: str | None
    why: str
    source: str
    edition: str
    sure: Sure
    answers: str | None = None


def _once(name: str, after: str | None, why: str, source: str = PRACTICE, sure: Sure = "common practice",
          answers: str | None = None) -> OnceDefault:
    return OnceDefault(name, after, why, source, "", sure, answers)


NEW_SYSTEM: tuple[OnceDefault, ...] = (
    _once("see that the air vent is in place", None,
          "Without a vent the line can siphon the machine empty while it fills.", DESIGN_MANUAL,
          "memory"),
    _once("see that every clamp is tight", None, "The machine's pump pushes off a loose hose.", DESIGN_MANUAL,
          "memory"),
    _once("label the valve, and throw the valve both ways", None,
          "Whoever stands at the machine must know which way is the sewer, and the valve must go there.",
          INSPECTION_TABLE, "memory", "valve_labelled"),
    _once("watch a rinse at every outlet", None,
          "A clear rinse shows whether water comes out everywhere, and how much."),
    _once("see that no joint is wet", None, "A joint that weeps on the first day wets the wall for years."),
    _once("see that nothing is joined to drinking water", None,
          "Graywater that can run back makes drinking water unsafe.", INSPECTION_TABLE, "memory", "potable_joint"),
    _once("first week: tighten every clamp again", "1 week", "Hoses settle under their clamps in the first runs."),
    _once("first week: look for ponding", "1 week", "The first loads show whether the basins take what they get."),
    _once("first month: tighten every clamp again", "1 month", "A clamp that held for a week may still work loose."),
    _once("first month: look for ponding", "1 month", "Fine lint and settled mulch can slow a basin down."),
    _once("first month: measure the mulch, which has settled", "1 month",
          "Fresh chips settle most in their first weeks."),
)
"""What a system that is described as new asks for once: before its first load, after a week and after a month."""

NO_JOINT = Sourced(
    "12 months", f"{INSPECTION_TABLE}: no joint with drinking water", "", "memory")
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
