"""Code profiles side by side: topic by topic what each asks, the topics in which they differ most first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gwlog.reference.codes import PERMISSIONS, PROFILES, Profile
from gwlog.reference.codes.topics import TOPICS
from gwlog.text import pick, wrap

NOTHING = "—"
MOST_COLUMNS = 3
"""So many profiles stand in columns; more are listed below each other."""


@dataclass(frozen=True, slots=True)
class Row:
    """One topic: in words, and what each profile has of it (letter included); NOTHING where it is silent."""

    topic: str
    words: str
    cells: tuple[str, ...]

    @property
    def different(self) -> int:
        """How many different answers there are."""
        return len({cell.partition(" [")[0] for cell in self.cells})


def chosen(names: Sequence[str]) -> tuple[Profile, ...]:
    """The profiles of these ids, all of them without any. Raises BadInput for one that is not held."""
    return tuple(PROFILES[pick("code profile", name, list(PROFILES))] for name in dict.fromkeys(names)) or \
        tuple(PROFILES.values())


def rows(profiles: Sequence[Profile]) -> list[Row]:
    """Every topic that one of the profiles speaks of, those with most differences first, in the topics' order."""
    made = [Row(topic, words, tuple(_cell(profile, topic) for profile in profiles))
            for topic, words in TOPICS.items()]
    spoken = [row for row in made if any(cell != NOTHING for cell in row.cells)]
    first = [row for row in spoken if row.topic == "permit"]
    return first + sorted((row for row in spoken if row.topic != "permit"), key=lambda row: -row.different)


def _cell(profile: Profile, topic: str) -> str:
    told = []
    if topic == "permit":
        told.append(f"{PERMISSIONS[profile.permission].capitalize()}.")
    for one in profile.on(topic):
        kind = "" if one.kind == "must" else f"{one.kind}, "
        told.append(f"{one.text} [{kind}{one.sure}]")
    return " ".join(told) or NOTHING


def head(profiles: Sequence[Profile]) -> list[str]:
    """Each profile in a line: place, document, date, whether it may hold more."""
    return [f"{one.called}: {one.document}, {one.dated}; held as of {one.as_of}."
            + (f" May hold more: {one.unread}" if one.unread else "") for one in profiles]


def lines(profiles: Sequence[Profile], width: int) -> Iterator[str]:
    """The comparison as text: a few profiles in columns, many below each other, the same answers together."""
    for row in rows(profiles):
        alike = row.different == 1 and len(profiles) > 1
        yield f"{row.words}{' (alike)' if alike else ''}"
        if len(profiles) <= MOST_COLUMNS:
            yield from _columns(profiles, row, width)
        else:
            yield from _listed(profiles, row, width)
    yield ""
    for line in head(profiles):
        yield from wrap(line, width, hang="    ")


def _columns(profiles: Sequence[Profile], row: Row, width: int) -> Iterator[str]:
    from textwrap import wrap as folded

    wide = max(18, width // len(profiles) - 2)
    cells = [folded(f"{one.id}: {cell}", wide) for one, cell in zip(profiles, row.cells, strict=True)]
    for number in range(max(len(cell) for cell in cells)):
        yield "  " + "  ".join(f"{cell[number] if number < len(cell) else '':<{wide}}" for cell in cells).rstrip()


def _listed(profiles: Sequence[Profile], row: Row, width: int) -> Iterator[str]:
    alike: dict[str, list[str]] = {}
    for one, cell in zip(profiles, row.cells, strict=True):
        alike.setdefault(cell, []).append(one.id)
    for cell, ids in sorted(alike.items(), key=lambda item: item[0] == NOTHING):
        words = "says nothing of it, as far as it was read" if cell == NOTHING else cell
        yield from wrap(f"{', '.join(ids)}: {words}", width, indent="  ", hang="      ")


def as_json(profiles: Sequence[Profile]) -> list[dict[str, object]]:
    """The comparison for other programs."""
    return [{"topic": row.topic, "words": row.words, "different": row.different,
             "profiles": {one.id: cell for one, cell in zip(profiles, row.cells, strict=True)}}
            for row in rows(profiles)]
