"""What the guided setup shows besides fields: the guesses with their keys, and the review of the whole household."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content
from textual.style import Style

from gwlog.setup import unsaid
from gwlog.setup.describe import describe
from gwlog.setup.draft import Judged, in_words
from gwlog.state import fold
from gwlog.text import wrap
from gwlog.tui.setup.guess_lines import GuessLine
from gwlog.tui.widgets.cells import marked, plain, refusal

GUESSED = "Guessed from the place. Enter takes all of it; the letter before a line changes it, now or later."
TAKEN = "Read it to the end: what can never work comes first. Enter shows the rest, then makes the logbook."


def guess_content(lines: Sequence[GuessLine], width: int) -> list[Content]:
    """Each guess with its key, and its reason below it, folded to `width` columns."""
    found = []
    for line in lines:
        label, room = f"{line.label:<10} ", max(20, width - 14)
        first, *more = wrap(line.words, room) or [""]
        click = Style.from_meta({"@click": f"screen.change('{line.key}')"}) + Style(bold=True, underline=True)
        found.append(Content.styled(line.key, click) + plain(f"  {label}{first}"))
        found += [plain(f"{'':<14}{part}") for part in more]
        found += [plain(f"{'':<14}{part}", "dim") for part in wrap(line.reason, room) if line.reason]
    return found


def review_content(judged: Judged, taken: unsaid.Unsaid, titles: Mapping[str, str]) -> list[Content]:
    """The household in lines: what can never work, what to be careful about, what nobody said, what is described."""
    if judged.site_file is None:
        return [refusal(f"{titles.get(one.kind, one.kind)}: {one.words}. Go back with page up.")
                for one in judged.wrong]
    site_file = judged.site_file
    warnings = [in_words(line) for line in site_file.warnings]
    found = [refusal(line) for line in warnings[: site_file.never]]
    found += [marked("check:", line) for line in warnings[site_file.never:]]
    if lines := unsaid.lines(taken):
        found += [plain("Assumed, since nobody said it; the entries say so:", "bold"),
                  *(marked("·", line) for line in lines)]
    found.append(plain("What will be written:", "bold"))
    return [*found, *(plain(line) for line in describe(site_file.facts, fold([])))]
