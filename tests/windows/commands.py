"""Run by test_simulated.py without what Windows does not have: every kind of command, one after the other."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

COMMANDS = (
    "begin site.toml", "load towels", "load whites --to sewer", "observe ponding Fig --note drüben",
    "valve garden", "today", "where towels", "plan", "basins", "entries", "upkeep", "reminders", "salts",
    "capacity", "reference", "verify", "paths", "backup --to kept", "export all.jsonl", "export --csv tables",
    "report a.pdf", "report a.md", "card c.pdf", "pack p.zip", "handover h.zip", "calendar c.ics",
    "setup show", "watch --once", "watch --print-unit task-scheduler", "completion powershell",
    "rehearse --days 2", "--help", "load --help")


def main() -> None:
    """Run them in the folder named on the command line; what each came to goes into answers.json there."""
    os.chdir(sys.argv[1])
    from gwlog.cli.main import run

    answers = {words: run(words.split()) for words in COMMANDS}
    newest = max(Path("kept").iterdir())
    answers["restore"] = run(["restore", str(newest)])
    Path("answers.json").write_text(json.dumps(answers), encoding="utf-8")


if __name__ == "__main__":
    main()
