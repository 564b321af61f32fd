"""The pages of the setup: which fields describe what, the words that explain them, the cautions that belong there.

The guided setup shows them one after the other, the setup screen opens each as a form.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from gwlog import units
from gwlog.app.forms.model import Option, Value, Values
from gwlog.errors import BadInput
from gwlog.reference.as_built import key_of
from gwlog.setup.draft import Draft, Table
from gwlog.setup.first_draft import system_of
from gwlog.tui.setup.fields import FieldFault, SetupField, field, put, twelve, typed
from gwlog.units import MM_PER_INCH, Reader, System

if TYPE_CHECKING:
    from gwlog.reference.cautions import Caution
    from gwlog.reference.codes import Profile


@dataclass(frozen=True, slots=True)
class Page:
    """One page: the kind of table it fills, title, fields; `more`: fields only for those who look for them."""

    id: str
    kind: str
    title: str
    fields: tuple[SetupField, ...]
    more: tuple[SetupField, ...] = ()
    about: str = ""
    cautions: tuple[str, ...] = ()


def _page(id: str, kind: str, title: str, fields: Sequence[tuple[str, ...]], more: Sequence[tuple[str, ...]] = (),  # noqa: A002
          about: str = "", cautions: tuple[str, ...] = ()) -> Page:
    return Page(id, kind, title, tuple(field(kind, *one) for one in fields), tuple(field(kind, *one) for one in more),
                about, cautions)


PAGES: dict[str, Page] = {page.id: page for page in (
    _page("site", "site", "The household", (
        ("name", "Name", "like: 7 Quarry Lane, lower unit"), ("units", "Units"),
        ("timezone", "Time zone", "like America/Los_Angeles"),
        ("latitude", "Latitude", "degrees, like 36.9; south of the equator negative"),
        ("occupants", "People", "how many live there")),
        (("aim", "Aim", "not said: plants"),
         ("water_price", "Water price", "like 5 per 1000 gal, 4 per ccf, 1.30 per m3"),
         ("currency", "Currency", "what the price is in, like USD")),
        "Where the system is. Find the latitude on a map (California: 33 to 42)."),
    _page("climate", "site", "The climate", (
        ("climate.eto_zone", "Your land"),
        ("climate.monthly_eto", "Monthly ETo", "twelve figures, January first"),
        ("climate.monthly_rain", "Monthly rain", "twelve figures; empty: an unmeasured day counts as dry"),
        ("climate.monthly_tmean", "Mean temp.", "twelve figures, like -3 -1 4 … °C, for frost; may be empty"),
        ("rain", "Rain logged", "not always: else the usual")),
        about="How much water the air draws, month by month: by the land in California, by monthly figures of "
              "reference evapotranspiration, or worked out from temperatures: four that you may know (mean lows and "
              "highs of the coldest and of the hottest month; a guess, give or take a fifth), or every month's."),
    _page("tap", "site", "The tap water", (
        ("tap_water.ec", "Conductivity", "like 620 uS/cm or 0.62 dS/m"),
        ("tap_water.calcium", "Calcium", "like 48 mg/L or 2.4 meq/L"),
        ("tap_water.magnesium", "Magnesium", "like 12 mg/L"), ("tap_water.sodium", "Sodium", "like 34 mg/L"),
        ("tap_water.alkalinity", "Alkalinity", "like 120 mg/L, as calcium carbonate"),
        ("tap_water.boron", "Boron", "like 0.1 mg/L"), ("softened_water", "Softened")),
        (("tap_water.hardness", "Hardness", "like 10 gpg or 170 mg/L"), ("tap_water.ph", "pH", "like 7.4"),
         ("tap_water.tds", "Solids", "dissolved solids, like 400 mg/L"),
         ("tap_water.bicarbonate", "Bicarbonate", "like 146 mg/L"), ("tap_water.chloride", "Chloride", "like 30 mg/L"),
         ("tap_water.sulfate", "Sulfate", "like 40 mg/L")),
        about="From the supplier's water report, each with its unit; empty, or “not known”, where it does "
              "not say. Salt, sodium and boron of loads and soil rest on it. Is the water softened with salt before "
              "it reaches the machine?"),
    _page("code", "site", "The plumbing code", (("code", "Code"),),
          (("code_edition", "Edition", "empty: the newest, or the one in use"),),
          about="The profile nearest to your local code sets the least mulch, the daily limit and the upkeep.",
          cautions=("local code first",)),
    _page("system", "system", "The system itself", tuple(
        (key, label, "in ft or m; empty: not answered" if key == "groundwater" else "not answered")
        for key, label in (
            ("permit", "Permit"), ("notice", "Agency told"), ("dwelling", "Dwelling"), ("bedrooms", "Bedrooms"),
            ("only_washer", "Washer alone"), ("pipes_uncut", "Pipes uncut"), ("structure_changed", "Rebuilt"),
            ("potable_joint", "Tap joined"), ("added_pump", "Added pump"), ("runs", "Line runs"),
            ("release", "Comes out"), ("tank", "Tank"), ("valve_labelled", "Valve label"),
            ("sewer_connected", "Sewer side"), ("pipe_marked", "Pipe marked"), ("distances_kept", "Distances"),
            ("groundwater", "Groundwater"), ("floodway", "Floodway"), ("certified_parts", "Certified"))),
          about="What the chosen code asks of the system itself. What is not known yet can be left out and answered "
                "later; manual and record say so.",
          cautions=("cross-connection", "low pressure")),
    _page("places", "places", "Where the parts are", (
        ("valve", "Valve", "like: behind the machine, to the left"),
        ("pipe", "Line", "like: along the north wall, under the bark"),
        ("vent", "Air vent", "like: above the machine, 6 ft up"),
        ("clean_out", "Clean-out", "like: at the back step"),
        ("drain", "Sewer side", "where it ends, like: the standpipe by the sink"),
        ("shutoff", "Water taps", "that shut the machine's water off"),
        ("breaker", "Breaker", "that switches the machine's outlet off")),
          about="So that whoever comes after you finds them; they stand in the manual. Empty: it leaves a "
                "line for the pencil."),
    _page("setbacks", "setbacks", "Distances as built", tuple(
        (key_of(name), label, "in ft or m; empty: not measured") for name, label in (
            ("building", "Building"), ("property line", "Lot line"), ("water-supply well", "Well"),
            ("stream or lake", "Stream, lake"), ("septic tank", "Septic tank"),
            ("sewage disposal field", "Sewage field"), ("public water main", "Water main"),
            ("domestic service line", "Water line"))), tuple(
        (key_of(name), label, "in ft or m; empty: not measured") for name, label in (
            ("public water-supply well", "Public well"), ("ungrouted water-supply well", "Old well"),
            ("ditch", "Ditch"), ("seepage pit", "Seepage pit"))),
          about="Measured from the edge of the nearest basin; the manual sets them beside those that the code asks "
                "for.",
          cautions=("local code first",)),
    _page("contacts", "contacts", "Who to call", (
        ("installer", "Built by", "like: Alder Waterworks, 555 0134"), ("installed", "Finished", "the day, or empty"),
        ("maker", "Maker", "of machine or valve: model, number, phone"),
        ("owner", "Owner", "or manager of the building"), ("plumber", "Plumber", "licensed"),
        ("agency", "Agency", "that looks after graywater"), ("water_utility", "Utility", "for the drinking water")),
          about="They stand in the manual, which stays with the building. Empty: it leaves a line for the pencil."),
    _page("permit_or_notice", "permit_or_notice", "Permit or notice", (
        ("kind", "Which", "not said"), ("number", "Number", "or what it is filed under"),
        ("office", "Office", "that gave it or was told"), ("day", "Day", "like 2026-03-02"))),
    _page("local_rule", "local_rule", "A rule of the place, stricter than the profile", (
        ("name", "Name", "like: city's daily limit"), ("source", "Source", "ordinance and section"),
        ("limit", "A day", "the most, like 50 gal; or empty"), ("cover", "Mulch", "the least, like 6 in; or empty"),
        ("months", "Months", "the only ones, like apr may jun; or empty"), ("text", "In words", "or what it asks")),
          about="A rule is never looser than the code; a looser one is refused."),
    _page("washer", "washer", "The washing machine", (
        ("name", "Name", "like: front loader"), ("kind", "Kind"), ("volume", "Water", "of a run, measured; or empty")),
        about="Measured with a bucket: hang the drain hose over a bucket of known size and run a usual load; when it "
              "is full, pause the machine, tip it out, count it, and go on. Bucketfuls times the bucket's size is the "
              "water of a run. Left empty, the usual figure of the kind is taken.",
        cautions=("air vent", "low pressure")),
    _page("wash", "washer", "What is washed", (
        ("kind", "Machine"), ("volume", "Water", "of a run, measured with a bucket; empty: the kind's usual")),
        about="Hold the drain hose over a bucket of known size for a run, and count: that beats the usual figure. More "
              "of a load or a product can be said now (F2) or later.",
        cautions=("air vent", "detergent")),
    _page("valve", "site", "Stand at the valve", (("valve", "It points to", "not checked"),),
          about="Which way does it point now? Only what you see is written down. A new system gets two short lists: "
                "before its first load, and after its first week and month.",
          cautions=("cross-connection",)),
    _page("basin", "basin", "A mulch basin", (
        ("name", "Name", "like: Fig; empty: by its plants"),
        ("area", "Area", "like 3x4 ft, 12 square feet, 2 m across"),
        ("plants", "Plants", "like: fig tree; or: not known"), ("mulch", "Mulch depth", "like 4in"), ("soil", "Soil"),
        ("canopy", "Canopy", "ground they shade when grown up; empty: as the basin"),
        ("planted", "Planted", "young plants: the day, like 2026-03-01; empty: grown up"),
        ("planted_canopy", "Canopy then", "ground that they shaded that day; empty: 0.2 m2"),
        ("edible", "Edible part", "as is usual for the plant")),
        (("position", "Place", "in the plan view, like 12 4: to the right, and up"), ("texture", "Texture", "as is "
         "usual for the soil"), ("planted_root", "Root ball", "its depth when planted; empty: 0.3 m"),
         ("ground_cover", "Under them", "mulch, as is usual"),
         ("wetted", "Wetted area", "empty: 0.3 m beyond the edge"),
         ("plant_factor", "Plant factor", "empty: the plant's"), ("root_depth", "Root depth", "empty: the plant's"),
         ("depletion_fraction", "Depletion", "share it takes freely; empty: the plant's"),
         ("started", "Balance from", "start of the balance; empty: when it is first in force"),
         ("deficit", "Missing then", "water missing at the start; empty: by the climate")),
        cautions=("food crops", "trunk")),
    _page("outlet", "outlet", "An outlet: an open hose end or pipe end", (
        ("name", "Name", "like: Hose"), ("reaches", "Reaches"), ("at", "Now at", "the only one that it reaches")),
        (("share", "Share", "its part of a load; empty: 1"), ("position", "Place", "in the plan view, like 12 4")),
        about="None marked: it reaches every basin.", cautions=("cross-connection", "open end", "contact")),
    _page("product", "product", "A product that goes in with a load", (
        ("name", "Name", "like: plain liquid"), ("kind", "Kind"), ("form", "Form"),
        ("chlorine_bleach", "Chlorine"), ("borax", "Borax")),
        (("sodium_g_per_load", "Sodium", "g in one dose; empty: not known"),),
        about="What the label says; what is not checked is shown as a warning.",
        cautions=("detergent", "bleach and borax")),
    _page("usual_load", "usual_load", "A usual load", (
        ("name", "Name", "short, like: towels"), ("products", "Products"), ("contents", "Contains"),
        ("volume", "Water", "empty: the machine's")),
        (("washer", "Machine", "the only one"),), cautions=("illness",)),
    _page("planned_load", "planned_load", "A planned load", (
        ("load", "Load"), ("starts", "First", "like sat 9am or 2026-03-07 09:00"),
        ("every", "Repeats", "weekly, 2 weeks, or a rule like FREQ=WEEKLY;BYDAY=SA; empty: once")),
        (("name", "Name", "empty: the load's"), ("skips", "Leaves out", "days, like 2026-03-14"))),
    _page("person", "person", "Somebody who logs", (("name", "Name"),)),
    _page("upkeep", "upkeep", "A task of upkeep", (
        ("name", "Task", "a default task's name changes that one"),
        ("every", "Every", "12 months, 6 weeks, 90 days; never drops a default task")),
        (("months", "Months", "those in which it applies, like may jun jul; empty: all"),
         ("source", "Source", "where the interval comes from"))),
)}

HOW = ("zone", "figures", "four", "temperatures")
FOUR = (("cold_low", "Coldest, low"), ("cold_high", "Coldest, high"), ("hot_low", "Hottest, low"),
        ("hot_high", "Hottest, high"))
"""The temperatures that a person may know: field and label; months' mean lows and highs."""

