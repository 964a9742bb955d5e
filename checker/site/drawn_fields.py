"""Values of a group of a site file that lie on the drawing: points and levels."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.problems import did_you_mean
from checker.core.units import LENGTH, UNIT, UnreadableAmount, read_amount
from checker.site.fields import MOST_SI, Fields

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.site.drainage import Xy


class DrawnFields(Fields):
    """Fields that also hold points and levels, whose bare numbers are in the unit of the file."""

    @property
    def unit_m(self) -> float:
        """Size of the unit of the file, m."""
        found = UNIT.get(str(self.document.data.get("units", "")).strip().lower())
        return found.size_si if found is not None else 1.0

    def level_m(self, key: str) -> float | None:
        """A level, which may lie below zero, metres."""
        return self.level(self.data[key], key) if key in self.data else None

    def level(self, given: object, key: str) -> float | None:
        """A level that stands at a key, metres."""
        if isinstance(given, int | float) and not isinstance(given, bool):
            level_m = given * self.unit_m
        else:
            try:
                level_m = read_amount(given, LENGTH).value_si
            except UnreadableAmount as error:
                self.problems.add(self.place(key), f"{self.what(key)}: {error}")
                return None
        if abs(level_m) > MOST_SI:
            self.problems.add(self.place(key), f"{self.what(key)} lies on no lot")
            return None
        return level_m

    def points(self, key: str) -> tuple[Xy, ...]:
        """A list of points, metres; empty when absent."""
        return tuple(self.xy(point) for point in self.data.get(key, ()))

    def point(self, key: str) -> Xy | None:
        """A point, metres."""
        return self.xy(self.data[key]) if key in self.data else None

    def xy(self, point: list[float | int]) -> Xy:
        """A point of the drawing in metres."""
        return (point[0] * self.unit_m, point[1] * self.unit_m)

    def si(self, key: str) -> float | None:
        """What a key holds in its own dimension; None when absent or not to be read."""
        try:
            return read_amount(self.data[key]).value_si if key in self.data else None
        except UnreadableAmount:
            return None

    def above_zero(self, *keys: str) -> None:
        """What these keys hold must not be 0."""
        for key in keys:
            if self.si(key) == 0:
                self.problems.add(self.place(key), f"{self.what(key)} is 0", "give its size")

    def only(self, kind: str, allowed: Mapping[str, set[str]]) -> None:
        """Keys of one kind have no meaning for another."""
        others = set().union(*allowed.values()) - allowed[kind]
        for key in self.data:
            if key in others:
                place = self.document.key_place(*self.at, key)
                says = f"{self.what(key)} has no meaning for the kind '{kind}'"
                self.problems.add(place, says, did_you_mean(key, allowed[kind]))
