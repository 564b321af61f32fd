"""Whether a described basin can ever take a usual load, and if not, with which size it would.

What the plan and the answers hold a load against, asked once of the setup: absorption allowance, surge room and the
water that the roots have freely available.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from gwlog.text import listed
from gwlog.units import M2_PER_FT2, MM_PER_INCH, Reader
from gwlog.water.basin import DRAINABLE_POROSITY, SPREAD_M, BasinSpec

MOST_MULCH_MM = 305.0
"""A deeper mulch is not advised: a foot. Working assumption."""

MOST_OUTLETS = 4
"""Into more outlets no household splits a machine's flow. Working assumption."""


def never_fits(name: str, spec: BasinSpec, load_l: float, least_l: float, largest_l: float, *, wetted_stated: bool,
               read: Reader) -> Iterator[str]:
    """Yield what keeps a basin from taking one usual load of `load_l`, each with the size that would do [L].

    `least_l`, `largest_l`: its part of the load by the smallest and the largest outlet that reaches it.
    """
    if least_l > spec.allowance_l:
        area = read.area(_area(least_l / spec.allowance_l_per_m2, read))
        yield (f"{name} can never take one usual load: {read.volume(least_l)} would come at once, and its soil may "
               f"absorb {read.volume(spec.allowance_l)} in a day. It would with "
               f"{_either(f'an area of {area}', *_shared(load_l, spec.allowance_l))}.")
    if least_l > spec.surge_room_l:
        ways = [f"an area of {read.area(_area(least_l / (spec.mulch_mm * DRAINABLE_POROSITY), read))}"]
        deeper = _mulch(least_l / (spec.area_m2 * DRAINABLE_POROSITY), read)
        if deeper <= MOST_MULCH_MM:
            ways.insert(0, f"{read.length(deeper)} of mulch")
        yield (f"{name} can never take one usual load: {read.volume(least_l)} would come at once, and "
               f"{read.volume(spec.surge_room_l)} fit between the chips of its mulch. It would with "
               f"{_either(*ways, *_shared(load_l, spec.surge_room_l))}.")
    if spec.too_small_for(largest_l):
        wetted = largest_l / spec.raw_mm
        size = f"a wetted root zone of {read.area(_area(wetted, read))}" if wetted_stated else \
            f"an area of {read.area(_area(area_wetting(wetted, spec.canopy_m2), read))}"
        shared = [f"splitting the flow over {one}" for one in _outlets(load_l, spec.raw_l)]
        yield (f"{name} is too small for one usual load: {read.volume(largest_l)} arrive at once, its roots' freely "
               f"available water is {read.volume(spec.raw_l)}. {_capital(_either(size, *shared))} would help.")


def area_wetting(wetted_m2: float, canopy_m2: float) -> float:
    """Return the basin's area from which its default wetted zone is `wetted_m2` [m2]; see water.basin.wetted_area."""
    if canopy_m2 >= wetted_m2:
        return max(0.0, math.sqrt(wetted_m2) - 2 * SPREAD_M) ** 2
    return wetted_m2


def _area(m2: float, read: Reader) -> float:
    """An area that is enough, as it is shown: up to the next square foot or tenth of a square metre."""
    return _up(m2, M2_PER_FT2 if read.system == "us" else 0.1)


def _mulch(mm: float, read: Reader) -> float:
    """A depth that is enough, as it is shown: up to the next half inch or centimetre."""
    return _up(mm, MM_PER_INCH / 2 if read.system == "us" else 10.0)


def _up(value: float, step: float) -> float:
    return math.ceil(value / step - 1e-9) * step


def _outlets(load_l: float, room_l: float) -> list[str]:
    count = math.ceil(load_l / room_l - 1e-9) if room_l > 0.0 else MOST_OUTLETS + 1
    return [f"{('two', 'three', 'four')[count - 2]} outlets"] if 2 <= count <= MOST_OUTLETS else []


def _shared(load_l: float, room_l: float) -> list[str]:
    return [f"{one} that share the load" for one in _outlets(load_l, room_l)]


def _either(*ways: str) -> str:
    return listed(list(ways), "or")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