_DEGREES: dict[System, str] = {"us": "F", "metric": "C"}


def zone_of(draft: Draft) -> str:
    """The household's time zone as the draft has it, else UTC."""
    from gwlog import clock

    try:
        return str(clock.zone(str(draft["site"][0].get("timezone", "UTC")))) if draft["site"] else "UTC"
    except BadInput:
        return "UTC"


def shown(page: Page, table: Table, fields: Sequence[SetupField]) -> dict[str, Value]:
    """What the fields of a page show of its table."""
    if page.id != "climate":
        report = table.get("tap_water", {})
        return {one.id: typed(report if one.kind == "tap_water" else table, one) for one in fields}
    climate: dict[str, Any] = table.get("climate", {})
    found: dict[str, Value] = {one.id: typed(climate if one.kind == "climate" else table, one) for one in fields}
    return {"how": "figures" if found["monthly_eto"] else "zone", **found, "tmin": "", "tmax": "",
            **{key: "" for key, _ in FOUR}}


def fields_for(page: Page, draft: Draft) -> tuple[SetupField, ...]:
    """The fields of a page: of the system itself, those that the chosen code asks for."""
    if page.id != "system":
        return page.fields
    from gwlog.reference.codes import GENERIC, PROFILES

    code = draft["site"][0].get("code") if draft["site"] else None
    profile = PROFILES.get(str(code)) or PROFILES[GENERIC]
    asked = {key for condition in profile.conditions for key, _ in condition.asks}
    return tuple(one for one in page.fields if one.id in asked)


