"""The classes of surface, read from `rules/materials.yaml`."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from checker.core.problems import Problems
from checker.files.library import library_document, rules_folder
from checker.files.shape import check_shape
from checker.site.model import Material

if TYPE_CHECKING:
    from collections.abc import Mapping

MARK: Final = "?"
"""Behind a material: taken as likely, and nobody has confirmed it."""

UNKNOWN: Final = Material(
    id="unknown", title="Not known", level="raised", precedence=99, nature="sealed",
    group="Other", hatch="plain",
)  # fmt: skip
"""What a surface is made of where nobody knows: what hangs on its material has no answer.

It lies over the ground, since what it hides there may be seen after all, and new paving must not
vanish beneath it."""


@cache
def materials() -> Mapping[str, Material]:
    """Every material by id, in the order of the file.

    Raises:
        BadInput: The file is unreadable or names a material twice.
    """
    document = library_document(rules_folder() / "materials.yaml")
    rows = check_shape("materials", document.data, document)["materials"]
    problems = Problems()
    found: dict[str, Material] = {}
    for index, row in enumerate(rows):
        if row["id"] in found:
            place = document.place("materials", index, "id")
            problems.add(place, f"the material '{row['id']}' stands twice", "keep one")
        found[row["id"]] = Material(**row)
    problems.stop_if_any(f"{document.file} cannot be used")
    return MappingProxyType(found)


def material_named(name: str) -> Material | None:
    """The material of a name, `UNKNOWN` among them; None where there is none."""
    return UNKNOWN if name == UNKNOWN.id else materials().get(name)


def without_mark(text: str) -> tuple[str, bool]:
    """A meaning without the mark of what nobody has confirmed, and whether it had one."""
    bare = text.strip()
    if bare != MARK and bare.endswith(MARK):
        return bare.removesuffix(MARK).rstrip(), True
    return text, False


_NATURES: Final = {
    "sealed": "rain runs off",
    "porous": "built to let rain through",
    "open": "open ground",
    "water": "open water",
}


def materials_listing() -> str:
    """Every material that a site file may name, under its heading, with what each means."""
    lines: list[str] = []
    for group in dict.fromkeys(material.group for material in materials().values()):
        lines += ["", group]
        lines += [
            f"  {found.id:<18} {found.title}; {found.level} level, {_NATURES[found.nature]}"
            for found in materials().values()
            if found.group == group
        ]
    lines += ["", "Where nobody knows", f"  {UNKNOWN.id:<18} rules that hang on it cannot tell"]
    lines += ["", "A '?' behind one (concrete-slab?) says that nobody has confirmed it."]
    return "\n".join(lines[1:])
