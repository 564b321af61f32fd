"""A guided setup under way: its pages in their order, and the file beside the logbook in which it can be left.

The file is readable by its owner alone and is removed when the logbook describes the household.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import files
from gwlog.app.forms.model import Value, Values
from gwlog.errors import BadInput, GwlogError
from gwlog.reference.codes import GENERIC
from gwlog.setup import draft as drafts
from gwlog.setup.draft import Draft, Table
from gwlog.setup.first_draft import (
    PEOPLE,
    USUAL_LOAD,
    USUAL_MULCH,
    USUAL_OUTLET,
    USUAL_SOIL,
    USUAL_WASHER,
    system_of,
)
from gwlog.setup.guesses import site_of
from gwlog.setup.place import Place
from gwlog.setup.unsaid import of_wash

ENDING = ".setup-draft"
LARGEST = 1_000_000
GUESSES, LOOK_OVER = "guesses", "look over"
SEVERAL = ("basin", "outlet", "product", "usual_load")
NEEDED = ("basin", "outlet")
ORDER = ("place", GUESSES, "basin", "outlet", "wash", "valve", LOOK_OVER)
ASIDES = ("site", "climate", "code", "system")
"""Pages behind the guesses, for who wants to say more; each leads back to them."""

DETAILS = ("product", "usual_load")
"""Pages behind the washing, for who wants to say more of a product or a load; they lead back to it."""

TITLES = {"place": "Place", GUESSES: "What follows", "basin": "Basins", "outlet": "Outlets", "wash": "Washing",
          "valve": "Valve", LOOK_OVER: "Review"}
STATION = {**dict.fromkeys(ASIDES, GUESSES), **dict.fromkeys(DETAILS, "wash")}
"""A page beside the way -> the page on the way from which it is opened."""

FROM_PLACE = ("name", "units", "timezone", "latitude", "code", "climate")
"""Keys of the site that follow from the place until somebody says them."""


@dataclass
class Guided:
    """What was answered so far.

    `at`: the page, as (id, number of the thing); `typed`: pages left unfinished; `place`: where, once it is known;
    `taken`: “kind|name” -> what nobody said there, in words; `said`: keys of the site that somebody said.
    """

    draft: Draft = field(default_factory=drafts.empty)
    at: tuple[str, int] = ("place", 0)
    typed: dict[str, Values] = field(default_factory=dict)
    place: Place | None = None
    taken: dict[str, list[str]] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)

    @property
    def key(self) -> str:
        """The page's key among the unfinished ones."""
        return f"{self.at[0]} {self.at[1]}"

    @property
    def site(self) -> Table:
        """The site's table; an empty one where nothing is known of it."""
        return self.draft["site"][0] if self.draft["site"] else {}

    def pages(self) -> list[tuple[str, int]]:
        """The pages on the way, or beside it where one of those is at hand: for each kind one for each thing and one
        for the next; a second outlet is asked for only where there are several basins."""
        kinds = DETAILS if self.at[0] in DETAILS else ORDER
        found = []
        for kind in kinds:
            count = len(self.draft[kind]) + 1 if kind in SEVERAL else 1
            if kind == "outlet" and self.draft["outlet"] and len(self.draft["basin"]) < 2:
                count -= 1
            found += [(kind, number) for number in range(count)]
        return [*found, ("wash", 0)] if kinds == DETAILS else found

    def step(self, by: int) -> None:
        """Go to another page; back stops at the first, and a page beside the way leads back to it."""
        pages = self.pages()
        if self.at not in pages or (by < 0 and self.at == pages[0]):
            self.at = (STATION.get(self.at[0], ORDER[0]), 0)
        else:
            self.at = pages[max(0, min(len(pages) - 1, pages.index(self.at) + by))]

    def skip(self) -> None:
        """Go on to the next kind: an empty page for another thing ends this one."""
        kinds = [page for page, _ in self.pages()]
        self.at = self.pages()[len(kinds) - kinds[::-1].index(self.at[0])]

    def begins_new(self) -> bool:
        """Whether the page is for a further thing."""
        return self.at[0] in SEVERAL and self.at[1] >= len(self.draft[self.at[0]])

    def take_out(self) -> None:
        """Take the thing of this page out again."""
        kind, number = self.at
        if kind in SEVERAL and number < len(self.draft[kind]):
            gone = str(self.draft[kind].pop(number).get("name", ""))
            self.draft = drafts.renamed(self.draft, kind, gone, None)
            self.taken.pop(f"{kind}|{gone}", None)
            self.typed = {key: values for key, values in self.typed.items() if not key.startswith(f"{kind} ")}

    def put_place(self, place: Place) -> None:
        """Take over a place and what follows from it, but for what somebody said."""
        if place != self.place:
            made = site_of(place)
            kept = {key: value for key, value in self.site.items() if key not in FROM_PLACE or key in self.said}
            climate = {**made["climate"], **kept.get("climate", {})} if "climate" not in self.said else kept["climate"]
            self.draft["site"] = [{**made, "occupants": PEOPLE, **kept, "climate": climate}]
            self.place = place

    def put_units(self, units: str) -> None:
        """Choose the units; the climate's figures keep theirs."""
        if self.draft["site"]:
            self.draft["site"][0]["units"] = units
            self.say("units")

    def say(self, *keys: str) -> None:
        """Note that somebody said these keys of the site."""
        self.said += [key for key in keys if key not in self.said]

    def put(self, draft: Draft, table: Table, taken: list[str], changed: list[str]) -> None:
        """Take over a page's answer, and give things that name it its new name.

        `taken`: what nobody said of a new thing; `changed`: the labels of the fields that were changed of another.
        """
        page, number = self.at
        kind = page if page in SEVERAL else "site"
        listing = self.draft[kind]
        old = str(listing[number].get("name", "")) if number < len(listing) else ""
        new = str(table.get("name", ""))
        self.draft = drafts.renamed(draft, kind, old, new) if old and old != new else draft
        if page in SEVERAL:
            kept = [words for words in self.taken.pop(f"{kind}|{old}", []) if not words.startswith(tuple(changed))]
            self.taken[f"{kind}|{new}"] = kept if old else taken
        self.typed.pop(self.key, None)

    def unsaid(self) -> dict[tuple[str, str], list[str]]:
        """What nobody said, by kind of entry and name; see gwlog.setup.unsaid."""
        site = []
        if self.place is not None:
            words = {"units": "units", "timezone": "time zone", "code": "code profile", "climate": "climate"}
            guessed = [told for key, told in words.items() if key not in self.said and self.site.get(key)]
            if guessed:
                site.append(f"{', '.join(guessed)} guessed from {self.place.label}")
        if "occupants" not in self.said:
            site.append(f"{PEOPLE} people")
        found = {("site", ""): site}
        if self.draft["washer"]:
            found |= of_wash(self.draft["washer"][0], self.draft["usual_load"])
        for key, taken in self.taken.items():
            kind, _, name = key.partition("|")
            found[kind, name] = [*found.get((kind, name), []), *taken]
        return found

    def start(self, zone: str) -> dict[str, Value]:
        """What a page opens with where nothing was answered yet; `zone`: this machine's time zone, or empty."""
        page, _ = self.at
        if page == "site":
            return {key: value for key, value in (("timezone", zone), ("occupants", str(PEOPLE)))
                    if key not in self.site}
        if page == "code":
            return {} if "code" in self.site else {"code": GENERIC}
        if page == "climate":
            return {} if self.site.get("climate") else {"how": "four"}
        if page == "wash":
            return {} if self.draft["washer"] else {"kind": USUAL_WASHER, "loads": USUAL_LOAD}
        if not self.begins_new():
            return {}
        if page == "basin":
            return {"mulch": USUAL_MULCH[system_of(self.draft)], "soil": USUAL_SOIL}
        if page == "outlet" and not self.draft["outlet"]:
            return {"name": USUAL_OUTLET}
        return {}


