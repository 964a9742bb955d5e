"""The names that a rule may use, handed to the parser: what each one is and where it lives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record, field

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.core.words import Word


class Vocabulary(Record):
    """All names that one rule set may use.

    Attributes:
        lot: Measures, facts and defined amounts, by name.
        surface: Attributes of a surface, by name; `material`, `inside` and others among them.
        regions: Ids of regions, with their titles.
        readings: Ids of readings, with the ids of their options.
        rules: Ids of the rules, for references between them.
    """

    lot: Mapping[str, Word]
    surface: Mapping[str, Word]
    regions: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    rules: frozenset[str] = frozenset()

    def word(self, name: str) -> Word | None:
        """The word for a name in either scope."""
        return self.lot.get(name) or self.surface.get(name)
