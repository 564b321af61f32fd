"""One invented household as a site file, in US units and in metric, for the tests of the setup."""

from __future__ import annotations

from datetime import UTC, datetime

from gwlog.setup.read import SiteFile, read_site_file

NOW = datetime(2026, 5, 10, 19, 0, tzinfo=UTC)

US = """\
[site]
name = "Plover Court 3"
timezone = "America/Los_Angeles"
latitude = 36.9
units = "us"
occupants = 3
code = "us-ca-washer"
since = 2026-03-01
climate = { eto_zone = 3, monthly_rain_in = [6, 6, 4, 2, 1, 0.2, 0, 0.1, 0.3, 1.5, 3.5, 5.5] }

[[person]]
name = "Oda"

[[washer]]
name = "front loader"
kind = "front-load"
volume_gal = 18

[[basin]]
name = "Plum"
area_ft2 = 30
mulch_in = 4
soil = "sandy loam"
plants = "plum"
canopy_ft2 = 90
root_depth_in = 40
started = 2026-03-02
deficit_gal = 10
at_ft = [12, -4]

[[basin]]
name = "Olive"
area_ft2 = 40
mulch_in = 3
soil = "fine sand"
texture = "loamy sand"
plants = "olive"
canopy_ft2 = 120
wetted_ft2 = 80
plant_factor = 0.6
root_depth_ft = 4
depletion_fraction = 0.6
edible = "off the ground"

[[outlet]]
name = "Hose"
reaches = ["Plum", "Olive"]
at = "Plum"
share = 1.0

[[product]]
name = "plain liquid"
kind = "detergent"
form = "liquid"
chlorine_bleach = false
borax = false
sodium_g_per_load = 3.5

[[usual_load]]
name = "towels"
products = ["plain liquid"]
contents = []
volume_gal = 17.5

[[planned_load]]
load = "towels"
starts = 2026-03-07T09:00
every = "FREQ=WEEKLY;BYDAY=SA"
skips = [2026-04-04]

[[upkeep]]
name = "sharpen the spade"
every = "6 weeks"
months = [4, 5, 6]

[system]
notice = true
dwelling = "two-family"
only_washer = true
pipes_uncut = true
structure_changed = false
potable_joint = false
added_pump = false
tank = false
valve_labelled = true
distances_kept = true
"""

METRIC = (
    US.replace("monthly_rain_in = [6, 6, 4, 2, 1, 0.2, 0, 0.1, 0.3, 1.5, 3.5, 5.5]",
               "monthly_rain_mm = [152.4, 152.4, 101.6, 50.8, 25.4, 5.08, 0, 2.54, 7.62, 38.1, 88.9, 139.7]")
    .replace('units = "us"', 'units = "metric"')
    .replace("volume_gal = 18", "volume_l = 68.137")
    .replace("area_ft2 = 30", "area_m2 = 2.7871")
    .replace("mulch_in = 4", "mulch_mm = 101.6")
    .replace("canopy_ft2 = 90", "canopy_m2 = 8.3613")
    .replace("root_depth_in = 40", "root_depth_m = 1.016")
    .replace("deficit_gal = 10", "deficit_l = 37.854")
    .replace("at_ft = [12, -4]", "at_m = [3.6576, -1.2192]")
    .replace("area_ft2 = 40", "area_m2 = 3.7161")
    .replace("mulch_in = 3", "mulch_m = 0.0762")
    .replace("canopy_ft2 = 120", "canopy_m2 = 11.1484")
    .replace("wetted_ft2 = 80", "wetted_m2 = 7.4322")
    .replace("root_depth_ft = 4", "root_depth_mm = 1219.2")
    .replace("volume_gal = 17.5", "volume_l = 66.245")
)


def read(text: str) -> SiteFile:
    """The text as a site file, read on the tests' present day."""
    return read_site_file(text, now=NOW)


def edited(old: str, new: str, text: str = US) -> str:
    """The household's file with one place changed; the place must be there."""
    assert old in text, old
    return text.replace(old, new, 1)
