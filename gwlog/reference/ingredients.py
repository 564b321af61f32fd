"""What laundry products are made of, and what a gram of each brings: sodium, potassium, boron, chloride, alkalinity.

Everything is computed from the formulas. Where a name leaves the formula open (borax with ten or five waters, soap of
whatever fat), every formula that it may mean counts, from the least to the most.
"""

from __future__ import annotations

import re
from functools import lru_cache

from gwlog.reference.formulas import mmol_per_g, molar_mass
from gwlog.reference.source import Sourced, Sure
from gwlog.span import NOTHING, Span, hull, only
from gwlog.values import NamedTuple, dataclass

TRADE = "names and formulas of the detergent trade, computed from atomic weights"
STOICHIOMETRY = "made from chlorine and lye, as much salt as hypochlorite"


class Content(NamedTuple):
    """What one gram brings: [mmol/g], alkalinity and exchange [me/g], chlorine that bleaches [mg/g as Cl2].

    `alkalinity`: acid that it takes up to the bicarbonate end point, organic anions counted as oxidised in soil.
    `exchange`: sodium that it gives for as much calcium and magnesium, where the water has some (zeolite).
    """

    sodium: Span = NOTHING
    potassium: Span = NOTHING
    boron: Span = NOTHING
    chloride: Span = NOTHING
    alkalinity: Span = NOTHING
    exchange: Span = NOTHING
    chlorine: Span = NOTHING

    def plus(self, other: Content) -> Content:
        """What both bring together."""
        return Content(*(one.plus(two) for one, two in zip(self, other, strict=True)))

    def times(self, grams: Span | float) -> Content:
        """What so many grams bring [mmol], [me] and [mg]."""
        return Content(*(one.times(grams) for one in self))


@dataclass(frozen=True, slots=True, eq=False)
class Ingredient:
    """An ingredient by the names that labels give it.

    `formulas`: what the name may mean. `acid_taken`: acid that one formula takes up [mol/mol], None where it depends
    on the pH: none up to all of its sodium and potassium. `brings`: “salts”, or “no salt” whatever its formula.
    """

    name: str
    other_names: tuple[str, ...]
    formulas: tuple[str, ...]
    acid_taken: float | None
    brings: Sourced[str]
    exchanges: bool = False
    hypochlorite: bool = False

    @property
    def content(self) -> Content:
        """What a gram of it brings."""
        return _content(self)


def _content(ingredient: Ingredient) -> Content:
    if not ingredient.formulas:
        return Content()
    each = [_of_formula(formula, ingredient) for formula in ingredient.formulas]
    return Content(*(hull(*spans) for spans in zip(*each, strict=True)))


@lru_cache(maxsize=512)
def _of_formula(formula: str, ingredient: Ingredient) -> Content:
    sodium, potassium = mmol_per_g("Na", formula), mmol_per_g("K", formula)
    mole = 1000.0 / molar_mass(formula)
    if ingredient.exchanges:
        # insoluble: what it lets go depends on the water, so none of its sodium counts by itself
        return Content(exchange=Span(0.0, sodium))
    chloride, chlorine = mmol_per_g("Cl", formula), 0.0
    if ingredient.hypochlorite:
        sodium, chloride, chlorine = 2.0 * sodium, 2.0 * chloride, mole * molar_mass("Cl2")
    taken = ingredient.acid_taken
    alkalinity = Span(0.0, sodium + potassium) if taken is None else only(taken * mole)
    return Content(only(sodium), only(potassium), only(mmol_per_g("B", formula)), only(chloride), alkalinity,
                   NOTHING, only(chlorine))


def _salt(name: str, formulas: str, taken: float | None, *others: str, sure: Sure = "memory") -> Ingredient:
    return Ingredient(name, others, tuple(formulas.split()), taken, Sourced("salts", TRADE, "", sure))


def _none(name: str, *others: str) -> Ingredient:
    return Ingredient(name, others, (), 0.0, Sourced("no salt", TRADE, "", "common practice"))


SOAPS = "C12H23O2Na C12.9H24.8O2Na C16H31O2Na C17.4H32.9O2Na C18H33O2Na C18H35O2Na"
POTASSIUM_SOAPS = "C12.9H24.8O2K C18H33O2K"
LAS = "C17.6H27.2SO3Na C18H29SO3Na"
ZEOLITES = "Na12Al12Si12O48 Na12Al12Si12O48(H2O)27"
BLEACH = "NaOCl"

