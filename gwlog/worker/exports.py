"""Long work that makes something of the logbook: verifying, papers, packs, copies, a rehearsal.

Each takes an order {work, logbook, now, ...}, tells how far it is, and returns the lines to say.
"""

from __future__ import annotations

import signal
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.household import Household

Order = dict[str, Any]
Outcome = dict[str, Any]
Tell = Callable[[int, int, str], None]


def household(order: Order, tell: Tell, steps: int) -> Household:
    from gwlog.household import look_set_up

    tell(0, steps, "reading the logbook")
    home = look_set_up(Path(order["logbook"]), datetime.fromisoformat(order["now"]))
    tell(1, steps, "working out the season")
    _ = home.garden, home.exceptions
    return home


def _day(order: Order, key: str) -> date | None:
    return date.fromisoformat(order[key]) if order.get(key) else None


def _withheld(order: Order) -> tuple[str, ...]:
    """The kinds of entry whose notes are left out."""
    from gwlog.journal.facts import KINDS

    return tuple(KINDS) if order.get("quiet") else tuple(order.get("without") or ())


def _verify(order: Order, tell: Tell) -> Outcome:
    from gwlog.app.verify import verified
    from gwlog.views.seal_report import lines

    tell(0, 1, "verifying every entry")
    file = order.get("file")
    found, unproven = verified(Path(file or order["logbook"]), order.get("against") or None, own=not file)
    return {"lines": [*lines(found), *unproven], "fine": all(level.holds for level in found.levels)}


def _report(order: Order, tell: Tell) -> Outcome:
    from gwlog.documents.atomic import put_file
    from gwlog.documents.record.chapters import document
    from gwlog.documents.record.gather import record
    from gwlog.documents.record.report import rendered

    home = household(order, tell, 4)
    tell(2, 4, "gathering the record")
    made = document(record(home, _day(order, "from"), _day(order, "to"), without_notes=_withheld(order),
                           roles=bool(order.get("roles"))))
    tell(3, 4, "drawing the pages")
    put_file(Path(order["out"]), rendered(made, order["form"], order.get("paper") if order["form"] == ".pdf" else None))
    return _wrote(order)


def _paper(kind: str) -> Callable[[Order, Tell], Outcome]:
    def run(order: Order, tell: Tell) -> Outcome:
        from gwlog.documents.atomic import put_file

        home = household(order, tell, 3)
        tell(2, 3, "drawing the pages")
        if kind == "manual":
            from gwlog.documents.manual.manual import manual

            content = manual(home, paper=order.get("paper"))
        else:
            from gwlog.documents.card import card

            content = card(home, paper=order.get("paper"))
        put_file(Path(order["out"]), content)
        return _wrote(order)

    return run


def _pack(order: Order, tell: Tell) -> Outcome:
    from gwlog.documents.pack import packed
    from gwlog.journal.files import refuse_taken, write_whole

    out, replace = Path(order["out"]), bool(order.get("replace"))
    refuse_taken(out, replace=replace)
    home = household(order, tell, 3)
    tell(2, 3, "packing the entries with their seal")
    made = packed(home, withhold=_withheld(order), anchors=tuple(order.get("anchors") or ()))
    write_whole(out, made.content, replace=replace)
    number, _, digits = made.head.partition(":")
    return _wrote(order, f"{plural(made.entries, 'entry', 'entries')}; head {number}:{digits[:16]}: note it somewhere "
                         "else. The verify_pack.py in it checks it without gwlog.")


def _handover(order: Order, tell: Tell) -> Outcome:
    from gwlog.documents.handover import handover

    tell(0, 1, "putting everything together for the next household")
    done = handover(Path(order["logbook"]), Path(order["out"]), datetime.fromisoformat(order["now"]),
                    replace=bool(order.get("replace")))
    return _wrote(order, f"{plural(done.entries, 'entry', 'entries')}, {plural(done.withheld, 'note')} withheld, "
                         f"{plural(len(done.retired), 'person', 'people')} retired there. Your own is as it was.")


