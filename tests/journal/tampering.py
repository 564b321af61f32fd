"""What somebody might do to a logbook file or a record pack, drawn at random from a seed: 1,000 edits in the tests.

Each edit says whether the promise covers it, or whether only a seal number noted earlier shows it.
"""

from __future__ import annotations

import io
import json
import re
import sqlite3
import zipfile
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

from gwlog.journal import chain, pack
from gwlog.journal.facts import KINDS
from gwlog.journal.zipped import zipped

FOUND, ONLY_IF_NOTED, HARMLESS_OR_FOUND = "found", "only with a seal number noted earlier", "harmless or found"

Members = dict[str, bytes]


def content(path: Path) -> Any:
    """Everything that the seal speaks of, read without gwlog; None when SQLite cannot read it."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as connection:
            entries = [sorted(tuple(map(_as_read, row)) for row in connection.execute(f"SELECT * FROM {kind}"))
                       for kind in sorted(KINDS)]
            noted = {row[0] for kind in KINDS
                     for row in connection.execute(f"SELECT id FROM {kind} WHERE note IS NOT NULL")}
            salts = [row for row in connection.execute("SELECT seq, salt FROM note_salt ORDER BY seq")
                     if row[0] in noted]
            seals = connection.execute("SELECT seq, entry_kind, body, prev, hash FROM seal ORDER BY seq").fetchall()
            parts = connection.execute("SELECT seq, parts FROM seal_part ORDER BY seq").fetchall()
            return entries, salts, seals, parts
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def _as_read(value: Any) -> Any:
    """A moment is read as the same whatever one sign stands between its day and its time."""
    moment = isinstance(value, str) and re.fullmatch(r"[0-9-]{10}.[0-9:.]{15}", value)
    return f"{value[:10]} {value[11:]}" if moment else value


class FileEdits:
    """Random edits of a logbook file whose guards were taken away."""

    def __init__(self, path: Path, random: Random) -> None:
        self.path, self.random = path, random
        self.connection = sqlite3.connect(path, isolation_level=None)
        for pragma in ("ignore_check_constraints = ON", "synchronous = OFF", "journal_mode = MEMORY"):
            self.connection.execute(f"PRAGMA {pragma}")

    def edit(self) -> str:
        """Make one edit; says what the promise says of it."""
        act, promised = self.random.choice([
            (self._change_a_column, FOUND), (self._change_the_seal, FOUND), (self._delete_a_row, FOUND),
            (self._delete_from_the_middle, FOUND), (self._insert_a_row, FOUND), (self._insert_a_seal, FOUND),
            (self._swap_bodies, FOUND), (self._swap_rows, FOUND), (self._replay, FOUND), (self._change_a_note, FOUND),
            (self._change_a_part, FOUND), (self._delete_a_part, FOUND), (self._swap_parts, FOUND),
            (self._cut_the_end, ONLY_IF_NOTED), (self._rewrite_from, ONLY_IF_NOTED),
            (self._flip_bytes, HARMLESS_OR_FOUND), (self._truncate_file, HARMLESS_OR_FOUND),
        ])
        act()
        self.connection.close()
        return promised

    def _sealed(self) -> list[tuple[int, str]]:
        return self.connection.execute("SELECT seq, entry_kind FROM seal ORDER BY seq").fetchall()

    def _one(self) -> tuple[int, str]:
        return self.random.choice(self._sealed())

    def _columns(self, kind: str) -> list[str]:
        return [row[1] for row in self.connection.execute(f"PRAGMA table_info({kind})")]

    def _change_a_column(self) -> None:
        number, kind = self._one()
        column = self.random.choice([name for name in self._columns(kind) if name not in ("id", "note")])
        value = self.connection.execute(f"SELECT {column} FROM {kind} WHERE id = ?", (number,)).fetchone()[0]
        changed = value + self.random.choice([-1, 1, 1000]) if isinstance(value, int) else \
            "made up" if value is None else value[:-1] + chr(ord(value[-1]) ^ 1)
        self.connection.execute(f"UPDATE {kind} SET {column} = ? WHERE id = ?", (changed, number))

    def _change_a_note(self) -> None:
        number, kind = self._one()
        note = self.connection.execute(f"SELECT note FROM {kind} WHERE id = ?", (number,)).fetchone()[0]
        self.connection.execute(f"UPDATE {kind} SET note = ? WHERE id = ?", ((note or "") + " indeed", number))

    def _parted(self) -> list[tuple[int, str]]:
        return self.connection.execute("SELECT seq, parts FROM seal_part ORDER BY seq").fetchall()

    def _change_a_part(self) -> None:
        number, parts = self.random.choice(self._parted())
        place = self.random.randrange(len(parts))
        self.connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?",
                                (parts[:place] + chr(ord(parts[place]) ^ 1) + parts[place + 1:], number))

    def _delete_a_part(self) -> None:
        """The whole row, or one part of it, whose columns are left in the entry's row."""
        number, parts = self.random.choice(self._parted())
        told = json.loads(parts)
        del told[self.random.choice(list(told))]
        if told and self.random.random() < 0.5:
            self.connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?", (chain.canonical(told), number))
        else:
            self.connection.execute("DELETE FROM seal_part WHERE seq = ?", (number,))

    def _swap_parts(self) -> None:
        (one, parts), (other, others) = self.random.sample(self._parted(), 2)
        self.connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?", (others, one))
        self.connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?", (parts, other))

    def _change_the_seal(self) -> None:
        number, _ = self._one()
        column = self.random.choice(["body", "prev", "hash", "entry_kind"])
        value = self.connection.execute(f"SELECT {column} FROM seal WHERE seq = ?", (number,)).fetchone()[0]
        place = self.random.randrange(len(value))
        changed = value[:place] + chr(ord(value[place]) ^ 1) + value[place + 1:]
        self.connection.execute(f"UPDATE seal SET {column} = ? WHERE seq = ?", (changed, number))

    def _delete_a_row(self) -> None:
        number, kind = self._one()
        self.connection.execute(f"DELETE FROM {kind} WHERE id = ?", (number,))

    def _remove(self, number: int, kind: str) -> None:
        for table, key in ((kind, "id"), ("note_salt", "seq"), ("seal_part", "seq"), ("seal", "seq")):
            self.connection.execute(f"DELETE FROM {table} WHERE {key} = ?", (number,))

    def _delete_from_the_middle(self) -> None:
        self._remove(*self.random.choice(self._sealed()[:-1]))

    def _insert_a_row(self) -> None:
        number, kind = self._one()
        row = self.connection.execute(f"SELECT * FROM {kind} WHERE id = ?", (number,)).fetchone()
        names = self._columns(kind)
        values = dict(zip(names, row, strict=True)) | {"id": len(self._sealed()) + self.random.randint(1, 9)}
        if kind == "withdrawal":
            values["withdraws_id"] = 3
        self.connection.execute(f"INSERT INTO {kind} VALUES ({', '.join('?' * len(names))})",
                                [values[name] for name in names])

    def _insert_a_seal(self) -> None:
        """Make room for one more entry at some place, with a right link of its own."""
        place = self._one()[0]
        body, prev = self.connection.execute("SELECT body, prev FROM seal WHERE seq = ?", (place,)).fetchone()
        self.connection.execute("UPDATE seal SET seq = -seq - 1, entry_id = -entry_id - 1 WHERE seq >= ?", (place,))
        self.connection.execute("UPDATE seal SET seq = -seq, entry_id = -entry_id WHERE seq < 0")
        body = body.replace('"id":', '"id":1', 1)
        self.connection.execute("UPDATE seal SET prev = ? WHERE seq = ?", (chain.link(prev, body), place + 1))
        self.connection.execute("INSERT INTO seal VALUES (?, 'wash_load', ?, ?, ?, ?)",
                                (place, place, body, prev, chain.link(prev, body)))

    def _two(self) -> tuple[tuple[int, str], tuple[int, str]]:
        one, other = self.random.sample(self._sealed(), 2)
        return one, other

    def _swap_bodies(self) -> None:
        (one, _), (other, _) = self._two()
        bodies = dict(self.connection.execute("SELECT seq, body FROM seal WHERE seq IN (?, ?)", (one, other)))
        self.connection.execute("UPDATE seal SET body = ? WHERE seq = ?", (bodies[other], one))
        self.connection.execute("UPDATE seal SET body = ? WHERE seq = ?", (bodies[one], other))

    def _swap_rows(self) -> None:
        loads = [number for number, kind in self._sealed() if kind == "wash_load"]
        one, other = self.random.sample(loads, 2)
        for new, old in ((-1, one), (one, other), (other, -1)):
            self.connection.execute("UPDATE wash_load SET id = ? WHERE id = ?", (new, old))

    def _replay(self) -> None:
        """An earlier entry once more, in the place of a later one."""
        (one, _), (other, _) = sorted(self._two())
        body, = self.connection.execute("SELECT body FROM seal WHERE seq = ?", (one,)).fetchone()
        prev, = self.connection.execute("SELECT prev FROM seal WHERE seq = ?", (other,)).fetchone()
        self.connection.execute("UPDATE seal SET body = ?, hash = ? WHERE seq = ?",
                                (body, chain.link(prev, body), other))

    def _cut_the_end(self) -> None:
        """Also what an older copy, put back, comes to."""
        sealed = self._sealed()
        for number, kind in reversed(sealed[-self.random.randint(1, len(sealed) - 1):]):
            self._remove(number, kind)

    def _rewrite_from(self) -> None:
        """A load changed, row and body, and every hash from there on made anew."""
        number = self.random.choice([number for number, kind in self._sealed() if kind == "wash_load"])
        self.connection.execute("UPDATE wash_load SET volume_ml = volume_ml + 1000 WHERE id = ?", (number,))
        previous = None
        for seq, body, parts, prev in self.connection.execute(
                "SELECT seq, body, parts, prev FROM seal JOIN seal_part USING (seq) WHERE seq >= ? ORDER BY seq",
                (number,)).fetchall():
            if seq == number:
                told = json.loads(parts)
                body = with_a_litre_more(body, told)
                self.connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?", (chain.canonical(told), seq))
            previous = previous or prev
            hashed = chain.link(previous, body)
            self.connection.execute("UPDATE seal SET body = ?, prev = ?, hash = ? WHERE seq = ?",
                                    (body, previous, hashed, seq))
            previous = hashed

    def _flip_bytes(self) -> None:
        self.connection.close()
        raw = bytearray(self.path.read_bytes())
        for _ in range(self.random.choice([1, 1, 8])):
            raw[self.random.randrange(len(raw))] ^= 1 << self.random.randrange(8)
        self.path.write_bytes(raw)

    def _truncate_file(self) -> None:
        self.connection.close()
        raw = self.path.read_bytes()
        self.path.write_bytes(raw[:self.random.randrange(len(raw))])


