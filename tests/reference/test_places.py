"""Towns, ZIP areas and the climate's squares: what the tables hold, and that no other command reads them."""

from __future__ import annotations

import subprocess
import sys
from zoneinfo import available_timezones

import pytest

from gwlog.reference.places import NORMALS, TOWNS, ZIP_AREAS, towns, unpacked, zip_areas
from gwlog.reference.places.regions import STATES, US_STATES

MOST_BYTES = {"towns": 357_000, "zip_areas": 12_000, "climate": 190_000}


@pytest.mark.parametrize("name", MOST_BYTES)
def test_the_tables_stay_small(name: str) -> None:
    from pathlib import Path

    assert (Path(towns.__file__).with_name(f"{name}.xz")).stat().st_size <= MOST_BYTES[name]
    assert unpacked(name)


def test_every_source_names_its_licence() -> None:
    assert "CC BY 4.0" in TOWNS.source and "CC BY 4.0" in ZIP_AREAS.source
    assert "Copernicus Climate Change Service" in NORMALS.source


@pytest.mark.parametrize(("words", "label", "latitude", "longitude", "zone"), [
    # an atlas' places, to a tenth of a degree or two
    ("Davis", "Davis, California", 38.5, -121.7, "America/Los_Angeles"),
    ("portland, or", "Portland, Oregon", 45.5, -122.7, "America/Los_Angeles"),
    ("Portland Maine", "Portland, Maine", 43.7, -70.3, "America/New_York"),
    ("saint louis, mo", "St. Louis, Missouri", 38.6, -90.2, "America/Chicago"),
    ("New York", "New York City, New York", 40.7, -74.0, "America/New_York"),
    ("Melbourne, Victoria", "Melbourne, Victoria, Australia", -37.8, 145.0, "Australia/Melbourne"),
    ("Paris, France", "Paris, France", 48.9, 2.3, "Europe/Paris"),
    ("SÃO PAULO", "São Paulo, Brazil", -23.5, -46.6, "America/Sao_Paulo"),
    ("London, England", "London, United Kingdom", 51.5, -0.1, "Europe/London"),
    ("Honolulu", "Honolulu, Hawaii", 21.3, -157.9, "Pacific/Honolulu"),
])
def test_a_town_is_found_as_people_write_it(words: str, label: str, latitude: float, longitude: float,
                                            zone: str) -> None:
    found = towns.find(words)[0]
    assert (found.label, found.zone) == (label, zone)
    assert abs(found.latitude - latitude) < 0.2 and abs(found.longitude - longitude) < 0.2


def test_towns_of_one_name_differ_by_their_region() -> None:
    labels = [town.label for town in towns.find("Springfield")]
    assert len(labels) >= 5 and len(set(labels)) == len(labels)
    assert labels[0] in ("Springfield, Missouri", "Springfield, Massachusetts")     # the largest first


def test_a_name_that_is_not_there_and_one_written_wrong() -> None:
    assert towns.find("Nowhereville") == [] and towns.find("") == [] and towns.find(",") == []
    assert towns.like("Sacremento") == ["Sacramento"]


@pytest.mark.parametrize(("code", "state", "latitude", "longitude"), [
    # the state of each by the postal service's numbering; the middle by an atlas
    ("95616", "CA", 38.6, -121.5), ("100", "NY", 40.8, -74.0), ("97201", "OR", 45.5, -122.6),
    ("00901", "PR", 18.4, -66.1),
    ("99501", "AK", 61.2, -149.9), ("96813", "HI", 21.3, -157.8),
])
def test_a_zip_code_by_its_first_three_digits(code: str, state: str, latitude: float, longitude: float) -> None:
    area = zip_areas.area_of(code)
    assert area is not None and area.state == state
    assert towns.apart_km(area.latitude, area.longitude, latitude, longitude) < 60
    assert zip_areas.area_of("000") is None


def test_every_zone_is_one_and_every_state_is_named() -> None:
    zones = available_timezones()
    assert set(towns._table().zones) <= zones
    areas = zip_areas._areas().values()
    assert {area.zone for area in areas} <= zones and {area.state for area in areas} <= set(US_STATES)
    table = towns._table()
    for country, states in STATES.items():
        used = {state for at, state in zip(table.country, table.state, strict=True) if at == country}
        assert used - set(states) == set(), country


def test_the_nearest_town_and_the_other_side_of_the_date_line() -> None:
    town, far = towns.nearest(38.54, -121.74)
    assert town.label == "Davis, California" and far < 5
    assert towns.apart_km(0.0, 179.5, 0.0, -179.5) == pytest.approx(111.2, rel=0.01)


def test_no_other_command_reads_the_tables() -> None:
    script = ("import sys, gwlog.cli.main as m\ntry:\n    m.run(('today', '--logbook', '/nowhere/x.db'))\n"
              "except SystemExit:\n    pass\n"
              "print([name for name in sys.modules if name.startswith('gwlog.reference.places')])")
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip().splitlines()[-1] == "[]"
