"""What can be done under Records, in the groups of its list: each with the words that tell what it is for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Work:
    """One row of the list: the job's name (empty: no job), its words, how the file ends and is named.

    `period`: it is of the chosen period; `folder`: it goes into a folder; `takes`: it brings something in; `opens`:
    it is done in the dialog of that name; `form`: in the form of that key.
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
    form: str = ""


GROUPS: tuple[tuple[str, tuple[Work, ...]], ...] = (
    ("The seal", (
        Work("verify", "verify", "Verify the seal", "checks every entry; says what it cannot show"),
        Work("verify other", "verify", "Verify another", "a pack, a backup, a logbook; or with a noted seal number"),
        Work("noted", "", "Noted seal numbers", "kept by themselves, away from the logbook; a second place",
             opens="noted"),
        Work("check", "check", "Check the logbook", "file, seal, clock, leftovers, and a trial restore of a backup"),
        Work("repair", "check", "Repair the logbook", "rebuilds what it can from verified entries, after a copy"),
    )),
    ("From outside", (
        Work("witness", "", "Have the seal number witnessed", "what somebody else holds cannot be rewritten unseen",
             opens="witness"),
        Work("answer", "", "Store a witness's answer", "a statement, a signature or a time stamp, once it verifies",
             opens="answer"),
        Work("received", "received", "Records of many homes", "verifies each in a folder, and writes one table",
             ".html", "records received"),
        Work("attest", "", "Log a paper or visit", "a permit, a check of the drinking water, a visit", form="attest"),
    )),
    ("Papers", (
        Work("pdf", "report", "Letter, PDF", "two pages for the reader chosen above", ".pdf", "letter", True),
        Work("html", "report", "Letter, HTML", "the same for a browser", ".html", "letter", True),
        Work("md", "report", "Letter, Markdown", "the same as plain text", ".md", "letter", True),
        Work("annex", "annex", "Annex, PDF", "tables of what is remarkable", ".pdf", "annex", True),
        Work("annex html", "annex", "Annex, HTML", "the same for a browser", ".html", "annex", True),
        Work("full annex", "full annex", "Full annex, PDF", "every week and every entry", ".pdf", "full annex", True),
        Work("csv", "full annex", "Tables, CSV", "all of it for a spreadsheet", ".csv", "tables", True),
        Work("manual", "manual", "Manual, PDF", "operation and maintenance of this system", ".pdf", "manual"),
        Work("manual html", "manual", "Manual, HTML", "the same for a browser", ".html", "manual"),
        Work("card", "card", "Card, PDF", "for the wall: read from two metres, and a table to fill in", ".pdf", "card"),
        Work("card html", "card", "Card, HTML", "the same for a browser", ".html", "card"),
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
