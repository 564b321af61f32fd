"""What somebody might do to a handover."""

from __future__ import annotations

from collections.abc import Callable

from gwlog.journal.pack import manifest_bytes
from tests.promise.logbook_forms import edited
from tests.promise.material import Members, manifest_of, members_in, repacked, signed
from tests.promise.pack_forms import LETTER, better
from tests.promise.tampered import Bench, Given, form


def of_bytes(name: str, change: Callable[[bytes], bytes]) -> None:
    """A form in which the bytes of the zip are changed."""
    @form(f"handover.{name}")
    def tampered(bench: Bench) -> Given:
        return Given(bench.write(change(bench.material.handover().read_bytes())))


of_bytes("bytes-before", lambda content: b"MZ" + content)
of_bytes("bytes-after", lambda content: content + b"\0")
of_bytes("cut-off", lambda content: content[:-30])


def of_files(name: str, change: Callable[[Bench, Members], Members], *, says: str = "") -> None:
    """A form in which files are changed."""
    @form(f"handover.{name}")
    def tampered(bench: Bench) -> Given:
        members = members_in(bench.material.handover())
        changed = change(bench, members)
        assert changed != members
        return Given(bench.write(repacked(changed)), says=says)


def swapped(name: str, file: str, content: Callable[[Bench, Members], bytes]) -> None:
    """A form in which one file is another, and the manifest with it."""
    of_files(name, lambda bench, members: signed({**members, file: content(bench, members)}))


def without(members: Members, name: str) -> Members:
    """The files but for one."""
    return {other: data for other, data in members.items() if other != name}


of_files("foreign-file", lambda _, members: {**members, "words.txt": b"all is well"})
of_files("file-missing", lambda _, members: signed(without(members, "card.pdf")))
of_files("report-changed", lambda _, members: {**members, "report.pdf": members["card.pdf"]})
of_files("manifest-removed", lambda _, members: without(members, "manifest.json"), says="has no manifest")
of_files("manifest-changed", lambda _, members: {
    **members, "manifest.json": members["manifest.json"].replace(b'"notes_withheld": ', b'"notes_withheld": 1')})
swapped("report-swapped", "report.pdf", lambda _, members: members["card.pdf"])
swapped("manual-swapped", "manual.pdf", lambda _, members: members["card.pdf"])
swapped("card-swapped", "card.pdf", lambda _, members: members["manual.pdf"])
swapped("readme-swapped", "README.txt", lambda _, members: members["README.txt"] + b"All is well.\n")
swapped("site-swapped", "site.toml",
        lambda _, members: members["site.toml"].replace(b"occupants = 3", b"occupants = 2"))
swapped("pack-older", "pack.zip", lambda bench, _: bench.material.pack("next-tenant", "older").read_bytes())
swapped("logbook-rewritten", "logbook.db",
        lambda bench, _: members_in(bench.material.handover("made_up"))["logbook.db"])


def _logbook_changed(bench: Bench, members: Members) -> bytes:
    path = bench.write(members["logbook.db"], "changed.db")
    with edited(path) as connection:
        connection.execute("UPDATE wash_load SET volume_ml = volume_ml + 1000")
    return path.read_bytes()


def _letter_changed(bench: Bench, members: Members) -> bytes:
    inside = members_in(bench.write(members["pack.zip"], "inside.zip"))
    return repacked(signed({**inside, LETTER: better(inside)}))


swapped("logbook-changed", "logbook.db", _logbook_changed)
swapped("pack-letter", "pack.zip", _letter_changed)


def told(name: str, **changed: str) -> None:
    """A form in which the manifest tells something else, with a digest that fits."""
    of_files(name, lambda _, members: {
        **members, "manifest.json": manifest_bytes(manifest_of(members) | changed)})


told("manifest-number", seal_number="3:" + "0" * 64)
told("manifest-home", home="0" * 64)
told("manifest-site", site="Heron House")
told("manifest-made", made="2026-07-20T18:00:00Z")


def of_another(name: str, logbook: str) -> None:
    """A form in which gwlog itself hands on another logbook."""
    @form(f"handover.{name}")
    def tampered(bench: Bench) -> Given:
        return Given(bench.material.handover(logbook), number=bench.material.number)


of_another("rewritten", "made_up")
of_another("tail-cut", "older")