def filled(page: Page, table: Table, fields: Sequence[SetupField], values: Values, draft: Draft,
           now: datetime) -> tuple[Table, list[FieldFault]]:
    """The table with what the fields hold, and what is wrong with them in words."""
    made = dict(table)
    wrong: list[FieldFault] = []
    system, zone = system_of(draft), zone_of(draft)
    if page.id == "climate":
        return _climate(made, fields, values, system, now, zone)
    report = dict(made.get("tap_water", {}))
    for one in fields:
        try:
            put(report if one.kind == "tap_water" else made, one, values.get(one.id, ""), system, now, zone)
        except BadInput as fault:
            wrong.append(FieldFault(one.id, str(fault)))
    if page.id == "code" and made.get("code") != table.get("code") and made.get("code_edition") == \
            table.get("code_edition"):
        made.pop("code_edition", None)      # of another profile
    if report:
        made["tap_water"] = report
    else:
        made.pop("tap_water", None)
    return made, wrong


def _climate(made: Table, fields: Sequence[SetupField], values: Values, system: System, now: datetime,
             zone: str) -> tuple[Table, list[FieldFault]]:
    climate, how = dict(made.get("climate", {})), str(values.get("how", "zone"))
    wrong: list[FieldFault] = []
    for one in fields:
        value = values.get(one.id, "")
        try:
            if one.kind != "climate":
                put(made, one, value, system, now, zone)
                continue
            if one.id == "eto_zone" and how != "zone":
                value = ""
            elif one.id == "monthly_eto" and how in ("four", "temperatures"):
                value = _by_temperatures(made, values, system)
            elif one.id == "monthly_eto" and how == "zone":
                value = ""
            elif one.id == "monthly_tmean" and how in ("four", "temperatures"):
                value = _means(made, values, system)
            elif one.id == "eto_zone" and how == "zone" and not value:
                raise BadInput(f"{one.label} is missing: choose it, or another way.")
            elif one.id == "monthly_eto" and not value:
                raise BadInput(f"{one.label} is missing: {one.hint}.")
            put(climate, one, value, system, now, zone)
        except BadInput as fault:
            at = {"four": FOUR[0][0], "temperatures": "tmin"}.get(how, one.id) if one.id == "monthly_eto" else one.id
            wrong.append(FieldFault(at, str(fault)))
    made["climate"] = climate
    return made, wrong


