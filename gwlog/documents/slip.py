"""The slip for a witness: the seal number on paper, in digits, in words, and as a QR code, with lines to fill in."""

from __future__ import annotations

from pathlib import Path

from gwlog.clock import local, long_date
from gwlog.documents.drawings.code import qr_code
from gwlog.documents.render.blocks import Blanks, Block, Document, Para, Picture
from gwlog.documents.render.forms import rendered
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.views.this_number import ThisNumber

FORMS = (".pdf", ".html", ".md")


def slip(home: Household, this: ThisNumber, to: str | None, file: Path) -> bytes:
    """The slip in the form of the file's ending. Raises BadInput for another ending."""
    if file.suffix.lower() not in FORMS:
        raise BadInput(f"{file.name} ends in no form of a slip; use .pdf, .html or .md.")
    return rendered(document(home, this, to), file.suffix.lower())


def document(home: Household, this: ThisNumber, to: str | None) -> Document:
    """What stands on the slip."""
    day = long_date(local(home.now, home.zone).date(), home.system)
    blocks: list[Block] = [
        Para(f"{this.ask} It is that of {this.number.entries:,} entries. Whoever checks the record later compares it "
             "with your copy: what was written until today can then not be rewritten unseen."),
        Para(this.number.short, strong=True), Para(f"In words: {this.words}", strong=True),
        Picture(qr_code(this.line), f"QR code of the line “{this.line}”.", 0.3, "The whole line, for a camera."),
        Para("You need not answer. If you do: a sentence with the number, by mail or e-mail, is enough. A signature by "
             "an SSH key is made over the line in the code: ssh-keygen -Y sign -f KEY -n gwlog-seal FILE"),
        Blanks(("Received by", "Date")),
    ]
    return Document("Seal number" + (f" for {to}" if to else ""), f"{this.site}, {day}",
                    "It shows nothing of what the entries say.", tuple(blocks), home.zone, home.system, home.now)
