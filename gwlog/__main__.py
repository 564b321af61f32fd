"""The process: hands the words to the command line and turns every error into a sentence and an exit code."""

from __future__ import annotations

import sys


def main() -> None:
    """Entry point of the `gwlog` command."""
    from gwlog.cli.main import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
