"""Runs the demo household's days: washing, turning the valve, moving hose ends, keeping the log.

The gardener sends water where it fits and what must not reach the soil to the sewer; story.py adds the mistakes.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from random import Random

from gwlog.demo.beds import TOP_UP_BELOW_MM
from gwlog.demo.diary import Diary
from gwlog.demo.household import GARDENER, ONE, DemoHousehold
from gwlog.demo.story import Story
from gwlog.demo.weekly_loads import SUN, Wash, upkeep_days, washes
from gwlog.journal.facts import UpkeepDone, WeatherDay
from gwlog.state import Weather
from gwlog.units import LITRES_PER_GALLON
from gwlog.water.weather import normals

CLOSE_BEHIND = timedelta(minutes=110)
UNREAD, RAIN_ONLY = 0.06, 0.05
DAILY = timedelta(days=434)
"""Longer ago than this the log was kept weekly: slips by the machine, copied on Sundays."""

QUIET_END = timedelta(days=12)
WATERED = {"Beet row": ("hose", 12), "Lavender step": ("can", 4)}
"""Beds that get drinking water: how, and the most at once [gal]."""
WATERED_DAYS, DRY, WET_MM = (2, 5), 0.85, 2.0
WATCHED = "Pomegranate"
WATCHED_TOPPED_UP = timedelta(days=115)


class Life:
    """The household's months from `first` to the evening before `today`; the same for the same `seed`."""

    def __init__(self, first: date, today: date, seed: int) -> None:
        self.first, self.today, self.seed = first, today, seed
        self.home = DemoHousehold(first, today, seed)
        self.upkeep = upkeep_days(first, today)
        self.story = Story(first, today)
        self._read = False

    # --- the days -------------------------------------------------------------------------------------------

    def run(self) -> Diary:
        """Run every day from the first up to the one before `today`; returns the entries."""
        home = self.home
        home.diary.write(home.at(time(6, 40)))
        while home.day < self.today:
            self._one_day()
            home.day += ONE
        return home.diary

    def _one_day(self) -> None:
        home = self.home
        home.chance = Random(f"gwlog demo day {self.seed} {home.day.isoformat()}")
        away = self.story.away(home.day)
        self._read = not away and home.chance.random() >= UNREAD
        for bed in home.beds.values():
            bed.begin(home.day, normals(home.climate, home.day)[0], home.rain_mm)
        self.story.morning(home)
        if not away:
            wanted = washes(home.day, self.first, self.story.shirts_from, home.chance)
            for number, wash in enumerate(wanted):
                after = home.at(wanted[number + 1].at) if number + 1 < len(wanted) else None
                self._wash(wash, after)
            self._keep_up()
            self._mulch()
            self._water()
            self._weather()
        self.story.evening(home)
        weather = home.sky.day(home.day)
        for bed in home.beds.values():
            bed.close(weather.eto_mm, weather.rain_mm)
        if home.day == self.today - ONE or not (away or self._on_slips()):
            home.diary.write(home.at(time(21, 35), home.chance.randint(0, 50)))

    def _on_slips(self) -> bool:
        """Whether today's entries stay on slips of paper by the machine for now."""
        home = self.home
        weekly = home.day < self.today - DAILY and home.day.weekday() != SUN
        return weekly or self.story.unwritten(home.day)

    # --- the wash -------------------------------------------------------------------------------------------

    def _wash(self, wash: Wash, after: datetime | None) -> None:
        """One load; `after`: when the next one of the day begins."""
        home = self.home
        at = home.at(wash.at)
        if self.story.forgotten:
            self.story.load(home, at, wash, "sewer")
        elif wash.sewer and self.story.slips(home, wash):
            self.story.load(home, at, wash, "garden", note=self.story.slip_note(wash),
                            key=self.story.slip_key(home, wash))
        elif wash.sewer:
            stood = home.valve
            home.turn("sewer", at - timedelta(minutes=2), wash.who)
            self.story.load(home, at, wash, "sewer")
            # with another load close behind, whoever runs that one turns the valve
            close = after is not None and after - at < CLOSE_BEHIND
            if stood == "garden" and not close and not self.story.forgets(home, wash):
                home.turn("garden", at + timedelta(minutes=home.chance.randint(48, 80)), wash.who)
        else:
            arranged = home.arrange(home.litres(wash.load))
            if arranged is None:
                home.turn("sewer", at - timedelta(minutes=3), wash.who)
                self.story.load(home, at, wash, "sewer")
            else:
                home.carry(arranged, at - timedelta(minutes=home.chance.randint(9, 25)))
                home.turn("garden", at - timedelta(minutes=2), wash.who)
                self.story.load(home, at, wash, "garden")
                self.story.after_garden_load(home, wash, at)

    # --- what is kept up ------------------------------------------------------------------------------------

    def _keep_up(self) -> None:
        home = self.home
        for number, task in enumerate(self.upkeep.get(home.day, ())):
            home.diary.add(UpkeepDone, home.at(time(16, 5), 20 * number), GARDENER, task=task)

    def _mulch(self) -> None:
        home = self.home
        if home.day >= self.today - QUIET_END:
            return
        for number, (name, bed) in enumerate(home.beds.items()):
            if bed.shut:
                continue
            at = home.at(time(8, 20), 7 * number)
            if name == WATCHED and home.day >= self.today - WATCHED_TOPPED_UP:
                # left alone from then on, so that it comes due about today
                thin, measured = home.day == self.today - WATCHED_TOPPED_UP, False
            else:
                thin = home.day.toordinal() % 14 == 0 and bed.estimated_mm(at) < TOP_UP_BELOW_MM
                measured = home.day >= home.measured_next[name]
            if thin:
                home.top_up(bed, at)
            elif measured:
                home.measure(bed, at)

    def _water(self) -> None:
        """The beds that the wash does not reach, or not enough, get drinking water twice a week while they are dry."""
        home = self.home
        if home.day.weekday() not in WATERED_DAYS or home.rain_mm > WET_MM:
            return
        for number, (name, (way, most_gal)) in enumerate(WATERED.items()):
            bed = home.beds[name]
            gallons = min(most_gal, round(bed.deficit_l / LITRES_PER_GALLON))
            if gallons > 0 and bed.thirst >= DRY:
                home.water(bed, home.at(time(19, 5), 9 * number), gallons * LITRES_PER_GALLON, way)

    def _weather(self) -> None:
        home = self.home
        read = home.true[home.day]
        if not self._read:
            return
        rain_um = round(read.rain_mm * 1000)
        low: int | None = round(read.tmin_c * 1000)
        high: int | None = round(read.tmax_c * 1000)
        if home.chance.random() < RAIN_ONLY:
            low = high = None
        home.logged[home.day] = Weather(rain_um / 1000, None if low is None else low / 1000,
                                        None if high is None else high / 1000)
        typed, key = self.story.typed_rain(home, rain_um)
        home.diary.add(WeatherDay, home.at(time(21, 30)), GARDENER, key=key, day=home.day, rain_um=typed,
                       tmin_mdegc=low, tmax_mdegc=high)
