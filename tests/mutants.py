"""Break the code on purpose, at random places, and count how often a test notices.

Run it from the top of a checkout: `python tests/mutants.py --packages water --tests tests/water
--count 60 --results FILE`. A package may be a module, such as `site/write.py`. It first runs the
tests once to learn which of them reach which line, then breaks one line at a time in a copy of the
tree and runs the tests that reach it, the quick ones first. It prints the survivors and the share
of mutants killed per package. The same seed breaks the same places.

With `--results`, each outcome is a line of JSON in that file as soon as it is known, and places
that stand there are not tried again: a run that was stopped goes on, and runs of several packages
add up. `--again` tries the survivors of that file once more, after tests were written for them.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("algebra", "measure", "water", "courses", "rulesets", "solve")
TESTS_A_MUTANT = 60
SECONDS_OF_TESTS = 60.0
"""Of processor time: tests that took longer than this together in the first run are not all run."""
TIMES = "TIMES_OF_TESTS"
"""The variable of the environment that names the file in which a run keeps what each test took."""

SECONDS_A_MUTANT = 120

SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.And: ast.Or, ast.Or: ast.And, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip


class Mutant(NamedTuple):
    """One broken place."""

    path: Path
    line: int
    was: str
    now: str
    text: str


class _Breaker(ast.NodeTransformer):  # its methods are named as the library asks
    """Breaks the place with one number, counting places as it goes."""

    def __init__(self, wanted: int) -> None:
        self.wanted, self.seen = wanted, -1
        self.line = 0
        self.was = ""
        self.broken: ast.AST | None = None

    def _here(self, node: ast.AST) -> bool:
        self.seen += 1
        if self.seen != self.wanted:
            return False
        self.line = getattr(node, "lineno", 0)
        self.was = ast.unparse(node.test if isinstance(node, ast.If) else node)
        self.broken = node
        return True

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        if type(node.op) in SWAPS and not _of_types(node) and self._here(node):
            node.op = SWAPS[type(node.op)]()  # type: ignore[assignment]
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        if self._here(node):
            node.op = SWAPS[type(node.op)]()  # type: ignore[assignment]
        return node

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        if type(node.ops[0]) in SWAPS and self._here(node):
            node.ops[0] = SWAPS[type(node.ops[0])]()  # type: ignore[call-overload]
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.Not | ast.USub) and self._here(node):
            self.broken = node.operand
            return node.operand
        return node

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if isinstance(node.value, bool):
            if self._here(node):
                node.value = not node.value
        elif isinstance(node.value, int | float) and self._here(node):
            node.value += 1
        return node

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        if self._here(node):
            node.body, node.orelse = node.orelse, node.body
        return node

    # What no test can or should see: annotations, records' fields, texts, imports for types.
    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value is not None:
            node.value = self.visit(node.value)
        return node

    def visit_arguments(self, node: ast.arguments) -> ast.AST:
        node.defaults = [self.visit(item) for item in node.defaults]
        node.kw_defaults = [self.visit(item) if item else None for item in node.kw_defaults]
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        if any(
            isinstance(item, ast.Name) and item.id == "overload" for item in node.decorator_list
        ):
            return node
        node.args = self.visit(node.args)
        node.body = [self.visit(item) for item in node.body]
        return node

    def visit_If(self, node: ast.If) -> ast.AST:
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return node
        self.generic_visit(node)
        if self._here(node):
            node.test = ast.copy_location(ast.UnaryOp(ast.Not(), node.test), node.test)
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        node.body = [self.visit(item) for item in node.body]
        return node

    def visit_Raise(self, node: ast.Raise) -> ast.AST:
        return node


def _of_types(node: ast.BinOp) -> bool:
    return isinstance(node.op, ast.BitOr)


def places(path: Path) -> int:
    """How many places of a module can be broken."""
    breaker = _Breaker(-1)
    breaker.visit(ast.parse(path.read_text(encoding="utf-8")))
    return breaker.seen + 1


def broken(path: Path, number: int) -> Mutant:
    """A module with one place broken."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    breaker = _Breaker(number)
    tree = ast.fix_missing_locations(breaker.visit(tree))
    node = breaker.broken
    now = "" if node is None else ast.unparse(node.test if isinstance(node, ast.If) else node)
    return Mutant(path, breaker.line, breaker.was, now, ast.unparse(tree) + "\n")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Keep what each test takes of the processor: on a busy machine the clock says little."""
    before = os.times()
    result = yield
    took_s = sum(os.times()[:4]) - sum(before[:4])
    with Path(os.environ[TIMES]).open("a", encoding="utf-8") as kept:
        kept.write(json.dumps([item.nodeid, took_s]) + "\n")
    return result


def modules(package: str) -> list[Path]:
    """The modules of a package; itself where it names one."""
    named = ROOT / "checker" / package
    return [named] if named.is_file() else sorted(named.rglob("*.py"))


def reach(
    packages: list[str], tests: list[str]
) -> tuple[dict[tuple[str, int], list[str]], dict[str, float]]:
    """Which tests reach which line, and how long each takes, by one run of the tests."""
    with tempfile.TemporaryDirectory() as folder:
        data, times = Path(folder) / "coverage", Path(folder) / "times"
        settings = Path(folder) / "rc"
        settings.write_text(
            f"[run]\ndata_file = {data}\nbranch = False\n"
            "source_pkgs = "
            + ",".join(f"checker.{name.removesuffix('.py').replace('/', '.')}" for name in packages)
            + "\n",
            encoding="utf-8",
        )
        subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--cov",
             f"--cov-config={settings}", "--cov-context=test", "--cov-report=", "-p",
             "tests.mutants", *tests],
            cwd=ROOT, check=False,
            env={**os.environ, "COVERAGE_FILE": str(data), TIMES: str(times)},
        )  # fmt: skip
        from coverage import CoverageData

        found: dict[tuple[str, int], list[str]] = defaultdict(list)
        kept = CoverageData(str(data))
        kept.read()
        # What a shared fixture does is told of the test that asked for it first, and serves all.
        by_file: dict[str, list[str]] = defaultdict(list)
        for test in sorted({c.partition("|")[0] for c in kept.measured_contexts() if "::" in c}):
            by_file[test.partition("::")[0]].append(test)
        for name in kept.measured_files():
            relative = Path(name).resolve().relative_to(ROOT).as_posix()
            whole: set[str] = set()
            for line, contexts in kept.contexts_by_lineno(name).items():
                names = {c.partition("|")[0] for c in contexts if "::" in c}
                for shared in {c.partition("::")[0] for c in contexts if c.endswith("|setup")}:
                    names |= set(by_file[shared])
                found[relative, line] = sorted(names)
                whole |= names
            # Line 0 stands for the module: what runs when it is imported belongs to no one test.
            found[relative, 0] = sorted(whole)
        took = map(json.loads, times.read_text(encoding="utf-8").splitlines())
        took_s = {name: max(0.0, own_s) for name, own_s in took}
    return found, took_s


def survives(mutant: Mutant, tree: Path, tests: list[str]) -> bool:
    """Whether no test that reaches the broken place notices it."""
    target = tree / mutant.path.relative_to(ROOT)
    whole = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    child = os.fork()
    if child == 0:
        try:
            os._exit(_tried(tree, tests))
        except BaseException as wrong:
            print(f"a child died: {wrong!r}", file=sys.stderr, flush=True)
            os._exit(1)
    _, status = os.waitpid(child, 0)
    target.write_text(whole, encoding="utf-8")
    return os.waitstatus_to_exitcode(status) == 0


def _tried(tree: Path, tests: list[str]) -> int:
    """Run tests on the broken tree, in a process of their own."""
    os.setsid()
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    # Of processor time: on a busy machine a slow test is no failing one.
    signal.setitimer(signal.ITIMER_PROF, SECONDS_A_MUTANT)
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    sys.dont_write_bytecode = True
    os.environ["PYTHONPATH"] = str(tree)
    return int(pytest.main(["-q", "-x", "-p", "no:cacheprovider", *tests]))


class Known(NamedTuple):
    """What the first run told of the tests: how many lines each reaches, and how long it takes."""

    breadth: Mapping[str, int]
    took_s: Mapping[str, float]


def chosen_tests(names: list[str], known: Known, chance: random.Random) -> list[str]:
    """Few enough tests to run, spread over all files that reach the place, the most direct first.

    A test that reaches few lines is about them; one that goes the whole way is slow and asks little
    of each. What was chosen is run the quickest first.
    """
    by_file: dict[str, list[str]] = defaultdict(list)
    for name in names:
        by_file[name.partition("::")[0]].append(name)
    for listed in by_file.values():
        chance.shuffle(listed)
        listed.sort(key=lambda name: -known.breadth.get(name, 0))
    picked: list[str] = []
    left_s = SECONDS_OF_TESTS
    while len(picked) < TESTS_A_MUTANT and any(by_file.values()):
        for listed in by_file.values():
            if listed and len(picked) < TESTS_A_MUTANT:
                own_s = known.took_s.get(listed[-1], 0.0)
                name = listed.pop()
                if own_s <= left_s:
                    left_s -= own_s
                    picked.append(name)
    return sorted(picked, key=lambda name: known.took_s.get(name, 0.0))


def text_of(mutant: Mutant) -> str:
    """The place and what became of it."""
    name = mutant.path.relative_to(ROOT).as_posix()
    return f"{name}:{mutant.line}: {mutant.was} -> {mutant.now}"


def try_all(
    chosen: list[Mutant], asked: argparse.Namespace, chance: random.Random
) -> Iterator[tuple[str, bool]]:
    """Each mutant with whether a test notices it, in order."""
    lines, took_s = reach(asked.packages, asked.tests)
    breadth = Counter(name for (_, line), names in lines.items() if line for name in names)
    known = Known(breadth, took_s)
    import numpy as np  # noqa: F401 - loaded once here, not in each child
    import shapely  # noqa: F401 - the same

    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(
            ROOT, tree, ignore=shutil.ignore_patterns(".git", ".mypy_cache", ".venv", "__pycache__")
        )
        some = chosen_tests(
            sorted({name for names in lines.values() for name in names}), known, chance
        )
        first = chosen[0].path
        unbroken = Mutant(first, 0, "", "", first.read_text(encoding="utf-8"))
        if not survives(unbroken, tree, some):
            sys.exit("the tests fail on the unbroken tree; nothing can be learnt")
        for mutant in chosen:
            name = mutant.path.relative_to(ROOT).as_posix()
            tests = chosen_tests(lines.get((name, mutant.line)) or lines[name, 0], known, chance)
            yield text_of(mutant), bool(tests) and not survives(mutant, tree, tests)


def main() -> None:
    """Break, test, count."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--count", type=int, default=200, help="how many mutants")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--packages", nargs="*", default=list(PACKAGES))
    options.add_argument("--but", nargs="*", default=[], help="folders and modules left out")
    options.add_argument("--tests", nargs="*", default=["tests"], help="tests to learn from")
    options.add_argument("--results", type=Path, help="file that outcomes are added to")
    options.add_argument("--again", action="store_true", help="try its survivors once more")
    asked = options.parse_args()
    chance = random.Random(asked.seed)
    everywhere = [
        (path, number)
        for package in asked.packages
        for path in modules(package)
        if not any(path.is_relative_to(ROOT / "checker" / other) for other in asked.but)
        for number in range(places(path))
    ]
    found: dict[str, bool] = {}
    if asked.results and asked.results.exists():
        found = dict(map(json.loads, asked.results.read_text(encoding="utf-8").splitlines()))
    if asked.again:
        chosen = [
            one
            for one in (broken(*place) for place in everywhere)
            if not found.get(text_of(one), True)
        ]
    else:
        sample = chance.sample(everywhere, min(asked.count, len(everywhere)))
        chosen = [one for one in (broken(*place) for place in sample) if text_of(one) not in found]
    for text, killed in try_all(chosen, asked, chance) if chosen else ():
        found[text] = killed
        if asked.results:
            with asked.results.open("a", encoding="utf-8") as kept:
                kept.write(json.dumps([text, killed]) + "\n")
        if not killed:
            print(f"survives {text}", flush=True)
    for package in asked.packages:
        own = f"checker/{package}"
        tried = [
            killed for text, killed in found.items() if text.startswith((f"{own}/", f"{own}:"))
        ]
        print(f"{package}: {sum(tried)} of {len(tried)} killed")
    print(f"all: {sum(found.values()) / max(1, len(found)):.0%}")


if __name__ == "__main__":
    main()
