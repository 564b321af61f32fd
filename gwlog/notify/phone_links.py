"""The link in a message that opens what it tells on the phone, for households whose phones have pages.

It holds no key: whoever follows it needs a phone that was added.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.journal import store
from gwlog.notify.settings_file import EVERYBODY
from gwlog.phone import address
from gwlog.phone.keys import Keys

if TYPE_CHECKING:
    from gwlog.decisions.reminders import Reminder


def link(logbook: Path, reminders: Sequence[Reminder], person: str) -> str:
    """The page of the one reminder, or of all there is to do; “” where that person has no phone that opens it."""
    known = str(store.logbook_id(logbook))
    url = address.noted(known)
    if url is None:
        return ""
    if not any(one.opens == "pages" and person in (EVERYBODY, one.person) for one in Keys(known).phones()):
        return ""
    return address.reminder_page(url, reminders[0].key) if len(reminders) == 1 else f"{url}to-do"