def with_a_litre_more(body: str, parts: dict[str, Any]) -> str:
    """The body of a load of another volume, made by somebody who knows the rule; its parts are changed likewise."""
    what = parts["what"]
    columns = json.loads(what["text"])
    what["text"] = chain.canonical(columns | {"volume_ml": columns["volume_ml"] + 1000})
    said = json.loads(body)
    said["parts_sha256"]["what"] = chain.digest_of_part(what["text"], what["salt"])
    return chain.canonical(said)


def kind_of(line: dict[str, Any]) -> str:
    """The kind that a line shows, whatever was made of it; empty where it shows none."""
    what = line.get("parts", {}).get("what")
    return str((json.loads(line["body"]) if what is None else json.loads(what["text"])).get("kind", ""))


def members_of(packed: bytes) -> Members:
    """File name -> content of a pack."""
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def repacked(members: Members) -> bytes:
    """A pack of these files as they are."""
    return zipped(members)


def signed(members: Members) -> Members:
    """The pack with a manifest in which only the digests are made anew."""
    manifest = json.loads(members["manifest.json"])
    manifest["files"] = {name: sha256(data).hexdigest() for name, data in members.items() if name != "manifest.json"}
    return {**members, "manifest.json": pack.manifest_bytes(manifest)}


def said(line: dict[str, Any]) -> dict[str, Any]:
    """What a line shows of its entry."""
    found = json.loads(line["body"])
    for part in line.get("parts", {}).values():
        found |= json.loads(part["text"])
    return dict(found)


