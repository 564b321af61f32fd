"""What gwlog and its tests import is what pyproject.toml declares, nothing more and nothing less."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

import gwlog

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
OWN = {"gwlog", "tests", "demo_seed"}

# Declared, and used otherwise than by an import.
DATA = {"tzdata": "zoneinfo reads its files where the system has no time zones"}
TOOLS = {
    "pytest-asyncio": "runs the tests that are coroutines", "pytest-xdist": "pytest -n",
    "syrupy": "its fixture compares whole screens", "import-linter": "lint-imports", "ruff": "a program",
    "mypy": "a program", "types-python-dateutil": "read by mypy", "vega-datasets": "a file of measured weather in it",
}


def normal(name: str) -> str:
    """A distribution's name as the package index compares it."""
    return re.sub(r"[-_.]+", "-", name).casefold()


def declared(lines: list[str]) -> set[str]:
    return {normal(re.split(r"[<>=!~\[; ]", line, maxsplit=1)[0]) for line in lines}


def imported(*places: Path) -> dict[str, list[str]]:
    """Top-level modules that are neither the standard library's nor gwlog's own, with the files that import them.

    Imports inside functions and for typing alone count as the others do.
    """
    found: dict[str, list[str]] = {}
    for file in (file for place in places for file in ([place] if place.is_file() else sorted(place.rglob("*.py")))):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else \
                [node.module or ""] if isinstance(node, ast.ImportFrom) and not node.level else []
            for top in {name.partition(".")[0] for name in names} - OWN - set(sys.stdlib_module_names):
                found.setdefault(top, []).append(str(file.relative_to(ROOT)))
    return found


def distributions(modules: dict[str, list[str]]) -> dict[str, list[str]]:
    """The distributions that these modules come from, with the files that import them."""
    known = packages_distributions()
    return {normal(known.get(module, [module])[0]): files for module, files in modules.items()}


NEEDED = declared(PROJECT["dependencies"])
EXTRA = declared([line for name, lines in PROJECT["optional-dependencies"].items() if name != "test" for line in lines])
FOR_TESTS = declared(PROJECT["optional-dependencies"]["test"])
BY_GWLOG = distributions(imported(ROOT / "gwlog", ROOT / "demo_seed.py"))
BY_TESTS = distributions(imported(ROOT / "tests"))


def test_every_library_that_gwlog_imports_is_declared() -> None:
    assert {name: files for name, files in BY_GWLOG.items() if name not in NEEDED | EXTRA} == {}


def test_every_library_that_the_tests_import_is_declared() -> None:
    assert {name: files for name, files in BY_TESTS.items() if name not in NEEDED | EXTRA | FOR_TESTS} == {}


def test_nothing_is_declared_that_is_not_used() -> None:
    assert set(BY_GWLOG) | set(DATA) == NEEDED | EXTRA
    assert FOR_TESTS - set(TOOLS) <= set(BY_TESTS)
    assert set(TOOLS) <= FOR_TESTS


def test_an_import_inside_a_function_and_one_for_typing_are_seen(tmp_path: Path,
                                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules[__name__], "ROOT", tmp_path)
    (tmp_path / "a.py").write_text("if TYPE_CHECKING:\n    import one.two\ndef f():\n    from three import four\n"
                                   "from . import five\nimport os, gwlog.units\n")
    assert imported(tmp_path) == {"one": ["a.py"], "three": ["a.py"]}


def test_the_version_is_written_in_one_place() -> None:
    assert "version" not in PROJECT and PROJECT["dynamic"] == ["version"]
    assert re.fullmatch(r"\d+\.\d+\.\d+", gwlog.__version__)
    changes = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Changes\n")[2]
    assert f"### {gwlog.__version__}" in changes, "what changed for the people who use it"
