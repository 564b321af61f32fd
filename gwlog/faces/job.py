"""Long work in a process of its own: what the screens ask for while their keys go on being answered.

The order comes as one JSON object on stdin; progress and the outcome go out as JSON lines on stdout.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.errors import BadInput, GwlogError
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.faces.present.household import Household

Order = dict[str, Any]
Outcome = dict[str, Any]
Tell = Callable[[int, int, str], None]
STOPPED = "stopped"


def _home(order: Order, tell: Tell, steps: int) -> Household:
    from gwlog.faces.present.household import look_set_up

    tell(0, steps, "reading the logbook")
    home = look_set_up(Path(order["logbook"]), datetime.fromisoformat(order["now"]))
    tell(1, steps, "working out the season")
    _ = home.garden, home.exceptions
    return home


def _day(order: Order, key: str) -> date | None:
    return date.fromisoformat(order[key]) if order.get(key) else None


def _verify(order: Order, tell: Tell) -> Outcome:
    from gwlog.faces.present.sealed import lines
    from gwlog.journal import seal, store

    path = Path(order["logbook"])
    tell(0, 1, "verifying every entry")
    store.ready(path)
    found = seal.verify(path, anchor=order.get("against") or None)
    return {"lines": lines(found), "fine": found.holds}


def _report(order: Order, tell: Tell) -> Outcome:
    from gwlog.faces.report.atomic import put_file
    from gwlog.faces.report.chapters import document
    from gwlog.faces.report.gather import record
    from gwlog.faces.report.report import rendered

    home = _home(order, tell, 4)
    tell(2, 4, "gathering the record")
    made = document(record(home, _day(order, "from"), _day(order, "to"), without_notes=bool(order.get("quiet")),
                           roles=bool(order.get("roles"))))
    tell(3, 4, "drawing the pages")
    put_file(Path(order["out"]), rendered(made, order["form"]))
    return _wrote(order)


def _paper(kind: str) -> Callable[[Order, Tell], Outcome]:
    def run(order: Order, tell: Tell) -> Outcome:
        from gwlog.faces.report.atomic import put_file

        home = _home(order, tell, 3)
        tell(2, 3, "drawing the pages")
        if kind == "manual":
            from gwlog.faces.report.manual import manual

            content = manual(home)
        else:
            from gwlog.faces.report.card import card

            content = card(home)
        put_file(Path(order["out"]), content)
        return _wrote(order)

    return run


def _pack(order: Order, tell: Tell) -> Outcome:
    from gwlog.faces.report.packed import packed
    from gwlog.journal.facts import KINDS
    from gwlog.journal.files import refuse_taken, write_whole

    out, replace = Path(order["out"]), bool(order.get("replace"))
    refuse_taken(out, replace=replace)
    home = _home(order, tell, 3)
    tell(2, 3, "packing the entries with their seal")
    made = packed(home, withhold=tuple(KINDS) if order.get("quiet") else ())
    write_whole(out, made.content, replace=replace)
    number, _, digits = made.head.partition(":")
    return _wrote(order, f"{plural(made.entries, 'entry', 'entries')}; head {number}:{digits[:16]}: note it somewhere "
                         "else. The verify_pack.py in it checks it without gwlog.")


def _handover(order: Order, tell: Tell) -> Outcome:
    from gwlog.faces.report.handover import handover

    tell(0, 1, "putting everything together for the next household")
    done = handover(Path(order["logbook"]), Path(order["out"]), datetime.fromisoformat(order["now"]),
                    replace=bool(order.get("replace")))
    return _wrote(order, f"{plural(done.entries, 'entry', 'entries')}, {plural(done.withheld, 'note')} withheld, "
                         f"{plural(len(done.retired), 'person', 'people')} retired there. Your own is as it was.")


def _export(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal import exchange, store
    from gwlog.journal.facts import KINDS
    from gwlog.journal.files import write_whole

    path = Path(order["logbook"])
    tell(0, 1, "writing every entry")
    store.ready(path)
    content = exchange.export(path, withhold=tuple(KINDS) if order.get("quiet") else ())
    write_whole(Path(order["out"]), content, replace=bool(order.get("replace")))
    return _wrote(order, plural(content.count(b"\n"), "entry", "entries") + ".")


def _backup(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal.backup import backup

    tell(0, 1, "copying and verifying the logbook")
    made = backup(Path(order["logbook"]), now=datetime.fromisoformat(order["now"]), folder=Path(order["out"]))
    found = made.verification
    said = [f"Wrote {made.file}.", f"{plural(found.entries, 'entry', 'entries')}; head {found.head_seq}:"
                                   f"{found.head_hash[:16]}."]
    if made.removed:
        said.append(f"{plural(len(made.removed), 'older backup')} made room for it.")
    if not found.holds:
        said.append("The seal does not hold, so no older backup was removed: verify tells more.")
    return {"lines": said, "fine": found.holds}


def _rehearse(order: Order, tell: Tell) -> Outcome:
    from gwlog.decisions.rehearsal import household_scenario, rehearse
    from gwlog.faces.present import rehearsal as page

    home = _home(order, lambda *_: tell(0, 100, "looking at the household"), 2)
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
    "handover": _handover, "export": _export, "backup": _backup, "rehearse": _rehearse,
}


def main() -> None:
    """Do what the order on stdin says. Every outcome, also a refusal, is told on stdout."""
    order = json.loads(sys.stdin.buffer.read())
    if hasattr(os, "nice"):
        os.nice(10)  # the screens come first where there are few processors

    def out(line: dict[str, Any]) -> None:
        sys.stdout.buffer.write(json.dumps(line).encode() + b"\n")
        sys.stdout.buffer.flush()

    try:
        work = WORKS.get(order["work"])
        if work is None:
            raise BadInput(f"There is no work called “{order['work']}”.")
        out({"outcome": work(order, lambda done, of, words: out({"done": done, "of": of, "words": words}))})
    except GwlogError as trouble:
        out({"refused": str(trouble), "hint": trouble.hint})
    except KeyboardInterrupt:
        out({"refused": STOPPED, "hint": None})
    except BrokenPipeError:
        # whoever asked has gone
        sys.exit(1)
    except Exception as bug:
        out({"refused": f"This is a mistake in gwlog itself: {type(bug).__name__}: {bug}", "hint": None})


def as_of(now: datetime) -> str:
    """A moment as an order carries it."""
    return clock.iso(now).replace("Z", "+00:00")


if __name__ == "__main__":
    main()
