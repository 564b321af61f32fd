"""The demo's events besides the routine: mistakes and their corrections, observations, changes of the setup.

Each event has a first day and waits until its condition holds; a longer history repeats them yearly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from gwlog.demo.household import DemoHousehold
from gwlog.demo.weekly_loads import EXTRA, MON, THU, TUE, Wash
from gwlog.journal.facts import Observation, Resolution, WashLoad, Withdrawal
from gwlog.units import LITRES_PER_GALLON

YEAR = 365
HOLIDAY_DAYS = 9
FORGOTTEN_DAYS = 5
LITRES_TYPED = 61          # litres, typed where gallons are read
LATE_DAYS = 4
QUIET_END = timedelta(days=9)

PLUS_PERSON = ("[[washer]]", '[[person]]\nname = "Yusra"\n\n[[washer]]')
PLUS_OCCUPANT = ("occupants = 4", "occupants = 5")
WIDER = ("area_ft2 = 28", "area_ft2 = 36")
PLUS_PODS = ('[[usual_load]]\nname = "towels"',
             '[[product]]\nname = "market pods"      # the label is not checked yet\nkind = "detergent"\n\n'
             '[[usual_load]]\nname = "shirts"\nproducts = ["market pods"]\n\n[[usual_load]]\nname = "towels"')

SLIP_NOTES = {
    "whites": "Forgot the valve: the bleach wash went to the garden.",
    "diapers": "Forgot the valve: the diaper wash went to the garden.",
}
SLIP_FOLLOW_UP = {
    "whites": "Gave the basins four cans of clean water each; leaves look well.",
    "diapers": "Raked fresh mulch over it; nobody walks there. A card hangs on the machine now.",
}


@dataclass(frozen=True, slots=True)
class _Errand:
    """Something to do on a later morning, once the entry `after` is written down."""

    day: date
    after: str | None
    do: Callable[[DemoHousehold], None]


def latest(today: date, month: int, day: int, ago: int) -> date:
    """The last such day of a year that lies `ago` days back or more."""
    found = date(today.year, month, day)
    while (today - found).days < ago:
        found = date(found.year - 1, month, day)
    return found


class Story:
    """Which event is due when, and what it does."""

    def __init__(self, first: date, today: date) -> None:
        self.first, self.today = first, today

        def back(days: int) -> date:
            return today - timedelta(days=days)

        years = range((today - first).days // YEAR + 1)
        self._waiting: dict[str, list[date]] = {}
        for name, days in {
            "whites": [latest(today, 6, 20, 25)], "diapers": [latest(today, 9, 8, 25)],
            "forgotten": [latest(today, 5, 25, 25)], "ponding": [latest(today, 4, 28, 40)],
            "digging": [latest(today, 7, 22, 20)], "odour": [back(96)], "rain typo": [latest(today, 12, 10, 20)],
            "volume typo": [back(330), back(190), back(52)], "typed twice": [back(250), back(17)],
            "late": [back(381), back(300), back(221), back(141), back(76), back(24)],
        }.items():
            self._waiting[name] = sorted({one for day in days for n in years
                                          if (one := day - timedelta(days=YEAR * n)) > first + timedelta(days=9)})
        trips = [latest(today, 8, 4, 30) - timedelta(days=YEAR * n) for n in years]
        self._away = {start + timedelta(days=n) for start in trips for n in range(HOLIDAY_DAYS)}
        self.shirts_from = back(35)
        self._errands = [
            _Errand(back(204), None, lambda home: home.change_setup(home.at(time(6, 20)), PLUS_PERSON, PLUS_OCCUPANT)),
            _Errand(back(36), None, lambda home: home.change_setup(home.at(time(6, 20)), PLUS_PODS)),
        ]
        self._late_until = first
        self._dug_wider = False
        self.forgotten = False

    # --- asked by life.py -----------------------------------------------------------------------------------

    def away(self, day: date) -> bool:
        """Whether nobody is at home."""
        return day in self._away

    def unwritten(self, day: date) -> bool:
        """Whether the day's entries stay on a slip of paper for now."""
        return day < self._late_until

    def slips(self, home: DemoHousehold, wash: Wash) -> bool:
        """Whether somebody forgets to turn the valve before this load."""
        return wash.load in SLIP_NOTES and home.valve == "garden" and not home.soaked and self._due(home, wash.load)

    def slip_note(self, wash: Wash) -> str:
        """What they write beside it."""
        return SLIP_NOTES[wash.load]

    def slip_key(self, home: DemoHousehold, wash: Wash) -> str:
        """Names the load, and plans its follow-up for the day after next."""
        key = f"slip {home.day}"
        self._later(home, 2, key, lambda then: then.diary.add(
            Resolution, then.at(time(6, 50)), "Ilse", note=SLIP_FOLLOW_UP[wash.load], refers=key))
        return key

    def forgets(self, home: DemoHousehold, wash: Wash) -> bool:
        """Whether the valve is left on sewer after this load, to be found days later."""
        if wash.load != "diapers" or home.arrange(home.litres("towels")) is None or not self._due(home, "forgotten"):
            return False
        self.forgotten = True

        def found(then: DemoHousehold) -> None:
            self.forgotten = False
            then.turn("garden", then.at(time(6, 40)), "Ilse",
                      f"Nobody turned it back after the diapers {FORGOTTEN_DAYS} days ago; the garden went dry.")

        self._later(home, FORGOTTEN_DAYS, None, found)
        return True

    def load(self, home: DemoHousehold, at: datetime, wash: Wash, went_to: str, *, note: str | None = None,
             key: str | None = None) -> None:
        """A load, logged with the volume that is typed for it; `key` names an entry that is corrected later."""
        volume_ml = home.loads[wash.load].volume_ml
        if key is None:
            volume_ml, key = self.typed_volume(home, volume_ml, went_to)
        home.load(at, wash, went_to, volume_ml=volume_ml, note=note, key=key)

    def typed_volume(self, home: DemoHousehold, volume_ml: int, went_to: str) -> tuple[int, str | None]:
        """The volume as it is typed, and a name for the load where litres were typed for gallons."""
        if went_to == "sewer" or volume_ml > 1000 * LITRES_TYPED or not self._due(home, "volume typo"):
            return volume_ml, None
        key = f"volume {home.day}"
        self._later(home, 1, key, lambda then: then.diary.correct(
            key, "Pia", f"{LITRES_TYPED} liters, not gallons", volume_ml=1000 * LITRES_TYPED))
        return round(LITRES_TYPED * 1000 * LITRES_PER_GALLON), key

    def typed_rain(self, home: DemoHousehold, rain_um: int) -> tuple[int, str | None]:
        """The rain as it is typed; once with the point in the wrong place."""
        if not 3000 <= rain_um <= 20_000 or not self._due(home, "rain typo"):
            return rain_um, None
        key = f"rain {home.day}"
        self._later(home, 1, key, lambda then: then.diary.correct(
            key, "Ilse", "the point was in the wrong place", rain_um=rain_um))
        return rain_um * 10, key

    def after_garden_load(self, home: DemoHousehold, wash: Wash, at: datetime) -> None:
        """A load typed twice, and struck out the day after."""
        if not self._due(home, "typed twice"):
            return
        key, usual = f"twice {home.day}", home.loads[wash.load]
        home.diary.add(WashLoad, at + timedelta(minutes=1), wash.who, key=key, usual_load=wash.load,
                       washer=usual.washer, volume_ml=usual.volume_ml, products=usual.products,
                       contents=usual.contents, went_to="garden")
        self._later(home, 1, key, lambda then: then.diary.add(
            Withdrawal, then.at(time(7, 55)), wash.who, note="typed twice", refers=key))

    # --- the day's events -----------------------------------------------------------------------------------

    def morning(self, home: DemoHousehold) -> None:
        """Tasks due today, and what is noticed before the first load."""
        if self.away(home.day):
            return
        ready = [one for one in self._errands
                 if one.day <= home.day and (one.after is None or home.diary.recorded(one.after))]
        self._errands = [one for one in self._errands if one not in ready]
        for errand in ready:
            errand.do(home)
        if self._due(home, "late"):
            self._late_until = home.day + timedelta(days=LATE_DAYS)
        if self._due(home, "odour"):
            self._seen(home, "odour", "Apple", "windfalls rotting under the chips", 1, "raked out the apples")
        if not self.unwritten(home.day) and self._due(home, "digging"):
            self._dug_up(home)
        if home.day == self.today - timedelta(days=4):
            home.mulch(home.beds["Pomegranate"], home.at(time(8, 30)), "measured", 65, "raked aside round the hose end")
        if home.day == self.today - timedelta(days=3):
            home.diary.add(Observation, home.at(time(17, 40)), "Ruben", note="yellow leaves at the lower end",
                           observed="stressed plant", basin="Rose border")

    def evening(self, home: DemoHousehold) -> None:
        """What happens after the loads."""
        if home.day == self.today - timedelta(days=1):
            home.diary.add(Observation, home.at(time(18, 20)), "Pia", note="something small, at night",
                           observed="animals digging", basin="Lavender step")
        rose = home.beds["Rose border"]
        quiet = home.day.weekday() not in (MON, TUE, THU)   # the machine is free at that hour
        ready = quiet and home.valve == "garden" and not (home.soaked or self.forgotten or self.unwritten(home.day) or
                                                self.away(home.day))
        if ready and rose.wanted and rose.deficit_l > 30.0 and self._due(home, "ponding"):
            self._pond(home)

    def _pond(self, home: DemoHousehold) -> None:
        """Two more loads in one evening on clay: water stands; the hose is moved, the border dug wider later."""
        home.carry({"Short hose": "Rose border"}, home.at(time(19, 38)))
        for hour in (19, 20):
            self.load(home, home.at(time(hour, 50)), EXTRA, "garden", note="visitors' things, one after the other")
        key = f"ponding {home.day}"
        rose = home.beds["Rose border"]
        rose.shut = True
        home.diary.add(Observation, home.at(time(21, 28)), "Ilse", key=key,
                       note="water stands between the roses, two hands wide", observed="ponding", basin="Rose border")
        home.turn("sewer", home.at(time(21, 30)), "Ilse")
        self._later(home, 1, None, lambda then: then.carry(
            {"Short hose": "Fig by the wall"}, then.at(time(6, 30)), "away from the ponding"))

        def used_again(then: DemoHousehold) -> None:
            rose.shut, rose.rests_from = False, then.day

        def soaked_in(then: DemoHousehold) -> None:
            then.diary.add(Resolution, then.at(time(6, 45)), "Ilse",
                           note="soaked in by the next noon; loosened the clay", refers=key)
            self._later(then, 2, None, used_again)

        self._later(home, 3, key, soaked_in)
        if not self._dug_wider:
            self._dug_wider = True
            self._later(home, 13, None, lambda then: then.change_setup(then.at(time(17, 0)), WIDER))

    def _dug_up(self, home: DemoHousehold) -> None:
        """The mulch of the fig scratched away, the cover too thin, put right within days."""
        fig, key = home.beds["Fig by the wall"], f"digging {home.day}"
        fig.true_mm, fig.shut = 46.0, True
        home.diary.add(Observation, home.at(time(6, 30)), "Ilse", note="the neighbors' hens, by the look of it",
                       key=key, observed="animals digging", basin="Fig by the wall")
        home.mulch(fig, home.at(time(6, 32)), "measured", 46, "thinner than the code allows; no water here for now")
        away = {name: basin for name, basin in (("Long hose", "Apple"), ("Short hose", "Rose border"))
                if home.lies[name] == "Fig by the wall"}
        home.carry(away, home.at(time(6, 35)), "until the fig has its mulch back")

        def mulched(then: DemoHousehold) -> None:
            fig.shut = False
            fig.true_mm += 63.0
            then.mulch(fig, then.at(time(18, 15)), "added", 63, "two sacks of chips; the gap in the fence is closed")
            then.diary.add(Resolution, then.at(time(18, 25)), "Ilse", note="mulched again, fence mended", refers=key)

        self._later(home, 3, key, mulched)

    def _seen(self, home: DemoHousehold, observed: str, basin: str, note: str, days: int, ended: str) -> None:
        key = f"{observed} {home.day}"
        home.diary.add(Observation, home.at(time(17, 30)), "Ilse", note=note, key=key, observed=observed, basin=basin)
        self._later(home, days, key, lambda then: then.diary.add(
            Resolution, then.at(time(8, 0)), "Ilse", note=ended, refers=key))

    def _due(self, home: DemoHousehold, name: str) -> bool:
        waiting = self._waiting[name]
        # the last days stay quiet, so that whatever begins is also put right
        if not waiting or waiting[0] > home.day or home.day > self.today - QUIET_END:
            return False
        waiting.pop(0)
        return True

    def _later(self, home: DemoHousehold, days: int, after: str | None, do: Callable[[DemoHousehold], None]) -> None:
        self._errands.append(_Errand(home.day + timedelta(days=days), after, do))
