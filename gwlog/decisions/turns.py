"""A plan told as people follow it: the turns of each outlet, the moves between them, the sewer days, and why.

The plan is followed once more, load by load, and every turn and sewer load is explained by what stands then.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from gwlog.clock import echo_day
from gwlog.decisions.plan_cost import Bed, PlanBasin, PlanDay, PlanOutlet, Step, arranged, over_limit
from gwlog.decisions.plan_search import WIDTH
from gwlog.decisions.plan_ways import SINGLES_PER_OUTLET
from gwlog.text import plural
from gwlog.units import Reader
from gwlog.values import NamedTuple
from gwlog.water.rest import TINY_L


class Turn(NamedTuple):
    """A stretch during which an outlet stays at one basin; `volume_l`: what the outlet brings there [L]."""

    outlet: str
    basin: str
    first: date
    last: date
    loads: int
    volume_l: float
    reason: str


class Move(NamedTuple):
    """An outlet to be moved to a basin on a day, before that day's load number `before` (0: the first)."""

    day: date
    outlet: str
    origin: str
    basin: str
    before: int


class SewerLoad(NamedTuple):
    """A load that goes to the sewer, and why."""

    day: date
    load: str
    volume_l: float
    reason: str


class _Open:
    def __init__(self, basin: str, first: date, reason: str | None) -> None:
        self.basin, self.first, self.reason = basin, first, reason
        self.loads, self.volume_l = 0, 0.0


class Told(NamedTuple):
    """A plan in words: its turns in order of date, its moves, its sewer loads, and for each step why it is so."""

    turns: tuple[Turn, ...]
    moves: tuple[Move, ...]
    sewer: tuple[SewerLoad, ...]
    why: tuple[tuple[str, ...], ...]


def tell(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
         steps: Sequence[Step], read: Reader) -> Told:
    """Turns in order of date, moves and sewer loads of a plan, each with a reason a gardener would give."""
    story = _Story(basins, outlets, days, read)
    by_day: dict[int, list[Step]] = {}
    for step in steps:
        by_day.setdefault(step.day, []).append(step)
    for number, day in enumerate(days):
        for bed in story.beds.values():
            bed.open_day(day, bed.basin.used_today_l if number == 0 else 0.0)
        for before, step in enumerate(by_day.get(number, ())):
            if step.arrangement is None:
                reason = story.why_sewer(step, day)
                story.sewer.append(SewerLoad(day.day, step.load.name, step.load.litres, reason))
                story.why.append((reason,))
            else:
                story.why.append(story.to_garden(step, day, before))
        for bed in story.beds.values():
            bed.close_day()
    return story.end(days[-1].day)


