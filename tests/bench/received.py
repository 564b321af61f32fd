"""The records of many homes received at once: 500 packs of a year each, wall time on this machine's processors, memory.

Run: python -m tests.bench.received [--homes 500]. The homes are one invented household under many names, each with a
chain of its own. Time is told beside that of verifying one pack alone, in the same run.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from hashlib import sha256
from pathlib import Path

from gwlog import clock
from gwlog.app.exports import pack as write_pack
from gwlog.app.receive import receive
from gwlog.household import look
from gwlog.journal import chain, pack
from gwlog.journal.zipped import zipped


def renamed(members: dict[str, bytes], name: str) -> dict[str, bytes]:
    """The pack of another home: the same year under another name, every link and digest made anew."""
    manifest = json.loads(members["manifest.json"])
    hashes, lines, before = [chain.START], [], chain.START
    for line in members["entries.jsonl"].splitlines():
        entry = json.loads(line)
        body = json.loads(entry["body"])
        if body.get("kind") == "site":
            body["name"] = name
            entry["body"] = chain.canonical(body)
        entry["hash"] = before = chain.link(before, entry["body"])
        hashes.append(before)
        lines.append(chain.canonical(entry))
    made = {**members, "entries.jsonl": ("\n".join(lines) + "\n").encode()}
    made["noted.txt"] = re.sub(rb"(\d+):[0-9a-f]{64}", lambda found: b"%s:%s" % (
        found[1], hashes[int(found[1])].encode()), members["noted.txt"])
    manifest |= {"home": hashes[1], "site": name, "seal_number": f"{len(hashes) - 1}:{before}"}
    manifest["files"] = {file: sha256(made[file]).hexdigest() for file in manifest["files"]}
    del made["manifest.json"]
    return {**made, "manifest.json": pack.manifest_bytes(manifest)}


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--homes", type=int, default=500)
    homes = parser.parse_args().homes
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "records"
        folder.mkdir()
        logbook = Path(place) / "demo.db"
        now = clock.now().replace(microsecond=0)
        subprocess.run([sys.executable, "demo_seed.py", "--logbook", str(logbook), "--years", "1"], check=True,
                       stdout=subprocess.DEVNULL)
        base = Path(place) / "base.zip"
        write_pack(look(logbook, now), base, reader="landlord")
        with zipfile.ZipFile(base) as archive:
            members = {name: archive.read(name) for name in archive.namelist()}
        for number in range(homes):
            (folder / f"{number:04}.zip").write_bytes(zipped(renamed(members, f"Heron Yard {number + 1}")))
        start = time.perf_counter()
        alone = pack.verify(folder / "0000.zip")
        one = time.perf_counter() - start
        assert alone.holds, alone
        start = time.perf_counter()
        found = receive(folder, now, Path(place) / "received.json")
        took = time.perf_counter() - start
        assert found.fine and len(found.homes) == homes, [home.faults for home in found.homes if home.faults][:3]
        workers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        here = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{homes} packs of {alone.entries:,} entries: {took:.1f} s; one alone {one * 1000:.0f} ms; "
              f"memory: this process {here:.0f} MB (it made the packs too), the largest worker {workers:.0f} MB")


if __name__ == "__main__":
    main()
