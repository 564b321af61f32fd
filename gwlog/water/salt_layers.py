"""Salt in a root zone of four layers: it comes with water, moves with water, and leaves with what percolates.

Plants take 40, 30, 20 and 10 % of their water from the four quarters (FAO-29 rev. 1, ch. 2) and leave its salt there.
Nothing precipitates: the safe side for salt. Water in litres, masses in whatever unit the caller brings them.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, assumed
from gwlog.values import NamedTuple

UPTAKE = (0.4, 0.3, 0.2, 0.1)
"""Share of a plant's water that each quarter of the root zone gives, from the top."""

SATURATION_OVER_FIELD_CAPACITY = Sourced(
    2.0, "FAO Irrigation and Drainage Paper 29 rev. 1: saturation is about twice field capacity", "1985", "memory")

EFFICIENCY: dict[str, Sourced[float]] = {
    **{texture: assumed(1.0, "percolating water mixes with all the water of a layer of sand to loam")
       for texture in ("sand", "loamy sand", "sandy loam", "loam", "silt loam", "silt")},
    **{texture: Sourced(0.75, "clay of the Nile delta, measured, by an encyclopedia of soil leaching", "", "memory")
       for texture in ("silt clay loam", "silty clay", "clay")},
}
"""Texture -> the share of percolating water that mixes with a layer's; the rest runs through cracks as it came."""

TINY_L = 1e-9

Masses = list[float]
"""The masses of several solutes, each carried by water alike."""


class Zone(NamedTuple):
    """A root zone: water at field capacity and what plants can take of it [L]; the leaching efficiency."""

    field_capacity_l: float
    taw_l: float
    efficiency: float = 1.0

    @property
    def saturation_l(self) -> float:
        """Water of the saturated soil [L], in which a soil test tells its salts."""
        return self.field_capacity_l * SATURATION_OVER_FIELD_CAPACITY.value


class Layers:
    """A root zone's layers under way: water missing to field capacity [L] and masses in each, from the top.

    `brought`, `drained`, `grown` and `left`: the masses that came with water, percolated, were in soil that roots grew
    into, and stayed in soil that they left; with what was there at the start they account for every mass.
    """

    def __init__(self, zone: Zone, start: Masses, deficit_l: float = 0.0, uptake: tuple[float, ...] = UPTAKE) -> None:
        self.zone, self.uptake = zone, uptake
        count = len(uptake)
        self.share = 1.0 / count
        self.missing = [deficit_l * self.share] * count
        self.masses = [[mass * self.share for mass in start] for _ in uptake]
        self.brought = [0.0] * len(start)
        self.drained = [0.0] * len(start)
        self.grown = [0.0] * len(start)
        self.left = [0.0] * len(start)

    def copy(self, count: int) -> Layers:
        """The same layers, to go on by themselves, with `count` masses: twice as many are the same masses twice."""
        times = count // len(self.brought)
        return Layers.carried_on(self.zone, list(self.missing), [one * times for one in self.masses],
                                 self.brought * times, self.drained * times, self.grown * times, self.left * times)

    @classmethod
    def carried_on(cls, zone: Zone, missing: list[float], masses: list[Masses], brought: Masses, drained: Masses,
                   grown: Masses, left: Masses) -> Layers:
        """Layers as they stood under way."""
        made = cls(zone, [])
        made.missing, made.masses = missing, masses
        made.brought, made.drained, made.grown, made.left = brought, drained, grown, left
        return made

    def total(self) -> Masses:
        """The masses of the whole root zone."""
        return [sum(parts) for parts in zip(*self.masses, strict=True)]

    def take(self, used_l: float) -> None:
        """Let plants take water: each layer's share, and from the next where a layer has no more to give."""
        room, missing, left = self.zone.taw_l * self.share, self.missing, 0.0
        for place, share in enumerate(self.uptake):
            wanted = used_l * share + left
            given = min(wanted, max(0.0, room - missing[place]))
            missing[place] += given
            left = wanted - given
        for place in range(len(missing)) if left > TINY_L else ():
            given = min(left, max(0.0, room - missing[place]))
            missing[place] += given
            left -= given

    def settle(self, deficit_l: float) -> None:
        """Make the layers' missing water sum up to the root zone's deficit: descriptions change, roots grow."""
        present = sum(self.missing)
        if abs(present - deficit_l) <= 1e-7 * (1.0 + deficit_l):
            return
        if present > 0.0:
            self.missing = [one * deficit_l / present for one in self.missing]
        else:
            self.missing = [deficit_l * self.share] * len(self.missing)

    def water(self, litres: float, brings: Masses | None, used_l: float, percolated_l: float | None = None) -> None:
        """Take one day: water in with its masses, then plants' use, then what is too much goes down and out.

        `percolated_l`: what the water balance says left the root zone; None: what the layers cannot hold.
        """
        masses, missing, fc = self.masses, self.missing, self.zone.field_capacity_l * self.share
        if brings is not None:
            self.brought = [one + more for one, more in zip(self.brought, brings, strict=True)]
            masses[0] = [one + more for one, more in zip(masses[0], brings, strict=True)]
        missing[0] -= litres
        self.take(used_l)
        flow, carried, last = litres, brings, len(masses) - 1
        for place in range(len(masses)):
            surplus = max(0.0, -missing[place])
            if place == last and percolated_l is not None:
                surplus = percolated_l
            if surplus <= 0.0:
                return
            out = self._leaves(masses[place], surplus, fc, flow, carried)
            masses[place] = [max(0.0, one - gone) for one, gone in zip(masses[place], out, strict=True)]
            missing[place] = max(0.0, missing[place] + surplus)
            if place == last:
                self.drained = [one + more for one, more in zip(self.drained, out, strict=True)]
                return
            masses[place + 1] = [one + more for one, more in zip(masses[place + 1], out, strict=True)]
            missing[place + 1] -= surplus
            flow, carried = surplus, out

    def _leaves(self, present: Masses, surplus: float, fc: float, flow: float, carried: Masses | None) -> Masses:
        """What `surplus` litres take out of a layer: mixed with it, but for what runs through as it came."""
        mixing = self.zone.efficiency
        share = surplus / (fc + surplus)
        if mixing >= 1.0:
            return [one * share for one in present]
        past = (1.0 - mixing) * surplus / flow if flow > 0.0 and carried is not None else 0.0
        came = carried if carried is not None else [0.0] * len(present)
        return [min(one, one * share * mixing + new * past) for one, new in zip(present, came, strict=True)]

    def resize(self, zone: Zone, soil: Masses) -> None:
        """Take over another root zone. `soil`: the masses per litre of field capacity in soil without roots so far."""
        more = zone.field_capacity_l - self.zone.field_capacity_l
        if more > 0.0:
            new = [one * more for one in soil]
            self.grown = [one + each for one, each in zip(self.grown, new, strict=True)]
            self.masses = [[one + each * self.share for one, each in zip(layer, new, strict=True)]
                           for layer in self.masses]
        elif more < 0.0 and self.zone.field_capacity_l > 0.0:
            kept = zone.field_capacity_l / self.zone.field_capacity_l
            self.left = [one + each * (1.0 - kept) for one, each in zip(self.left, self.total(), strict=True)]
            self.masses = [[one * kept for one in layer] for layer in self.masses]
        room = zone.taw_l * self.share
        self.missing = [min(one, room) for one in self.missing]
        self.zone = zone
