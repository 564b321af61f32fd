"""The answers of witnesses, kept with the logbook as they came: the file of a signature, a time stamp or a statement.

The entry “seal number witnessed” seals an answer's digest; the table `attached` holds its bytes.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from sqlite3 import Connection, DatabaseError

from gwlog.errors import BadInput
from gwlog.journal import reader
from gwlog.journal.facts import WITNESSED, Attestation

LARGEST = 100_000
"""An answer of more bytes is none: a signature takes some hundred, a time stamp with its certificates some thousand."""

ENDINGS = {"SSH signature": "sig", "time stamp": "tsr", "statement": "txt"}
FOLDER = "witness"


def digest(content: bytes) -> str:
    """The SHA-256 digest by which an answer is kept. Raises BadInput for what is no answer by its size."""
    if not 0 < len(content) <= LARGEST:
        raise BadInput(f"A witness's answer has 1 to {LARGEST:,} bytes; this has {len(content):,}.")
    return sha256(content).hexdigest()


def name_of(number: int, means: str | None) -> str:
    """The name under which the answer of an entry travels: “witness/1201.sig”."""
    return f"{FOLDER}/{number}.{ENDINGS.get(means or '', 'txt')}"


def content_of(connection: Connection, one: Attestation) -> bytes | None:
    """The answer that an entry seals, None where it is not here."""
    # As bytes: of a file that somebody tampered with it may be anything.
    row = connection.execute("SELECT CAST(content AS BLOB) FROM attached WHERE sha256 = ?",
                             (one.file_sha256,)).fetchone()
    return None if row is None else row[0] or b""


CERTIFICATE = b"-----BEGIN CERTIFICATE-----"


def certificates(connection: Connection) -> list[bytes]:
    """The certificates (PEM) of authorities by which time stamps were verified when they were stored."""
    found = connection.execute("SELECT content FROM attached WHERE instr(content, ?) ORDER BY sha256", (CERTIFICATE,))
    return [bytes(content) for content, in found]


def files(connection: Connection) -> dict[str, bytes]:
    """Every answer of a witness by the name under which it travels in a pack, and the certificates to time stamps."""
    found = connection.execute(
        "SELECT a.id, a.means, f.content FROM attestation a JOIN attached f ON f.sha256 = a.file_sha256 "
        "WHERE a.attested = ? ORDER BY a.id", (WITNESSED,))
    made = {name_of(number, means): bytes(content) for number, means, content in found}
    return made | {f"{FOLDER}/{digest(one)[:16]}.pem": one for one in certificates(connection)}


def carried(source: Connection, target: Connection) -> None:
    """Bring the answers of a logbook into another one of the same entries; what is not as it was kept stays behind."""
    try:
        # As bytes: damaged signs are no text.
        found = source.execute("SELECT CAST(sha256 AS BLOB), CAST(content AS BLOB) FROM attached").fetchall()
    except (DatabaseError, UnicodeDecodeError):   # SQLite quotes damaged words, which Python cannot put into words
        return   # of a damaged file only what can be read comes along
    for kept, content in found:
        name = sha256(content or b"").hexdigest()
        if kept == name.encode():
            target.execute("INSERT INTO attached SELECT ?, ? WHERE NOT EXISTS "
                           "(SELECT 1 FROM attached WHERE sha256 = ?)", (name, content, name))
    target.commit()


def every(path: Path) -> list[bytes]:
    """The content of every answer that a logbook holds."""
    with reader.reading(path) as connection:
        return [bytes(row[0]) for row in connection.execute("SELECT content FROM attached ORDER BY sha256")]
