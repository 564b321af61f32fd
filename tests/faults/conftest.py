"""One loaded process and one small household for all the faults of a worker."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.faults.judge import Judge
from tests.faults.library import compiled
from tests.faults.runner import Runner
from tests.faults.world import build


@pytest.fixture(scope="session")
def judge(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Judge]:
    """Judges faults; skips with a word where they cannot be made."""
    folder = tmp_path_factory.mktemp("faults")
    library = compiled(folder)
    if isinstance(library, str):
        pytest.skip(library)
    with Runner(library) as runner:
        world = folder / "world"
        world.mkdir()
        yield Judge(runner, build(world, runner), folder)
