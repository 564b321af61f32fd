"""Now, and the confirmation of a load: what to turn and carry for it, and one tap that logs it."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.responses import Response

from gwlog import clock
from gwlog.actions import Words
from gwlog.app import entries
from gwlog.errors import AnswerChanged, BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.phone import hints
from gwlog.phone.call import Call
from gwlog.phone.forms import OldForm
from gwlog.views import answers, consequences, load_list, next_load
from gwlog.views.valve_and_outlets import as_it_stands, place_rows


def now(call: Call) -> Response:
    """Where everything stands, the next load, and each usual load with its answer."""
    home = call.home
    running = next_load.draining(home)
    coming = next_load.next_loads(home)
    answer = coming[0] if coming else None
    runs = None if answer is None or (answer.expected is not None and answer.expected.usual_load is None) else \
        load_address(answer.load)
    valve, *outlets = place_rows(home)
    return call.page(
        "now", home.state.site.name if home.state.site else "Now", here="/", now=clock.echo(home.now, home.zone),
        draining=None if running is None else next_load.draining_line(home, running),
        next_title="No load is expected." if answer is None else next_load.title(home, answer),
        next_answer=None if answer is None else next_load.answer_words(answer),
        permission=next_load.permission_line(home, coming[:1]),
        steps=[] if answer is None else answers.before(answer) or [answers.NOTHING_FIRST],
        why="" if answer is None else answer.why, next_link=runs,
        rows=[(row, load_address(row.name)) for row in load_list.load_rows(home, entries.usual_load_names(home))],
        places=[(valve, "/log/valve"), *((row, f"/log/move?{urlencode({'outlet': row[0]})}") for row in outlets)])


def load_address(name: str) -> str:
    """The page that confirms a load."""
    return f"/load?{urlencode({'name': name})}"


def load(call: Call) -> Response:
    """What to do for a usual load that runs now, to be confirmed."""
    return _confirmation(call, entries.read_query(call.home, call.ask("name"), None, (), ())[0])


def _confirmation(call: Call, name: str, fault: GwlogError | None = None) -> Response:
    home = call.home
    agreed = answers.agreed_to(home, home.query(name))
    status = 200 if fault is None else 422 if isinstance(fault, BadInput) else 409
    return call.page(
        "load", f"{name}, {home.reader.volume(agreed.answer.volume_l)}", status=status,
        refused=[] if fault is None else hints.refused(fault), answer_words=next_load.answer_words(agreed.answer),
        permission=next_load.permission_line(home, [agreed.answer]), parts=answers.parts(home, agreed.answer),
        action=load_address(name), form=call.form(f"load {name}", agreed),
        must_prepare=bool(answers.before(agreed.answer)), standing=as_it_stands(home),
        differently=f"/log/load?{urlencode({'load': name})}")


def log_load(call: Call) -> Response:
    """Log a load as its confirmation told it."""
    name = entries.read_query(call.home, call.ask("name"), None, (), ())[0]

    def act(seen: object) -> tuple[list[Words], list[Fact]]:
        assert isinstance(seen, answers.Agreed)

        def decide(home: Household) -> entries.LoadDraft:
            answers.refuse_changed(seen, home, home.query(name))
            make = entries.load if call.send("way") == "stands" else entries.load_as_advised
            return make(home, name, entries.read_author(home, by=call.person))

        done, minded = call.write(decide)
        return [*minded, *answers.logged_lines(done.home, done.draft.answer, done.written),
                *consequences.late(done.home, done.written)], done.written

    try:
        return call.once(f"load {name}", act)
    except (AnswerChanged, OldForm, BadInput) as fault:
        call.look_again()
        return _confirmation(call, name, fault)