def _export(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal import exchange, store
    from gwlog.journal.files import write_whole

    path = Path(order["logbook"])
    tell(0, 1, "writing every entry")
    store.ready(path)
    content = exchange.export(path, withhold=_withheld(order))
    write_whole(Path(order["out"]), content, replace=bool(order.get("replace")))
    return _wrote(order, plural(content.count(b"\n"), "entry", "entries") + ".")


def _backup(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal.backup import KEEP, backup

    tell(0, 1, "copying and verifying the logbook")
    made = backup(Path(order["logbook"]), now=datetime.fromisoformat(order["now"]), folder=Path(order["out"]),
                  keep=int(order.get("keep") or KEEP))
    found = made.verification
    said = [f"Wrote {made.file}.", f"{plural(found.entries, 'entry', 'entries')}; head {found.head_seq}:"
                                   f"{found.head_hash[:16]}."]
    if made.removed:
        said.append(f"{plural(len(made.removed), 'older backup')} made room for it.")
    if not found.holds:
        said.append("The seal does not hold, so no older backup was removed: verify tells more.")
    return {"lines": said, "fine": found.holds}


def _spreadsheets(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal import store
    from gwlog.journal.files import refuse_taken, write_whole
    from gwlog.journal.spreadsheet import csv_files

    path, folder, replace = Path(order["logbook"]), Path(order["out"]), bool(order.get("replace"))
    tell(0, 1, "writing every entry")
    store.ready(path)
    made = csv_files(path, withhold=_withheld(order))
    for name in made:
        refuse_taken(folder / name, replace=replace)
    for name, content in made.items():
        write_whole(folder / name, content, replace=replace)
    return _wrote(order, f"{plural(len(made), 'file')}, one per kind of entry.")


def _site_file(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal.files import write_whole
    from gwlog.setup.show import show

    home = household(order, tell, 2)
    write_whole(Path(order["out"]), show(home.state).encode(), replace=bool(order.get("replace")))
    return _wrote(order, "Change what differs in it, then read it back under Setup.")


def _calendar(order: Order, tell: Tell) -> Outcome:
    from gwlog.documents.calendar import export

    home = household(order, tell, 3)
    tell(2, 3, "planning the coming 60 days")
    done = export(home, Path(order["out"]))
    return _wrote(order, f"{plural(done.standing, 'event')}; {done.new} new, {done.changed} changed, {done.cancelled} "
                         "cancelled. Write to the same file again, and calendars that follow it update.")


def _rehearse(order: Order, tell: Tell) -> Outcome:
    from gwlog.decisions.simulation import household_scenario, rehearse
    from gwlog.views import rehearsal as page

    home = household(order, lambda *_: tell(0, 100, "looking at the household"), 2)
    days, weather = int(order["days"]), None
    if order.get("weather"):
        weather = page.series(home, Path(order["weather"]).expanduser(), days)
        days = min(days, len(weather))
    scenario = household_scenario(home.state, home.garden, home.now, days=days, weather=weather)
    asked = []
    signal.signal(signal.SIGINT, lambda *_: asked.append(True))
    told = [-1]

    def progress(done: int, total: int) -> None:
        share = done * 100 // total
        if share > told[0]:
            told[0] = share
            tell(share, 100, f"{done:,} of {total:,} days lived through")

    result = rehearse(scenario, progress=progress, cancelled=lambda: bool(asked))
    return {"lines": [], "fine": True, "rehearsal": page.as_json(result)}


def _wrote(order: Order, more: str = "") -> Outcome:
    return {"lines": [f"Wrote {order['out']}.", *([more] if more else [])], "fine": True}


WORKS: dict[str, Callable[[Order, Tell], Outcome]] = {
    "verify": _verify, "report": _report, "manual": _paper("manual"), "card": _paper("card"), "pack": _pack,
    "handover": _handover, "export": _export, "spreadsheets": _spreadsheets, "site file": _site_file,
    "calendar": _calendar, "backup": _backup, "rehearse": _rehearse,
}
