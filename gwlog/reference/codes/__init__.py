"""The code profiles by id: what a household's local rules ask, as far as they are held here.

One file a profile, read when it is asked for. Beside everything taken from them stands “check your local code”
(gwlog.reference.source.CHECK_LOCAL).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from importlib import import_module
from typing import Protocol, cast

from gwlog.reference.codes.california import MANUAL_HOLDS, laundry_discharge_gal, occupants_by_bedrooms
from gwlog.reference.codes.profile import EVIDENCE, FIRST, KINDS, PERMISSIONS, Condition, Profile
from gwlog.reference.upkeep import UpkeepDefault

_IDS = (
    "us-ca-washer", "us-az-1", "us-nm", "us-tx", "us-wa-1", "us-or-1", "us-co-a1", "us-ut", "us-nv", "us-mt", "us-hi",
    "au-wa", "au-nsw", "au-vic", "upc", "icc", "generic",
)
_FIRST_IDS = frozenset((
    "us-ca-washer", "us-az-1", "us-nm", "us-tx", "us-wa-1", "us-or-1", "us-co-a1", "us-ut", "au-wa", "generic",
))
GENERIC = "generic"
OFFERED = _IDS
"""The ids from which a household can choose."""

NOT_OFFERED: dict[str, str] = {
    "us-fl": "Florida is not known to allow it outdoors: no profile is offered as if it were permitted.",
    "uk": "The United Kingdom's guide leaves washing machines out: no profile is offered as if it were permitted.",
    "eu": "The European Union has no law for household gardens; the country's own was not read.",
}
"""Places for which a profile was looked for and is not offered -> why."""


class _Profiles(Mapping[str, Profile]):
    """The profiles in their newest editions; a file is read when its profile is first asked for."""

    def __getitem__(self, name: str) -> Profile:
        if name not in _IDS:
            raise KeyError(name)
        return _read(name)

    def __iter__(self) -> Iterator[str]:
        return iter(_IDS)

    def __len__(self) -> int:
        return len(_IDS)


@cache
def _read(name: str) -> Profile:
    return cast(Profile, import_module(f"{__name__}.{name.replace('-', '_')}").PROFILE)


PROFILES: Mapping[str, Profile] = _Profiles()


def editions(code: str) -> tuple[str, ...]:
    """The editions in which a profile is held, the oldest first; none of an unknown one."""
    if code not in _IDS:
        return ()
    return (*((FIRST,) if code in _FIRST_IDS else ()), PROFILES[code].as_of)


def _firsts() -> Mapping[str, Profile]:
    from gwlog.reference.codes.first import FIRST_PROFILES

    return FIRST_PROFILES


@lru_cache(maxsize=32)
def held(code: str, edition: str | None = None, local_rules: tuple[str, ...] | None = None) -> Profile:
    """The profile by which a household is judged, with its local rules; the generic one where there is none.

    Without an edition, or with one that is not held, the oldest: a logbook keeps what it had.
    """
    from gwlog.reference.codes.local_rules import adapted, rules_of

    name = code if code in _IDS else GENERIC
    known = editions(name)
    chosen = edition if edition in known else known[0]
    profile = PROFILES[name] if chosen == PROFILES[name].as_of else _firsts()[name]
    return adapted(profile, rules_of(local_rules)) if local_rules else profile


class Household(Protocol):
    """What a profile is chosen by: a dwelling as it is described."""

    @property
    def code(self) -> str: ...

    @property
    def code_edition(self) -> str | None: ...

    @property
    def local_rules(self) -> tuple[str, ...] | None: ...


def held_by(site: Household | None) -> Profile:
    """The profile by which a dwelling is judged; the newest generic one where none is described."""
    if site is None:
        return PROFILES[GENERIC]
    return held(site.code, site.code_edition, site.local_rules)


def newer(code: str, edition: str | None) -> Profile | None:
    """The newest edition of a profile where another is kept, else None."""
    known = editions(code)
    if not known or (edition if edition in known else known[0]) == known[-1]:
        return None
    return PROFILES[code]


def refused(code: str) -> str | None:
    """Why a profile of that id is not to be had, in a sentence; None where it is."""
    if code in NOT_OFFERED:
        return NOT_OFFERED[code]
    if code in _IDS:
        return PROFILES[code].retired or None
    return None


def of_place(zone: str, latitude: float) -> tuple[Profile, ...]:
    """The profiles whose places have this time zone and reach over this latitude [degrees]."""
    return tuple(one for one in PROFILES.values()
                 if zone in one.zones and one.latitudes[0] <= latitude <= one.latitudes[1])


__all__ = [
    "EVIDENCE", "FIRST", "GENERIC", "KINDS", "MANUAL_HOLDS", "NOT_OFFERED", "OFFERED",
    "PERMISSIONS", "PROFILES", "Condition",
    "Profile", "UpkeepDefault", "editions", "held", "held_by",
    "laundry_discharge_gal", "newer", "occupants_by_bedrooms",
    "of_place", "refused",
]
