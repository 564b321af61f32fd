"""The forms that log anything: the same fields, refusals and words as the terminal screens have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import urlencode

from starlette.responses import RedirectResponse, Response

from gwlog import text
from gwlog.actions import Words
from gwlog.app import entries, reminder_replies
from gwlog.app.forms import model
from gwlog.app.forms.entries import FORMS, withdrawal_of
from gwlog.app.forms.later import later_of
from gwlog.app.forms.model import FormSpec, Value, Values
from gwlog.errors import AnswerChanged, BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.phone import hints
from gwlog.phone.call import Call
from gwlog.phone.forms import OldForm
from gwlog.values import NamedTuple
from gwlog.views import answers, next_load
from gwlog.views.log import taken_back

BY = ("by", "who")
"""Fields for who did it: the phone is somebody's."""


class Seen(NamedTuple):
    """What a form's values came to when somebody looked."""

    gist: object


def enter(call: Call) -> Response:
    """A form, filled in as far as the address says; or log what it says."""
    spec = _spec(call)
    return _form(call, spec, _preset(call, spec)) if call.method == "GET" else _take(call, spec)


def later(call: Call) -> Response:
    """Put a reminder off."""
    one = reminder_replies.find(call.home, call.ask("reminder"))
    spec = later_of(one.key, one.text)
    return _form(call, spec, None) if call.method == "GET" else _take(call, spec)


def take_back(call: Call) -> Response:
    """Withdraw an entry of one's own, with the reason."""
    if call.outcome(call.send("form")) is not None:   # sent again; the entry is withdrawn by now
        return call.told()
    spec = withdrawal_of(call.home, _own(call.home, call.ask("entry"), call.person).id)
    return _form(call, spec, None) if call.method == "GET" else _take(call, spec)


def take_back_all(call: Call) -> Response:
    """Withdraw what was logged together a moment ago."""
    of = call.send("of")
    outcome = call.outcome(of)
    if outcome is None or not outcome.written:
        return RedirectResponse("/log", 303)
    batch = outcome.written

    def act(_seen: object) -> tuple[Sequence[Words], Sequence[Fact]]:
        done, minded = call.write(lambda home: entries.take_back(home, batch, call.person, "phone"))
        return [*minded, *taken_back(done.home, batch)], ()

    return call.once(f"take back {of}", act)


def logged(call: Call) -> Response:
    """What came of a form; what it wrote can be taken back from here."""
    key = call.ask("form")
    outcome = call.outcome(key)
    if outcome is None:
        return RedirectResponse("/log", 303)
    back = bool(outcome.written) and all(fact.KIND != "withdrawal" for fact in outcome.written)
    return call.page("logged", "Logged" if outcome.written else "Taken back", lines=outcome.lines, of=key,
                     form=call.form(f"take back {key}") if back else "")


def _spec(call: Call) -> FormSpec:
    key = call.path.removeprefix("/log/")
    if key not in FORMS:
        raise BadInput(f"There is no form for “{text.one_line(key)[:40]}”.")
    return FORMS[key]


def _own(home: Household, typed: str, person: str) -> Fact:
    """The entry that somebody wants to take back from their phone. Raises BadInput for another person's."""
    if not (typed.isascii() and typed.isdecimal() and len(typed) < 10):
        raise BadInput(f"“{text.one_line(typed)[:20]}” is not the number of an entry.")
    entry = entries.find_entry(home, int(typed))
    if entry.recorded_by != person:
        raise BadInput(f"Entry {entry.id} was logged by {entry.recorded_by or 'nobody named'}, not by {person}.",
                       hint="Whoever logged it takes it back, or anybody at the computer.")
    return entry


def _preset(call: Call, spec: FormSpec) -> dict[str, Value]:
    many = {field.key for field in spec.fields if field.many}
    return {name: tuple(values) if name in many else values[-1] for name, values in call.asked.items()}


def _values(call: Call, spec: FormSpec) -> dict[str, Value]:
    """What was sent, for the form; who it is says the phone."""
    found: dict[str, Value] = {}
    for field in spec.fields:
        found[field.key] = tuple(call.sent.get(field.key, ())) if field.many else call.send(field.key)
        if field.key in BY:
            found[field.key] = call.person
    return found


def _address(call: Call) -> str:
    """The address of the form that is shown or was sent, and what it is for."""
    kept = [(name, value) for name in ("reminder", "entry") for value in call.asked.get(name, ())]
    return call.path + (f"?{urlencode(kept)}" if kept else "")


def _take(call: Call, spec: FormSpec) -> Response:
    """Log what was sent. A load is looked at first, and so is whatever there is something to mind about."""
    values, step = _values(call, spec), call.send("step")
    if step == "change":
        return _form(call, spec, None, values)
    if step != "log" and call.outcome(call.send("form")) is None and (
            step == "look" or model.judge(spec, call.home, values).advice):
        return _review(call, spec, values)
    return _log(call, spec, values)


def _form(call: Call, spec: FormSpec, preset: Mapping[str, Value] | None, kept: Values | None = None,
          fault: GwlogError | None = None) -> Response:
    home = call.home
    opened = [one for one in model.opened(spec, home, preset, kept) if one.field.key not in BY]
    return call.page(
        "form", spec.title, here=call.path, status=200 if fault is None else 422,
        refused=[] if fault is None else hints.refused(fault), action=_address(call), form=call.form(_address(call)),
        fields=opened, look=spec.answer is not None)


def _review(call: Call, spec: FormSpec, values: Values, fault: GwlogError | None = None) -> Response:
    """What the values would log, to be confirmed; the form again where they cannot."""
    home = call.home
    judged = model.judge(spec, home, values)
    if judged.refusal is not None:
        return _form(call, spec, None, values, judged.refusal)
    typed = [(name, value) for name, value in call.typed if name not in ("form", "step")]
    told = spec.answer(home, values) if spec.answer else None
    return call.page(
        "review", spec.title, status=200 if fault is None else 409,
        refused=[] if fault is None else hints.refused(fault), entries=judged.entries, action=_address(call),
        answer_words=None if told is None else next_load.answer_words(told[1]),
        parts=[] if told is None else answers.parts(*told), advice=() if told else judged.advice, typed=typed,
        form=call.form(_address(call), Seen(model.gist(spec, home, values))))


def _log(call: Call, spec: FormSpec, values: Values) -> Response:
    def act(seen: object) -> tuple[Sequence[Words], Sequence[Fact]]:
        if spec.answer is not None and not isinstance(seen, Seen):
            raise AnswerChanged("Nothing was logged yet: look first at what would be.")

        def decide(home: Household) -> Sequence[Fact]:
            if isinstance(seen, Seen):
                return model.agreed(spec, lambda: seen.gist, None, home, values)
            return spec.build(home, values)

        done, minded = call.write(decide)
        return [*minded, *model.logged(spec, done.home, values, done.written)], done.written

    try:
        return call.once(_address(call), act)
    except AnswerChanged as changed:
        call.look_again()
        return _review(call, spec, values, changed)
    except (BadInput, OldForm) as fault:
        return _form(call, spec, None, values, fault)