class _Story:
    def __init__(self, basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
                 read: Reader) -> None:
        self.beds = {basin.name: Bed(basin) for basin in basins}
        self.outlets, self.read = outlets, read
        self.at = [outlet.at for outlet in outlets]
        self.open = [_Open(outlet.at, days[0].day, None) for outlet in outlets]
        self.turns: list[Turn] = []
        self.moves: list[Move] = []
        self.sewer: list[SewerLoad] = []
        self.reach = [name for name in self.beds if any(name in outlet.reach for outlet in outlets)]
        self.loads_on: date | None = None
        self.why: list[tuple[str, ...]] = []

    def to_garden(self, step: Step, day: PlanDay, before: int) -> tuple[str, ...]:
        """Follow a load to the garden; returns why, a sentence for each outlet that moves, else for each basin."""
        target = step.arrangement or ()
        said = []
        for number, (outlet, basin) in enumerate(zip(self.outlets, target, strict=True)):
            if basin != self.at[number]:
                self.moves.append(Move(day.day, outlet.name, self.at[number], basin, before))
                reason = self._why_moved(self.at[number], basin, outlet.share * step.load.litres, outlet)
                said.append(reason)
                self._close(number, day.day if self.loads_on == day.day else day.day - timedelta(days=1))
                self.open[number] = _Open(basin, day.day, reason)
                self.at[number] = basin
            turn = self.open[number]
            turn.loads += 1
            turn.volume_l += outlet.share * step.load.litres
            if turn.reason is None:
                turn.reason = self._why_stays(basin)
        told = tuple(said) or tuple(self._why_stays(basin) for basin in dict.fromkeys(target))
        for basin, litres in arranged(self.outlets, target, step.load.litres).items():
            self.beds[basin].give(litres)
        self.loads_on = day.day
        return told

    def _close(self, number: int, last: date) -> None:
        turn = self.open[number]
        if last >= turn.first:
            reason = turn.reason or f"Stays until the first load of its next turn: {self._idle(turn.basin)}."
            self.turns.append(Turn(self.outlets[number].name, turn.basin, turn.first, last, turn.loads,
                                   turn.volume_l, reason))

    def end(self, last: date) -> Told:
        for number, turn in enumerate(self.open):
            if turn.reason is None:
                turn.reason = self._why_left(turn.basin)
            self._close(number, last)
        order = {outlet.name: number for number, outlet in enumerate(self.outlets)}
        self.turns.sort(key=lambda turn: (turn.first, order[turn.outlet], turn.last))
        return Told(tuple(self.turns), tuple(self.moves), tuple(self.sewer), tuple(self.why))

    def _why_left(self, basin: str) -> str:
        """Why an outlet without a load stays where it is to the end."""
        shut = self._shut(basin)
        if not shut and self.beds[basin].dryness() >= 1.0:
            return f"Stays at {basin}, which wants water: no planned load goes there."
        return f"Stays at {basin}{shut}: no other basin needs water enough to move it."

    def _shut(self, basin: str) -> str:
        """Why a basin takes nothing, to stand behind its name; empty for one that does."""
        bed = self.beds.get(basin)
        if bed is None:
            return ", which is no longer in use"
        shut = bed.shut()
        if shut == "closed":
            return f", which is closed ({bed.basin.closed})"
        return ", which is resting" if shut else ""

    def _idle(self, basin: str) -> str:
        if shut := self._shut(basin):
            return f"{basin}{shut.removeprefix(', which')}"
        return f"no planned load goes to {basin}" if self.beds[basin].dryness() >= 1.0 else f"{basin} needs no load"

    def _why_stays(self, basin: str) -> str:
        bed = self.beds[basin]
        if bed.dryness() >= 1.0:
            return f"Already at {basin}, which wants water: it lacks {self.read.volume(max(0.0, bed.now))}."
        return f"Already at {basin}, which lacks {self.read.volume(max(0.0, bed.now))}."

    def _why_moved(self, old: str, new: str, litres: float, outlet: PlanOutlet) -> str:
        bed, left = self.beds[new], self.beds.get(old)
        lacks = self.read.volume(max(0.0, bed.now))
        others = [self.beds[name].dryness() for name in outlet.reach if name in self.beds and name != new
                  and self.beds[name].takes(litres)]
        if bed.dryness() >= 1.0:
            first = f"{new} wants water: it lacks {lacks}"
        elif all(bed.dryness() >= one for one in others):
            first = f"{new} is the driest basin that can take it: it lacks {lacks}"
        else:
            first = f"{new} lacks {lacks}"
        if outlet.astray is not None and old == outlet.at:
            return f"{first}; {old} {outlet.astray}."
        shut = left.shut() if left is not None else None
        if left is None or shut == "closed":
            return f"{first}; {old} is closed."
        if shut == "resting":
            return f"{first}; {old} rests."
        if not left.takes(litres):
            return f"{first}; {old} can absorb no more that day."
        if not left.fits(litres):
            return f"{first}; {old} has had enough."
        return f"{first}; {old} is less dry." if bed.dryness() > left.dryness() else f"{first}; {old} can wait."

    def why_sewer(self, step: Step, day: PlanDay) -> str:
        """Why a load goes to the sewer, from what stands then."""
        load = step.load
        if load.must_sewer is not None:
            return load.must_sewer
        if over_limit(self.beds, day, load.litres):
            return "With this load the garden would get more that day than is allowed."
        shares = {name: min(o.share for o in self.outlets if name in o.reach) * load.litres for name in self.reach}
        open_ones = [name for name in self.reach if self.beds[name].shut() is None]
        if not open_ones:
            return "Every basin in reach is resting or closed."
        taking = [name for name in open_ones if shares[name] <= self.beds[name].limit() + TINY_L]
        if not taking:
            return "It is more than any basin in reach can absorb that day, or than its mulch holds at once."
        best = max(taking, key=lambda name: (self.beds[name].now, name in self.at))
        bed = self.beds[best]
        if not bed.fits(shares[best]):
            if bed.now < 0.1:
                return f"No basin in reach can take it: not even {best}, the driest, lacks water."
            return f"No basin in reach can take it: {best}, the driest, lacks only " \
                   f"{self.read.volume(bed.now)}."
        if best in self.at and len(self.outlets) > 1:
            return f"{best} could take it, but the other outlets' basins cannot take their shares."
        if best in self.at:
            return f"{best} is kept for the loads to come, or for the rain on its way."
        if not day.may_move:
            return f"{best} could take it, but no outlet is moved before then."
        return f"{best} could take it, but one load is not worth moving an outlet."


def sewer_note(expected_l: float, sewer_l: float, count: int, must_l: float, days: Sequence[PlanDay],
               read: Reader) -> str | None:
    """One plain sentence when the garden cannot take all the laundry that might go there, and how much; or None."""
    too_much = sewer_l - must_l
    if too_much <= TINY_L:
        return None
    return (f"The garden cannot take every load: of {read.volume(expected_l - must_l)} expected by "
            f"{echo_day(days[-1].day, read.system)}, {plural(count, 'load')} ({read.volume(too_much)}) "
            f"{'goes' if count == 1 else 'go'} to the sewer.")


def narrowed_note(width: int) -> str:
    """That a garden is too large for the usual search, and how the search was narrowed."""
    return (f"The garden is large for this search. It followed {plural(width, 'way')} at a time (usually "
            f"{WIDTH}), tried for each outlet the {SINGLES_PER_OUTLET} basins that gain most by a load, and then put "
            "single stretches elsewhere as long as that saved something: a cheaper plan may have been missed.")
