"""Plants against FAO-56 tables 12 and 22, FAO-29 table 4 and the boron classes; and finding them by name."""

from __future__ import annotations

import pytest

from gwlog.journal.facts import EDIBLE
from gwlog.reference.chemistry import BORON_CLASSES
from gwlog.reference.plants import PLANT_FACTOR_CLASSES, PLANTS, WATER_USE_CLASSES, find_plant

# FAO Irrigation and Drainage Paper 56: Kc mid-season (table 12, bare ground), root depths [m] and p (table 22)
FAO_56 = {
    "orange": (0.65, (1.2, 1.5), 0.50),
    "lemon": (0.65, (1.2, 1.5), 0.50),
    "apple": (0.95, (1.0, 2.0), 0.50),
    "cherry": (0.95, (1.0, 2.0), 0.50),
    "pear": (0.95, (1.0, 2.0), 0.50),
    "peach": (0.90, (1.0, 2.0), 0.50),
    "apricot": (0.90, (1.0, 2.0), 0.50),
    "avocado": (0.85, (0.5, 1.0), 0.70),
    "olive": (0.70, (1.2, 1.7), 0.65),
    "kiwi": (1.05, (0.7, 1.3), 0.35),
    "raspberry": (1.05, (0.6, 1.2), 0.50),
    "blueberry": (1.05, (0.6, 1.2), 0.50),
    "grape": (0.85, (1.0, 2.0), 0.35),
    "wine grape": (0.70, (1.0, 2.0), 0.45),
    "banana": (1.20, (0.5, 0.9), 0.35),
    "strawberry": (0.85, (0.2, 0.3), 0.20),
}

# the transcription of both tables inside pyfao56 (USDA-ARS): our plant -> its row of table 12, of table 22
TRANSCRIBED = {
    "orange": ("citrus no ground cover 70% canopy", "citrus 70% canopy"),
    "apple": ("apples cherries pears no ground cover killing frost", "apples cherries pears"),
    "plum": ("apricots peaches stone fruit no ground cover killing frost", "apricots peaches stone fruit"),
    "avocado": ("avocado no ground cover", "avocado"),
    "olive": ("olives 40% to 60% ground coverage by canopy", "olives 40% to 60% ground coverage by canopy"),
    "kiwi": ("kiwi", "kiwi"),
    "blackberry": ("berries bushes", "berries bushes"),
    "grape": ("grapes table raisin", "grapes table raisin"),
    "wine grape": ("grapes wine", "grapes wine"),
    "almond": ("almonds no ground cover", "almonds"),
    "walnut": ("walnut orchard", "walnut orchard"),
    "banana": ("banana second year", "banana second year"),
    "date palm": ("date palms", "date palms"),
    "strawberry": ("strawberries", "strawberries"),
    "tomato": ("tomato", "tomato"),
    "pepper": ("sweet peppers bell", "sweet peppers bell"),
    "cucumber": ("cucumber fresh market", "cucumber fresh market"),
    "squash": ("squash zucchini", "squash zucchini"),
    "bean": ("beans green", "beans green"),
    "pea": ("peas fresh", "peas fresh"),
    "lettuce": ("lettuce", "lettuce"),
    "artichoke": ("artichokes", "artichokes"),
    "carrot": ("carrots", "carrots"),
    "potato": ("potato", "potato"),
    "sweet potato": ("sweet potato", "sweet potato"),
    "beet": ("beets table", "beets table"),
    "radish": ("radish", "radishes"),
    "onion": ("onions dry", "onions dry"),
    "garlic": ("garlic", "garlic"),
    "pumpkin": ("pumpkin winter squash", "pumpkin winter squash"),
    "spinach": ("spinach", "spinach"),
    "parsnip": ("parsnip", "parsnip"),
    "turnip": ("turnip rutabaga", "turnip rutabaga"),
    "cherry": ("apples cherries pears no ground cover killing frost", "apples cherries pears"),
    "peach": ("apricots peaches stone fruit no ground cover killing frost", "apricots peaches stone fruit"),
}

