"""The record pack with the report in it: what `gwlog pack` and the handover give to others.

The report covers the whole history, without the notes that the pack withholds.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from gwlog.household import Household
from gwlog.journal.pack import Packed, pack

REPORT = "report.html"


def packed(home: Household, *, withhold: Collection[str] = (), noted: Sequence[str] = ()) -> Packed:
    """Pack a household's logbook with its report. `withhold`: kinds of entry whose notes are left out of both.

    `noted`: seal numbers noted earlier, “412:9f3a…”. Raises as journal.pack.pack() does.
    """
    from gwlog.documents.record.chapters import document
    from gwlog.documents.record.gather import record
    from gwlog.documents.render.html import html

    report = html(document(record(home, without_notes=withhold)))
    return pack(home.path, now=home.now, withhold=withhold, noted=noted, extra={REPORT: report.encode()})
