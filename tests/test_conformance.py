"""The project's own standards, kept by looking at the code. An exemption needs a reason."""

from __future__ import annotations

import ast
import graphlib
import importlib
import inspect
import pkgutil
import re
import subprocess
import typing
from pathlib import Path
from typing import Final

import pytest

import checker
from checker.core.formula import FORMULAS
from checker.files import compile as shapes
from checker.files.source import read_document
from checker.files.vocabulary import ATTRIBUTES

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(path for path in (ROOT / "checker").rglob("*.py") if "_data" not in path.parts)
LONGEST = 400

UNITS = (
    "_m", "_mm", "_m2", "_m3", "_s", "_kg", "_degrees", "_dollars", "_years",
    "_fraction", "_fractions", "_ratio", "_count", "_number", "_numbers", "_factor", "_coefficient",
    "_n",  # Manning's n and its kin, by their own names
    "_m_per_s", "_m2_per_s", "_m3_per_s", "_m_per_s2", "_per_s", "_per_m2",
    "_kg_per_m3", "_kg_per_m2", "_kg_per_m", "_dollars_per_m2",
)  # fmt: skip

# Names of float arguments of formulas that carry no unit, each with its reason.
PLAIN_NAMES: Final[dict[str, str]] = {
    "b_in_per_h": "a constant fitted to a table in inches per hour, as its source prints it",
    "offset_min": "a constant fitted to a table in minutes, as its source prints it",
    "weir_coefficient_si": "its unit is the square root of metres per second, whatever the weir",
}


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_the_top_level_is_fixed() -> None:
    allowed = {
        "README.md", "DEVELOPERS.md", "LICENSE", "CHANGELOG.md", "pyproject.toml",
        "rules", "checker", "tests", "jurisdictions", "samples",
    }  # fmt: skip
    # What a person writes beside it, as the README shows, is not of the project.
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("no git here that could tell what belongs to the project")
    found = {name.partition("/")[0] for name in listed.stdout.split("\0") if name}
    assert {name for name in found if not name.startswith(".")} == allowed


@pytest.mark.parametrize("path", MODULES, ids=shown)
def test_no_module_outgrows_its_idea(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize("path", MODULES, ids=shown)
def test_modules_are_nouns_without_underscores_and_say_what_they_hold(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    if path.name not in {"__init__.py", "__main__.py"}:
        assert re.fullmatch(r"[a-z][a-z0-9_]*", path.stem)
    assert path.stem not in {"utils", "helpers", "manager", "base", "common", "misc"}


@pytest.mark.parametrize(
    "path", [path for path in MODULES if path.name == "__init__.py"], ids=shown
)
def test_packages_hold_a_docstring_and_nothing_else(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert len(tree.body) == 1


def public_names(path: Path) -> list[str]:
    """The classes and type aliases of a module; what begins with _ is its own affair."""
    names = []
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        match node:
            case ast.ClassDef(name=name):
                names.append(name)
            case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
                if name[0].isupper() and not name.isupper() and "_" not in name:
                    names.append(name)
            case _:
                pass
    return [name for name in names if not name.startswith("_")]


def test_one_name_has_one_meaning() -> None:
    homes: dict[str, list[str]] = {}
    for path in MODULES:
        for name in public_names(path):
            homes.setdefault(name, []).append(shown(path))
    assert {name: found for name, found in homes.items() if len(found) > 1} == {}


def imported_by(path: Path, known: dict[str, Path]) -> set[str]:
    """The modules of the package that a module imports, anywhere: lazily and for types too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {item.name for item in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            for item in node.names:
                inner = f"{node.module}.{item.name}"
                found.add(inner if inner in known else node.module)
    return found & set(known)


def test_no_module_imports_itself_by_way_of_others() -> None:
    known = {
        shown(path).removesuffix(".py").removesuffix("/__init__").replace("/", "."): path
        for path in MODULES
    }
    graph = {name: imported_by(path, known) for name, path in known.items()}
    try:
        list(graphlib.TopologicalSorter(graph).static_order())
    except graphlib.CycleError as circle:
        pytest.fail(f"import circle: {' > '.join(circle.args[1])}")


def test_compiled_shapes_are_current() -> None:
    stale = [
        path.name
        for path, text in shapes.texts().items()
        if not path.exists() or path.read_text(encoding="utf-8") != text
    ]
    assert stale == [], "run: python -m checker.files.compile"


def every_formula() -> list[str]:
    for package in ("checker.water", "checker.courses", "checker.site", "checker.findings"):
        found = importlib.import_module(package)
        for module in pkgutil.walk_packages(found.__path__, f"{package}."):
            importlib.import_module(module.name)
    return sorted(name for name in FORMULAS if name.startswith("checker."))


def known_sources() -> set[str]:
    keys: set[str] = set()
    for path in sorted((ROOT / "rules" / "sources").glob("*.yaml")):
        keys |= {item["key"] for item in read_document(path).data["sources"]}
    return keys


@pytest.mark.parametrize("name", every_formula())
def test_a_formula_cites_a_source_that_is_declared(name: str) -> None:
    entry = FORMULAS[name]
    assert entry.source in known_sources()
    assert entry.section


@pytest.mark.parametrize("name", every_formula())
def test_the_floats_of_a_formula_name_their_unit(name: str) -> None:
    function = inspect.unwrap(FORMULAS[name].function)
    hints = inspect.get_annotations(function)
    for argument, hint in hints.items():
        text = hint if isinstance(hint, str) else getattr(hint, "__name__", str(hint))
        if argument == "return" or not re.search(r"\b(float|Floats)\b", text):
            continue
        if argument in PLAIN_NAMES:
            continue
        assert argument.endswith(UNITS), f"{argument} names no unit"


def test_attributes_have_one_description_each() -> None:
    texts = [term.title for term in ATTRIBUTES.values()]
    assert len(texts) == len(set(texts))


def test_no_text_holds_a_path_of_one_machine() -> None:
    words = re.compile(r"/root/\w|/home/\w+/\w|C:\\\\Users")
    for path in [*MODULES, *ROOT.glob("*.md"), ROOT / "pyproject.toml"]:
        assert words.search(path.read_text(encoding="utf-8")) is None, shown(path)


def test_the_package_says_what_it_is() -> None:
    assert checker.__doc__
    assert typing.TYPE_CHECKING is False
