"""What the graywater gave, as people read it: a table by month and year, a sentence, and how each figure comes about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from gwlog.decisions.benefit import Benefit, Given, Month, benefit, total
from gwlog.household import Household
from gwlog.setup.keys import SUFFIXES
from gwlog.text import wrap

HEAD = ("when", "graywater", "gave", "still needed", "other water", "saved")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MONTHS_SHOWN = 13
"""So many months are shown one by one, the years before them as one row each."""

CAME = "what reached the basins from the washing machine."
GAVE = ("what plants used because of the graywater: each basin's balance is calculated twice, as it was and without "
        "graywater, and what its plants used more is water that the tap would have had to give. What sank below the "
        "roots, what is still in the ground and what rain would have given anyway is not in it.")
NEEDED = "what plants wanted by that balance and no water met."
OTHER = "water from a can, a drip line or a hose, as it was logged."
NOTHING = "No day has ended yet since a basin's balance began, so what the graywater gave is not known yet."
NO_PRICE = "With a price of water in the site file the money is shown too."
MONEY = " in the site file's money"
NO_CURRENCY = " In the money of that price: the site file names no currency."
_PER = {"us": ("per_1000_gal", "1,000 gal"), "metric": ("per_m3", "a m³")}


def of_home(home: Household) -> Benefit:
    """What the graywater gave, from the beginning to yesterday."""
    return benefit(home.state, home.garden)


def rows(home: Household, gave: Benefit) -> list[tuple[str, ...]]:
    """The table: the last months one by one, each year as a row; the columns are HEAD."""
    months, found = gave.months, []
    shown = set(list(months)[-MONTHS_SHOWN:])
    for year, whole in gave.years.items():
        found += [_row(home, gave, f"{MONTHS[month[1] - 1]} {month[0]}", given) for month, given in months.items()
                  if month in shown and month[0] == year]
        found.append(_row(home, gave, f"{year}", whole))
    return found


def _row(home: Household, gave: Benefit, when: str, given: Given) -> tuple[str, ...]:
    volume = home.reader.volume
    return (when, volume(given.graywater_l), volume(max(0.0, given.gave_l)), volume(given.unmet_l),
            volume(given.other_l), money(gave, given) or "—")


def money(gave: Benefit, given: Given) -> str:
    """What was saved, like “8.90 USD”; empty without a price."""
    worth = gave.worth(given)
    return "" if worth is None else f"{max(0.0, worth):,.2f} {gave.currency}".rstrip()


def price(home: Household, gave: Benefit) -> str:
    """The price of water in the household's units, like “5.00 USD for 1,000 gal”; empty where none is stated."""
    if gave.price is None:
        return ""
    unit, words = _PER[home.system]
    amount = f"{gave.price * SUFFIXES['price']['per_m3'] / SUFFIXES['price'][unit]:,.2f}"
    return f"{amount} {gave.currency}".rstrip() + f" for {words}"


def notes(home: Household, gave: Benefit) -> list[tuple[str, str]]:
    """How each column of the table comes about: its name and a sentence."""
    stated = price(home, gave)
    return [("graywater", CAME), ("gave", GAVE), ("still needed", NEEDED), ("other water", OTHER),
            ("saved", f"what was given, at {stated}: the price of water in the site file."
             f"{'' if gave.currency else NO_CURRENCY}" if stated else NO_PRICE)]


def note_lines(home: Household, gave: Benefit, width: int = 80) -> list[str]:
    """The notes folded to `width` columns."""
    return [line for name, words in notes(home, gave) for line in wrap(f"{name}: {words}", width, hang="  ")]


def sentence(home: Household, gave: Benefit) -> str:
    """This year and this month in one or two sentences; what no day has ended for is left out."""
    today, months = home.garden.today, gave.months
    year = total(given for month, given in months.items() if month[0] == today.year)
    if not any(month[0] == today.year for month in months):
        return ""
    words = f"This year the graywater gave {_gave(home, gave, year)}"
    if (this := months.get((today.year, today.month))) is not None and today.month > 1:
        words += f", this month {home.reader.volume(max(0.0, this.gave_l))}"
    return f"{words}. {_beside(home, year)}"


def basin_facts(home: Household, name: str) -> list[tuple[str, str]]:
    """What it gave one basin this year, label and words."""
    gave = benefit(home.state, home.garden, basins=[name])
    months = [given for (year, _), given in gave.basins[name].items() if year == home.garden.today.year]
    if not months:
        return []
    year = total(months)
    return [("gave", f"this year {_gave(home, gave, year)}"), ("", _beside(home, year))]


def _gave(home: Household, gave: Benefit, given: Given) -> str:
    worth = money(gave, given)
    return (f"{home.reader.volume(max(0.0, given.gave_l))} that plants used instead of tap water"
            + (f" ({worth}{'' if gave.currency else MONEY})" if worth else ""))


def _beside(home: Household, given: Given) -> str:
    other = f"; {home.reader.volume(given.other_l)} of other water was logged" if given.other_l else ""
    return f"Still needed: {home.reader.volume(given.unmet_l)}{other}."


def as_json(gave: Benefit) -> dict[str, Any]:
    """For programs, in litres; money in `currency`."""
    return {
        "price_per_m3": gave.price, "currency": gave.currency or None,
        "months": _months(gave, gave.months),
        "years": [{"year": year, **_figures(gave, given)} for year, given in gave.years.items()],
        "basins": [{"name": name, "months": _months(gave, months)} for name, months in gave.basins.items()],
        "how": {"gave_l": GAVE, "unmet_l": NEEDED, "other_l": OTHER, "saved": "gave_l times price_per_m3 / 1000"},
    }


def _months(gave: Benefit, months: Mapping[Month, Given]) -> Sequence[dict[str, Any]]:
    return [{"month": f"{year:04}-{month:02}", **_figures(gave, given)} for (year, month), given in months.items()]


def _figures(gave: Benefit, given: Given) -> dict[str, float | None]:
    worth = gave.worth(given)
    return {"graywater_l": round(given.graywater_l, 3), "gave_l": round(given.gave_l, 3),
            "unmet_l": round(given.unmet_l, 3), "other_l": round(given.other_l, 3),
            "saved": None if worth is None else round(worth, 2)}
