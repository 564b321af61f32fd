"""The report's annex on salt: each basin's soil over the months with what is borne, soil tests, the usual loads."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.documents.record.model import SaltPage
from gwlog.documents.render.blocks import Block, Column, Heading, Para, Points, table


def salt(page: SaltPage | None, *, full: bool) -> Iterator[Block]:
    """Nothing where the tap water is not known; the months of each basin where all of it is asked for."""
    if page is None:
        return
    yield Heading(1, "Annex: salt in the soil")
    yield Para("Calculated from the water report, the products' labels and the daily water balance: salt comes with "
               "water and leaves with what sinks below the roots. Conductivity and sodium ratio are those of a "
               "saturated paste, as in soil tests.")
    for line in page.basins:
        yield Heading(2, line.basin)
        yield Para(line.outlook)
        if full:
            yield table(f"salt at {line.basin}", (
                Column("month", 0.8), Column("ECe, dS/m", 1.0, right=True), Column("borne", 0.7, right=True),
                Column("SAR", 1.0, right=True), Column("borne", 0.7, right=True),
                Column("boron, mg/L", 1.0, right=True)),
                list(line.rows), "No day has ended in this period since its balance began.")
    yield table("soil readings", (Column("day", 0.8), Column("basin", 1.2), Column("measured", 2.2),
                                  Column("calculated until then", 1.6)),
                [(day, basin, measured, reckoned) for day, basin, measured, reckoned in page.readings],
                "No soil was tested in this period.")
    if page.loads:
        yield table("usual loads and salt", tuple(Column(name, 1.0) for name in page.load_head), list(page.loads))
    yield Points(page.notes)
