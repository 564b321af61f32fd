"""The table of rules about a load itself: what is in it and what was put in with it.

These rules need neither garden nor weather, so the search for exceptions reads the same table.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, Literal, TypeVar

from gwlog.journal.facts import Product
from gwlog.reference.chemistry import SODIUM_TARGET_G
from gwlog.text import listed
from gwlog.values import dataclass
from gwlog.water.salts import known_sodium_mg

Strength = Literal["must", "should"]
About = Literal["load", "garden"]
Subject = TypeVar("Subject")

SODIUM_TARGET_MG = round(SODIUM_TARGET_G.value * 1000)
"""Sodium per wash to stay under [mg]."""

TURN_BACK = "Turn the valve back to garden after the load has drained."

WASHER_CODE = "CPC graywater chapter, clothes-washer system, condition"
ILLNESS_SOURCE = "5 CCR 1002-86 (Colorado), 86.14, and SA Health guidance (read)"
BLEACH_SOURCE = "US EPA water-reuse guidelines, chlorine residual (from memory); New Mexico brochure (read)"
BORON_SOURCE = "New Mexico graywater brochure (read); FAO-29 rev. 1, table 1 (read)"
SODIUM_SOURCE = "Western Australia greywater code 2010, 4.5 (read)"
PRACTICE = "common practice of the trade"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an answer is what it is. `strength` None: it explains or warns, and diverts nothing."""

    rule: str
    strength: Strength | None
    text: str
    source: str
    aftercare: str | None = None


@dataclass(frozen=True, slots=True)
class LoadQuery:
    """A load that somebody is about to run: its usual name if it has one, its water [L], what is in it."""

    name: str | None
    volume_l: float
    products: tuple[Product, ...] = ()
    contents: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule(Generic[Subject]):
    """One line of the table: when `applies` gives a reason in plain words, the load goes to the sewer.

    `about` says whether another load would fare better ("load") or the garden itself is shut ("garden").
    """

    id: str
    strength: Strength
    source: str
    applies: Callable[[Subject], str | None]
    aftercare: str
    about: About = "load"

    def reason(self, subject: Subject) -> Reason | None:
        """The reason, or None where the rule does not apply."""
        words = self.applies(subject)
        return Reason(self.id, self.strength, words, self.source, self.aftercare) if words else None


def _soiled(query: LoadQuery) -> str | None:
    inside = [what for what in ("diapers", "soiled") if what in query.contents]
    if not inside:
        return None
    return f"This load contains {listed(['soiled laundry' if w == 'soiled' else w for w in inside])}."


def _holding(what: str, words: str) -> Callable[[LoadQuery], str | None]:
    def applies(query: LoadQuery) -> str | None:
        return f"This load {words}." if what in query.contents else None

    return applies


def _products(wanted: Callable[[Product], bool], what: str, harm: str) -> Callable[[LoadQuery], str | None]:
    def applies(query: LoadQuery) -> str | None:
        names = [f"“{product.name}”" for product in query.products if wanted(product)]
        return f"Contains {what} ({listed(names)}){harm}." if names else None

    return applies


def is_chlorine(product: Product) -> bool:
    """Whether a product counts as chlorine bleach: a bleach nobody has looked at does."""
    return bool(product.chlorine_bleach) or (product.product_kind == "bleach" and product.chlorine_bleach is None)


def is_unassessed(product: Product) -> bool:
    """Whether nobody has looked yet at what a product is."""
    return product.form is None or product.chlorine_bleach is None


def sodium_mg(products: tuple[Product, ...]) -> int:
    """Sodium of one wash [mg], as far as it is known."""
    return sum(known_sodium_mg(product) or 0 for product in products)


def _sodium(query: LoadQuery) -> str | None:
    total = sodium_mg(query.products)
    if total >= SODIUM_TARGET_MG:
        return f"The products add {total / 1000:.0f} g of sodium; " \
               f"aim for less than {SODIUM_TARGET_MG / 1000:.0f} g a wash."
    unknown = [f"“{p.name}”" for p in query.products if p.form == "powder" and known_sodium_mg(p) is None]
    if unknown:
        return f"The sodium of the powder {listed(unknown)} is unknown; powders are often rich in it."
    return None


LOAD_RULES: tuple[Rule[LoadQuery], ...] = (
    Rule("soiled", "must", f"{WASHER_CODE} 9 (read in a copy)", _soiled, TURN_BACK),
    Rule("illness in the load", "must", ILLNESS_SOURCE,
         _holding("illness", "was used or worn by somebody who is ill"), TURN_BACK),
    Rule("chlorine bleach", "must", BLEACH_SOURCE,
         _products(is_chlorine, "chlorine bleach", ", which harms soil and plants"), TURN_BACK),
    Rule("disinfectant", "must", f"{WASHER_CODE} 10 (read in a copy)",
         _products(lambda p: p.product_kind == "disinfectant", "disinfectant",
                   ", which kills the life of the soil"), TURN_BACK),
    Rule("solvent", "must", f"{WASHER_CODE} 10 (read in a copy)",
         _holding("solvent", "contains solvent or paint"), TURN_BACK),
    Rule("oil", "must", f"{WASHER_CODE} 10 (read in a copy)", _holding("oil", "contains oil or grease"), TURN_BACK),
    Rule("pesticide", "must", f"{WASHER_CODE} 10 (read in a copy)",
         _holding("pesticide", "contains pesticide"), TURN_BACK),
    Rule("drum-cleaning", "must", PRACTICE,
         _holding("drum-cleaning", "is a drum-cleaning run, with strong cleaner in its water"), TURN_BACK),
    Rule("borax", "should", BORON_SOURCE,
         _products(lambda p: bool(p.borax), "borax", "; boron harms plants in small amounts"), TURN_BACK),
    Rule("softener", "should", PRACTICE,
         _products(lambda p: p.product_kind == "softener", "fabric softener",
                   ", which is hard on soil and plants"), TURN_BACK),
    Rule("sodium", "should", SODIUM_SOURCE, _sodium, TURN_BACK),
    Rule("dye", "should", PRACTICE, _holding("dye", "gives off dye"), TURN_BACK),
)


def load_reasons(query: LoadQuery) -> tuple[Reason, ...]:
    """Every rule about the load itself that applies, the strongest first."""
    return strongest_first([reason for rule in LOAD_RULES if (reason := rule.reason(query)) is not None])


def strongest_first(reasons: list[Reason]) -> tuple[Reason, ...]:
    """Order reasons: must, should, then those that divert nothing; the table's order within each."""
    rank = {"must": 0, "should": 1, None: 2}
    return tuple(sorted(reasons, key=lambda reason: rank[reason.strength]))
