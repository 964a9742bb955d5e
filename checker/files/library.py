"""Finds `rules/` and `jurisdictions/`, in a checkout or in the installed package, and opens by id.

A file is known by its name without the ending: `jurisdictions/alder-ferry.yaml` is `alder-ferry`.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.files.opening import Unopened, decoded, read_bytes
from checker.files.source import read_document, read_text

if TYPE_CHECKING:
    from checker.files.source import Document

_PACKAGE = Path(__file__).resolve().parents[1]


@cache
def _folder(name: str) -> Path:
    for candidate in (_PACKAGE.parent / name, _PACKAGE / "_data" / name):
        if candidate.is_dir() and _is_ours(candidate, name):
            return candidate
    raise BadInput(
        f"the folder {name}/ is missing",
        [Problem(Place(f"{name}/"), "is not there", "install the package again")],
    )


def _is_ours(folder: Path, name: str) -> bool:
    """An installed package may lie beside a stranger's `rules/`; ours stands by its materials."""
    rules = folder if name == "rules" else folder.parent / "rules"
    return (rules / "materials.yaml").is_file()


def rules_folder() -> Path:
    """The folder of model rules, materials, reference tables and sources.

    Raises:
        BadInput: The package is incomplete.
    """
    return _folder("rules")


def jurisdictions_folder() -> Path:
    """The folder with one rule set per place.

    Raises:
        BadInput: The package is incomplete.
    """
    return _folder("jurisdictions")


def samples_folder() -> Path:
    """The folder of invented lots.

    Raises:
        BadInput: The package is incomplete.
    """
    return _folder("samples")


def listed(folder: Path) -> dict[str, Path]:
    """The YAML files directly in a folder, by name without the ending, in order of name."""
    return {path.stem: path for path in sorted(folder.glob("*.yaml"))} if folder.is_dir() else {}


def shown(path: Path) -> str:
    """How messages name a file of the library: from `rules/` or `jurisdictions/` on."""
    for folder in (rules_folder(), jurisdictions_folder()):
        if path.is_relative_to(folder):
            return f"{folder.name}/{path.relative_to(folder).as_posix()}"
    return path.as_posix()


def library_document(path: Path) -> Document:
    """Read a file of the library.

    Raises:
        BadInput: It cannot be read.
    """
    return read_document(path, shown(path))


def named_document(path: Path, format_: str, noun: str, place: Place) -> Document:
    """Read a file that another one names, of which nothing is told unless it is of its kind.

    A name that leads to a stranger's file must not print what stands in it.

    Args:
        path: The file.
        format_: What its `format` says, up to the version: "ruleset", "costs".
        noun: What it is taken for, in messages.
        place: Where it is named.

    Raises:
        BadInput: It is of another kind, or cannot be read.
    """
    try:
        raw = read_bytes(path, shown(path))
    except Unopened as error:
        raise error.named_at(place) from error
    if f"{format_}/".encode() not in raw:
        says = f"'{shown(path)}' is no {noun}: it has no 'format: {format_}/1'"
        raise BadInput(f"a {noun} is missing", [Problem(place, says, "check the name")])
    return read_text(decoded(raw, shown(path)), shown(path))


def is_path(name: str) -> bool:
    """Whether a reference in a file is a path rather than an id."""
    return "/" in name or "\\" in name or name.endswith((".yaml", ".yml", ".json"))


def find(name: str, known: dict[str, Path], beside: Path, place: Place, noun: str) -> Path:
    """The file that an id or a path refers to.

    Args:
        name: An id of `known`, or a path, taken from the folder of `beside`.
        known: Files by id.
        beside: The file that holds the reference.
        place: Where the reference stands.
        noun: What is looked for, e.g. "rule set".

    Raises:
        BadInput: There is no such file.
    """
    if is_path(name):
        path, reason = beside.parent / name, ""
        try:
            if path.is_file():
                return path
        except (OSError, ValueError) as error:
            reason = f": {getattr(error, 'strerror', None) or 'the name cannot be used'}"
        says = f"there is no file '{name[:100]}'{reason}"
        do = f"give the path from the folder of {place.file}"
        near = did_you_mean(name, (file.name for file in beside.parent.glob("*.yaml")))
        do = near if near.startswith("did you mean") else do
    else:
        if name in known:
            return known[name]
        says, do = f"there is no {noun} '{name}'", did_you_mean(name, known)
    raise BadInput(f"a {noun} is missing", [Problem(place, says, do)])