def _temperatures(site: Table, values: Values, system: System) -> list[list[float]]:
    """The months' mean lowest and mean highest temperatures [degC]."""
    if values.get("how") == "four":
        from gwlog.water.climate_guess import year_from_four

        cold_low, cold_high, hot_low, hot_high = (
            units.quantity(str(values.get(key, "")), "temperature", system, what=label.casefold(), low=-60.0,
                           high=60.0, low_included=True) for key, label in FOUR)
        if not (cold_low <= cold_high and hot_low <= hot_high and cold_low + cold_high <= hot_low + hot_high):
            raise BadInput("A low is above its high, or the coldest month is warmer than the hottest.")
        return [list(months) for months in year_from_four(cold_low, cold_high, hot_low, hot_high, _latitude(site))]
    found = []
    for key, label in (("tmin", "Mean lowest"), ("tmax", "Mean highest")):
        numbers, unit = twelve(str(values.get(key, "")), label, f"°{_DEGREES[system]}", ("F", "C"))
        found.append([(number - 32) / 1.8 if unit.endswith("F") else number for number in numbers])
    return found


def _latitude(site: Table) -> float:
    latitude = site.get("latitude")
    if not isinstance(latitude, (int, float)):
        raise BadInput("The latitude is missing; it is on the household's page.")
    return float(latitude)


