"""One request of a phone: who asks, what was sent, and the household as it is at that moment."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TypeVar
from urllib.parse import urlencode

from starlette.responses import RedirectResponse, Response

from gwlog import clock
from gwlog.actions import Action, Hint, Words
from gwlog.app import door
from gwlog.errors import GwlogError, NotALogbook
from gwlog.household import Household, look_set_up
from gwlog.journal import store
from gwlog.journal.facts import Fact
from gwlog.phone import pages
from gwlog.phone.address import Place
from gwlog.phone.feed import Feed
from gwlog.phone.forms import Forms, Outcome
from gwlog.phone.keys import Keys, Phone
from gwlog.phone.tries import Tries

D = TypeVar("D", bound="Fact | Sequence[Fact] | door.Drafted")


class Served:
    """What is served: the logbook, where, and to which phones."""

    def __init__(self, path: Path, place: Place) -> None:
        self.path, self.place = path, place
        self.logbook = str(store.logbook_id(path))
        self.keys, self.forms, self.tries = Keys(self.logbook), Forms(), Tries()
        self.calendar = Feed(self.logbook)


class NotWelcome(GwlogError):
    """The phone's person is not of this household any more."""


class Call:
    """A request. `phone`: None for a phone that is not known; `asked`, `sent`: what stands in the address and in the
    form, each name with its values.
    """

    def __init__(self, served: Served, phone: Phone | None, peer: str, method: str, path: str,
                 asked: Mapping[str, list[str]], sent: Mapping[str, list[str]]) -> None:
        self.served, self.peer, self.method, self.path, self.asked, self.sent = \
            served, peer, method, path, asked, sent
        self._phone = phone
        self.now: datetime = clock.now().replace(microsecond=0)
        self.wrote = False

    @property
    def phone(self) -> Phone:
        assert self._phone is not None, "the guard lets no unknown phone come here"
        return self._phone

    @property
    def known(self) -> bool:
        return self._phone is not None

    @property
    def person(self) -> str:
        return self.phone.person

    @cached_property
    def home(self) -> Household:
        """The household now. Raises what the logbook deserves, and NotWelcome."""
        home = look_set_up(self.served.path, self.now)
        if str(store.logbook_id(self.served.path)) != self.served.logbook:
            raise NotALogbook("Another logbook is in the place of the one whose phones these are.",
                              hint=Hint("At the computer, start the pages again: ", Action("phone serve")))
        people = home.state.people
        if people and (self.person not in people or not people[self.person].active):
            raise NotWelcome(f"{self.person} is not a person of this household any more, so this phone cannot log.",
                             hint=Hint("At the computer, add it for somebody who is: ",
                                       Action("phone add", name="NAME")))
        return home

    def of(self, phone: Phone) -> Call:
        """The same request as one of that phone."""
        return Call(self.served, phone, self.peer, self.method, self.path, self.asked, self.sent)

    def look_again(self) -> None:
        """Forget the household that was looked at: others wrote since."""
        self.__dict__.pop("home", None)

    def ask(self, name: str) -> str:
        """A value of the address, “” where it is not in it."""
        return self.asked.get(name, [""])[-1]

    def send(self, name: str) -> str:
        """A value of the form, “” where it is not in it."""
        return self.sent.get(name, [""])[-1]

    @property
    def typed(self) -> list[tuple[str, str]]:
        """Everything that was sent, in its order."""
        return [(name, value) for name, values in self.sent.items() for value in values]

    @property
    def address(self) -> str:
        """The path with what was asked."""
        query = urlencode([(name, value) for name, values in self.asked.items() for value in values])
        return f"{self.path}?{query}" if query else self.path

    def form(self, purpose: str, shown: object = None) -> str:
        """The key of a form that is shown now."""
        return self.served.forms.show(self.phone.digest, purpose, self.now, shown)

    def once(self, purpose: str, act: Callable[[object], tuple[Sequence[Words], Sequence[Fact]]]) -> Response:
        """Act on the form that was sent, the first time only; the page that tells what came of it."""
        self.served.forms.once(self.phone.digest, purpose, self.send("form"), self.now, act)
        return self.told()

    def told(self) -> Response:
        """The way to the page that tells what came of the form that was sent."""
        return RedirectResponse(f"/logged?{urlencode({'form': self.send('form')})}", 303)

    def outcome(self, key: str) -> Outcome | None:
        """What came of a form of this phone."""
        return self.served.forms.outcome(self.phone.digest, key)

    def write(self, decide: Callable[[Household], D]) -> tuple[door.Logged[D], list[Words]]:
        """Append what `decide` makes of the household, and what is to be minded of the clock."""
        minded: list[Words] = []
        done = door.log(self.home, decide, mind=minded.append)
        self.wrote = True
        return done, minded

    def page(self, template: str, title: str, **context: object) -> Response:
        """A page for this phone."""
        return pages.page(template, title, person=self.person if self.known else None, **context)  # type: ignore[arg-type]