INGREDIENTS: tuple[Ingredient, ...] = (
    # builders and alkalis
    _salt("sodium carbonate", "Na2CO3", 2, "soda ash", "disodium carbonate"),
    _salt("sodium carbonate monohydrate", "Na2CO3(H2O)", 2),
    _salt("washing soda", "Na2CO3(H2O)10 Na2CO3(H2O) Na2CO3", 2),
    _salt("sodium carbonate decahydrate", "Na2CO3(H2O)10", 2, "soda crystals", "sal soda"),
    _salt("sodium bicarbonate", "NaHCO3", 1, "sodium hydrogen carbonate", "baking soda", "bicarbonate of soda"),
    _salt("sodium sesquicarbonate", "Na3H(CO3)2(H2O)2", 3, "trona"),
    _salt("sodium percarbonate", "Na2CO3(H2O2)1.5", 2, "sodium carbonate peroxide", "oxygen bleach",
          "sodium carbonate peroxyhydrate"),
    _salt("sodium hydroxide", "NaOH", 1, "lye", "caustic soda"),
    _salt("potassium hydroxide", "KOH", 1, "caustic potash"),
    _salt("potassium carbonate", "K2CO3", 2, "potash"),
    _salt("sodium metasilicate", "Na2SiO3", 2),
    _salt("sodium metasilicate pentahydrate", "Na2SiO3(H2O)5", 2),
    _salt("sodium disilicate", "Na2Si2O5", 2, "layered silicate"),
    _salt("sodium silicate", "Na2SiO3 Na2Si2O5 Na2O(SiO2)3.4", 2, "silicate", "water glass"),
    _salt("sodium tripolyphosphate", "Na5P3O10 Na5P3O10(H2O)6", None, "pentasodium triphosphate", "phosphate", "stpp"),
    _salt("trisodium phosphate", "Na3PO4(H2O)12 Na3PO4", 2, "tsp"),
    _salt("sodium citrate", "Na3C6H5O7(H2O)2 Na3C6H5O7", 3, "trisodium citrate", "citrate"),
    Ingredient("zeolite", ("zeolite a", "zeolite 4a", "sodium aluminosilicate", "aluminosilicate"),
               tuple(ZEOLITES.split()), 0.0, Sourced("salts", TRADE, "", "memory"), exchanges=True),
    # fillers and salt
    _salt("sodium sulfate", "Na2SO4", 0, "sodium sulphate", "disodium sulfate"),
    _salt("sodium sulfate decahydrate", "Na2SO4(H2O)10", 0, "glauber's salt"),
    _salt("sodium chloride", "NaCl", 0, "salt", "table salt"),
    # boron
    _salt("borax", "Na2B4O7(H2O)10 Na2B4O7(H2O)5", 2, "sodium borate", "sodium tetraborate", "disodium tetraborate"),
    _salt("borax decahydrate", "Na2B4O7(H2O)10", 2, "sodium tetraborate decahydrate"),
    _salt("borax pentahydrate", "Na2B4O7(H2O)5", 2, "sodium tetraborate pentahydrate"),
    _salt("anhydrous borax", "Na2B4O7", 2, "disodium tetraborate anhydrous"),
    _salt("sodium perborate", "NaBO3(H2O) NaBO3(H2O)4", 1, "perborate"),
    _salt("sodium perborate monohydrate", "NaBO3(H2O)", 1),
    _salt("sodium perborate tetrahydrate", "NaBO3(H2O)4", 1),
    _salt("boric acid", "H3BO3", 0),
    # chlorine
    Ingredient("sodium hypochlorite", ("hypochlorite", "chlorine bleach"), (BLEACH,), 1.0,
               Sourced("salts", STOICHIOMETRY, "", "memory"), hypochlorite=True),
    # surfactants
    _salt("las", LAS, 0, "linear alkylbenzene sulfonate", "sodium dodecylbenzenesulfonate", "sodium lauryl benzene "
          "sulfonate", "alkylbenzene sulfonate", "sodium linear alkylbenzene sulfonate"),
    _salt("sodium lauryl sulfate", "C12H25SO4Na", 0, "sodium dodecyl sulfate", "sls", "sodium coco sulfate"),
    _salt("sodium laureth sulfate", "C16H33SO6Na", 0, "sles", "sodium lauryl ether sulfate",
          "sodium laureth-2 sulfate"),
    _salt("anionic surfactant", f"{LAS} C12H25SO4Na C16H33SO6Na", 0, "anionic surfactants", "anionics"),
    _salt("soap", SOAPS, 1, "sodium soap", "sodium salts of fatty acids", "soap flakes"),
    _salt("sodium stearate", "C18H35O2Na", 1),
    _salt("sodium palmitate", "C16H31O2Na", 1),
    _salt("sodium oleate", "C18H33O2Na", 1),
    _salt("sodium laurate", "C12H23O2Na", 1),
    _salt("sodium cocoate", "C12.9H24.8O2Na", 1, "saponified coconut oil"),
    _salt("sodium tallowate", "C17.4H32.9O2Na", 1),
    _salt("potassium soap", POTASSIUM_SOAPS, 1, "soft soap", "castile soap", "potassium salts of fatty acids"),
    _salt("potassium oleate", "C18H33O2K", 1),
    _salt("potassium cocoate", "C12.9H24.8O2K", 1),
    # small parts
    _salt("tetrasodium edta", "Na4C10H12N2O8(H2O)2", None, "edta"),
    _salt("tetrasodium glda", "Na4C9H9NO8", None, "tetrasodium glutamate diacetate", "glda"),
    _salt("trisodium mgda", "Na3C7H8NO6", None, "trisodium dicarboxymethyl alaninate", "mgda"),
    _salt("cellulose gum", "C7.4H10.4O6.4Na0.7", 0, "cmc", "sodium carboxymethyl cellulose", "carboxymethyl cellulose"),
    _salt("sodium polyacrylate", "C3H3O2Na", 0, "polyacrylate"),
    _salt("optical brightener", "C28H20Na2O6S2", 0, "brightener", "optical brighteners",
          "disodium distyrylbiphenyl disulfonate"),
    _none("water", "aqua", "moisture"),
    _none("nonionic surfactant", "nonionic", "nonionic surfactants", "non-ionic surfactant", "non-ionic surfactants",
          "alcohol ethoxylate", "c12-15 pareth", "laureth-7", "laureth-9", "decyl glucoside", "lauryl glucoside",
          "alkyl polyglucoside", "fatty alcohol ethoxylate"),
    _none("perfume", "fragrance", "parfum", "essential oil", "limonene", "linalool"),
    _none("enzymes", "enzyme", "protease", "amylase", "lipase", "cellulase", "mannanase", "subtilisin"),
    _none("dye", "colorant", "colourant", "colorants"),
    _none("propylene glycol", "glycerin", "glycerine", "ethanol", "alcohol", "polyethylene glycol", "peg"),
    _none("monoethanolamine", "triethanolamine", "ethanolamine"),
    _none("citric acid", "lactic acid", "acetic acid", "vinegar"),
    _none("hydrogen peroxide"),
    _none("taed", "tetraacetylethylenediamine"),
    _none("antifoam", "silicone", "dimethicone", "simethicone"),
    _none("preservative", "methylisothiazolinone", "benzisothiazolinone", "phenoxyethanol"),
)
"""Every ingredient that is known here; what is not among them stays not known."""