def relisted(members: Members) -> Members:
    """The pack with a manifest that a forger wrote anew, digests included, around whatever the entries are now."""
    manifest = json.loads(signed(members)["manifest.json"])
    lines = [json.loads(line) for line in members["entries.jsonl"].decode().split("\n")[:-1]]
    bodies = [json.loads(line["body"]) for line in lines]
    days = sorted(said(line)["happened_at"][:10] for line in lines)
    manifest |= {
        "seal_number": f"{lines[-1]['seq']}:{lines[-1]['hash']}", "home": lines[0]["hash"], "entries": len(lines),
        "counts": dict(Counter(map(kind_of, lines))), "period": [days[0], days[-1]],
        "notes_withheld": sum(body["note_sha256"] is not None and "note" not in line
                              for line, body in zip(lines, bodies, strict=True)),
    }
    return {**members, "manifest.json": pack.manifest_bytes(manifest)}


class PackEdits:
    """Random edits of a record pack."""

    def __init__(self, packed: bytes, random: Random) -> None:
        self.packed, self.random = packed, random
        self.members = members_of(packed)

    def edit(self) -> tuple[bytes, str]:
        """The pack after one edit, and what the promise says of it."""
        act, promised = self.random.choice([
            (self._change_a_file, FOUND), (self._delete_a_file, FOUND), (self._add_a_file, FOUND),
            (self._swap_files, FOUND), (self._truncate_a_file, FOUND), (self._double_a_file, FOUND),
            (self._forge(self._change_a_line), FOUND), (self._forge(self._delete_a_line), FOUND),
            (self._forge(self._insert_a_line), FOUND), (self._forge(self._reorder_lines), FOUND),
            (self._forge(self._replay_a_line), FOUND), (self._forge(self._change_a_note), FOUND),
            (self._forge(self._change_a_part), FOUND), (self._forge(self._move_a_part), FOUND),
            (self._cut_the_end, ONLY_IF_NOTED), (self._rewrite_from, ONLY_IF_NOTED),
            (self._flip_bytes, HARMLESS_OR_FOUND), (self._truncate_zip, HARMLESS_OR_FOUND),
        ])
        return act(), promised

    def _name(self) -> str:
        return self.random.choice(sorted(self.members))

    def _change_a_file(self) -> bytes:
        name = self._name()
        raw = bytearray(self.members[name])
        places = [place for place, byte in enumerate(raw) if name != "manifest.json" or chr(byte).isalnum()]
        place = self.random.choice(places)
        raw[place] = ord("7") if raw[place] != ord("7") else ord("8")
        return repacked({**self.members, name: bytes(raw)})

    def _delete_a_file(self) -> bytes:
        gone = self._name()
        return repacked({name: data for name, data in self.members.items() if name != gone})

    def _add_a_file(self) -> bytes:
        return repacked({**self.members, self.random.choice(["letter.txt", "../entries.jsonl", "Entries.jsonl"]): b"x"})

    def _swap_files(self) -> bytes:
        one, other = self.random.sample(sorted(self.members), 2)
        return repacked({**self.members, one: self.members[other], other: self.members[one]})

    def _truncate_a_file(self) -> bytes:
        name = self._name()
        data = self.members[name].rstrip()
        return repacked({**self.members, name: data[:self.random.randrange(len(data))]})

    def _double_a_file(self) -> bytes:
        """Two files of one name, of which another program might read the other."""
        out = io.BytesIO(self.packed)
        with zipfile.ZipFile(out, "a") as archive:
            member = zipfile.ZipInfo("manifest.json")
            del archive.NameToInfo["manifest.json"]   # or zipfile warns
            archive.writestr(member, self.members["manifest.json"])
        return out.getvalue()

    def _lines(self) -> list[str]:
        return self.members["entries.jsonl"].decode().split("\n")[:-1]

    def _forge(self, change: Callable[[list[str]], None]) -> Callable[[], bytes]:
        """Lines changed, and the manifest made anew around them; the hashes are left as they were."""
        def act() -> bytes:
            lines = self._lines()
            change(lines)
            return repacked(relisted({**self.members, "entries.jsonl": "".join(f"{x}\n" for x in lines).encode()}))

        return act

    def _change_a_line(self, lines: list[str]) -> None:
        place = self.random.randrange(len(lines))
        said = json.loads(lines[place])
        body = json.loads(said["body"])
        name = self.random.choice([key for key in body if key not in ("kind", "happened_at", "note_sha256")])
        body[name] = "made up" if body[name] != "made up" else 1
        said["body"] = chain.canonical(body)
        lines[place] = chain.canonical(said)

    def _change_a_note(self, lines: list[str]) -> None:
        place = self.random.choice([n for n, line in enumerate(lines) if '"note":' in line])
        said = json.loads(lines[place])
        said["note"] += " indeed"
        lines[place] = chain.canonical(said)

    def _change_a_part(self, lines: list[str]) -> None:
        place = self.random.choice([n for n, line in enumerate(lines) if '"parts":' in line])
        said = json.loads(lines[place])
        part = said["parts"][self.random.choice(list(said["parts"]))]
        columns = json.loads(part["text"])
        columns[self.random.choice([*(set(columns) - {"happened_at", "recorded_at"}), "more"])] = "made up"
        part["text"] = chain.canonical(columns)
        lines[place] = chain.canonical(said)

    def _move_a_part(self, lines: list[str]) -> None:
        """When another entry happened, with its salt."""
        one, other = self.random.sample([n for n, line in enumerate(lines) if '"parts":' in line], 2)
        said = json.loads(lines[one])
        said["parts"]["when"] = json.loads(lines[other])["parts"]["when"]
        lines[one] = chain.canonical(said)

    def _delete_a_line(self, lines: list[str]) -> None:
        del lines[self.random.randrange(len(lines) - 1)]

    def _insert_a_line(self, lines: list[str]) -> None:
        lines.insert(self.random.randrange(len(lines)), self.random.choice(lines))

    def _reorder_lines(self, lines: list[str]) -> None:
        one, other = self.random.sample(range(len(lines)), 2)
        lines[one], lines[other] = lines[other], lines[one]

    def _replay_a_line(self, lines: list[str]) -> None:
        one, other = sorted(self.random.sample(range(len(lines)), 2))
        lines[other] = lines[one]

    def _whole(self, lines: list[dict[str, Any]]) -> bytes:
        """Everything made anew by somebody who knows the rule: hashes, noted.txt and manifest."""
        previous = chain.START
        for line in lines:
            previous = line["hash"] = chain.link(previous, line["body"])
        entries = "".join(f"{chain.canonical(line)}\n" for line in lines).encode()
        anchors = f"2026-07-14 {len(lines)}:{previous} last entry recorded in that month\n".encode()
        return repacked(relisted({**self.members, "entries.jsonl": entries, "noted.txt": anchors}))

    def _cut_the_end(self) -> bytes:
        lines = [json.loads(line) for line in self._lines()]
        return self._whole(lines[:self.random.randint(1, len(lines) - 1)])

    def _rewrite_from(self) -> bytes:
        lines = [json.loads(line) for line in self._lines()]
        line = self.random.choice([line for line in lines if kind_of(line) in ("wash_load", "other_water")])
        line["body"] = with_a_litre_more(line["body"], line["parts"])
        return self._whole(lines)

    def _flip_bytes(self) -> bytes:
        raw = bytearray(self.packed)
        for _ in range(self.random.choice([1, 1, 8])):
            raw[self.random.randrange(len(raw))] ^= 1 << self.random.randrange(8)
        return bytes(raw)

    def _truncate_zip(self) -> bytes:
        return self.packed[:self.random.randrange(len(self.packed))]
