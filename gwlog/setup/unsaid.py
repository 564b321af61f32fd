"""What nobody said of a household and was guessed or taken as usual: told before it is sealed, and noted.

So that a reader of the logbook can tell what a person stated from what was filled in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from gwlog.journal.facts import Fact
from gwlog.text import NOTE_LIMIT, listed

Unsaid = Mapping[tuple[str, str], Sequence[str]]
"""Kind of entry and name of the thing (empty for the site) -> what was guessed or taken, each in words."""

CONTENTS_BY_NAME: dict[str, str] = {
    "diaper": "diapers", "nappies": "diapers", "nappy": "diapers", "soiled": "soiled", "sick": "illness",
    "solvent": "solvent", "paint": "solvent", "oily": "oil", "greasy": "oil", "pesticide": "pesticide", "dye": "dye",
    "drum": "drum-cleaning",
}
"""How a word of a load's name begins -> what such a load holds, unless a person says otherwise."""


def contents_of(name: str) -> str | None:
    """What a load holds by its name: “diapers” for “baby diapers”; None where the name tells nothing."""
    said = name.casefold().split()
    return next((contents for word, contents in CONTENTS_BY_NAME.items() if any(one.startswith(word) for one in said)),
                None)


def of_basin(table: Mapping[str, object], kept: Sequence[str]) -> list[str]:
    """What a basin's table leaves out, and (`kept`) what it has as it was offered, in words."""
    found = list(kept)
    if not any(key.startswith("canopy") for key in table):
        found.append("canopy as large as the basin")
    if "edible" not in table:
        found.append("what is eaten, by its plants")
    return found


def of_wash(washer: Mapping[str, object], loads: Sequence[Mapping[str, object]]) -> dict[tuple[str, str], list[str]]:
    """What a machine and its loads leave out, by kind and name."""
    found: dict[tuple[str, str], list[str]] = {}
    if not any(key.startswith("volume") for key in washer):
        found["washer", str(washer.get("name", ""))] = ["the water of a run, as is usual for the kind"]
    for load in loads:
        name = str(load.get("name", ""))
        if load.get("contents") == [contents_of(name)]:
            found["usual_load", name] = [f"that it contains {contents_of(name)}, by its name"]
    return found


def note_of(words: Sequence[str]) -> str:
    """The note of an entry that holds what nobody said."""
    return f"Not said, assumed: {listed(list(words))}."[:NOTE_LIMIT]


def with_notes(facts: Sequence[Fact], unsaid: Unsaid) -> list[Fact]:
    """The facts, each with a note of what was taken in it."""
    noted = []
    for fact in facts:
        words = unsaid.get((fact.KIND, "" if fact.KIND == "site" else str(getattr(fact, "name", ""))), ())
        noted.append(replace(fact, note=note_of(words)) if words and fact.note is None else fact)
    return noted


def lines(unsaid: Unsaid) -> list[str]:
    """One line for each thing of which something was taken."""
    return [f"{kind.replace('_', ' ')}{f' “{name}”' if name else ''}: {listed(list(words))}"
            for (kind, name), words in unsaid.items() if words]
