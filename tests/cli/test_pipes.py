"""Commands whose output somebody stops reading: a pager that was left, `head`."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.conftest import Runner


def test_a_reader_that_went_away_is_no_error(home: Runner, tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "gwlog", "today"], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env={**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")}, cwd=Path(__file__).parents[2],
    ) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        told = process.stderr.read()
    assert (process.returncode, told) == (0, b"")
