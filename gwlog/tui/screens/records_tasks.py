"""What can be done under Records, in the groups of its list: each with the words that tell what it is for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Work:
    """One row of the list: the job's name (empty: no job), its words, how the file ends and is named.

    `period`: it is of the chosen period; `folder`: it goes into a folder; `takes`: it brings something in; `opens`:
    it is done in the dialog of that name.
    """

    id: str
    work: str
    title: str
    about: str
    ending: str = ""
    named: str = ""
    period: bool = False
    folder: str = ""
    takes: bool = False
    opens: str = ""


GROUPS: tuple[tuple[str, tuple[Work, ...]], ...] = (
    ("The seal", (
        Work("verify", "verify", "Verify the seal", "checks every entry; says what it cannot show"),
        Work("verify other", "verify", "Verify another", "a pack, a backup, a logbook; or with a noted seal number"),
        Work("check", "check", "Check the logbook", "file, seal, clock, leftovers, and a trial restore of a backup"),
        Work("repair", "check", "Repair the logbook", "rebuilds what it can from verified entries, after a copy"),
    )),
    ("Papers", (
        Work("pdf", "report", "Record, PDF", "what was run, by whom, with the evidence", ".pdf", "record", True),
        Work("html", "report", "Record, HTML", "the same for a browser", ".html", "record", True),
        Work("md", "report", "Record, Markdown", "the same as plain text", ".md", "record", True),
        Work("csv", "report", "Record, CSV", "the same for a spreadsheet", ".csv", "record", True),
        Work("manual", "manual", "Manual", "operation and maintenance of this system", ".pdf", "manual"),
        Work("card", "card", "Card for the wall", "one page by the machine", ".pdf", "card"),
        Work("calendar", "calendar", "Calendar", "turns, reminders, upkeep of the coming 60 days", ".ics", "calendar"),
    )),
    ("Keep and hand on", (
        Work("backup", "backup", "Backup", "a verified copy of the logbook", folder="backups"),
        Work("pack", "pack", "Record pack", "all entries with their seal, verified without gwlog", ".zip",
             "record pack"),
        Work("handover", "handover", "Handover", "everything for the next household, without your notes", ".zip",
             "handover"),
        Work("export", "export", "Export", "every entry, to be imported again with the same seal", ".jsonl", "export"),
        Work("spreadsheets", "spreadsheets", "Spreadsheets", "every entry as CSV, one file per kind", folder="named",
             named="entries"),
        Work("site file", "site file", "Setup as a file", "edit it and bring it back", ".toml", "site"),
    )),
    ("Bring in", (
        Work("weather", "weather", "Weather", "days of rain and temperature from a CSV", takes=True),
        Work("loads", "loads", "Past loads", "from a spreadsheet that you kept before", takes=True),
        Work("take site file", "", "Setup from a file", "every change is shown before it is applied",
             opens="site file"),
        Work("restore", "restore", "Restore a backup", "verified first; today's logbook is kept beside it", takes=True),
    )),
    ("Look up", (
        Work("rehearse", "", "Try a season", "the plan against simpler ways; logs nothing", opens="rehearsal"),
        Work("moment", "", "Another time", "how things were, or will be, at a time you name", opens="moment"),
        Work("figures", "", "Published figures", "every table gwlog uses, with its source", opens="figures"),
        Work("notifications", "", "Notifications", "who, what, when, how; where the files are",
             opens="notifications"),
        Work("phones", "", "Phones", "pages at the machine: on or off, who comes in, add, remove", opens="phones"),
    )),
)
WORKS = tuple(work for _, works in GROUPS for work in works)
