"""Puts one small fault after the other into gwlog and tells which of them no test notices.

    python -m tests.mutation [--modules gwlog/water/rest.py ...] [--tests tests/water ...] [--most 60] [--seed 1]
                             [--jobs 2]

The tests of a module's package are collected once. Every fault is tried in a fork of that process: the functions that
it changes get their new code there, and only the tests that run its line are run. A fault that makes a test fail, or
takes five times as long, is noticed. Some that are not are no faults: read them before writing a test.
"""

from __future__ import annotations

import argparse
import ast
import gc
import os
import pickle
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from random import Random
from types import CodeType, FunctionType
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = {"water": ("tests/water",), "decisions": ("tests/decisions",), "journal": ("tests/journal",),
                    "app": ("tests/app", "tests/cli", "tests/importers", "tests/tui/test_quick_entry.py",
                    "tests/tui/test_planned_loads.py")}
COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}
REACHED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}
HANGS_S = 300


@dataclass(frozen=True)
class Fault:
    """One change of a module: where, what stands there and what would; `lines`: those that a test must run."""

    line: int
    before: str
    after: str
    tree: ast.Module
    lines: frozenset[int]
    constant: str | None    # the module's own name that is bound by the changed statement

    def __str__(self) -> str:
        return f"{self.line}: {self.before} -> {self.after}"


def changed(node: ast.AST) -> Iterator[ast.AST]:
    """What could stand in the place of a node by mistake."""
    if isinstance(node, ast.Compare):
        for number, operator in enumerate(node.ops):
            other = deepcopy(node)
            other.ops[number] = COMPARED[type(operator)]()
            yield other
    elif isinstance(node, ast.BinOp) and type(node.op) in REACHED and not isinstance(node.left, ast.JoinedStr):
        yield ast.BinOp(node.left, REACHED[type(node.op)](), node.right)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        for left_out in range(len(node.values)):
            rest = [value for number, value in enumerate(node.values) if number != left_out]
            yield ast.BoolOp(node.op, rest) if len(rest) > 1 else rest[0]
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield node.operand
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield ast.Constant(node.value + 1)
        yield ast.Constant(node.value - 1)
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, (ast.If, ast.IfExp, ast.While)) and not isinstance(node.test, (ast.Compare, ast.Constant)):
        other = deepcopy(node)
        other.test = ast.UnaryOp(ast.Not(), node.test)
        yield other
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SWAPPED:
        yield ast.Call(ast.Name(SWAPPED[node.func.id], ast.Load()), node.args, node.keywords)


