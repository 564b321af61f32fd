"""What a household makes stricter than its profile has it, with its citation: a limit, a deeper cover, fewer months.

A local rule never loosens a code: what would is refused, and of two figures the stricter holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from functools import lru_cache

from gwlog.reference.codes.profile import Condition, Profile
from gwlog.reference.source import Sourced
from gwlog.text import listed
from gwlog.units import LITRES_PER_GALLON
from gwlog.values import dataclass, replace

MOST = 10**9
"""No limit [mL] and no cover [mm] of a household is above it."""


@dataclass(frozen=True, slots=True)
class LocalRule:
    """One rule of the place: its name, where it stands, and what it asks for.

    `limit_ml` a day, `cover_mm` at least, `months` of use (1 = January), `text` in words; what it does not ask for
    is None.
    """

    name: str
    source: str
    limit_ml: int | None = None
    cover_mm: int | None = None
    months: tuple[int, ...] | None = None
    text: str | None = None


def line_of(rule: LocalRule) -> str:
    """The rule as it is kept with the site: one line of JSON."""
    import json

    held = {key: value for key, value in asdict(rule).items() if value is not None}
    return json.dumps(held, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@lru_cache(maxsize=8)
def rules_of(lines: tuple[str, ...] | None) -> tuple[LocalRule, ...]:
    """The rules that are kept with a site; a line that is none is left out, see damaged."""
    return tuple(rule for line in lines or () if (rule := _rule_of(line)) is not None)


def damaged(lines: tuple[str, ...] | None) -> tuple[str, ...]:
    """The lines that are no rule, or a rule with a value of another kind than it has to be."""
    return tuple(line for line in lines or () if _rule_of(line) is None)


def _rule_of(line: str) -> LocalRule | None:
    import json

    try:
        held = json.loads(line)
        months = held.pop("months", None)
        rule = LocalRule(**held, months=None if months is None else tuple(months))
    except (ValueError, TypeError, AttributeError, RecursionError):
        return None
    return rule if _sound(rule) else None


def _sound(rule: LocalRule) -> bool:
    """Whether every value of a rule is of its kind and within what can be meant."""
    words = [rule.name, rule.source, *([] if rule.text is None else [rule.text])]
    figures = [figure for figure in (rule.limit_ml, rule.cover_mm) if figure is not None]
    return all(isinstance(one, str) for one in words) \
        and all(type(one) is int and 0 <= one <= MOST for one in figures) \
        and rule.months != () and all(type(one) is int and 1 <= one <= 12 for one in rule.months or ())


def looser(profile: Profile, rule: LocalRule, occupants: int) -> Iterator[tuple[str, str, str]]:
    """Where a rule asks for less than the code does: the key, what is wrong, and what to use."""
    limit = profile.daily_limit_gal(occupants)
    told = profile.told_volume
    most = limit if limit is not None else told.value if told is not None and told.kind == "average" else None
    if rule.limit_ml is not None and most is not None and rule.limit_ml > most * LITRES_PER_GALLON * 1000 + 1:
        yield ("limit", f"above what {profile.id} allows, {most:g} gal a day",
               f"use a stricter limit, up to {most:g} gal ({most * LITRES_PER_GALLON:.0f} L)")
    least = profile.cover_mm.value
    if rule.cover_mm is not None and rule.cover_mm < int(least):
        yield ("cover", f"less than {profile.id} asks for, {least / 25.4:.3g} in",
               f"use a stricter cover, from {least / 25.4:.3g} in ({least:.0f} mm) on")
    besides = [month for month in rule.months or () if not profile.in_season(month)]
    if besides:
        allowed = profile.season_months.value if profile.season_months is not None else ()
        yield ("months", f"months outside the season of {profile.id}",
               f"use some of {', '.join(str(month) for month in allowed)}")


def adapted(profile: Profile, rules: Iterable[LocalRule]) -> Profile:
    """The profile with the rules of the place in it; of two figures the stricter holds."""
    for rule in rules:
        profile = _with(profile, rule)
    return profile


def _with(profile: Profile, rule: LocalRule) -> Profile:
    conditions, said, months = list(profile.conditions), [], profile.season_months
    if rule.limit_ml is not None:
        gallons = (rule.limit_ml + 0.5) / 1000 / LITRES_PER_GALLON     # kept in whole ml: what reaches it, keeps it
        said.append(f"at most {gallons:.4g} gal ({rule.limit_ml / 1000:.0f} L) a day")
        # a limit per occupant stays beside it: which of the two is stricter goes with the occupants
        if all(one.per_occupant or one.value is None or gallons <= one.value for one in profile.limits):
            _put(conditions, Condition(
                "local volume", f"By a local rule the garden gets at most {gallons:.4g} gallons a day: {rule.name}.",
                "volume", rule.source, "", "household", "limit a day", gallons, "gal/day"), first=True)
    if rule.cover_mm is not None:
        said.append(f"cover of at least {rule.cover_mm / 25.4:.3g} in ({rule.cover_mm} mm)")
        if rule.cover_mm >= int(profile.cover_mm.value):
            _put(conditions, Condition(
                "cover", f"By a local rule under at least {rule.cover_mm / 25.4:.3g} in: {rule.name}.", "cover",
                rule.source, "", "household", value=float(rule.cover_mm), unit="mm"))
    if rule.months is not None:
        from calendar import month_name

        said.append(f"only in {listed([month_name[month] for month in rule.months])}")
        kept = tuple(month for month in rule.months if profile.in_season(month))
        months = Sourced(kept, rule.source, "", "household")
        _put(conditions, Condition("season", f"By a local rule in some months only: {rule.name}.", "season",
                                   rule.source, "", "household"))
    if rule.text is not None:
        said.append(rule.text)
        conditions.append(Condition(f"local rule “{rule.name}”", rule.text, "none", rule.source, "", "household"))
    sentence = f"{rule.name}: {'; '.join(said)} ({rule.source})"
    return replace(profile, conditions=tuple(conditions), season_months=months,
                   adapted=(*profile.adapted, sentence))


def _put(conditions: list[Condition], made: Condition, *, first: bool = False) -> None:
    """Put a stricter condition in the place of the code's own; with `first` beside it, before it."""
    at = next((n for n, one in enumerate(conditions) if one.id == made.id or (first and one.id == "volume")), None)
    if at is None:
        conditions.append(made)
    elif conditions[at].id == made.id:
        conditions[at] = made
    else:
        conditions.insert(at, made)
