"""The process: hands the words to the command line and turns every error into a sentence and an exit code."""

from __future__ import annotations

import sys

try:
    from gwlog import stopping

    stopping.end_at_once()
except KeyboardInterrupt:
    sys.stderr.write("Stopped; nothing was written.\n")
    sys.exit(130)


def main() -> None:
    """Entry point of the `gwlog` command."""
    try:
        from gwlog.cli.main import run

        code = run(sys.argv[1:])
        stopping.too_late()
    except KeyboardInterrupt:  # between two lines that look after it
        code = stopping.STOPPED
    sys.exit(code)


if __name__ == "__main__":
    main()
