"""What papers, commands and screens say of a household's code: its name and date, what comes first, what was answered.

One set of words, so that manual, record, card and setup cannot differ.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from gwlog.decisions.compliance import answer_words
from gwlog.decisions.query import profile_at, reader_of
from gwlog.decisions.told import SETTLED, first_word, open_questions, settled_permit, told_figure
from gwlog.reference.codes import KINDS, newer
from gwlog.reference.codes.system import QUESTIONS, answers_of, judged
from gwlog.reference.codes.topics import TOPICS
from gwlog.reference.source import CHECK_LOCAL

if TYPE_CHECKING:
    from gwlog.journal.facts import Site
    from gwlog.reference.codes import Condition, Profile
    from gwlog.state import State
    from gwlog.units import Reader

SILENT = "The text says nothing of it, as far as it was read."


def named(profile: Profile) -> str:
    """The profile in a line: place, id, document, date, letter, edition as held."""
    kept = "as first held" if profile.as_of == "first" else f"held as of {profile.as_of}"
    return f"{profile.called}: {profile.document}, {profile.dated} ({profile.sure}); {kept}; {CHECK_LOCAL}"


def said(state: State, today: date) -> tuple[tuple[str, str], ...]:
    """What has to be known of the code beside its conditions: a label and a sentence each."""
    site = state.site
    profile = profile_at(site)
    found = [("code profile", named(profile))]
    found += [("before the first load", one) for one in _first(site)]
    if (expired := profile.expired(today)) is not None:
        found.append(("no longer in force", expired))
    found += [("rule of the place", f"{one}.") for one in profile.adapted]
    if (figure := told_figure(state)) is not None:
        found.append(("gallons a day", f"{figure[:1].upper()}{figure[1:]}."))
    found += [("open question", one) for one in open_questions(profile)]
    if profile.unread:
        found.append(("may hold more", profile.unread))
    if (offer := offered(site)) is not None:
        found.append(("newer edition", offer))
    return tuple(found)


def _first(site: Site | None) -> list[str]:
    word = first_word(site)
    if word is not None:
        return [word]
    if (answer := settled_permit(site)) in SETTLED:
        return [f"By the setup a permit is {answer}."]
    asked = profile_at(site).condition("permit")
    return [asked.text] if asked is not None else []


def offered(site: Site | None) -> str | None:
    """That a newer edition of the household's profile is held; None where it has the newest."""
    later = newer(site.code, site.code_edition) if site is not None else None
    if later is None:
        return None
    return f"An edition of {later.as_of} is held too; the logbook keeps its own until somebody takes the newer one."


def text_of(condition: Condition) -> str:
    """A condition as papers restate it: its text, what kind it is where it is no duty, and what to mind."""
    kind = "" if condition.kind in ("must", "limit a day") else f" [{condition.kind}: {KINDS[condition.kind]}]"
    whose = " [stated by the household]" if condition.sure == "household" else ""
    return f"{condition.text}{kind}{whose}{f' {condition.mind}' if condition.mind else ''}"


def silent(profile: Profile) -> tuple[str, ...]:
    """The topics on which the code says nothing, as far as it was read, in words."""
    return tuple(TOPICS[topic] for topic in profile.silent)


def gate(site: Site | None, read: Reader) -> list[tuple[str, str, str]]:
    """Every question about the system that the code asks or the household answered: question, answer, judgement."""
    answers = answers_of(site.system_answers) if site is not None else {}
    rows: dict[str, tuple[str, str, str]] = {}
    for condition in profile_at(site).conditions:
        for key, accepted in condition.asks:
            verdict = judged(condition, key, accepted, answers)
            kept = "its text was not read: ask for it" if condition.not_read else "as the code asks"
            words = {"kept": f"{kept}: {condition.text}", "broken": f"AGAINST the code: {condition.text}",
                     "not asked": f"the code asks: {condition.text}"}[verdict]
            answer = answer_words(key, answers[key], read) if key in answers else "not answered"
            rows.setdefault(key, (QUESTIONS[key].words, answer, words))
    for key, answer in answers.items():
        rows.setdefault(key, (QUESTIONS[key].words, answer_words(key, answer, read), "not asked by this code"))
    return list(rows.values())


def lines(state: State, today: date) -> list[str]:
    """The code of a household as `setup code` tells it."""
    page = [f"{label}: {words}" for label, words in said(state, today)]
    page += ["", "The system itself, as it was answered:"]
    page += [f"  {question} {answer} ({by_the_code})"
             for question, answer, by_the_code in gate(state.site, reader_of(state))]
    return page
