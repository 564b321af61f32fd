"""The seal number as it is given to somebody: the line, the words, the code, and what is asked of who gets it."""

from __future__ import annotations

from gwlog.journal.seal_number import SealNumber, spoken
from gwlog.values import dataclass


def line_of(number: SealNumber) -> str:
    """The very line that is signed or stamped, without its line feed: the whole hash is in it."""
    return f"gwlog seal number {number.entries}:{number.start}"


@dataclass(frozen=True, slots=True)
class ThisNumber:
    """This moment's seal number, in every form in which it is given. `line`: what is mailed, signed or stamped."""

    number: SealNumber
    site: str

    @property
    def line(self) -> str:
        return line_of(self.number)

    @property
    def words(self) -> str:
        return spoken(self.number.entries, self.number.start)

    @property
    def ask(self) -> str:
        """What is asked of the witness, with the site's name."""
        return (f"This is the seal number of the laundry water logbook of {self.site}. Please keep it with today's "
                "date, where the household cannot change it.")


def qr(line: str) -> str:
    """A line as a QR code in text: two rows of squares in one row of signs, with a light margin."""
    import io

    import segno

    out = io.StringIO()
    segno.make(line, error="l", micro=False).terminal(out, compact=True, border=2)
    return out.getvalue()
