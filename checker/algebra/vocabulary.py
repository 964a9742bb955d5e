"""The names that a rule may use, handed to the parser: what each one is and where it lives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record, field
from checker.core.units import RATIO, Dimension

if TYPE_CHECKING:
    from collections.abc import Mapping

Kind = Literal["amount", "text", "yes or no", "date"]


class Word(Record):
    """One name.

    Attributes:
        name: As written in files.
        kind: What values it takes.
        title: What it means, for people, starting in lower case.
        dimension: For amounts.
        choices: For texts from a fixed set.
        has_states: It can be asked for the existing and for the proposed lot.
        has_regions: It can be cut to a region.
        ask: What a person must give when it is missing.
    """

    name: str
    kind: Kind
    title: str
    dimension: Dimension = RATIO
    choices: tuple[str, ...] = ()
    has_states: bool = False
    has_regions: bool = False
    ask: str = ""


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
