"""What verification promises: every form of tampering that it is tried with, and what becomes of it.

`gwlog verify --promise` prints this table, and the tests tamper by it: each form by its id, with the outcome that
stands here. What nobody can find is printed as that.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

FOUND = "found"
SHOWN = "shown"
NUMBER = "by number"
NEVER = "never"
OUTCOMES = {
    FOUND: "refused, exit code 4",
    SHOWN: "not refused: it may have been done rightly; the answer says so in words",
    NUMBER: "refused if you compare with a seal number noted or witnessed at or after the place (--noted); else never",
    NEVER: "nobody can find it from the file alone",
}
LOGBOOK, PACK, HANDOVER, EXPORT = KINDS = ("logbook", "pack", "handover", "export")
TITLES = {
    LOGBOOK: "A logbook or a backup: gwlog verify FILE.db",
    PACK: "A record pack: gwlog verify FILE.zip, and the check_seal.py in it",
    HANDOVER: "A handover: gwlog verify FILE.zip",
    EXPORT: "An export: gwlog verify FILE.jsonl",
}


class Form(NamedTuple):
    """One form of tampering: its id “pack.letter-swapped”, in words, and what becomes of it.

    `alone`: what check_seal.py makes of it, where that is not the same; packs only.
    """

    id: str
    words: str
    outcome: str
    alone: str | None = None

    @property
    def of(self) -> str:
        """What is tampered with, one of KINDS."""
        return self.id.partition(".")[0]

    @property
    def by_program(self) -> str:
        """What the program in the pack makes of it."""
        return self.alone or self.outcome


def _forms(of: str, *rows: tuple[str, ...]) -> Iterator[Form]:
    for name, *rest in rows:
        yield Form(f"{of}.{name}", *rest)


FORMS: tuple[Form, ...] = (
    *_forms(
        LOGBOOK,
        ("volume-changed", "how much water a load had is changed", FOUND),
        ("moment-changed", "when a load ran is changed", FOUND),
        ("author-changed", "who wrote an entry is changed", FOUND),
        ("place-changed", "where a load went is changed", FOUND),
        ("note-changed", "a note is reworded", FOUND),
        ("note-added", "a note is added where there was none", FOUND),
        ("note-removed", "a note is taken out: it shows as left out", SHOWN),
        ("salt-changed", "the salt of a note's digest is changed", FOUND),
        ("part-changed", "a part of an entry, as it is kept beside the seal, is changed", FOUND),
        ("part-deleted", "the parts of an entry are deleted beside the seal", FOUND),
        ("row-deleted", "an entry is deleted, its seal is left", FOUND),
        ("entry-deleted", "an entry is deleted with its seal", FOUND),
        ("first-deleted", "the first entry is deleted with its seal", FOUND),
        ("row-added", "an entry is added without a seal", FOUND),
        ("row-doubled", "an entry's number is given twice", FOUND),
        ("seal-added", "a seal is put in between with a right link of its own", FOUND),
        ("body-changed", "what was sealed is changed, the entry is not", FOUND),
        ("hash-changed", "a hash is changed", FOUND),
        ("link-changed", "the hash of the entry before is changed", FOUND),
        ("kind-changed", "the kind of a sealed entry is changed", FOUND),
        ("bodies-swapped", "two entries change places in the seal", FOUND),
        ("rows-swapped", "two entries change places", FOUND),
        ("replayed", "an earlier entry is put in the place of a later one", FOUND),
        ("row-and-body-changed", "an entry and its seal are changed, its hash is not", FOUND),
        ("one-hash-anew", "an entry, its seal and its hash are changed, the later hashes are not", FOUND),
        ("correction-hidden", "a correction is made to look like an entry of its own", FOUND),
        ("withdrawal-moved", "a withdrawal is made to withdraw another entry", FOUND),
        ("guard-dropped", "the write protection is taken away", FOUND),
        ("guard-changed", "the write protection is weakened", FOUND),
        ("guard-foreign", "a trigger of somebody else is put in", FOUND),
        ("index-wrong", "an index does not agree with its table", FOUND),
        ("page-overwritten", "a part of the file is overwritten", FOUND),
        ("file-cut", "the file is cut off", FOUND),
        ("file-other", "another file bears its name", FOUND),
        ("last-cut", "the last entry is cut off with its seal", NUMBER),
        ("tail-cut", "the last ten entries are cut off with their seals", NUMBER),
        ("older-copy", "an older copy is restored in its place", NUMBER),
        ("emptied", "every entry is cut off", NUMBER),
        ("rewritten-load", "a load is changed and every later hash made again", NUMBER),
        ("rewritten-note", "a note is reworded, with a new digest and every later hash", NUMBER),
        ("rewritten-author", "another is made to have written an entry, with every later hash", NUMBER),
        ("rewritten-without", "an entry is left out and all later ones are numbered and hashed again", NUMBER),
        ("rewritten-with", "an entry is put in between and all later ones are numbered and hashed again", NUMBER),
        ("rewritten-months", "plausible months are made up and sealed whole by the rule", NUMBER),
        ("two-numbers", "one of two seal numbers noted does not fit", FOUND),
        ("number-before", "rewritten after the place of the only number noted", NEVER),
        ("added-by-rule", "an entry is added at the end by whoever knows the rule", NEVER),
        ("not-true", "an entry was false when it was written", NEVER),
        ("not-written", "something happened and nobody wrote it down", NEVER),
        ("told-changed", "which reminders reached whom, which no seal holds, is changed", NEVER),
        ("clock-back", "an entry is written under a clock set back before earlier ones", SHOWN),
        ("clock-back-a-little", "an entry is written under a clock set back, but not before the last entry", NEVER),
        ("recorded-ahead", "an entry says it was written at a time that is still to come", SHOWN),
        ("happened-ahead", "an entry says it happened after it was written", SHOWN),
    ),
    *_forms(
        PACK,
        ("bytes-before", "bytes stand before the zip", FOUND),
        ("bytes-after", "bytes stand after the zip", FOUND),
        ("bytes-between", "bytes stand between two files in the zip", FOUND),
        ("bytes-behind-content", "bytes are hidden behind a file's packed content", FOUND),
        ("comment", "the zip has a comment", FOUND),
        ("member-comment", "a file in the zip has a comment", FOUND),
        ("extra-field", "a file in the zip has an extra field", FOUND),
        ("doubled-name", "two files have one name", FOUND),
        ("foreign-file", "a file is added that does not belong to a pack", FOUND),
        ("other-case", "a file is added whose name differs in capitals only", FOUND),
        ("path-name", "a file's name leads out of the folder", FOUND),
        ("folder-inside", "a folder is added", FOUND),
        ("link-inside", "a file is made a link to another place", FOUND),
        ("file-missing", "a file is left out", FOUND),
        ("files-swapped", "two files change names", FOUND),
        ("local-header", "a file bears another name in front of it than in the directory", FOUND),
        ("encrypted", "a file is marked as encrypted", FOUND),
        ("stored", "a file is packed in another way", FOUND),
        ("zip64", "the zip is of the form for very large files", FOUND),
        ("size-lies", "a file is longer than the zip says", FOUND),
        ("crc-wrong", "a file's check sum is another", FOUND),
        ("reordered", "the files stand in another order", FOUND),
        ("packed-anew", "the same files are packed again by another program", FOUND),
        ("date-changed", "the date of a file is changed", FOUND),
        ("byte-flipped", "one bit of the content is flipped", FOUND),
        ("cut-off", "the zip is cut off", FOUND),
        ("bomb", "a file unpacks to more than 100 MB", FOUND),
        ("folder-unlisted", "a file lies beside the others in the unpacked folder", FOUND),
        ("folder-link", "a file in the unpacked folder is a link", FOUND),
        ("folder-nested", "a folder lies in the unpacked folder", FOUND),
        ("folder-missing", "a file is missing from the unpacked folder", FOUND),
        ("folder-changed", "a file in the unpacked folder is changed", FOUND),
        ("letter-changed", "the letter is changed, the manifest is not", FOUND),
        ("letter-swapped", "the letter is changed, and the manifest with it", FOUND, NEVER),
        ("letter-of-another", "the letter is of another household, and the manifest with it", FOUND, NEVER),
        ("readme-swapped", "the README is changed, and the manifest with it", FOUND, NEVER),
        ("program-changed", "check_seal.py is changed, the manifest is not", FOUND),
        ("program-swapped", "check_seal.py is changed, and the manifest with it", FOUND, NEVER),
        ("program-older", "check_seal.py is an older one of gwlog's, and the manifest with it", FOUND, NEVER),
        ("manifest-changed", "the manifest is changed, its digest is not", FOUND),
        ("manifest-number", "the manifest names another seal number", FOUND),
        ("manifest-counts", "the manifest counts other entries", FOUND),
        ("manifest-period", "the manifest names another period", FOUND),
        ("manifest-withheld", "the manifest says that fewer notes are left out", FOUND),
        ("manifest-entries", "the manifest names another number of entries", FOUND),
        ("manifest-home", "the manifest says it is another household's", FOUND),
        ("manifest-site", "the manifest gives the site another name", FOUND),
        ("manifest-landlord", "the manifest says that a pack with the days is a landlord's", FOUND),
        ("manifest-reader", "the manifest says that a pack is for another reader with the days", FOUND, NEVER),
        ("manifest-summary", "the manifest's figures for the receiver are made better", FOUND, NEVER),
        ("manifest-made", "the manifest says that the pack was made on another day", FOUND, NEVER),
        ("manifest-version", "the letter is changed, and the manifest says that another gwlog made it: said in words",
         SHOWN, NEVER),
        ("manifest-form", "the pack is made one of an older form, with another report: said in words", SHOWN, NEVER),
        ("manifest-more", "the manifest holds something more", FOUND),
        ("manifest-key-twice", "the manifest says one thing twice", FOUND),
        ("manifest-file-more", "the manifest lists a file that is not there", FOUND),
        ("numbers-changed", "a seal number in noted.txt is changed, and the manifest with it", FOUND),
        ("numbers-removed", "a seal number is taken out of noted.txt, and the manifest with it", FOUND, NEVER),
        ("entry-changed", "an entry is changed, and the manifest with it", FOUND),
        ("entry-deleted", "an entry is deleted, and the manifest with it", FOUND),
        ("entry-added", "an entry is put in between, and the manifest with it", FOUND),
        ("entries-swapped", "two entries change places, and the manifest with it", FOUND),
        ("entry-replayed", "an earlier entry stands in the place of a later one, and the manifest with it", FOUND),
        ("one-hash-anew", "an entry and its hash are changed, and the manifest with it", FOUND),
        ("note-changed", "a note is reworded, and the manifest with it", FOUND),
        ("note-added", "a note is added where there was none, and the manifest with it", FOUND),
        ("note-removed", "a note is taken out, and the manifest with it: it shows as left out", FOUND, SHOWN),
        ("salt-changed", "the salt of a note is changed, and the manifest with it", FOUND),
        ("part-changed", "a part of an entry is changed, and the manifest with it", FOUND),
        ("parts-of-another", "two entries change parts, and the manifest with it", FOUND),
        ("names-removed", "who wrote the entries is taken out, and the manifest with it: it shows as left out", FOUND,
         SHOWN),
        ("line-more", "an entry's line holds something more, and the manifest with it", FOUND),
        ("line-key-twice", "an entry's line says one thing twice, and the manifest with it", FOUND),
        ("line-respelled", "what was sealed is spelled in another way, hashed again, and the manifest with it", FOUND),
        ("line-cut", "the last line is cut off, and the manifest with it", FOUND),
        ("line-ends", "the lines end as on another system, and the manifest with it", FOUND),
        ("kind-unknown", "a kind of entry that there is not is sealed by the rule, with every later hash", FOUND),
        ("value-beyond", "a load of more water than any is sealed by the rule, with every later hash", FOUND),
        ("two-numbers", "one of two seal numbers noted does not fit", FOUND),
        ("tail-cut", "the end is cut off and everything made again by gwlog", NUMBER),
        ("older-state", "a pack of an older state is given", NUMBER),
        ("rewritten", "everything is rewritten by the rule and packed by gwlog", NUMBER),
        ("another-home", "a pack of another household of the same name is given", NUMBER),
        ("added-by-rule", "an entry is added at the end by whoever knows the rule", NEVER),
        ("landlord-letter", "a landlord's letter is changed, and the manifest with it: said in words", SHOWN, NEVER),
        ("landlord-summary", "a landlord's figures are made better, and the manifest with them", NEVER),
        ("landlord-entry", "an entry of a landlord's pack is changed, and the manifest with it", FOUND),
        ("landlord-hashes", "the first entries of a landlord's pack are cut to their hashes, as older ones are",
         SHOWN),
        ("landlord-annex", "an annex is put into a landlord's pack, and the manifest with it", FOUND),
    ),
    *_forms(
        HANDOVER,
        ("bytes-before", "bytes stand before the zip", FOUND),
        ("bytes-after", "bytes stand after the zip", FOUND),
        ("cut-off", "the zip is cut off", FOUND),
        ("foreign-file", "a file is added", FOUND),
        ("file-missing", "a file is left out, and the manifest with it", FOUND),
        ("report-changed", "the report is changed, the manifest is not", FOUND),
        ("report-swapped", "the report is changed, and the manifest with it", FOUND),
        ("manual-swapped", "the manual is changed, and the manifest with it", FOUND),
        ("card-swapped", "the card is changed, and the manifest with it", FOUND),
        ("readme-swapped", "the README is changed, and the manifest with it", FOUND),
        ("site-swapped", "the setup is changed, and the manifest with it", FOUND),
        ("logbook-changed", "an entry in the logbook is changed, and the manifest with it", FOUND),
        ("logbook-rewritten", "the logbook alone is rewritten by the rule, and the manifest with it", FOUND),
        ("pack-older", "the pack is an older one, and the manifest with it", FOUND),
        ("pack-letter", "the letter in the pack is changed, and both manifests with it", FOUND),
        ("manifest-changed", "the manifest is changed, its digest is not", FOUND),
        ("manifest-number", "the manifest names another seal number", FOUND),
        ("manifest-home", "the manifest says it is another household's", FOUND),
        ("manifest-site", "the manifest gives the site another name", FOUND),
        ("manifest-made", "the manifest says that it was made on another day", FOUND),
        ("manifest-removed", "the manifest is taken out, as older versions had none: said in words", SHOWN),
        ("rewritten", "everything is rewritten by the rule and handed on by gwlog", NUMBER),
        ("tail-cut", "the end is cut off and everything handed on by gwlog", NUMBER),
    ),
    *_forms(
        EXPORT,
        ("entry-changed", "an entry is changed", FOUND),
        ("entry-deleted", "an entry is deleted, and the closing line made again", FOUND),
        ("entry-added", "an entry is put in between, and the closing line made again", FOUND),
        ("entries-swapped", "two entries change places, and the closing line made again", FOUND),
        ("note-changed", "a note is reworded, and the closing line made again", FOUND),
        ("note-added", "a note is added, and the closing line made again", FOUND),
        ("note-removed", "a note is taken out, and the closing line made again: it shows as left out", SHOWN),
        ("salt-changed", "the salt of a note is changed, and the closing line made again", FOUND),
        ("line-more", "a line holds something more, and the closing line made again", FOUND),
        ("line-key-twice", "a line says one thing twice, and the closing line made again", FOUND),
        ("line-empty", "an empty line is put in", FOUND),
        ("line-ends", "the lines end as on another system", FOUND),
        ("byte-order-mark", "a sign is put before the first line", FOUND),
        ("cut-in-line", "the file is cut off within a line", FOUND),
        ("cut-with-closing", "entries are cut off before the closing line", FOUND),
        ("closing-changed", "the closing line names another seal number", FOUND),
        ("closing-withheld", "the closing line says that fewer notes are left out", FOUND),
        ("closing-twice", "the closing line stands twice", FOUND),
        ("closing-removed", "the closing line is taken out: said in words", SHOWN),
        ("kind-unknown", "a kind of entry that there is not is sealed by the rule, with every later hash", FOUND),
        ("respelled", "what was sealed is spelled in another way and hashed again", FOUND),
        ("out-of-range", "a moment that is none is sealed by the rule, with every later hash", FOUND),
        ("tail-cut", "the end is cut off and the closing line made again", NUMBER),
        ("rewritten", "a load is changed, every later hash and the closing line made again", NUMBER),
    ),
)

HOW = (
    "Each form was tried, and what stands before it came of it. Two outcomes of a pack: gwlog's own, then that of the "
    "check_seal.py in it, which cannot make the papers again. Other forms than these may be found or not. Nothing "
    "proves that an entry is true or that everything was written down."
)


def lines() -> Iterator[tuple[str, str]]:
    """The table as it is printed: what stands before a line, and its words; a title has nothing before it."""
    yield "", f"What verifying finds, tried in {len(FORMS)} forms of tampering."
    yield from OUTCOMES.items()
    yield "", HOW
    for kind in KINDS:
        yield "", TITLES[kind]
        for form in FORMS:
            if form.of == kind:
                both = form.outcome if form.by_program == form.outcome else f"{form.outcome}, {form.by_program}"
                yield both, form.words
