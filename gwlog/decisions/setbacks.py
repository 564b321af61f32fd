"""The distances that a code asks for from a basin's edge, beside those that the household measured."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from gwlog.reference.as_built import DISTANCES, SETBACKS, key_of, of_table, stated
from gwlog.reference.codes.system import answers_of
from gwlog.units import MM_PER_FOOT
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.journal.facts import Site
    from gwlog.reference.codes import Profile
    from gwlog.reference.source import Sourced

GROUNDWATER = "groundwater below"
"""The distance that is asked for with the system itself."""


@dataclass(frozen=True, slots=True)
class Setback:
    """One distance: `asked` [ft] by the code, `built_mm` as measured; None where nothing is held or measured."""

    name: str
    asked: Sourced[float] | None
    built_mm: int | None

    @property
    def standing(self) -> Literal["kept", "nearer", "not measured", "not asked"]:
        """Whether the distance is kept."""
        if self.asked is None:
            return "not asked"
        if self.built_mm is None:
            return "not measured"
        # half a millimetre of grace, since distances are kept in whole millimetres
        return "kept" if self.built_mm + 0.5 >= self.asked.value * MM_PER_FOOT else "nearer"


def setbacks(site: Site | None, profile: Profile) -> tuple[Setback, ...]:
    """Every distance that the code asks for or somebody measured, in the code's order."""
    built = of_table(stated(site.as_built if site is not None else None), SETBACKS)
    names = [*profile.setbacks_ft, *(name for name in DISTANCES if name not in profile.setbacks_ft
                                     and key_of(name) in built)]
    groundwater = answers_of(site.system_answers).get("groundwater") if site is not None else None
    found = []
    for name in names:
        measured = groundwater if name == GROUNDWATER else built.get(key_of(name))
        found.append(Setback(name, profile.setbacks_ft.get(name),
                             None if measured is None else int(str(measured))))
    return tuple(found)
