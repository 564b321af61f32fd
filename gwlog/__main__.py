"""The process: hands the words to the command line and turns every error into a sentence and an exit code."""

from __future__ import annotations

import gc
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
        code = _run(sys.argv[1:])
        stopping.too_late()
    except KeyboardInterrupt:  # between two lines that look after it
        code = stopping.STOPPED
    gc.freeze()   # the interpreter would look through everything for cycles once more before it ends
    sys.exit(code)


def _run(words: list[str]) -> int:
    if not words:
        # what reads the words of commands takes a tenth of the time until the screens are painted
        from gwlog.cli.screens import open_screens

        try:
            open_screens(None)
        except BaseException as error:
            from gwlog.cli import output
            from gwlog.cli.main import told

            output.prepare()
            return told(error)
        return 0
    from gwlog.cli.main import run

    return run(words)


if __name__ == "__main__":
    main()
