"""The letters by which the plan, the tables and the findings name the surfaces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.measure.partition import REST
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
    """

    def __init__(self, site: Site) -> None:
        self._letters = {s.id: letter(index) for index, s in enumerate(site.surfaces)}
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
