"""A plain scope for tests of the rule language: names with values, some of them missing."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from checker.algebra.parse import Parser
from checker.algebra.values import Missing, Quantity, Truth, certain, unknown
from checker.algebra.vocabulary import Vocabulary
from checker.core.problems import Place, Problems
from checker.core.records import Struct, field
from checker.core.units import AREA, LENGTH, RATIO, read_amount
from checker.core.words import Word

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from checker.algebra import nodes as n
    from checker.algebra.values import Context

LOT = {
    "lot_area": Word("lot_area", "amount", "lot area", AREA, has_regions=True),
    "cover": Word("cover", "amount", "cover", AREA, has_states=True, has_regions=True),
    "width": Word("width", "amount", "lot width", LENGTH),
    "share": Word("share", "amount", "share"),
    "zone": Word("zone", "text", "zone", choices=("R-1", "R-2")),
    "corner": Word("corner", "yes or no", "corner lot"),
    "recorded": Word("recorded", "date", "day the plat was recorded"),
}
SURFACE = {
    "material": Word("material", "text", "material"),
    "gap": Word("gap", "amount", "gap", LENGTH),
    "covered": Word("covered", "yes or no", "covered"),
    "open_share": Word("open_share", "amount", "open share", RATIO),
    "inside": Word("inside", "text", "region it lies in"),
}
WORDS = Vocabulary(
    LOT,
    SURFACE,
    regions={"rear-yard": "rear yard"},
    readings={"share-of": ("of-limit", "of-lot")},
    rules=frozenset({"first"}),
)


class Scope(Struct):
    """Values by name; a pair is a range whose cause is missing."""

    values: dict[str, Any] = field(default_factory=dict)
    options: dict[str, str] = field(default_factory=dict)
    inner: list[Scope] = field(default_factory=list)
    documents: frozenset[str] = frozenset()
    day: date | None = None
    surface_id: str = ""
    truths: dict[str, bool | None] = field(default_factory=dict)

    def number(self, named: n.Named) -> Quantity:
        value = self.values.get(named.key, self.values.get(named.name))
        if value is None:
            word = WORDS.word(named.name)
            return unknown([self.missing(named.name)], word.dimension if word else RATIO)
        if isinstance(value, tuple):
            low, high = (read_amount(end) for end in value)
            missing = (self.missing(named.name),)
            return Quantity(low.value_si, high.value_si, low.dimension, missing)
        return certain(read_amount(value))

    def fact(self, name: str) -> Any:
        return self.values.get(name)

    def missing(self, name: str) -> Missing:
        return Missing(name, self.surface_id, f"give {name}")

    def surfaces(self) -> Iterable[Context]:
        return self.inner

    def is_on_file(self, document: str) -> bool:
        return document in self.documents

    def outcome(self, rule: str) -> Truth:
        return Truth(holds=self.truths.get(rule))

    def limit_of(self, rule: str) -> Quantity:
        return certain(read_amount(self.values[f"limit of {rule}"]))

    def option(self, reading: str) -> str:
        return self.options.get(reading, "of-limit")


def parser(problems: Problems | None = None) -> tuple[Parser, Problems]:
    problems = problems if problems is not None else Problems()

    def place(*path: str | int) -> Place:
        return Place(".".join(map(str, path)))

    return Parser(WORDS, place, problems), problems


def number(data: Any) -> n.Number:
    reader, problems = parser()
    node = reader.number(data, ())
    assert not problems, [str(item) for item in problems.items]
    return node


def condition(data: Any) -> n.Condition:
    reader, problems = parser()
    node = reader.condition(data, ())
    assert not problems, [str(item) for item in problems.items]
    return node


def wrong(data: Any, *, as_number: bool = False) -> list[str]:
    reader, problems = parser()
    if as_number:
        reader.number(data, ())
    else:
        reader.condition(data, ())
    # Here the place is the path itself, so the key that the message names is said once.
    return [re.sub(r"((\w+)(?:\.\d+)*: )'\2': ", r"\1", str(item)) for item in problems.items]
