"""The large libraries are imported by one thread at a time, in whichever order threads ask for them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import gwlog

# Two threads that begin at once, one with the writer and one with the scheduler, as the screens do; each import of a
# large library is noted with its thread, and a thread that finds another one at it is told.
TOGETHER = """
import sys, threading, time
from gwlog import libraries
LARGE = ("sqlalchemy", "sqlmodel", "pydantic", "alembic", "apscheduler")
noted, begin = [], threading.Barrier(3)

class Note:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in LARGE:
            noted.append(threading.get_ident())
            time.sleep(0)   # let the other thread have its turn, if it can

def one(work):
    begin.wait()
    work()

sys.meta_path.insert(0, Note())
threads = [threading.Thread(target=one, args=(work,)) for work in (
    lambda: libraries.load(*libraries.WRITER), lambda: libraries.scheduler("asyncio"),
    lambda: libraries.load(*libraries.UPGRADE))]
for thread in threads:
    thread.start()
for thread in threads:
    thread.join()
changes = sum(one != other for one, other in zip(noted, noted[1:]))
print(len(set(noted)), changes, all(name in sys.modules for name in libraries.WRITER))
"""


def test_threads_that_begin_at_once_import_in_turn() -> None:
    done = subprocess.run([sys.executable, "-c", TOGETHER], capture_output=True, text=True, check=True, timeout=120)
    threads, changes, there = done.stdout.split()
    assert int(threads) >= 2 and int(changes) == int(threads) - 1 and there == "True"


def test_whoever_imports_one_has_asked_for_it_in_turn() -> None:
    """A large library is named in the journal alone, and where it was asked for by libraries.load() just before."""
    named = re.compile(r"^ *(?:from|import) (?:sqlalchemy|sqlmodel|pydantic|alembic|apscheduler)\b", re.MULTILINE)
    folder = Path(gwlog.__file__).parent
    found = {}
    for file in folder.rglob("*.py"):
        content = file.read_text(encoding="utf-8").replace("if TYPE_CHECKING:\n    from", "")
        if named.search(content):
            found[file.relative_to(folder).as_posix()] = "import load" in content or "import scheduler" in content \
                or "WRITER, load" in content or "UPGRADE, load" in content
    others = {name: asks for name, asks in found.items() if not name.startswith("journal/")}
    assert others == {"worker/orders.py": True, "notify/watcher.py": True}
    # tables, columns, references and exchange are reached through the writer's and the store's engine alone
    assert {name for name, asks in found.items() if asks} - set(others) == {"journal/writer.py", "journal/store.py"}
