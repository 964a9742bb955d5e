"""The optional values of one group of a site file, each of its kind or a problem with its place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.units import LENGTH, RATIO, Dimension, UnreadableAmount, read_amount
from checker.site.values import read_size, read_yes_or_no

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.core.problems import Place, Problems
    from checker.files.source import Document

MOST_SI: Final = 1e9
"""No amount of a section or of the ground is larger, in SI; what is was typed wrongly."""

SHORTEST_M: Final = 1e-8
"""No length is smaller but zero itself: a clay grain is a hundred times larger."""


class Fields:
    """Reads the values of one group; a value that is absent or wrong is None.

    Args:
        data: The group, of the right shape.
        document: Where its places are looked up.
        at: Its path in the document.
        owner: What it belongs to, for messages.
        problems: Collects what is wrong.
    """

    def __init__(
        self,
        data: Mapping[str, Any],
        document: Document,
        at: tuple[str | int, ...],
        owner: str,
        problems: Problems,
    ) -> None:
        self.data = data
        self.document = document
        self.at = at
        self.owner = owner
        self.problems = problems

    def place(self, key: str) -> Place:
        """Where a value stands."""
        return self.document.place(*self.at, key)

    def what(self, key: str) -> str:
        """How messages name a value."""
        return f"'{key}' of {self.owner}"

    def size(self, key: str, dimension: Dimension) -> float | None:
        """An amount of one kind that is not negative, in SI."""
        if key not in self.data:
            return None
        found = read_size(self.data[key], dimension, self.what(key), self.place(key), self.problems)
        if found is None:
            return None
        value_si = found.value_si
        if value_si > MOST_SI or (dimension == LENGTH and 0 < value_si < SHORTEST_M):
            says = f"{self.what(key)} is '{str(self.data[key])[:60]}', which nothing on a lot has"
            self.problems.add(self.place(key), says, "check the number and its unit")
            return None
        return value_si

    def length_m(self, key: str) -> float | None:
        """A length of zero or more, metres."""
        return self.size(key, LENGTH)

    def level_m(self, key: str) -> float | None:
        """A level, which may lie below zero, metres."""
        if key not in self.data:
            return None
        try:
            level_m = read_amount(self.data[key], LENGTH).value_si
        except UnreadableAmount as error:
            self.problems.add(self.place(key), f"{self.what(key)}: {error}")
            return None
        if abs(level_m) > MOST_SI:
            self.problems.add(self.place(key), f"{self.what(key)} lies on no lot")
            return None
        return level_m

    def ratio(self, key: str) -> float | None:
        """A number without a unit, a slope or a per cent, of zero or more."""
        return self.size(key, RATIO)

    def share_fraction(self, key: str) -> float | None:
        """A share from 0 to 1, written so or in per cent."""
        found = self.ratio(key)
        if found is not None and found > 1:
            self.problems.add(
                self.place(key),
                f"{self.what(key)} is '{self.data[key]}', more than the whole",
                "give a share from 0 to 1, or a per cent such as 40 %",
            )
            return None
        return found

    def yes(self, key: str) -> bool | None:
        """Yes or no."""
        if key not in self.data:
            return None
        before = len(self.problems.items)
        answer = read_yes_or_no(self.data[key], self.what(key), self.place(key), self.problems)
        return answer if len(self.problems.items) == before else None

    def text(self, key: str) -> str:
        """A text; empty when absent."""
        return str(self.data.get(key, ""))

    def sieves(self, key: str = "sieves") -> tuple[tuple[str, float], ...]:
        """A sieve test: names of sieves and the share that passes each."""
        inner = Fields(
            self.data.get(key, {}), self.document, (*self.at, key), self.owner, self.problems
        )
        found = [(name, inner.share_fraction(name)) for name in inner.data]
        return tuple((name, share) for name, share in found if share is not None)

    def at_most(self, key: str, value: float | None, most: float, do: str) -> None:
        """What a key holds is no more than ground or stone can be."""
        if value is not None and value > most:
            says = f"{self.what(key)} is '{self.data[key]}', more than there can be"
            self.problems.add(self.place(key), says, do)