# landscape plants keep their class's plant factor; their row of table 22
TRANSCRIBED_ROOTS = {
    "cool-season turf": "turfgrass cool season", "warm-season turf": "turfgrass warm season",
    "palm": "palm trees", "conifer": "conifer trees",
}

# Threshold ECe [dS/m] and slope [% per dS/m]: FAO-56 table 23 and USDA-ARS after Maas 1990 (read); the four of the
# first edition of FAO-29 (1976) are recalled: FAO-56 table 23 gives no figure for avocado, olive and pomegranate
SALT = {
    "strawberry": (1.0, 33), "bean": (1.0, 19), "avocado": (1.3, None), "grape": (1.5, 9.6), "plum": (1.5, 18),
    "peach": (1.7, 21), "orange": (1.7, 16), "grapefruit": (1.8, 16), "tomato": (2.5, 9.9),
    "olive": (2.7, None), "fig": (2.7, None), "pomegranate": (2.7, None), "date palm": (4.0, 3.6),
    "turnip": (0.9, 9), "beet": (4.0, 9), "pea": (1.5, 14), "onion": (1.2, 16), "lettuce": (1.3, 13),
    "carrot": (1.0, 14), "potato": (1.7, 12), "sweet potato": (1.5, 11), "radish": (1.2, 13), "pepper": (1.5, 14),
    "cucumber": (2.5, 13), "almond": (1.5, 19), "apricot": (1.6, 24), "blackberry": (1.5, 22),
    "wine grape": (1.5, 9.6), "squash": (3.2, 16), "pumpkin": (1.2, 13), "spinach": (2.0, 7.6),
}
RECALLED = {"fig", "olive", "pomegranate", "avocado"}

# USDA-ARS after Maas 1990: boron [mg/L]
BORON = {
    (0.0, 0.5): ["lemon", "blackberry"],
    (0.5, 0.75): ["avocado", "grapefruit", "orange", "apricot", "peach", "cherry", "plum", "persimmon", "fig",
                  "grape", "walnut", "onion"],
    (0.75, 1.0): ["strawberry", "garlic", "sweet potato", "bean"],
    (1.0, 2.0): ["pepper", "pea", "carrot", "potato", "cucumber", "radish"],
    (2.0, 4.0): ["lettuce", "turnip", "artichoke", "squash"],
    (4.0, 6.0): ["tomato", "beet"],
}


@pytest.mark.parametrize("name", FAO_56)
def test_food_plants_take_kc_and_the_small_root_depth_of_fao_56(name):
    kc, depths, p = FAO_56[name]
    plant = PLANTS[name]
    assert plant.plant_factor.value == kc
    assert plant.root_depth_m.value == depths[0] <= depths[1]
    assert plant.depletion_fraction.value == p


def test_fao_56_rows_agree_with_an_independent_transcription():
    """pyfao56.tools.tables, FAO-56 tables 12 and 22 as typed by USDA-ARS."""
    tables = pytest.importorskip("pyfao56.tools.tables").FAO56Tables()
    kc = dict(zip(tables.table12["Crop"], tables.table12["Kcmmid"], strict=True))
    root = {row.Crop: row for row in tables.table22.itertuples()}
    for name, (row_12, row_22) in TRANSCRIBED.items():
        plant = PLANTS[name]
        assert plant.root_depth_m.value == float(root[row_22].Zrmax1), name
        assert plant.depletion_fraction.value == float(root[row_22].pbase), name
        assert plant.plant_factor.value == float(kc[row_12]), name
    for name, row_22 in TRANSCRIBED_ROOTS.items():
        assert PLANTS[name].root_depth_m.value == float(root[row_22].Zrmax1), name
        assert PLANTS[name].depletion_fraction.value == float(root[row_22].pbase), name


