"""A product's label, read line by line: what each line means, and the product described anew with it."""

from __future__ import annotations

from collections.abc import Sequence

from gwlog import text, units
from gwlog.app.entries import Author
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import NOT_YET, Product
from gwlog.reference.labels import LabelLine, read_label, read_line
from gwlog.span import written
from gwlog.values import replace

MOST_DOSE_G = 2000.0
G_PER_OUNCE = 28.349523125
_DOSE = {"g": 1.0, "gram": 1.0, "grams": 1.0, "oz": G_PER_OUNCE, "ounce": G_PER_OUNCE, "ml": 1.0}


def labelled(home: Household, name: str, lines: Sequence[str], dose: str | None, author: Author) -> Product:
    """The product described anew with its label (none: the one it has) and the weight of one dose.

    Raises BadInput for a product that is not in use, a line that cannot be, or a label that adds up to too much.
    """
    products = {one.name: one for one in home.state.products.values() if one.active}
    if not products:
        raise BadInput("No product is described yet.", hint="Describe it in the site file first.")
    product = products[text.pick("product", name, list(products))]
    said = tuple(text.one_line(line) for line in lines) or product.label or ()
    read = read_label(said)
    grams = product.dose_mg if dose is None else round(read_dose(dose) * 1000)
    borax = product.borax if product.borax is not None else _holds(read, "boron")
    chlorine = product.chlorine_bleach if product.chlorine_bleach is not None else _holds(read, "chlorine")
    draft = replace(product, id=0, recorded_at=NOT_YET, happened_at=author.happened_at, recorded_by=author.by,
                    note=author.note, corrects_id=None, label=said or None, dose_mg=grams, borax=borax,
                    chlorine_bleach=chlorine)
    if (draft.label, draft.dose_mg) == (product.label, product.dose_mg):
        raise BadInput(f"“{product.name}” already says that.")
    return draft


def _holds(read: Sequence[LabelLine], what: str) -> bool | None:
    """Whether the label tells of boron or chlorine; None where it has lines that are not known."""
    if any(line.ingredient is not None and getattr(line.ingredient.content, what).high > 0.0 for line in read):
        return True
    return None if not read or any(line.ingredient is None for line in read) else False


def read_dose(typed: str) -> float:
    """The weight of one dose [g], as people type it: 60 g, 2 oz, 45 mL. A liquid's millilitre counts as a gram."""
    match = units.SHAPE.fullmatch(typed.strip())
    factor = _DOSE.get(match[2].casefold() or "g") if match is not None else None
    grams = float(match[1].replace(",", ".")) * factor if match is not None and factor is not None else 0.0
    if not 0.0 < grams <= MOST_DOSE_G:
        raise BadInput(f"The dose “{typed.strip()[:40]}” is not a weight up to {MOST_DOSE_G:g} g; like 60 g, 2 oz or "
                       "45 mL.")
    return grams


def line_words(typed: str) -> str:
    """What one line of a label means, in a sentence. Raises BadInput for a line that cannot be."""
    line = read_line(typed)
    share = line.share.times(100.0) if line.share is not None else None
    much = f"{written(share, 0)} %" if share is not None else \
        f"{written(line.grams, 1)} g a dose" if line.grams is not None else "as much as the others leave"
    if line.ingredient is None:
        return f"“{line.words}”, {much}: not known; counted from none to the most there could be."
    content = line.ingredient.content
    brings = [words for words, span in (
        ("sodium", content.sodium), ("sodium for the water's calcium", content.exchange), ("boron", content.boron),
        ("chlorine", content.chlorine), ("alkali", content.alkalinity)) if span.high > 0.0]
    return f"{line.ingredient.name}, {much}: brings {text.listed(brings) if brings else 'no salt'}."
