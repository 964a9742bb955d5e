"""The letters by which the plan, the tables and the findings name the surfaces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.site.model import REST
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.site.model import Site, Surface


def letter(position: int) -> str:
    """The letter of a place in the file counted from 0: A to Z, then AA, AB ...

    Example:
        >>> letter(0), letter(25), letter(26), letter(52)
        ('A', 'Z', 'AA', 'BA')
    """
    text = ""
    count = position + 1
    while count:
        count, rest = divmod(count - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


class Keys:
    """Letters and names of a site's surfaces.

    Args:
        site: The lot; its surfaces are lettered in the order of the file.
        earlier: Letters of an earlier revision: what was there keeps its own, what is new takes
            those after the last.
    """

    def __init__(self, site: Site, earlier: Keys | None = None) -> None:
        self._letters: dict[str, str] = {}
        # Letters given so far, those of surfaces left out since among them.
        self.used_count: int = 0 if earlier is None else earlier.used_count
        for surface in site.surfaces:
            kept = earlier.letter(surface.id) if earlier is not None else ""
            if not kept:
                kept, self.used_count = letter(self.used_count), self.used_count + 1
            self._letters[surface.id] = kept
        self._surfaces = {s.id: s for s in site.surfaces}
        rest = site.rest_of_lot
        self._rest = f"Rest of the lot ({clean(rest.title).lower()})" if rest else "Land not drawn"

    def letter(self, surface_id: str) -> str:
        """The letter of a surface; empty for the rest of the lot."""
        return self._letters.get(surface_id, "")

    def surface(self, surface_id: str) -> Surface | None:
        """The surface with an id; None for the rest of the lot."""
        return self._surfaces.get(surface_id)

    def name(self, surface_id: str) -> str:
        """The title of a surface, or what the rest of the lot is."""
        if surface_id == REST:
            return self._rest
        found = self._surfaces.get(surface_id)
        return clean(found.title) if found else clean(surface_id)

    def named(self, surface_id: str) -> str:
        """Letter and title: "K terrace"."""
        return f"{self.letter(surface_id)} {self.name(surface_id)}".strip()
