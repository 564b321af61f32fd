"""The plants' rows: published figures where there is a table row, marked assumptions where there is none.

The small root depth of FAO-56 table 22 is taken: it is the one for scheduling.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, assumed
from gwlog.values import dataclass

FAO_12 = "FAO Irrigation and Drainage Paper 56, table 12, mid-season Kc"
FAO_22 = "FAO Irrigation and Drainage Paper 56, table 22"
FAO_23 = "FAO Irrigation and Drainage Paper 56, table 23"
MAAS = "USDA-ARS salt tolerance after Maas, vegetables and fruit crops"
FAO_29_FIRST = "FAO Irrigation and Drainage Paper 29, first edition; revision 1 gives no figure"
USDA_BORON = "USDA-ARS boron tolerance after Maas"
ACID = "growers' advice on alkaline wash water"
NOT_NAMED = "not named among the acid-loving plants"
S623_CLASS = "ANSI/ASABE S623, plant factors, class"

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Plant:
    """What a plant uses and bears.

    `plant_factor` and `depletion_fraction` (p of FAO-56) dimensionless; `root_depth_m` [m];
    `salt_threshold` ECe [dS/m] above which yield falls by `salt_slope` [% per dS/m]; `boron_range` [mg/L]
    the class's span; `edible` one of: none, off the ground, touches soil, root crop.
    """

    name: str
    other_names: tuple[str, ...]
    plant_factor: Sourced[float]
    root_depth_m: Sourced[float]
    depletion_fraction: Sourced[float]
    salt_threshold: Sourced[float] | None
    salt_slope: Sourced[float] | None
    boron_range: Sourced[Span] | None
    acid_loving: Sourced[bool]
    edible: Sourced[str]


_Water = tuple[Sourced[float], Sourced[float], Sourced[float]]  # plant factor, root depth, depletion fraction


def _fao(kc: float, root: float, p: float) -> _Water:
    """A row of tables 12 and 22."""
    return (Sourced(kc, FAO_12, "1998", "read"), *_zone(root, p))


def _rooted(factor: float, group: str, root: float, p: float) -> _Water:
    """A landscape class that has its own row in table 22."""
    return (Sourced(factor, f"{S623_CLASS} “{group}”", "", "memory"), *_zone(root, p))


def _zone(root: float, p: float) -> tuple[Sourced[float], Sourced[float]]:
    return Sourced(root, FAO_22, "1998", "read"), Sourced(p, FAO_22, "1998", "read")


def _like(kc: float, root: float, why: str) -> _Water:
    return assumed(kc, why), assumed(root, why), assumed(0.50, why)


def _landscape(factor: float, group: str, root: float, p: float = 0.50) -> _Water:
    return (
        Sourced(factor, f"{S623_CLASS} “{group}”", "", "memory"),
        assumed(root, "shallower than most of its kind, the safe side"),
        assumed(p, "the usual fraction of FAO-56 table 22"),
    )


VERY_SENSITIVE, SENSITIVE_LOW, SENSITIVE_HIGH, MODERATE = (0.0, 0.5), (0.5, 0.75), (0.75, 1.0), (1.0, 2.0)
MODERATELY_TOLERANT, TOLERANT = (2.0, 4.0), (4.0, 6.0)

_SALT_RECALLED = ("pomegranate", "fig", "olive", "avocado")
_SALT_OF_FAO = (
    "orange", "grapefruit", "peach", "apricot", "plum", "almond", "date palm", "grape", "wine grape", "blackberry",
    "pea", "pumpkin",
)


def _salt(name: str, value: float | None) -> Sourced[float] | None:
    """A threshold or a slope, from the table that has this plant."""
    if value is None:
        return None
    if name in _SALT_RECALLED:
        return Sourced(value, FAO_29_FIRST, "1976", "memory")
    return Sourced(value, FAO_23, "1998", "read") if name in _SALT_OF_FAO else Sourced(value, MAAS, "1990", "read")


def _plant(
    name: str, water: _Water, *other_names: str, salt: float | None = None, slope: float | None = None,
    boron: Span | None = None, acid: bool = False, edible: str = "off the ground",
) -> Plant:
    return Plant(
        name, other_names, *water,
        _salt(name, salt),
        _salt(name, slope),
        None if boron is None else Sourced(boron, USDA_BORON, "1990", "read"),
        Sourced(acid, ACID, "", "read") if acid else assumed(acid, NOT_NAMED),
        assumed(edible, "how it is usually grown"),
    )


_CITRUS = _fao(0.65, 1.2, 0.50)
_POME = _fao(0.95, 1.0, 0.50)
_STONE = _fao(0.90, 1.0, 0.50)
_BERRY = _fao(1.05, 0.6, 0.50)
_HARDY_FRUIT = _like(0.50, 0.75, "a drought-bearing fruit tree without a row of its own")
_OTHER_FRUIT = _like(0.90, 0.75, "as stone fruit, rooting shallower")
_ARID = "woody plants and perennials, arid climate"
_SHRUB = _landscape(0.5, _ARID, 0.5)
_TREE = _landscape(0.5, _ARID, 0.8)
_FLOWERS = _landscape(0.5, _ARID, 0.4)
_DESERT = _landscape(0.3, "desert plants", 0.6)
_COOL_TURF = _rooted(0.8, "cool-season turf", 0.5, 0.40)
_WARM_TURF = _rooted(0.6, "warm-season turf", 0.5, 0.50)
_CONIFER = _rooted(0.5, _ARID, 1.0, 0.70)

_SPECIFIC: tuple[Plant, ...] = (
    # citrus: table rows at 70 % canopy, bare ground
    _plant("orange", _CITRUS, "navel", "valencia", salt=1.7, slope=16, boron=SENSITIVE_LOW),
    _plant("lemon", _CITRUS, "meyer lemon", boron=VERY_SENSITIVE),
    _plant("lime", _CITRUS, "key lime"),
    _plant("grapefruit", _CITRUS, "pomelo", salt=1.8, slope=16, boron=SENSITIVE_LOW),
    _plant("mandarin", _CITRUS, "tangerine", "clementine", "satsuma", "kumquat"),
    _plant("citrus", _CITRUS),
    # other fruit and nut trees
    _plant("pomegranate", _HARDY_FRUIT, salt=2.7),
    _plant("fig", _HARDY_FRUIT, salt=2.7, boron=SENSITIVE_LOW),
    _plant("olive", _fao(0.70, 1.2, 0.65), salt=2.7),
    _plant("avocado", _fao(0.85, 0.5, 0.70), salt=1.3, boron=SENSITIVE_LOW),
    _plant("apple", _POME, "crabapple"),
    _plant("pear", _POME, "asian pear", "quince"),
    _plant("cherry", _POME, boron=SENSITIVE_LOW),
    _plant("peach", _STONE, "nectarine", salt=1.7, slope=21, boron=SENSITIVE_LOW),
    _plant("apricot", _STONE, "pluot", salt=1.6, slope=24, boron=SENSITIVE_LOW),
    _plant("plum", _STONE, "prune", salt=1.5, slope=18, boron=SENSITIVE_LOW),
    _plant("stone fruit", _STONE, boron=SENSITIVE_LOW),
    _plant("persimmon", _OTHER_FRUIT, boron=SENSITIVE_LOW),
    _plant("mulberry", _OTHER_FRUIT),
    _plant("loquat", _OTHER_FRUIT),
    _plant("feijoa", _OTHER_FRUIT, "pineapple guava", "guava"),
    _plant("almond", _fao(0.90, 1.0, 0.40), salt=1.5, slope=19),
    _plant("walnut", _fao(1.10, 1.7, 0.50), boron=SENSITIVE_LOW),
    _plant("banana", _fao(1.20, 0.5, 0.35), "plantain"),   # from its second year on
    _plant("date palm", _fao(0.95, 1.5, 0.50), salt=4.0, slope=3.6),
    # vines and berries
    _plant("kiwi", _fao(1.05, 0.7, 0.35), "kiwifruit"),
    _plant("grape", _fao(0.85, 1.0, 0.35), "table grape", "grapevine", salt=1.5, slope=9.6,
           boron=SENSITIVE_LOW),
    _plant("wine grape", _fao(0.70, 1.0, 0.45), salt=1.5, slope=9.6, boron=SENSITIVE_LOW),
    _plant("passion fruit", _OTHER_FRUIT, "passionfruit"),
    _plant("blackberry", _BERRY, "boysenberry", salt=1.5, slope=22, boron=VERY_SENSITIVE),
    _plant("raspberry", _BERRY, "loganberry"),
    _plant("currant", _BERRY, "gooseberry", "elderberry", "berry bush", "berry", "berry patch"),
    _plant("blueberry", _BERRY, acid=True),
    _plant("strawberry", _fao(0.85, 0.2, 0.20), salt=1.0, slope=33, boron=SENSITIVE_HIGH,
           edible="touches soil"),
    # vegetables
    _plant("tomato", _fao(1.15, 0.7, 0.40), salt=2.5, slope=9.9, boron=TOLERANT),
    _plant("pepper", _fao(1.05, 0.5, 0.30), "chili", "chilli", salt=1.5, slope=14, boron=MODERATE),
    _plant("cucumber", _fao(1.00, 0.7, 0.50), salt=2.5, slope=13, boron=MODERATE,
           edible="touches soil"),
    _plant("squash", _fao(0.95, 0.6, 0.50), "zucchini", "courgette", salt=3.2, slope=16,
           boron=MODERATELY_TOLERANT, edible="touches soil"),
    _plant("pumpkin", _fao(1.00, 1.0, 0.35), "winter squash", salt=1.2, slope=13, boron=MODERATELY_TOLERANT,
           edible="touches soil"),
    _plant("bean", _fao(1.05, 0.5, 0.45), "green bean", "runner bean", salt=1.0, slope=19, boron=SENSITIVE_HIGH),
    _plant("pea", _fao(1.15, 0.6, 0.35), salt=1.5, slope=14, boron=MODERATE),
    _plant("lettuce", _fao(1.00, 0.3, 0.30), "chard", "salad greens", salt=1.3, slope=13,
           boron=MODERATELY_TOLERANT, edible="touches soil"),
    _plant("spinach", _fao(1.00, 0.3, 0.20), salt=2.0, slope=7.6, edible="touches soil"),
    _plant("artichoke", _fao(1.00, 0.6, 0.45), "cardoon", boron=MODERATELY_TOLERANT),
    _plant("carrot", _fao(1.05, 0.5, 0.35), salt=1.0, slope=14, boron=MODERATE,
           edible="root crop"),
    _plant("parsnip", _fao(1.05, 0.5, 0.40), edible="root crop"),
    _plant("potato", _fao(1.15, 0.4, 0.35), salt=1.7, slope=12, boron=MODERATE, edible="root crop"),
    _plant("sweet potato", _fao(1.15, 1.0, 0.65), salt=1.5, slope=11, boron=SENSITIVE_HIGH,
           edible="root crop"),
    _plant("beet", _fao(1.05, 0.6, 0.50), "beetroot", salt=4.0, slope=9, boron=TOLERANT,
           edible="root crop"),
    _plant("turnip", _fao(1.10, 0.5, 0.50), "rutabaga", "swede", salt=0.9, slope=9, boron=MODERATELY_TOLERANT,
           edible="root crop"),
    _plant("radish", _fao(0.90, 0.3, 0.30), salt=1.2, slope=13, boron=MODERATE, edible="root crop"),
    _plant("onion", _fao(1.05, 0.3, 0.30), "leek", "shallot", salt=1.2, slope=16, boron=SENSITIVE_LOW,
           edible="root crop"),
    _plant("garlic", _fao(1.00, 0.3, 0.30), boron=SENSITIVE_HIGH, edible="root crop"),
    # ornamentals
    _plant("cool-season turf", _COOL_TURF, "turf", "lawn", "fescue", "bluegrass", "ryegrass", edible="none"),
    _plant("warm-season turf", _WARM_TURF, "bermudagrass", "bermuda grass", "buffalograss", "zoysia",
           edible="none"),
    _plant("annual flowers", _landscape(0.8, "annual flowers", 0.3), "annual", "bedding plants", "dahlia",
           "sunflower", edible="none"),
    _plant("rose", _SHRUB, "rosebush", edible="none"),
    _plant("azalea", _SHRUB, acid=True, edible="none"),
    _plant("rhododendron", _SHRUB, acid=True, edible="none"),
    _plant("camellia", _SHRUB, acid=True, edible="none"),
    _plant("lavender", _DESERT, "rosemary", "sage", "santolina", edible="none"),
    _plant("native shrubs", _DESERT, "native plants", "native", "manzanita", "ceanothus", "toyon",
           "coffeeberry", "buckwheat", "saltbush", edible="none"),
    _plant("desert plants", _DESERT, "succulent", "agave", "aloe", "cactus", "palo verde", "mesquite",
           "desert willow", edible="none"),
    _plant("bamboo", _landscape(0.7, "woody plants and perennials, humid climate", 0.4), edible="none"),
    _plant("palm", _rooted(0.5, _ARID, 0.7, 0.65), "palm tree", edible="none"),
    _plant("conifer", _CONIFER, "pine", "cypress", "redwood", "cedar", "juniper", edible="none"),
)

_UNSPECIFIC: tuple[Plant, ...] = (
    _plant("fruit tree", _OTHER_FRUIT, "fruit", "orchard"),
    _plant("vegetables", _like(1.05, 0.3, "the shallower vegetables of FAO-56"), "vegetable bed", "herbs",
           edible="touches soil"),
    _plant("tree", _TREE, "shade tree", "maple", "oak", edible="none"),
    _plant("vine", _SHRUB, "climber", "jasmine", "wisteria", edible="none"),
    _plant("shrub", _SHRUB, "hedge", "bush", "hibiscus", "oleander", edible="none"),
    _plant("perennials", _FLOWERS, "flower bed", "flowers", "ornamental grass", "ground cover",
           edible="none"),
)

ROWS: tuple[Plant, ...] = (*_SPECIFIC, *_UNSPECIFIC)
"""Every plant, the specific ones first."""

GENERIC: frozenset[str] = frozenset(plant.name for plant in _UNSPECIFIC)
"""Names that stand for a whole group: taken only where no specific name is found."""