def _means(site: Table, values: Values, system: System) -> str:
    """The months' mean temperatures halfway between lowest and highest, as they would be typed."""
    try:
        lows, highs = _temperatures(site, values, system)
    except BadInput:
        return ""   # told of the ETo that is worked out from them
    return " ".join(f"{(low + high) / 2:.1f}" for low, high in zip(lows, highs, strict=True)) + " C"


def _by_temperatures(site: Table, values: Values, system: System) -> str:
    """Monthly ETo worked out from mean temperatures, as it would be typed."""
    from gwlog.water.monthly import monthly_eto_mm

    found = _temperatures(site, values, system)
    for lows, highs in zip(*found, strict=True):
        if not -60 <= lows <= highs <= 60:
            raise BadInput("A month's mean lowest temperature is above its highest, or no air is like that.")
    months = monthly_eto_mm(found[0], found[1], _latitude(site))
    if system == "us":
        return " ".join(f"{mm / MM_PER_INCH:.2f}" for mm in months) + " in"
    return " ".join(f"{mm:.0f}" for mm in months) + " mm"


def month_hint(system: System) -> str:
    """What the temperature fields want."""
    return f"twelve means in °{_DEGREES[system]}, January first"


def four_hint(system: System) -> str:
    """What the fields of the four temperatures want."""
    return f"mean of that month's days, in °{_DEGREES[system]}"


def cautions(page: Page, code: object) -> list[Caution]:
    """The cautions that belong to a page; to the code's page also those of the profile itself."""
    from gwlog.reference.cautions import ALWAYS, CAUTION_BY_ID
    from gwlog.reference.codes import PROFILES

    found = [CAUTION_BY_ID[name] for name in page.cautions]
    if page.id == "code" and code in PROFILES:
        found += [one for one in PROFILES[str(code)].cautions if one.id not in ALWAYS]
    return found


def code_options() -> list[Option]:
    """The code profiles with their places."""
    from gwlog.reference.codes import PROFILES

    return [Option(name, f"{profile.place} ({name})") for name, profile in PROFILES.items()]


RAIN_ASIDE = "Do you write down rain whenever it falls? Then a day without an entry was dry; else it takes the " \
             "month's usual rain."


def _zone_words(values: Values, reader: Reader) -> list[str]:
    """The name and the year's ETo of the zone that is typed."""
    typed_zone = str(values.get("eto_zone", "")).strip()
    if values.get("how") != "zone" or not typed_zone.isdecimal():
        return []
    from gwlog.reference.climate import ETO_ZONES

    zone = ETO_ZONES.get(int(typed_zone[:3]))
    if zone is None:
        return []
    return [f"{zone.name[:1].upper()}{zone.name[1:]}: {reader.rain(zone.year_in.value * MM_PER_INCH)} of ETo a year "
            f"(California's zone {zone.number})."]


def asides(page: Page, values: Values, system: System) -> list[str]:
    """What the published tables say about what is typed so far."""
    reader = Reader(system)
    if page.id in ("washer", "wash"):
        from gwlog.reference.laundry import WASHER_GAL, washer_litres

        kind = str(values.get("kind", ""))
        if kind in WASHER_GAL and not values.get("volume"):
            return [f"Usual for {kind}: {reader.volume(washer_litres(kind))} ({WASHER_GAL[kind].source})."]
    if page.id == "climate":
        return [*_zone_words(values, reader), RAIN_ASIDE]
    if page.id == "code":
        from gwlog.reference.codes import PROFILES

        profile = PROFILES.get(str(values.get("code", "")))
        if profile is not None:
            return _of_code(profile, str(values.get("code_edition") or ""), reader)
    if page.id == "system":
        from gwlog.reference.codes.system import QUESTIONS

        return [f"{one.label}: {QUESTIONS[one.id].words}" for one in page.fields if one.id in values]
    return []


def _of_code(profile: Profile, edition: str, reader: Reader) -> list[str]:
    """What is said of a code before it is chosen: its date, cover, what comes first, what may be missing, editions."""
    from gwlog.decisions.told import first_word
    from gwlog.reference.codes import held, newer
    from gwlog.setup.code_warnings import differences

    word = first_word(None, profile)
    lines = [*([word] if word else []),
             f"{profile.document}, {profile.dated}. Least mulch {reader.length(profile.cover_mm.value)}. "
             "Check your local code.",
             *([f"May hold more: {profile.unread}"] if profile.unread else [])]
    later = newer(profile.id, edition) if edition else None
    if later is not None:
        lines += [f"There is an edition of {later.as_of}; type it under Edition to use it. What differs:",
                  *differences(held(profile.id, edition), later)]
    return lines
