"""What help says of every command beside its own words: its group, its one line in the list, and examples.

The list of `gwlog --help`, the end of each command's help and the manual page are made from it.
"""

from __future__ import annotations

GROUPS: dict[str, tuple[str, ...]] = {
    "At the machine": ("where", "load", "valve", "today", "reminders", "seen", "later", "phone"),
    "In the garden": ("basins", "move", "mulch", "rain", "water", "soil", "observe", "resolve", "upkeep", "done"),
    "Planning": ("plan", "plan-load", "capacity", "rehearse", "salts", "calendar", "watch"),
    "The log": ("entries", "correct", "withdraw", "erase-note", "weather", "import", "export"),
    "Papers and proof": ("report", "manual", "card", "attest", "witness", "verify", "noted", "pack", "handover",
                         "received", "backup", "restore"),
    "Setup": ("begin", "setup", "label", "check", "paths", "reference", "completion", "manpage"),
}

LONGEST_LINE = 58
"""What a command's line in the list may take, so that no line is cut at 80 columns."""

TEXTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "where": (
        "Ask where a load should go; nothing is logged.",
        ("gwlog where towels", "gwlog where towels --at 'tonight 8pm'")),
    "load": (
        "Log that a load ran.",
        ("gwlog load towels", "gwlog load whites --to sewer --by Ines --at 'yesterday 9am'")),
    "valve": (
        "Log that the valve was turned.",
        ("gwlog valve sewer", "gwlog valve garden --at 'an hour ago'")),
    "today": (
        "Show what to do now.",
        ("gwlog today", "gwlog today --at 'tomorrow 9am'")),
    "reminders": (
        "List what people should do, the most pressing first.",
        ("gwlog reminders", "gwlog reminders --all")),
    "seen": (
        "Mark a reminder as seen.",
        ("gwlog seen 1", "gwlog seen ponding --by Ines")),
    "later": (
        "Put a reminder off until later.",
        ("gwlog later 1 --until 'tomorrow 9am'", "gwlog later 2 --until sat")),
    "phone": (
        "Serve pages for phones on your own network.",
        ("gwlog phone serve --address 192.168.1.20", "gwlog phone add Ines",
         "gwlog phone calendar Ines")),
    "basins": (
        "Show how each basin stands and what it can take.",
        ("gwlog basins", "gwlog basins --at 'next week'")),
    "move": (
        "Log that an outlet was moved to a basin.",
        ("gwlog move Hose Fig", "gwlog move Fig --at 'this morning'")),
    "mulch": (
        "Log mulch added or measured.",
        ("gwlog mulch Fig --added 2in", "gwlog mulch Fig --measured '50 mm'")),
    "rain": (
        "Log the rain of a day.",
        ("gwlog rain 0.4in", "gwlog rain '12 mm' --at yesterday", "gwlog rain 0.5in --since sunday")),
    "water": (
        "Log other water that a basin got.",
        ("gwlog water Fig 3gal", "gwlog water Fig --minutes 20 --flow '2 gal/min'")),
    "soil": (
        "Log a soil test or a meter's reading.",
        ("gwlog soil Fig --ec '1.8 dS/m'", "gwlog soil Fig --ec '1.8 dS/m' --sar 4")),
    "observe": (
        "Log something seen, like ponding or a leak.",
        ("gwlog observe ponding Fig", "gwlog observe leak")),
    "resolve": (
        "Log that something seen is over or followed up.",
        ("gwlog resolve 41", "gwlog resolve 41 --note 'soaked in'")),
    "upkeep": (
        "List recurring maintenance and when it is due.",
        ("gwlog upkeep", "gwlog upkeep --json")),
    "done": (
        "Log that an upkeep task was done.",
        ("gwlog done 'flush the line'", "gwlog done 'yearly record' --at sun")),
    "plan": (
        "Plan the next two weeks.",
        ("gwlog plan", "gwlog plan --what-if '3 loads on saturday'")),
    "plan-load": (
        "Expect a load at a time to come.",
        ("gwlog plan-load towels --on 'sat 9am' --every weekly", "gwlog plan-load towels --skip 'dec 3'")),
    "capacity": (
        "Show how much of the water the garden can use.",
        ("gwlog capacity", "gwlog capacity --json")),
    "rehearse": (
        "Try a season: the plan against simpler ways.",
        ("gwlog rehearse", "gwlog rehearse --days 90 --no-plots")),
    "salts": (
        "Show salt, sodium and boron, and what would help.",
        ("gwlog salts", "gwlog salts --json")),
    "calendar": (
        "Write a calendar file of the next 60 days.",
        ("gwlog calendar garden.ics", "gwlog calendar garden.ics --replace")),
    "watch": (
        "Send reminders when they are due, until stopped.",
        ("gwlog watch", "gwlog watch --once")),
    "entries": (
        "List the entries of the logbook.",
        ("gwlog entries --last 10", "gwlog entries --since 'last week'", "gwlog entries --odd")),
    "correct": (
        "Correct an entry; the first version stays.",
        ("gwlog correct 41 --to sewer", "gwlog correct 41 --at 'yesterday 9am'")),
    "withdraw": (
        "Withdraw an entry; it stays readable.",
        ("gwlog withdraw 41 --note 'typed twice'", "gwlog withdraw 7 --note 'wrong day'")),
    "erase-note": (
        "Erase the words of a note for good.",
        ("gwlog erase-note 41 --yes", "gwlog erase-note 41")),
    "weather": (
        "Bring in measured and forecast weather.",
        ("gwlog weather import station.csv --dry-run", "gwlog weather run --dry-run")),
    "import": (
        "Bring in entries or past loads from a file.",
        ("gwlog import old.jsonl", "gwlog import loads.csv --dry-run")),
    "export": (
        "Write every entry to a file.",
        ("gwlog export all.jsonl", "gwlog export sheets --csv")),
    "report": (
        "Write two pages for the landlord, or another reader.",
        ("gwlog report letter.pdf", "gwlog report letter.pdf --for inspector --annex annex.pdf",
         "gwlog report letter.pdf --preview")),
    "manual": (
        "Write the operation and maintenance manual.",
        ("gwlog manual manual.pdf", "gwlog manual manual.pdf --paper letter")),
    "card": (
        "Write the page for the wall by the machine.",
        ("gwlog card card.pdf", "gwlog card card.pdf --paper a4")),
    "attest": (
        "Log a permit, a check, a handed-over manual, a visit.",
        ("gwlog attest 'permit or notice' --by 'Tern County' --at 'march 3' --file permit.pdf",
         "gwlog attest visit --by 'Ruth Abara, landlord'")),
    "witness": (
        "Give the seal number to a witness, or store the answer.",
        ("gwlog witness --to 'Ruth Abara, landlord' --means 'by e-mail'",
         "gwlog witness --store number.txt.sig --by 'Ruth Abara, landlord' --signers keys")),
    "verify": (
        "Check that no entry was changed since it was sealed.",
        ("gwlog verify", "gwlog verify record.zip")),
    "noted": (
        "Show the seal numbers that are noted at each entry.",
        ("gwlog noted", "gwlog noted --second-place /media/disk")),
    "pack": (
        "Pack all entries with their seal and a checker.",
        ("gwlog pack record.zip", "gwlog pack record.zip --without-notes")),
    "handover": (
        "Write everything for the next household.",
        ("gwlog handover next.zip", "gwlog handover next.zip --replace")),
    "received": (
        "Verify the records of many homes at once.",
        ("gwlog received records", "gwlog received records overview.html")),
    "backup": (
        "Put a verified copy of the logbook away.",
        ("gwlog backup", "gwlog backup --keep 10")),
    "restore": (
        "Put a backup back, after verifying it.",
        ("gwlog restore copy.db", "gwlog restore copy.db --json")),
    "begin": (
        "Make a logbook, by questions or from a file.",
        ("gwlog begin", "gwlog begin household.toml")),
    "setup": (
        "Show the household's setup, or change it.",
        ("gwlog setup show", "gwlog setup apply household.toml --dry-run")),
    "label": (
        "Describe the label of a product.",
        ("gwlog label 'market pods'", "gwlog label 'market pods' --line 'borax'")),
    "check": (
        "Check the logbook, its backups and the clock.",
        ("gwlog check", "gwlog check --repair")),
    "paths": (
        "Show where gwlog keeps its files.",
        ("gwlog paths", "gwlog paths --json")),
    "reference": (
        "Show the published figures, with their sources.",
        ("gwlog reference", "gwlog reference soils")),
    "completion": (
        "Print the completion script for a shell.",
        ("gwlog completion bash", "gwlog completion fish")),
    "manpage": (
        "Print the manual page, made from this help.",
        ("gwlog manpage > gwlog.1", "gwlog manpage | man -l -")),
}
"""Command -> its line in the list, and what people type."""
