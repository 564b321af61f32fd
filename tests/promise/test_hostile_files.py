"""Packs, handovers and exports made to harm their reader: refused with a sentence, and never with much memory."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from gwlog.journal import chain, check_seal
from gwlog.journal.zipped import zipped
from tests.promise.material import Material, members_in, repacked, signed

DEEP = b"[" * 400_000

PROGRAM = """
import re, sys
from pathlib import Path
from gwlog.clock import now
from gwlog.app.verify import verify
from gwlog.views.seal_report import lines
for file in sys.argv[1:]:
    done = verify(Path(file), (), own=False, now=now())
    peak = re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]
    print(Path(file).name, int(done.holds), peak, lines(done.found)[1])
"""


def minimal(size: int) -> bytes:
    """Entries of the shortest kind that hold as a chain, of about so many bytes."""
    made, previous, number, total = [], chain.START, 0, 0
    while total < size:
        number += 1
        body = chain.canonical({"happened_at": "2026-01-01", "id": number, "kind": "x", "note_sha256": None})
        previous = chain.link(previous, body)
        made.append(chain.canonical({"body": body, "hash": previous, "seq": number}))
        total += len(made[-1])
    return ("\n".join(made) + "\n").encode()


def lying(content: bytes) -> bytes:
    """A pack whose manifest says that it is far shorter than it is."""
    made = bytearray(zipped({"manifest.json": content}))
    for place in (22, made.rfind(b"PK\1\2") + 24):
        made[place:place + 4] = (10).to_bytes(4, "little")
    return bytes(made)


@pytest.fixture(scope="module")
def hostile(material: Material, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, str]]:
    """Each hostile file, and what is said of it."""
    folder = tmp_path_factory.mktemp("hostile")
    members = members_in(material.pack())
    entries = members["entries.jsonl"]
    nested = members["manifest.json"].replace(b'"counts": {', b'"counts": ' + DEEP, 1)
    made = {
        "bomb.zip": (zipped({"entries.jsonl": iter([b"\n" * 1_000_000] * 101)}), "larger than any record pack"),
        "lying.zip": (lying(b"\n" * 30_000_000), "not as long as is said"),
        "no line end.zip": (repacked(signed({**members, "entries.jsonl": b'{"body":"' + b"x" * 30_000_000})),
                            "a line is longer than any entry"),
        "deep line.zip": (repacked(signed({**members, "entries.jsonl": entries + b'{"body":' + DEEP + b"\n"})),
                          "cannot be read"),
        "deep manifest.zip": (repacked({**members, "manifest.json": nested}), "RecursionError"),
        "empty lines.zip": (repacked(signed({**members, "entries.jsonl": b"\n" * 20_000_000})), "differs"),
        "numbers.zip": (repacked(signed({**members, "noted.txt": b"- 1:0000000000000000 x\n" * 40_000})), "hash"),
        "deep.jsonl": (b'{"body":' + DEEP + b"\n", "does not follow"),
        "no line end.jsonl": (b'{"body":"' + b"x" * 30_000_000, "longer than any entry"),
        "many.jsonl": (minimal(3_000_000), "kind"),
    }
    found = {}
    for name, (content, said) in made.items():
        (folder / name).write_bytes(content)
        found[name] = folder / name, said
    with zipfile.ZipFile(folder / "members.zip", "w") as archive:
        for number in range(5_000):
            archive.writestr(f"{number}", b"")
    return {**found, "members.zip": (folder / "members.zip", "directory is not as gwlog writes it")}


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="only Linux tells a process's own peak there")
def test_no_hostile_file_holds_or_takes_200_megabytes(hostile: dict[str, tuple[Path, str]]) -> None:
    done = subprocess.run([sys.executable, "-c", PROGRAM, *(str(file) for file, _ in hostile.values())],
                          capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    told = done.stdout.splitlines()
    assert len(told) == len(hostile)
    for line, (name, (_, said)) in zip(told, hostile.items(), strict=True):
        holds, peak, words = line.removeprefix(f"{name} ").split(" ", 2)
        assert holds == "0", line
        assert int(peak) < 200_000, line
        assert json.dumps(words) and "Traceback" not in words, (name, said)


def test_the_program_in_a_pack_refuses_them_too(hostile: dict[str, tuple[Path, str]]) -> None:
    for name, (file, said) in hostile.items():
        if name.endswith(".zip"):
            found = check_seal.examine(file, [])
            details = " ".join(level.detail for level in found.levels if not level.holds)
            assert not found.holds and said in details, (name, details)
