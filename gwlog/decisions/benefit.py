"""What the graywater gave: the water that plants used because of it, which the tap would have had to give otherwise.

Each basin's balance is reckoned twice from the same start through the same weather and the same other water: as it
was, and as it would have been without graywater. What the plants used more in the first is what the graywater gave
them. So what sank below the roots, what still lies in the ground and what rain would have given anyway do not count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from gwlog.clock import local_day
from gwlog.journal.facts import Site
from gwlog.state import State, Watering
from gwlog.values import NamedTuple, dataclass
from gwlog.water.basin import in_use
from gwlog.water.garden import Garden, ledger_of
from gwlog.water.ledger import LedgerDay

LITRES_PER_M3 = 1000.0
MILLI = 1000.0

Month = tuple[int, int]
"""Year and month."""


class Given(NamedTuple):
    """Some days of a basin, or of several [L].

    `graywater_l`: what reached the basins. `gave_l`: what plants used of it that they would have lacked.
    `unmet_l`: their need that no water met. `other_l`: other water, as it was logged.
    """

    graywater_l: float = 0.0
    gave_l: float = 0.0
    unmet_l: float = 0.0
    other_l: float = 0.0


@dataclass(frozen=True, slots=True)
class Benefit:
    """By basin and month what was given. `price`: of a m3 of drinking water in `currency`, None where not stated."""

    basins: Mapping[str, Mapping[Month, Given]]
    price: float | None
    currency: str

    @property
    def months(self) -> dict[Month, Given]:
        """All basins together by month, in order of time; a month in which nothing is known is left out."""
        return _together(self.basins.values())

    @property
    def years(self) -> dict[int, Given]:
        """All basins together by year."""
        years: dict[int, list[Given]] = {}
        for (year, _), given in self.months.items():
            years.setdefault(year, []).append(given)
        return {year: total(found) for year, found in years.items()}

    def worth(self, given: Given) -> float | None:
        """What the tap would have cost for what was given, in the currency; None without a price."""
        return None if self.price is None else given.gave_l / LITRES_PER_M3 * self.price


def total(parts: Iterable[Given]) -> Given:
    """Several stretches or basins as one."""
    return Given(*(sum(column) for column in zip(Given(), *parts, strict=True)))


def _together(basins: Iterable[Mapping[Month, Given]]) -> dict[Month, Given]:
    months: dict[Month, list[Given]] = {}
    for basin in basins:
        for month, given in basin.items():
            months.setdefault(month, []).append(given)
    return {month: total(months[month]) for month in sorted(months)}


def by_month(days: Sequence[LedgerDay], without: Sequence[LedgerDay], waterings: Iterable[Watering],
             counts: Callable[[date], bool] = lambda _: True) -> dict[Month, Given]:
    """One basin's months. `without`: the same days reckoned without graywater. `counts`: which days are asked for.

    Raises ValueError when the two reckonings are not of the same days.
    """
    found: dict[Month, list[Given]] = {}
    for one, bare in zip(days, without, strict=True):
        if one.day != bare.day:
            raise ValueError(f"{one.day} is set against {bare.day}")
        if counts(one.day):
            found.setdefault((one.day.year, one.day.month), []).append(
                Given(one.graywater_l, one.used_l - bare.used_l, one.demand_l - one.used_l))
    for watering in waterings:
        if counts(watering.day):
            found.setdefault((watering.day.year, watering.day.month), []).append(Given(other_l=watering.litres))
    return {month: total(found[month]) for month in sorted(found)}


def benefit(state: State, garden: Garden, first: date = date.min, last: date = date.max, *,
            basins: Iterable[str] | None = None) -> Benefit:
    """What the graywater gave on the local days `first`..`last`, in all basins or in some, retired ones too.

    A day counts once it has ended, while the basin is in use.
    """
    names = state.basin_history if basins is None else basins
    price, currency = price_of(state.site)
    return Benefit({name: _basin(state, garden, name, first, last) for name in names}, price, currency)


def _basin(state: State, garden: Garden, name: str, first: date, last: date) -> dict[Month, Given]:
    known = garden.basins.get(name)
    ledger = known.ledger if known is not None else ledger_of(state, name, garden.sky, garden.now)
    without = ledger_of(state, name, garden.sky, garden.now, ())
    changes = [(local_day(basin.happened_at, state.zone), basin.active) for basin in state.basin_history[name]]
    return by_month(ledger.days, without.days, state.other_water.get(name, ()),
                    lambda day: first <= day <= last and in_use(changes, day))


def price_of(site: Site | None) -> tuple[float | None, str]:
    """The price of a m3 of drinking water that the site states, None where it states none, and its currency."""
    if site is None or site.water_price_milli is None:
        return None, ""
    return site.water_price_milli / MILLI, site.currency or ""
