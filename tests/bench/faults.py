"""Breaks gwlog in every way known, and counts: kills and disk faults at every call, writers at once, flipped bits,
mutated files, random arguments and keys, memory, a watcher whose clock jumps. Exit code 1 where a count is not 0.

    python -m tests.bench.faults                       # everything (about half an hour of processor time)
    python -m tests.bench.faults --parts calls,flips --share 0.1   # some parts, a tenth of their size
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.faults import parts, parts_inside
from tests.faults.library import compiled
from tests.faults.parts import COLUMNS, Part
from tests.faults.runner import Runner
from tests.faults.world import build

PARTS: dict[str, Callable[[Part], None]] = {
    "calls": parts.calls, "writers": parts.writers, "flips": parts.flips, "files": parts_inside.files,
    "memory": parts.memory, "arguments": parts_inside.arguments, "keys": parts_inside.keys,
    "watcher": parts_inside.watcher,
}


def main() -> int:
    """Run the parts and print the table."""
    chosen = _options()
    print(f"{'what':<44}{'how many':>9}  " + "".join(f"{column:>11}" for column in COLUMNS) + f"{'seconds':>9}")
    total: Counter[str] = Counter()
    with TemporaryDirectory(dir=chosen.folder) as folder:
        library = compiled(Path(folder))
        if isinstance(library, str):
            print(f"No faults on the disk: {library}.", file=sys.stderr)
        with Runner(None if isinstance(library, str) else library) as runner:
            world = Path(folder) / "world"
            world.mkdir()
            build(world, runner)
            for name in chosen.parts:
                if name == "calls" and isinstance(library, str):
                    continue
                part = Part(name, runner, world, Path(folder) / name, chosen.share)
                part.work.mkdir()
                PARTS[name](part)
                for words in part.words[:chosen.tell]:
                    print(f"    {words}", file=sys.stderr, flush=True)
                total.update(part.counts)
    print("nothing lost, doubled, uncaught, left over or false" if not total else f"FOUND: {dict(total)}")
    return 1 if total else 0


def _options() -> argparse.Namespace:
    reader = argparse.ArgumentParser(prog="python -m tests.bench.faults", description=__doc__)
    reader.add_argument("--parts", type=lambda words: words.split(","), default=list(PARTS),
                        help=f"some of {', '.join(PARTS)}")
    reader.add_argument("--share", type=float, default=1.0, help="a share of each part's size, like 0.1")
    reader.add_argument("--tell", type=int, default=20, help="how many findings to tell in words")
    reader.add_argument("--folder", default="/dev/shm" if Path("/dev/shm").is_dir() else None, help="where to work")
    return reader.parse_args()


if __name__ == "__main__":
    sys.exit(main())
