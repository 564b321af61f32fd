"""The forms for witnesses: to whom the seal number was given, and an answer that came back."""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.app import witness
from gwlog.app.forms.entries import BY, NOTE, author_of, logged
from gwlog.app.forms.model import Field, FormSpec, Values, options_of, word
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.settings import typed_path


class WithAnswer(list[Fact]):
    """Entries that bring a witness's answer with them."""

    def __init__(self, made: witness.Answered) -> None:
        super().__init__(made.facts)
        self.attached = made.attached


def _give(home: Household, values: Values) -> Sequence[Fact]:
    return witness.given(home, word(values, "to"), author_of(home, values), means=word(values, "means"))


def _store(home: Household, values: Values) -> Sequence[Fact]:
    if not word(values, "file"):
        raise BadInput("Name the file with the answer.")
    paths = {name: typed_path(word(values, name)) if word(values, name) else None for name in ("signers", "authority")}
    return WithAnswer(witness.stored(home, typed_path(word(values, "file")), word(values, "who"),
                                     author_of(home, values), number=word(values, "number") or None, **paths))


GIVE = FormSpec("witness", "To whom the seal number was given", (
    Field("to", "To", hint="somebody outside of the household, like the landlord"),
    Field("means", "By", options=lambda *_: options_of(list(witness.GIVEN_BY))), BY, NOTE), _give, wrote=logged)

STORE = FormSpec("answer", "Store a witness's answer", (
    Field("file", "File", hint="a statement, a signature (.sig) or a time stamp (.tsr)", endings=("",)),
    Field("who", "From", hint="who answered"),
    Field("number", "Number", hint="only if it is not the present one or one that was given"),
    Field("signers", "Keys", hint="known signers; empty: this machine's", endings=("",)),
    Field("authority", "Authority", hint="its certificate (.pem); empty: this machine's", endings=("",)),
    BY, NOTE), _store, wrote=logged)