def draft_file(logbook: Path) -> Path:
    """Where the guided setup of a logbook is kept while it is under way."""
    return logbook.with_name(logbook.name + ENDING)


def save(logbook: Path, guided: Guided) -> None:
    """Keep it beside the logbook. Raises BadInput when nothing can be written there."""
    kept: dict[str, Any] = {"gwlog": "guided setup", "at": list(guided.at), "site_file": drafts.text_of(guided.draft),
                            "typed": guided.typed, "place": asdict(guided.place) if guided.place else None,
                            "taken": guided.taken, "said": guided.said}
    files.make_folder(draft_file(logbook).parent)
    files.write_whole(draft_file(logbook), json.dumps(kept, ensure_ascii=False, indent=1).encode(), replace=True)


def load(logbook: Path) -> Guided | None:
    """What was kept; None where nothing was, or nothing that can be read."""
    try:
        kept = json.loads(files.read_whole(draft_file(logbook), LARGEST, "no draft is"))
        place = kept.get("place")
        guided = Guided(drafts.of_text(kept["site_file"]), (str(kept["at"][0]), int(kept["at"][1])),
                        {str(page): {str(key): tuple(map(str, value)) if isinstance(value, list) else str(value)
                                     for key, value in values.items()} for page, values in kept["typed"].items()},
                        Place(**place) if place else None,
                        {str(key): [str(word) for word in words] for key, words in kept.get("taken", {}).items()},
                        [str(key) for key in kept.get("said", [])])
    except (BadInput, ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None
    if guided.at not in guided.pages() and guided.at not in [(page, 0) for page in ASIDES]:
        guided.at = (GUESSES if guided.draft["site"] else ORDER[0], 0)
    return guided


def remove(logbook: Path) -> None:
    """Remove what was kept."""
    draft_file(logbook).unlink(missing_ok=True)


def finish(logbook: Path, guided: Guided, now: datetime) -> int:
    """Make the logbook where there is none and append the household; returns how many descriptions.

    What nobody said is noted in the entries. Raises SeveralFaults as the reader does, BadInput when the household was
    described meanwhile.
    """
    from gwlog.app.door import describe
    from gwlog.errors import BadInput, NoLogbook
    from gwlog.household import look
    from gwlog.setup.read import read_site_file
    from gwlog.setup.unsaid import with_notes

    site = read_site_file(drafts.text_of(guided.draft), now=now)
    try:
        if any(fact.KIND == "site" for fact in look(logbook, now).standing.facts):
            raise BadInput("Somebody else has set up the household; nothing was written.",
                           hint="Press escape to see it. Your answers are kept beside the logbook.")
    except NoLogbook:
        pass
    written = describe(logbook, with_notes(site.facts, guided.unsaid()), now)
    try:
        remove(logbook)
    except OSError as fault:
        raise GwlogError(f"{draft_file(logbook)} cannot be removed: {fault.strerror}.") from None
    return len(written)
