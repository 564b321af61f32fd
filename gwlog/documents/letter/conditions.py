"""The code's conditions as the letter tells them: in groups, each with whether it was kept and what shows that.

Diapers, illness and chemicals are never told apart to the landlord: they are loads that had to go to the sewer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

from gwlog.decisions.query import reader_of
from gwlog.documents.letter.model import Finding, Kept
from gwlog.documents.record.privacy import Privacy
from gwlog.documents.record.private_words import of_health
from gwlog.reference.codes.topics import TOPICS
from gwlog.text import plural
from gwlog.views.code_profile import text_of

if TYPE_CHECKING:
    from gwlog.decisions.compliance import Evidence
    from gwlog.decisions.period import Past

OF_LOADS = frozenset({"valve", "diapers", "hazardous", "illness"})
"""What in a logbook shows conditions on which loads go to the sewer, by the keywords of codes.EVIDENCE."""

TOLD_BY_PROFILE = frozenset({"permit", "other rules"})
"""Topics on which a logbook shows nothing and the code profile says what there is."""

ROOM = 210
"""So many signs of what shows a condition stand in the letter; the annex has all of it."""

_FINDINGS: dict[str, Finding] = {"met": "yes", "met with exceptions": "not always", "exceptions only": "no"}

_GROUPS: tuple[tuple[str, frozenset[str]], ...] = (
    ("Wash unfit for the garden goes to the sewer.", OF_LOADS),
    ("No water stands, runs off or leaves the lot.", frozenset({"ponding"})),
    ("The water comes out under mulch.", frozenset({"cover"})),
    ("It goes to basins that can soak it up.", frozenset({"basins"})),
    ("No more water than the code allows.", frozenset({"volume", "average", "plant use"})),
    ("None in rain or frost, or out of season.", frozenset({"wet ground", "season"})),
    ("None on root crops or food touching the soil.", frozenset({"food"})),
    ("Detergents that plants can bear.", frozenset({"sodium", "softener"})),
    ("Manual and records are kept.", frozenset({"manual", "record"})),
    ("The system is built as the code asks.", frozenset({"system"})),
)


def grouped(found: Iterable[Evidence], past: Past, words: Privacy) -> tuple[Kept, ...]:
    """The groups of which a logbook shows something, with what it shows."""
    every = list(found)
    made = []
    for rule, keywords in _GROUPS:
        told = [one for one in every if one.condition.evidence in keywords]
        finding = _of_sewer(told, past) if keywords is OF_LOADS else _together(told)
        if finding != "not shown" or any(one.against for one in told):
            made.append(Kept(rule, finding, words.words(_SHOWN.get(min(keywords), _sentences)(told, past))))
    return tuple(made)


def not_shown(found: Iterable[Evidence], words: Privacy) -> tuple[str, ...]:
    """The topics of conditions for which the logbook shows nothing, in words."""
    topics = [one.condition.topic for one in found
              if not (one.shows or one.against) and one.condition.kind not in ("design flow", "choice")
              and not (one.condition.evidence == "none" and one.condition.topic in TOLD_BY_PROFILE)
              and not (words.by_week and one.condition.evidence in OF_LOADS)]
    return tuple(TOPICS[topic] for topic in dict.fromkeys(topics))


def each(found: Iterable[Evidence], past: Past, words: Privacy) -> Iterator[Kept]:
    """Condition by condition, for the annex; for the landlord those on which loads go to the sewer are one."""
    of_loads = []
    for one in found:
        if words.by_week and (one.condition.evidence in OF_LOADS or of_health(one.condition.text)):
            of_loads.append(one)
            continue
        said = [*one.shows, *(f"But: {line}" for line in one.against), *((one.remark,) if one.remark else ())]
        yield Kept(words.rule(text_of(one.condition)) if one.condition.sure == "household" else text_of(one.condition),
                   _FINDINGS.get(one.finding, "not shown"), words.words(" ".join(said)))
    if of_loads:
        yield Kept(_GROUPS[0][0], _of_sewer(of_loads, past), words.words(_loads(of_loads, past)))


def _together(told: Iterable[Evidence]) -> Finding:
    """Of several conditions. Where all that is known is that nobody looked, nothing is shown."""
    lines = [(bool(one.shows), one.against) for one in told]
    shows, against = any(shown for shown, _ in lines), [line for _, said in lines for line in said]
    if not against:
        return "yes" if shows else "not shown"
    return "not always" if shows else "not shown" if all("was missed" in line for line in against) else "no"


def _of_sewer(told: Iterable[Evidence], past: Past) -> Finding:
    """Of the conditions on loads for the sewer, by whether those loads went there."""
    due = [one for one in past.sewer if past.within(one.load.day)]
    if due and not any(one.diverted for one in due):
        return "no"
    return "not always" if any(not one.diverted for one in due) else _together(told)


def _sentences(told: list[Evidence], past: Past) -> str:
    """What shows a group, and what stands against it, as far as there is room; a sentence is never cut."""
    shows = dict.fromkeys(line for one in told for line in one.shows)
    against = dict.fromkeys(line for one in told for line in one.against)
    first = [*list(shows)[:1], *(f"But: {line}" for line in against)]
    kept: list[str] = []
    for line in (*first, *list(shows)[1:]):
        if sum(map(len, kept)) + len(line) <= ROOM:
            kept.append(line)
    left = len(shows) + len(against) - len(kept)
    return " ".join(kept or first[:1]) + (" More in the annex." if left > 0 and kept else "")


def _loads(told: list[Evidence], past: Past) -> str:
    due = [one for one in past.sewer if past.within(one.load.day)]
    went = sum(one.diverted for one in due)
    said = [f"{went:,} of {plural(len(due), 'load')} that had to go to the sewer did."] if due else \
        ["No load had to go to the sewer."]
    tested = past.done("throw the valve")
    if tested:
        said.append(f"The valve was thrown both ways as a test {past.on(*tested[-2:])}.")
    said += dict.fromkeys(f"But: {line}" for one in told for line in one.against if "missed" in line)
    return " ".join(said)


def _basins(told: list[Evidence], past: Past) -> str:
    loads = list(past.garden_loads())
    basins = {delivery.basin for run in loads for delivery in run.deliveries}
    said = [f"{plural(len(loads), 'load')}, {reader_of(past.state).volume(sum(run.litres for run in loads))}, went to "
            f"{plural(len(basins), 'mulch basin')}."] if loads else []
    said += dict.fromkeys(f"But: {line}" for one in told for line in one.against)
    return " ".join(said)


def _food(told: list[Evidence], past: Past) -> str:
    against = dict.fromkeys(f"But: {line}" for one in told for line in one.against)
    return " ".join(against) or "No load went to a basin with such plants."


def _system(told: list[Evidence], past: Past) -> str:
    fit = sum(bool(one.shows) and not one.against for one in told)
    said = [f"{fit} of {plural(len(told), 'point')}, by the household's own answers, not checked."]
    said += [f"But: {line}" for one in told for line in one.against]
    return " ".join(said)


_SHOWN: dict[str, Callable[[list[Evidence], Past], str]] = {
    min(OF_LOADS): _loads, "basins": _basins, "food": _food, "system": _system,
}
"""How a group is told, by the first of its keywords; others by the sentences of the evidence."""
