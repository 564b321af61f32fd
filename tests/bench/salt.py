"""Salt in a desert and in a mild climate, with powder and with liquid: what the soil holds, what is owed, what is paid.

Run: python -m tests.bench.salt   (some seconds; three years each, with and without the flushes that are asked for)
"""

from __future__ import annotations

from time import process_time
from typing import NamedTuple

from gwlog.decisions.leaching_words import flush_litres
from gwlog.journal.facts import OtherWater
from gwlog.reference.climate import monthly_eto_mm
from gwlog.water.garden import Garden
from tests.decisions.home import Home, at, day

REPORT = ("ec_ds_m=0.6", "calcium_meq_l=2.2", "magnesium_meq_l=1.2", "sodium_meq_l=2.4", "alkalinity_meq_l=2.6",
          "boron_mg_l=0.1")
SEATTLE_RAIN_MM = (142, 89, 95, 69, 49, 40, 18, 24, 41, 89, 167, 142)
CLIMATES = {
    "desert": (tuple(round(mm * 1000) for mm in monthly_eto_mm(18)), (0,) * 12),
    "mild": (tuple(round(mm * 1000) for mm in monthly_eto_mm(2)), tuple(mm * 1000 for mm in SEATTLE_RAIN_MM)),
}
LABELS = {
    "powder": (("sodium carbonate 18 %", "sodium sulfate 22 %", "las 18 %", "water"), 66),
    "liquid": (("sodium laureth sulfate 10 %", "soap 3 %", "sodium citrate 3 %", "water"), 50),
}
YEARS, EVERY_DAYS, PLANTS = 3, 3, ("peach", "rose")


class Result(NamedTuple):
    """At the end: ECe [dS/m], SAR, leaching owed [L], flushed, percolated [L], yield [%] of each basin's plant."""

    ece: float
    sar: float
    owed_l: float
    flushed_l: float
    percolated_l: float
    grows: float | None


def lived(climate: str, product: str, pays: bool) -> dict[str, Result]:
    """Three years of a household; `pays`: whether it flushes when a reminder asks for it."""
    eto, rain = CLIMATES[climate]
    home = Home(("Peach", "Rose"), tap_water=REPORT, monthly_eto_um=eto, monthly_rain_um=rain)
    for name, plants in zip(("Peach", "Rose"), PLANTS, strict=True):
        home.basin(name, plants=plants, plant_factor_milli=900 if plants == "peach" else 500)
    lines, grams = LABELS[product]
    home.product("wash", form=product, sodium_mg=None, label=lines, dose_mg=grams * 1000)
    home.usual("clothes", products=("wash",))
    flushed = {"Peach": 0.0, "Rose": 0.0}
    for number in range(1, 365 * YEARS):
        if number % EVERY_DAYS == 0:
            if number % (2 * EVERY_DAYS) == 0:
                home.move("Hose", "Rose" if number % (4 * EVERY_DAYS) else "Peach", day(number), 8.0)
            home.load(day(number), name="clothes", products=("wash",))
        if pays and number % 30 == 0:
            for one in home.reminded(at(day(number), 12.0), "leaching owed"):
                basin = home.garden(at(day(number), 12.0)).basins[one.subject]
                if one.state != "soon" and basin.owed is not None and basin.owed.helps:
                    litres = flush_litres(basin, basin.owed)
                    home.add(OtherWater, day(number), 13.0, basin=one.subject, volume_ml=round(litres * 1000),
                             way="flush")
                    flushed[one.subject] += litres
    end = home.garden(at(day(365 * YEARS)))
    return {name: _result(end, name, flushed[name]) for name in end.basins}


def _result(garden: Garden, name: str, flushed: float) -> Result:
    basin = garden.basins[name]
    assert basin.owed is not None
    soil = basin.owed.soil
    return Result(soil.ece.middle, soil.sar.middle if soil.sar is not None else 0.0, basin.owed.litres, flushed,
                  sum(one.percolated_l for one in basin.ledger.days), basin.owed.yield_percent)


def main() -> None:
    """Print the table, and whether powder is worse than liquid and paying better than not."""
    begun = process_time()
    print(f"{YEARS} years; a load of 57 L every {EVERY_DAYS} days to two basins of 3 m2 by turns")
    print(f"{'climate':8} {'product':8} {'flushes':8} {'basin':6} {'ECe':>6} {'SAR':>6} {'owed L':>7} {'flushed':>8} "
          f"{'perc. L':>8} {'grows %':>8}")
    found: dict[tuple[str, str, bool, str], Result] = {}
    for climate in CLIMATES:
        for product in LABELS:
            for pays in (False, True):
                for name, one in lived(climate, product, pays).items():
                    found[climate, product, pays, name] = one
                    grows = "—" if one.grows is None else f"{one.grows:.0f}"
                    print(f"{climate:8} {product:8} {'yes' if pays else 'no':8} {name:6} {one.ece:6.2f} {one.sar:6.1f} "
                          f"{one.owed_l:7.0f} {one.flushed_l:8.0f} {one.percolated_l:8.0f} {grows:>8}")
    for what, held in (
        ("powder leaves more sodium than liquid", all(
            found[c, "powder", pays, n].sar >= found[c, "liquid", pays, n].sar
            for c in CLIMATES for pays in (False, True) for n in ("Peach", "Rose"))),
        ("rain leaves less salt than the desert", all(
            found["mild", p, False, n].ece < found["desert", p, False, n].ece
            for p in LABELS for n in ("Peach", "Rose"))),
        ("flushes that are asked for leave no more salt", all(
            found[c, p, True, n].ece <= found[c, p, False, n].ece + 1e-9
            for c in CLIMATES for p in LABELS for n in ("Peach", "Rose"))),
    ):
        print(f"  {what:48} {'holds' if held else 'DOES NOT HOLD'}")
    print(f"processor time {process_time() - begun:.1f} s")


if __name__ == "__main__":
    main()
