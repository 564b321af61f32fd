"""A guided setup under way: its pages in their order, and the file beside the logbook in which it can be left.

The file is readable by its owner alone and is removed when the logbook describes the household.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import files
from gwlog.errors import BadInput, GwlogError
from gwlog.setup import draft as drafts
from gwlog.setup.draft import Draft, Table
from gwlog.tui.forms.model import Value, Values

ENDING = ".setup-draft"
LARGEST = 1_000_000
SINGLE = ("site", "climate", "code", "system", "washer")
SEVERAL = ("basin", "outlet", "product", "usual_load")
NEEDED = ("basin", "outlet", "usual_load")
LOOK_OVER = "look over"
ORDER = (*SINGLE, *SEVERAL, LOOK_OVER)
TITLES = {"site": "Place", "climate": "Climate", "code": "Code", "system": "System", "washer": "Machine",
          "basin": "Basins", "outlet": "Outlets", "product": "Products", "usual_load": "Loads", LOOK_OVER: "Look over"}


@dataclass
class Guided:
    """What was answered so far. `at`: the page, as (id, number of the thing); `typed`: pages left unfinished."""

    draft: Draft = field(default_factory=drafts.empty)
    at: tuple[str, int] = ("site", 0)
    typed: dict[str, Values] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """The page's key among the unfinished ones."""
        return f"{self.at[0]} {self.at[1]}"

    def pages(self) -> list[tuple[str, int]]:
        """Every page: the single ones, and for each kind one for each thing and one for the next."""
        many = [(kind, number) for kind in SEVERAL for number in range(len(self.draft[kind]) + 1)]
        return [*((page, 0) for page in SINGLE), *many, (LOOK_OVER, 0)]

    def step(self, by: int) -> None:
        """Go to another page; back stops at the first."""
        pages = self.pages()
        here = pages.index(self.at) if self.at in pages else 0
        self.at = pages[max(0, min(len(pages) - 1, here + by))]

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
            self.typed = {key: values for key, values in self.typed.items() if not key.startswith(f"{kind} ")}

    def put(self, draft: Draft, table: Table) -> None:
        """Take over a page's answer, and give things that name it its new name."""
        page, number = self.at
        kind = page if page in SEVERAL or page in ("washer", "system") else "site"
        listing = self.draft[kind]
        old = str(listing[number].get("name", "")) if number < len(listing) else ""
        new = str(table.get("name", ""))
        self.draft = drafts.renamed(draft, kind, old, new) if old and old != new else draft
        self.typed.pop(self.key, None)

    def start(self, zone: str) -> dict[str, Value]:
        """What a page opens with where nothing was answered yet."""
        page, _ = self.at
        us = not self.draft["site"] or self.draft["site"][0].get("units") != "metric"
        if page == "site":
            return {} if self.draft["site"] else {"timezone": zone, "occupants": "2"}
        if page == "code":
            return {} if self.draft["site"] and "code" in self.draft["site"][0] else {"code": "generic"}
        if page == "washer":
            return {} if self.draft["washer"] else {"name": "washer", "kind": "front-load"}
        if not self.begins_new():
            return {}
        if page == "basin":
            return {"mulch": "4 in" if us else "100 mm", "soil": "sandy loam"}
        if page == "outlet" and not self.draft["outlet"]:
            return {"name": "Hose"}
        if page == "usual_load" and not self.draft["usual_load"]:
            return {"name": "towels"}
        return {}


def draft_file(logbook: Path) -> Path:
    """Where the guided setup of a logbook is kept while it is under way."""
    return logbook.with_name(logbook.name + ENDING)


def save(logbook: Path, guided: Guided) -> None:
    """Keep it beside the logbook. Raises BadInput when nothing can be written there."""
    kept: dict[str, Any] = {"gwlog": "guided setup", "at": list(guided.at), "site_file": drafts.text_of(guided.draft),
                            "typed": guided.typed}
    files.make_folder(draft_file(logbook).parent)
    files.write_whole(draft_file(logbook), json.dumps(kept, ensure_ascii=False, indent=1).encode(), replace=True)


def load(logbook: Path) -> Guided | None:
    """What was kept; None where nothing was, or nothing that can be read."""
    try:
        kept = json.loads(files.read_whole(draft_file(logbook), LARGEST, "no draft is"))
        guided = Guided(drafts.of_text(kept["site_file"]), (str(kept["at"][0]), int(kept["at"][1])),
                        {str(page): {str(key): tuple(map(str, value)) if isinstance(value, list) else str(value)
                                     for key, value in values.items()} for page, values in kept["typed"].items()})
    except (BadInput, ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None
    if guided.at not in guided.pages():
        guided.at = ("site", 0)
    return guided


def remove(logbook: Path) -> None:
    """Remove what was kept."""
    draft_file(logbook).unlink(missing_ok=True)


def finish(logbook: Path, guided: Guided, now: datetime) -> int:
    """Make the logbook where there is none and append the household; returns how many descriptions.

    Raises SeveralFaults as the reader does, BadInput when the household was described meanwhile.
    """
    from gwlog.app.door import describe
    from gwlog.errors import BadInput, NoLogbook
    from gwlog.household import look
    from gwlog.setup.read import read_site_file

    site = read_site_file(drafts.text_of(guided.draft), now=now)
    try:
        if any(fact.KIND == "site" for fact in look(logbook, now).standing.facts):
            raise BadInput("The household was described meanwhile by somebody else; nothing was written.",
                           hint="Press escape to see it. What you answered is kept beside the logbook.")
    except NoLogbook:
        pass
    written = describe(logbook, site.facts, now)
    try:
        remove(logbook)
    except OSError as fault:
        raise GwlogError(f"{draft_file(logbook)} cannot be removed: {fault.strerror}.") from None
    return len(written)


def local_zone() -> str:
    """This machine's time zone by its settings, or nothing where they do not tell."""
    import os
    from zoneinfo import available_timezones

    named = os.environ.get("TZ", "").removeprefix(":") or "/".join(
        Path("/etc/localtime").resolve().parts).partition("zoneinfo/")[2]
    return named if "/" in named and named in available_timezones() and not named.startswith("Etc/") else ""