def places(body: Sequence[ast.stmt], inside: bool = False) -> Iterator[tuple[ast.AST, ast.stmt, bool]]:
    """Every node that is run, with its statement, and whether it is in a function. No assertions, no annotations."""
    for statement in body:
        if isinstance(statement, (ast.Assert, ast.Import, ast.ImportFrom)) or (
                isinstance(statement, ast.If) and "TYPE_CHECKING" in ast.unparse(statement.test)):
            continue
        if isinstance(statement, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
            yield from places(statement.body, inside or not isinstance(statement, ast.ClassDef))
            continue
        if not inside and not isinstance(statement, (ast.Assign, ast.AnnAssign)):
            continue
        yield statement, statement, inside
        for name, value in ast.iter_fields(statement):
            for part in value if isinstance(value, list) else [value]:
                if isinstance(part, ast.expr) and name not in ("annotation", "targets", "target"):
                    yield from ((node, statement, inside) for node in ast.walk(part) if isinstance(node, ast.expr))
                elif isinstance(part, (ast.withitem, ast.ExceptHandler, ast.match_case)):
                    yield from ((node, statement, inside) for node in ast.walk(part)
                                if isinstance(node, ast.expr) and isinstance(part, ast.withitem))
                    yield from places(getattr(part, "body", []), inside)
        for block in ("body", "orelse", "finalbody"):
            yield from places(getattr(statement, block, []), inside)


def faults(source: str) -> list[Fault]:
    """Every change that is tried on a module."""
    found = []
    for place, (node, statement, inside) in enumerate(places(ast.parse(source).body)):
        body = getattr(statement, "body", None)
        last = body[0].lineno - 1 if body else statement.end_lineno or statement.lineno
        targets = getattr(statement, "targets", [getattr(statement, "target", None)])
        constant = targets[0].id if not inside and isinstance(targets[0], ast.Name) else None
        if not inside and constant is None:
            continue
        for number, other in enumerate(changed(node)):
            tree = ast.parse(source)
            old = [one for one, _, _ in places(tree.body)][place]
            new = list(changed(old))[number]
            ast.copy_location(new, old)
            for parent in ast.walk(tree):
                for name, value in ast.iter_fields(parent):
                    if value is old:
                        setattr(parent, name, new)
                    elif isinstance(value, list):
                        value[:] = [new if one is old else one for one in value]
            shown = [ast.unparse(one.test if isinstance(one, (ast.If, ast.While)) else one) for one in (node, other)]
            before, after = (" ".join(words.split())[:90] for words in shown)
            found.append(Fault(getattr(node, "lineno", statement.lineno), before, after,
                               ast.fix_missing_locations(tree),
                               frozenset(range(statement.lineno, max(last, statement.lineno) + 1)), constant))
    return found


def module_of(file: Path) -> str:
    return ".".join(file.relative_to(ROOT).with_suffix("").parts)


def codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield from codes(part)


def put_in(fault: Fault, file: Path) -> None:
    """Make the fault true in this process: in every function of the module, or wherever its constant is known."""
    if fault.constant is None:
        made = {(one.co_qualname, one.co_firstlineno): one
                for one in codes(compile(fault.tree, str(file), "exec", dont_inherit=True))}
        for function in [one for one in gc.get_objects() if isinstance(one, FunctionType)]:
            old = function.__code__
            new = made.get((old.co_qualname, old.co_firstlineno)) if old.co_filename == str(file) else None
            if new is not None and new != old and new.co_freevars == old.co_freevars:
                function.__code__ = new
        return
    module = sys.modules[module_of(file)]
    statement = next(one for one in fault.tree.body if isinstance(one, (ast.Assign, ast.AnnAssign))
                     and fault.constant in ast.unparse(one).partition("=")[0])
    assert statement.value is not None
    value = eval(compile(ast.Expression(statement.value), str(file), "eval", dont_inherit=True), dict(vars(module)))
    before = getattr(module, fault.constant)
    for known in list(sys.modules.values()):
        names = getattr(known, "__dict__", {})
        if names.get(fault.constant) is before:
            names[fault.constant] = value


class Run:
    """Tries faults in forks of the process that has collected the tests."""

    def __init__(self, tried: dict[Path, list[Fault]], jobs: int) -> None:
        self.tried, self.jobs = tried, jobs
        self.noticed: dict[Path, list[bool]] = {file: [False] * len(found) for file, found in tried.items()}
        self.failed = False
        self.trouble = ""

    def pytest_configure(self) -> None:
        """What fails is enough: no search for the smallest example that does."""
        from hypothesis import Phase, settings  # after pytest, which rewrites its assertions

        settings.register_profile("first example", settings.default, phases=(Phase.explicit, Phase.generate))
        settings.load_profile("first example")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed |= report.failed
        if report.failed and not self.trouble:
            self.trouble = f"{report.nodeid}: {report.longreprtext[-600:]}"

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        for file in self.tried:
            import_module(module_of(file))   # gwlog imports most of its modules only when they are needed
        covered = self.coverage(session.items)
        running: dict[int, tuple[Path, int]] = {}
        for file, found in self.tried.items():
            for number, fault in enumerate(found):
                chosen = [(seconds, place) for place, (lines, seconds) in covered.items()
                          if (lines.get(file, set()) if fault.constant else lines.get(file, set()) & fault.lines)]
                if not chosen:
                    continue
                while len(running) >= self.jobs:
                    self.one_ended(running)
                limit = 5 + 5 * sum(seconds for seconds, _ in chosen)
                running[self.forked(fault, file, [session.items[place] for _, place in sorted(chosen)], limit)] = \
                    file, number
        while running:
            self.one_ended(running)
        return True

    def one_ended(self, running: dict[int, tuple[Path, int]]) -> None:
        child, status = os.wait()
        file, number = running.pop(child)
        self.noticed[file][number] = status != 0
        if sys.stderr.isatty():
            print(f"\r{file.name} {number + 1} of {len(self.tried[file])}   ", end="", file=sys.stderr, flush=True)

    def forked(self, fault: Fault, file: Path, items: list[pytest.Item], limit_s: float) -> int:
        child = os.fork()
        if child:
            return child
        quiet()
        resource.setrlimit(resource.RLIMIT_CPU, (int(limit_s), int(limit_s)))
        signal.alarm(HANGS_S)
        try:
            put_in(fault, file)
        except Exception:
            os._exit(1)    # a table that cannot even be made
        self.run(items)
        os._exit(self.failed)

    def run(self, items: Sequence[pytest.Item]) -> None:
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed:
                return

    def coverage(self, items: list[pytest.Item]) -> dict[int, tuple[dict[Path, set[int]], float]]:
        """For each test the lines that it runs of each module, and its processor time."""
        with tempfile.NamedTemporaryFile() as report:
            child = os.fork()
            if child == 0:
                quiet()
                found: dict[int, tuple[dict[Path, set[int]], float]] = {}
                files = {str(file): file for file in self.tried}
                for place, item in enumerate(items):
                    lines: dict[Path, set[int]] = {}

                    def into(frame: Any, event: str, _: Any, lines: dict[Path, set[int]] = lines) -> Any:
                        file = files.get(frame.f_code.co_filename)
                        if file is None:
                            return None
                        lines.setdefault(file, set()).add(frame.f_lineno)
                        return into

                    start = time.process_time()
                    sys.settrace(into)
                    item.config.hook.pytest_runtest_protocol(
                        item=item, nextitem=items[place + 1] if place + 1 < len(items) else None)
                    sys.settrace(None)
                    found[place] = lines, time.process_time() - start
                Path(report.name).write_bytes(pickle.dumps((found, self.trouble)))
                os._exit(0)
            os.waitpid(child, 0)
            found, self.trouble = pickle.loads(Path(report.name).read_bytes())
        if self.trouble:
            raise SystemExit(f"A test fails before any fault was put in: {self.trouble}")
        return found


def quiet() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


def main() -> int:
    """Print a table of the modules, and what no test noticed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--modules", nargs="+", type=Path, help="files; without, all of four packages")
    parser.add_argument("--tests", nargs="+", help="where their tests are (those of the package)")
    parser.add_argument("--most", type=int, default=40, help="faults tried for each module, chosen by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    chosen = parser.parse_args()
    modules = [file.resolve() for file in chosen.modules or
               (file for name in PACKAGES for file in sorted((ROOT / "gwlog" / name).glob("*.py")))]
    told, total = [], [0, 0]
    print(f"{'module':<40} {'faults':>6} {'noticed':>8} {'not':>5}")
    for package in dict.fromkeys(file.relative_to(ROOT).parts[1] for file in modules):
        tried = {}
        for file in modules:
            if file.relative_to(ROOT).parts[1] == package:
                found = faults(file.read_text(encoding="utf-8"))
                tried[file] = sorted(Random(chosen.seed).sample(found, min(chosen.most, len(found))),
                                     key=lambda one: one.line)
        run = Run(tried, chosen.jobs)
        pytest.main(["-o", "addopts=", "-p", "no:terminal", "-p", "no:cacheprovider", "-p", "no:xdist",
                     *(chosen.tests or PACKAGES[package])], plugins=[run])
        for file, found in tried.items():
            name, noticed = str(file.relative_to(ROOT)), sum(run.noticed[file])
            total = [total[0] + len(found), total[1] + noticed]
            print(f"{name:<40} {len(found):>6} {noticed:>8} {len(found) - noticed:>5}", flush=True)
            told += [f"{name}:{fault}" for fault, seen in zip(found, run.noticed[file], strict=True) if not seen]
    print(f"{'in all':<40} {total[0]:>6} {total[1]:>8} {total[0] - total[1]:>5}\n\nNo test noticed:")
    print(*told, sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
