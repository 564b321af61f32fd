"""Stages of growth and their coefficients against FAO-56 tables 11 and 12, as typed by USDA-ARS in pyfao56."""

from __future__ import annotations

import pytest

from gwlog.reference.plants import PLANTS
from gwlog.reference.seasons import LEAFLESS_KC, SEASONS, Season, Stages

BARE, MILD = "no ground cover killing frost", "no ground cover no frosts"
POME, STONE = "apples cherries pears", "apricots peaches stone fruit"

# our plant -> its row of table 12, and the one without frost where there is one
KC = {
    "orange": "citrus no ground cover 70% canopy", "avocado": "avocado no ground cover",
    "olive": "olives 40% to 60% ground coverage by canopy", "apple": f"{POME} {BARE}", "plum": f"{STONE} {BARE}",
    "fig": f"{STONE} {BARE}", "almond": "almonds no ground cover", "walnut": "walnut orchard", "kiwi": "kiwi",
    "grape": "grapes table raisin", "wine grape": "grapes wine", "raspberry": "berries bushes",
    "banana": "banana second year", "artichoke": "artichokes", "tomato": "tomato", "pepper": "sweet peppers bell",
    "cucumber": "cucumber fresh market", "squash": "squash zucchini", "pumpkin": "pumpkin winter squash",
    "bean": "beans green", "pea": "peas fresh", "lettuce": "lettuce", "spinach": "spinach", "carrot": "carrots",
    "potato": "potato", "sweet potato": "sweet potato", "beet": "beets table", "radish": "radish",
    "onion": "onions dry",
}
KC_MILD = {"apple": f"{POME} {MILD}", "plum": f"{STONE} {MILD}", "fig": f"{STONE} {MILD}"}

# our plant, latitude (None: the stages from planting on) -> crop and region of table 11
STAGES = {
    ("apple", 20.0): ("deciduous orchard", "low latitudes"),
    ("apple", 37.0): ("deciduous orchard", "california usa"),
    ("apple", 47.0): ("deciduous orchard", "high latitudes"),
    ("grape", 20.0): ("grapes", "low latitudes"), ("grape", 37.0): ("grapes", "california usa"),
    ("grape", 47.0): ("grapes", "high latitudes"), ("wine grape", 47.0): ("grapes", "mid latitudes wine"),
    ("orange", 37.0): ("citrus", "mediterranean"), ("olive", 37.0): ("olives", "mediterranean"),
    ("walnut", 37.0): ("walnuts", "utah usa"), ("banana", 28.0): ("banana second year", "mediterranean"),
    ("banana", None): ("banana first year", "mediterranean"), ("artichoke", 37.0): ("artichoke", "california"),
    ("artichoke", None): ("artichoke", "california"), ("tomato", None): ("tomato", "california usa"),
    ("pepper", None): ("sweet peppers bell", "europe mediterranean"), ("cucumber", None): ("cucumber", "arid region"),
    ("squash", None): ("squash zucchini", "mediterranean arid region"),
    ("pumpkin", None): ("pumpkin winter squash", "mediterranean"),
    ("bean", None): ("beans green", "california mediterranean"), ("pea", None): ("peas", "mediterranean"),
    ("lettuce", None): ("lettuce", "mediterranean"), ("spinach", None): ("spinach", "mediterranean"),
    ("carrot", None): ("carrots", "mediterranean"), ("potato", None): ("potato", "europe"),
    ("sweet potato", None): ("sweet potato", "mediterranean"), ("beet", None): ("beets table", "mediterranean"),
    ("radish", None): ("radish", "mediterranean europe"), ("onion", None): ("onion dry", "mediterranean"),
}


@pytest.fixture(scope="module")
def tables():
    return pytest.importorskip("pyfao56.tools.tables").FAO56Tables()


def test_coefficients_are_those_of_table_12(tables):
    rows = {row.Crop: (float(row.Kcmini), float(row.Kcmmid), float(row.Kcmend))
            for row in tables.table12.itertuples() if row.Kcmini and row.Kcmend}
    for name, crop in KC.items():
        assert SEASONS[name].kc.value == rows[crop], name
    for name, crop in KC_MILD.items():
        mild = SEASONS[name].mild
        assert mild is not None and mild.value == rows[crop], name
    first = SEASONS["banana"].first
    assert first is not None and first[1].value == rows["banana first year"]
    assert {id(season) for season in SEASONS.values()} == {id(SEASONS[name]) for name in KC}   # none is left out


def test_lengths_are_those_of_table_11(tables):
    rows = {}
    for row in tables.table11.itertuples():
        if row.Llate:
            lengths = tuple(int(getattr(row, part)) for part in ("Lini", "Ldev", "Lmid", "Llate"))
            rows.setdefault((row.Crop, row.Region), []).append(lengths)
    for (name, latitude), crop in STAGES.items():
        assert stages(SEASONS[name], latitude).lengths.value in rows[crop], name


def stages(season: Season, latitude: float | None) -> Stages:
    found = season.first if latitude is None else season.stages_at(latitude)
    assert found is not None
    return found[0]


def test_the_hemispheres_share_their_rows():
    apple = SEASONS["apple"]
    assert apple.stages_at(-37.0) == apple.stages_at(37.0)
    assert SEASONS["tomato"].stages_at(37.0) is None


def test_leafless_plants_use_what_footnote_18_says():
    """FAO-56 table 12, footnote 18: 0.20 over bare soil or dead cover, 0.50 to 0.80 over growing cover."""
    assert LEAFLESS_KC["mulch"].value == 0.20
    assert LEAFLESS_KC["growing"].value == pytest.approx((0.50 + 0.80) / 2)


def test_every_season_is_a_plants_and_landscape_plants_have_none():
    assert set(SEASONS) <= set(PLANTS)
    for name in ("rose", "palm", "date palm", "conifer", "cool-season turf", "shrub", "tree", "fruit tree", "loquat"):
        assert name not in SEASONS
    for name, season in SEASONS.items():
        ours, own = PLANTS[name].plant_factor, season.kc.value[1]
        assert ours.value == own or ours.sure == "assumption", name
