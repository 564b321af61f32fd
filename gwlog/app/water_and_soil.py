"""Water from elsewhere and soil tests as people log them: an amount or a flow's minutes, and what was measured.

Nothing is written here, as in `app.entries`.
"""

from __future__ import annotations

from gwlog import text, units
from gwlog.app import entries
from gwlog.decisions.entry_limits import MAX_FLOW_L_PER_MIN, MAX_OTHER_WATER_L, MAX_WATERING_MIN
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import EXTRACTS, OTHER_WATERS, OtherWater, SoilReading


def other_water(home: Household, basin: str, author: entries.Author, *, amount: str | None = None,
                minutes: str | None = None, flow: str | None = None, way: str = "can") -> OtherWater:
    """Water that did not come from the washing machine: an amount, or so many minutes of a flow."""
    place = entries.basin_then(home, basin, author)
    carried = text.pick("way of watering", way, OTHER_WATERS)
    draft = OtherWater(**entries.common(home, author), basin=place, way=carried,
                       volume_ml=round(_litres(home, amount, minutes, flow) * 1000))
    if draft.volume_ml == 0:
        raise BadInput("That is less than a thousandth of a litre; use more.")
    entries.refuse_double(home, draft, author)
    return draft


def _litres(home: Household, amount: str | None, minutes: str | None, flow: str | None) -> float:
    """How much water an amount is, or a flow over some minutes: exactly one of the two [L]."""
    if amount is not None and (minutes is not None or flow is not None):
        raise BadInput("Say either the amount of water, or the minutes and the flow; not both.")
    if amount is not None:
        return units.quantity(amount, "volume", home.system, what="amount of water", high=MAX_OTHER_WATER_L)
    if minutes is None and flow is None:
        example = "12 L, or 20 minutes at 6 L/min" if home.system == "metric" else "3gal, or 20 minutes at 2 gal/min"
        raise BadInput("How much water was it? Say the amount, or the minutes and the flow.", hint=f"Like {example}.")
    if flow is None:
        raise BadInput(f"With the time “{text.one_line(str(minutes))[:40]}” the flow is needed too, like 2 gal/min or "
                       "6 L/min.",
                       hint="Measure it: a bucket's size over the minutes it takes to fill.")
    if minutes is None:
        raise BadInput(f"With the flow “{text.one_line(flow)[:40]}” the minutes are needed too, like 20.")
    ran = units.quantity(minutes, "minutes", home.system, what="time", high=MAX_WATERING_MIN)
    rate_l = units.quantity(flow, "flow", home.system, what="flow", high=MAX_FLOW_L_PER_MIN)
    if ran * rate_l > MAX_OTHER_WATER_L:
        raise BadInput(f"“{minutes.strip()[:40]}” at “{flow.strip()[:40]}” makes {home.reader.volume(ran * rate_l)}; "
                       f"use up to {home.reader.volume(MAX_OTHER_WATER_L)} in one go.")
    return ran * rate_l


def soil_reading(home: Household, basin: str, author: entries.Author, *, extract: str = "saturation",
                 ec: str | None = None, sar: str | None = None, esp: str | None = None, boron: str | None = None,
                 ph: str | None = None) -> SoilReading:
    """A soil test or a meter's reading of one basin: whatever of it was measured.

    Water thins the salts of a 1:5 extract: its conductivity has a factor to the saturated paste's, its SAR and boron
    have none.
    """
    from gwlog.water.report import read_amount, spelling

    def of_water(name: str, typed: str | None, per: float) -> int | None:
        if typed is None:
            return None
        key, number = read_amount(name, typed)
        found = spelling(key)
        assert found is not None
        return round(number * found[1] * per)

    place = entries.basin_then(home, basin, author)
    draft = SoilReading(
        **entries.common(home, author), basin=place, extract=text.pick("extract", extract, EXTRACTS),
        ec_us_cm=of_water("ec", ec, 1000.0), sar_milli=_thousandths("SAR", sar, 100.0),
        esp_milli=_thousandths("ESP", esp, 99.0), boron_ug_l=of_water("boron", boron, 1000.0),
        ph_milli=_thousandths("pH", ph, 14.0),
    )
    if all(value is None for value in (draft.ec_us_cm, draft.sar_milli, draft.esp_milli, draft.boron_ug_l,
                                       draft.ph_milli)):
        raise BadInput("What was measured? Say the conductivity, SAR, ESP, boron or pH.",
                       hint="Like a conductivity of 2.4 dS/m.")
    if draft.not_of_paste:
        raise BadInput(f"The {text.listed(draft.not_of_paste)} of a {draft.extract} extract cannot be compared with "
                       "a saturated paste's, by which soils are judged; its conductivity can.",
                       hint="Leave it out, or say ESP, which is the soil's own whatever the extract.")
    if sar is not None and esp is not None:
        raise BadInput("Say SAR or ESP; the one follows from the other.")
    entries.refuse_double(home, draft, author)
    return draft


def _thousandths(what: str, typed: str | None, most: float) -> int | None:
    """A plain number from 0 to `most`, in thousandths."""
    if typed is None:
        return None
    try:
        number = float(typed.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        number = -1.0
    if not 0.0 <= number <= most:
        raise BadInput(f"The {what} “{typed.strip()[:40]}” is not a number from 0 to {most:g}.")
    return round(number * 1000)
