"""What the guided setup shows besides fields: the guesses with their keys, and the review of the whole household."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content

from gwlog.setup import unsaid
from gwlog.setup.describe import describe
from gwlog.setup.draft import Judged, in_words
from gwlog.state import fold
from gwlog.tui.setup.guess_lines import GuessLine
from gwlog.tui.widgets.cells import marked, plain, refusal

GUESSED = "Guessed from the place. Enter takes all of it; the letter before a line changes it, now or later."
TAKEN = "Read it to the end: what can never work comes first. Enter shows the rest, then makes the logbook."


def guess_content(lines: Sequence[GuessLine]) -> list[Content]:
    """Each guess with its key, and its reason below it."""
    found = []
    for line in lines:
        found.append(Content.assemble((line.key, "bold underline"), f"  {line.label:<10} ", plain(line.words)))
        if line.reason:
            found.append(plain(f"   {'':<10} {line.reason}", "dim"))
    return found


def review_content(judged: Judged, taken: unsaid.Unsaid, titles: Mapping[str, str]) -> list[Content]:
    """The household in lines: what can never work, what to be careful about, what nobody said, what is described."""
    if judged.site_file is None:
        return [refusal(f"{titles.get(one.kind, one.kind)}: {one.words}. Go back with page up.")
                for one in judged.wrong]
    site_file = judged.site_file
    warnings = [in_words(line) for line in site_file.warnings]
    found = [refusal(line) for line in warnings[: site_file.never]]
    found += [marked("mind:", line) for line in warnings[site_file.never:]]
    if lines := unsaid.lines(taken):
        found += [plain("Taken, since nobody said it; the entries say so:", "bold"),
                  *(marked("·", line) for line in lines)]
    found.append(plain("What will be written:", "bold"))
    return [*found, *(plain(line) for line in describe(site_file.facts, fold([])))]
