"""The process: hands the words to the command line and turns every error into a sentence and an exit code."""

from __future__ import annotations

import gc
import sys


def main() -> None:
    """Entry point of the `gwlog` command."""
    from gwlog.cli.main import run

    answer = run(sys.argv[1:])
    gc.freeze()   # the interpreter would look through everything for cycles once more before it ends
    sys.exit(answer)


if __name__ == "__main__":
    main()