def test_no_row_of_tables_12_and_22_is_from_memory():
    for plant in PLANTS.values():
        for figure in (plant.plant_factor, plant.root_depth_m, plant.depletion_fraction):
            assert figure.sure != "memory" or "S623" in figure.source, plant.name


@pytest.mark.parametrize("name", SALT)
def test_salt_thresholds_after_maas_and_fao_56(name):
    plant = PLANTS[name]
    threshold, slope = SALT[name]
    assert plant.salt_threshold.sure == ("memory" if name in RECALLED else "read")
    assert plant.salt_threshold is not None
    assert plant.salt_threshold.value == threshold
    assert (plant.salt_slope.value if plant.salt_slope else None) == slope


@pytest.mark.parametrize(("span", "names"), BORON.items())
def test_boron_classes_after_maas_1990(span, names):
    for name in names:
        plant = PLANTS[name]
        assert plant.boron_range is not None
        assert plant.boron_range.value == span
        assert span in {each.value for each in BORON_CLASSES.values()}


def test_plant_factor_classes_of_s623_and_wucols():
    """ANSI/ASABE S623; WUCOLS."""
    assert [each.value for each in PLANT_FACTOR_CLASSES.values()] == [0.8, 0.6, 0.8, 0.7, 0.5, 0.3]
    assert {name: each.value for name, each in WATER_USE_CLASSES.items()} == {
        "very low": (0.0, 0.1), "low": (0.1, 0.3), "moderate": (0.4, 0.6), "high": (0.7, 0.9)}


def test_acid_loving_plants_are_the_four_named():
    """Growers' advice: azalea, camellia, blueberry, rhododendron dislike alkaline wash water."""
    assert {plant.name for plant in PLANTS.values() if plant.acid_loving.value} == {
        "azalea", "camellia", "blueberry", "rhododendron"}


def test_root_crops_are_told():
    roots = {plant.name for plant in PLANTS.values() if plant.edible.value == "root crop"}
    assert {"carrot", "potato", "sweet potato", "beet", "radish", "onion", "garlic", "parsnip",
            "turnip"} == roots


def test_every_plant_is_usable():
    assert len(PLANTS) >= 40
    for plant in PLANTS.values():
        assert 0.1 <= plant.plant_factor.value <= 1.3, plant.name
        assert 0.2 <= plant.root_depth_m.value <= 2.0, plant.name
        assert 0.1 <= plant.depletion_fraction.value <= 0.8, plant.name
        assert plant.edible.value in EDIBLE, plant.name


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Pomegranate tree", "pomegranate"),
        ("two old FIG trees", "fig"),
        ("Meyer lemons", "lemon"),
        ("peaches by the wall", "peach"),
        ("strawberries", "strawberry"),
        ("tomatoes", "tomato"),
        ("Sweet potatoes", "sweet potato"),
        ("wine grapes", "wine grape"),
        ("cherry trees", "cherry"),
        ("a row of roses", "rose"),
        ("berry bushes", "currant"),
        ("native shrubs", "native shrubs"),
        ("some fruit tree", "fruit tree"),
        ("old tree", "tree"),
        ("lawn", "cool-season turf"),
        ("manzanita hedge", "native shrubs"),
        ("olive; lemon", "olive"),
        ("pear, plum", "pear"),
    ],
)
def test_a_plant_is_found_in_a_description(text, name):
    found = find_plant(text)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("text", ["", "12", "Zzz", "appleton", "⚘", "figure"])
def test_no_plant_is_found_where_none_is_named(text):
    assert find_plant(text) is None


def test_every_name_and_other_name_finds_its_own_plant():
    seen: dict[str, str] = {}
    for plant in PLANTS.values():
        for name in (plant.name, *plant.other_names):
            assert name not in seen, f"{name} names both {seen.get(name)} and {plant.name}"
            seen[name] = plant.name
            found = find_plant(name.upper())
            assert found is plant, name