MOST_SODIUM_MMOL_PER_G = mmol_per_g("Na", "NaOH")
"""No ingredient has more sodium than lye: the most that an unknown one may bring."""

MOST_BORON_MMOL_PER_G = mmol_per_g("B", "Na2B4O7")
"""No ingredient has more boron than borax without water."""

UNKNOWN = Content(
    sodium=Span(0.0, MOST_SODIUM_MMOL_PER_G), boron=Span(0.0, MOST_BORON_MMOL_PER_G),
    alkalinity=Span(0.0, MOST_SODIUM_MMOL_PER_G),
)
"""What a gram of an ingredient may bring that is not known."""

_RATIO = re.compile(r"(?:sodium )?silicate(?: solids)?,?(?: of)?(?: ratio)? (\d(?:\.\d+)?)(?: ?: ?1)?")


def silicate(ratio: float) -> Ingredient:
    """Return the dry sodium silicate with `ratio` of silica to soda [mol/mol]."""
    return _salt(f"sodium silicate {ratio:g}:1", f"Na2O(SiO2){ratio:g}", 2)


def find_ingredient(name: str) -> Ingredient | None:
    """Return the ingredient that a label's word means, None where it is not known: “Soda ash” -> sodium carbonate."""
    wanted = " ".join(name.casefold().replace("sulph", "sulf").split()).strip(" .,;:")
    if ratio := _RATIO.fullmatch(wanted):
        number = float(ratio[1])
        return silicate(number) if 0.5 <= number <= 4.5 else None
    by_name = _by_name()
    return by_name.get(wanted) or by_name.get(wanted.removesuffix("s")) or by_name.get(wanted.partition(" (")[0])


@lru_cache(maxsize=1)
def _by_name() -> dict[str, Ingredient]:
    return {name.replace("sulph", "sulf"): one for one in INGREDIENTS for name in (one.name, *one.other_names)}
