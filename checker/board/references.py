"""Where a site file names a surface, or a thing that water is led to.

A new name is followed everywhere; nothing is taken away that something else names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

_OWN_WORDS: Final = frozenset({"id", "title", "kind", "material", "note", "treatment"})
"""Keys whose texts name nothing of the file."""
_LED: Final = ("to", "spills_to", "drains_to")
"""Keys that say where water goes."""


class Mention:
    """A place of a file that names something.

    Attributes:
        holder: The mapping or list that holds the name.
        key: Under which key, or where in the list.
        by: What mentions it, for a person.
    """

    def __init__(self, holder: Any, key: str | int, by: str) -> None:  # noqa: ANN401 - plain data
        self.holder, self.key, self.by = holder, key, by

    def follow(self, to: str) -> None:
        """Put another name there."""
        self.holder[self.key] = to


def mentions(data: dict[str, Any], name: str) -> list[Mention]:
    """Where the file says the name of a surface, but for the lists of order and goal."""
    found: list[Mention] = []
    for entry in data.get("surfaces", ()):
        if entry["id"] == name:
            continue
        by = f"the surface '{entry['id']}'"
        found += _named(entry.get("shape"), name, by, ("around", "wall_of"))
        found += _named(entry.get("attributes"), name, by, ("drains_to",))
    for part in ("features", "regions"):
        for entry in data.get(part, ()):
            found += _named(entry.get("shape"), name, f"'{entry['id']}'", ("around", "wall_of"))
    for panel in data.get("panels", ()):
        found += _named(panel, name, f"the fall of '{panel.get('id', name)}'", ("on",))
    if not _is_of_water(data, name):
        for part, entries in data.get("ways_out", {}).items():
            for entry in entries if isinstance(entries, list) else [entries]:
                own = entry.get("id") if isinstance(entry, dict) else None
                if isinstance(entry, dict | list):
                    found += _any(entry, name, f"'{own or part.replace('_', ' ')}'")
    return found


def _is_of_water(data: dict[str, Any], name: str) -> bool:
    """Whether a drain, pipe or store has that name too, so that it is not the surface's alone."""
    return any(
        isinstance(entries, list) and any(entry.get("id") == name for entry in entries)
        for entries in data.get("ways_out", {}).values()
    )


def _named(data: Any, name: str, by: str, keys: tuple[str, ...]) -> Iterator[Mention]:  # noqa: ANN401
    """The mentions under some keys, at any depth."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key in keys and value == name:
                yield Mention(data, key, by)
            else:
                yield from _named(value, name, by, keys)
    elif isinstance(data, list):
        for value in data:
            yield from _named(value, name, by, keys)


def _any(data: Any, name: str, by: str) -> Iterator[Mention]:  # noqa: ANN401
    """The mentions under any key that may name something of the file."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in list(pairs):
        if value == name and key not in _OWN_WORDS:
            yield Mention(data, key, by)
        elif isinstance(value, dict | list):
            yield from _any(value, name, by)


def face_anew(sides: dict[str, Any], key: str, to: str) -> None:
    """Write the new id of a street wherever a side of the lot is the one nearest to it.

    Args:
        sides: Of the lot, as the file names them.
        key: The old id.
        to: The new one.
    """
    for side, given in sides.items():
        words = [
            f"nearest {to}" if word == f"nearest {key}" else word
            for word in (given if isinstance(given, list) else [given])
        ]
        sides[side] = words if isinstance(given, list) else words[0]


def lead_anew(data: dict[str, Any], entries: list[dict[str, Any]], key: str, to: str) -> None:
    """Write the new id of a drain, pipe or store wherever water is led to it.

    Args:
        data: The site file.
        entries: All entries of its lists.
        key: The old id.
        to: The new one.
    """
    holders = [*entries, *(outlet for store in entries for outlet in store.get("outlets", ()))]
    if not any(entry["id"] == key for entry in data.get("surfaces", ())):
        holders += [entry.get("attributes", {}) for entry in data.get("surfaces", ())]
    for entry in holders:
        for field in _LED:
            if entry.get(field) == key:
                entry[field] = to
