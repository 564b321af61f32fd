"""Long work that makes something of the logbook: verifying, papers, packs, copies, a rehearsal.

Each order is carried out by gwlog.app; here are only its progress and the lines of its outcome.
"""

from __future__ import annotations

import signal
from typing import Any

from gwlog import actions, stopping
from gwlog.app import exports
from gwlog.settings import typed_path
from gwlog.views import outcomes
from gwlog.worker import orders
from gwlog.worker.progress import Outcome, Progress, household


def verify(order: orders.Verify, progress: Progress) -> Outcome:
    from gwlog.app.verify import verify as verify_file
    from gwlog.views.seal_report import lines

    progress(0, 1, "verifying every entry")
    done = verify_file(order.file or order.logbook, order.noted, own=order.file is None, now=order.now)
    made = [*lines(done.found, done.unchecked, done.told), *(f"check: {one}" for one in done.all_odd)]
    return {"lines": made, "fine": done.holds}


def check(order: orders.Check, progress: Progress) -> Outcome:
    from gwlog.app.check import check as look
    from gwlog.views import check_report

    progress(0, 1, "checking every page, every entry and the newest backup")
    if order.repair:
        signal.signal(signal.SIGINT, signal.SIG_IGN)   # what is repaired is reported as repaired
    found = look(order.logbook, order.now, repair=order.repair)
    return {"lines": check_report.travelling(check_report.lines(found.parts, found.repaired)), "fine": found.sound}


def report(order: orders.Report, progress: Progress) -> Outcome:
    home = household(order, progress, 3)
    progress(2, 3, "gathering the record and drawing its pages")
    paper, font = (order.paper, order.font) if exports.report_form(order.out) == ".pdf" else (None, None)
    write = exports.annex if order.annex else exports.report
    lost = write(home, order.out, order.start, order.end, reader=order.reader, full=order.full,
                 withhold=order.withhold, roles=order.roles, paper=paper, font=font, replace=order.replace)
    return _wrote(order.out, *_unprintable(lost))


def manual(order: orders.Manual, progress: Progress) -> Outcome:
    home = household(order, progress, 3)
    progress(2, 3, "drawing the pages")
    paper, font = (order.paper, order.font) if exports.paper_form(order.out) == ".pdf" else (None, None)
    lost = exports.manual(home, order.out, paper=paper, font=font, replace=order.replace)
    return _wrote(order.out, *_unprintable(lost))


def card(order: orders.Card, progress: Progress) -> Outcome:
    home = household(order, progress, 3)
    progress(2, 3, "drawing the pages")
    paper, font = (order.paper, order.font) if exports.paper_form(order.out) == ".pdf" else (None, None)
    lost = exports.card(home, order.out, paper=paper, font=font, replace=order.replace)
    return _wrote(order.out, *_unprintable(lost))


def _unprintable(signs: str) -> list[Any]:
    return [actions.as_json(line) for line in outcomes.unprintable(signs)]


def calendar(order: orders.Calendar, progress: Progress) -> Outcome:
    home = household(order, progress, 3)
    progress(2, 3, "planning the coming 60 days")
    done = exports.calendar(home, order.out, replace=order.replace)
    return _wrote(order.out, outcomes.calendar(done.standing, done.new, done.changed, done.cancelled),
                  "Write to the same file again, and calendars that follow it update.")


def pack(order: orders.Pack, progress: Progress) -> Outcome:
    home = household(order, progress, 3)
    progress(2, 3, "packing the entries with their seal")
    made = exports.pack(home, order.out, reader=order.reader, withhold=order.withhold, noted=order.noted,
                        replace=order.replace)
    return _wrote(order.out, *outcomes.packed(made.entries, made.withheld, made.seal_number),
                  "The check_seal.py in it checks it without gwlog.")


def received(order: orders.Received, progress: Progress) -> Outcome:
    from gwlog import settings
    from gwlog.app.receive import receive
    from gwlog.views import received as words

    progress(0, 1, "verifying every record")
    exports.refuse_received_page(order.out, replace=order.replace)
    found = receive(order.folder, order.now, settings.received_path())
    exports.received_page(found, order.out, replace=order.replace)
    return _wrote(order.out, words.headline(found), *words.faults(found), *words.passed_over(found), fine=found.fine)


def handover(order: orders.Handover, progress: Progress) -> Outcome:
    progress(0, 1, "putting everything together for the next household")
    done = exports.handover(order.logbook, order.out, order.now, replace=order.replace)
    return _wrote(order.out, outcomes.handed_on(done.entries, done.withheld, len(done.retired)))


def export(order: orders.Export, progress: Progress) -> Outcome:
    progress(0, 1, "writing every entry")
    done = exports.export(order.logbook, order.out, withhold=order.withhold, replace=order.replace)
    return _wrote(order.out, outcomes.entries(done.entries), *_unless_it_holds(done.holds), fine=done.holds)


def spreadsheets(order: orders.Spreadsheets, progress: Progress) -> Outcome:
    progress(0, 1, "writing every entry")
    done = exports.export_tables(order.logbook, order.out, withhold=order.withhold, replace=order.replace)
    return _wrote(order.out, outcomes.tables(done.files), *_unless_it_holds(done.holds), fine=done.holds)


def site_file(order: orders.SiteFile, progress: Progress) -> Outcome:
    exports.site_file(household(order, progress, 2), order.out, replace=order.replace)
    return _wrote(order.out, "Change what differs in it, then read it back under Setup.")


def backup(order: orders.Backup, progress: Progress) -> Outcome:
    from gwlog.journal.backup import KEEP
    from gwlog.journal.backup import backup as back_up
    from gwlog.text import plural

    progress(0, 1, "copying and verifying the logbook")
    made = back_up(order.logbook, now=order.now, folder=order.out, keep=order.keep or KEEP)
    found = made.verification
    more = [outcomes.backed_up(found.entries, f"{found.last_number}:{found.last_hash}")]
    if made.removed:
        more.append(f"{plural(len(made.removed), 'older backup')} removed, the oldest.")
    if not found.holds:
        more.append("The seal does not hold, so no older backup was removed: see “Verify the seal”.")
    return _wrote(made.file, *more, fine=found.holds)


def rehearse(order: orders.Rehearse, progress: Progress) -> Outcome:
    from gwlog.decisions.simulation import rehearse as simulate
    from gwlog.views import rehearsal as page

    home = household(order, lambda *_: progress(0, 100, "looking at the household"), 2)
    scenario = page.scenario(home, order.days, typed_path(str(order.weather)) if order.weather is not None else None,
                             order.first)
    asked_to_stop: list[bool] = []
    signal.signal(stopping.ASKED, lambda *_: asked_to_stop.append(True))
    last = [-1]

    def each_day(done: int, total: int) -> None:
        share = done * 100 // total
        if share > last[0]:
            last[0] = share
            progress(share, 100, f"day {done:,} of {total:,}")

    result = simulate(scenario, progress=each_day, cancelled=lambda: bool(asked_to_stop))
    return {"lines": [], "fine": True, "rehearsal": page.as_json(result)}


def _wrote(where: Any, *more: Any, fine: bool = True) -> Outcome:
    return {"lines": [f"Wrote {where}.", *more], "fine": fine}


def _unless_it_holds(holds: bool) -> list[str]:
    return [] if holds else ["The seal does not hold; the export has what is there: see “Verify the seal”."]
