"""Plain data and its places to nodes.

One fixed set of heads: a number is an amount (`5,000 sq ft`), a name (`lot_area`) or a group of
keys with exactly one head (`percent`, `sum`, `tiers` ...); a condition likewise. Every key is known
or refused with its place, every name is checked against the vocabulary, and parts that are
compared or added must be of one dimension.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.dimensions import Unfitting, dimension_of
from checker.algebra.parse_keys import DATE_ORDERS, ORDERS, Plain, Scope
from checker.algebra.parse_numbers import Numbers
from checker.algebra.slips import more_than_whole, unlike
from checker.core.answers import yes_or_no
from checker.core.problems import did_you_mean, one_of_these

if TYPE_CHECKING:
    from checker.core.words import DataPath, Word

CONDITION_HEADS: Final = {
    "value": {*ORDERS},
    "measure": {"state", "in", *ORDERS},
    "fact": {"is", "one_of", *DATE_ORDERS},
    "all": set[str](),
    "any": set[str](),
    "not": set[str](),
    "on_file": set[str](),
    "passes": set[str](),
    "for_each": {"require"},
    "by_reading": {"options"},
}
"""The heads of conditions, each with the other keys it takes."""


CLAUSES: Final = ("what ", "who ", "how ", "its ")
"""Titles that start so cannot stand after "no"."""


class Parser(Numbers):
    """Reads the conditions and numbers of one file."""

    def condition(self, data: Plain, path: DataPath, scope: Scope = "lot") -> n.Condition:
        """Read a condition: a group of keys with one head."""
        head = self._head(data, path, CONDITION_HEADS, "condition")
        if head is None:
            return n.always()
        inner = data[head]
        at = (*path, head)
        if head in {"value", "measure"}:
            return self._compare(head, data, path, scope)
        if head == "fact":
            return self._fact(data, path, scope)
        if head in {"all", "any"}:
            if not isinstance(inner, list) or not inner:
                self.wrong(at, f"'{head}' takes a list of conditions")
                return n.always()
            parts = tuple(self.condition(p, (*at, i), scope) for i, p in enumerate(inner))
            return n.AllOf(parts) if head == "all" else n.AnyOf(parts)
        if head == "not":
            return n.Not(self.condition(inner, at, scope))
        if head == "on_file":
            if not isinstance(inner, str):
                self.wrong(at, "'on_file' takes the name of a document")
                return n.always()
            return n.OnFile(inner)
        if head == "passes":
            return n.Passes(self._rule_id(inner, at))
        if head == "for_each":
            if "require" not in data:
                self.wrong(path, "'require' is missing", "say what each such surface must meet")
                return n.always()
            return n.ForEach(
                self.where(inner, at),
                self.condition(data["require"], (*path, "require"), "surface"),
            )
        reading, options = self._options(data, path)
        return n.ReadingCondition(
            reading, tuple((key, self.condition(value, p, scope)) for key, value, p in options)
        )

    def _compare(
        self, head: str, data: dict[str, Plain], path: DataPath, scope: Scope
    ) -> n.Condition:
        found_before = len(self.problems.items)
        if head == "measure":
            measured = self._named(data["measure"], (*path, "measure"), scope, data, path)
        else:
            measured = self.number(data["value"], (*path, "value"), scope)
        is_sound = len(self.problems.items) == found_before
        parts = self._orders(measured, data, path, scope, is_sound=is_sound)
        if not parts:
            if set(data) <= {head, *CONDITION_HEADS[head]}:
                self.wrong(path, "nothing to compare with", f"add one of: {', '.join(ORDERS)}")
            return n.always()
        return parts[0] if len(parts) == 1 else n.AllOf(tuple(parts))

    def _orders(
        self,
        measured: n.Number,
        data: dict[str, Plain],
        path: DataPath,
        scope: Scope,
        *,
        is_sound: bool = True,
    ) -> list[n.Condition]:
        """The comparisons of a number; kinds are compared only where all could be read."""
        parts: list[n.Condition] = []
        for key, order in ORDERS.items():
            if key not in data:
                continue
            found_before = len(self.problems.items)
            limit = self.number(data[key], (*path, key), scope)
            parts.append(n.Compare(measured, order, limit))
            if is_sound and len(self.problems.items) == found_before:
                self._check_alike(measured, limit, data[key], (*path, key))
        return parts

    def _check_alike(
        self, measured: n.Number, limit: n.Number, given: Plain, path: DataPath
    ) -> None:
        try:
            own, found = dimension_of(measured, self.words), dimension_of(limit, self.words)
        except Unfitting:
            return  # told where the parts of that number stand
        if own is not None and found is not None and own != found:
            self.wrong(path, *unlike(measured, own, found, given, self.words))
        over = more_than_whole(measured, limit)
        if over is not None:
            says = f"'{over:g}' here is {over:g} times the whole"
            self.wrong(path, says, f"write '{over:g} %' if a share is meant")

    def _fact(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Condition:
        name = data["fact"]
        word = self._word(name, (*path, "fact"), scope)
        if word is None:
            return n.always()
        given = [key for key in data if key != "fact"]
        if len(given) != 1:
            self.wrong(path, f"say one thing about '{name}'", "is, one_of, or a date order")
            return n.always()
        return self._test(word, given[0], data[given[0]], (*path, given[0]))

    def _test(self, word: Word, key: str, value: Plain, path: DataPath) -> n.Condition:
        if key in DATE_ORDERS:
            if word.kind != "date":
                self.wrong(path, f"'{word.name}' is no date but a {word.kind}")
            return n.Dated(word.name, DATE_ORDERS[key], self._day(value, path))
        values = value if isinstance(value, list) else [value]
        if word.kind == "yes or no":
            answer = yes_or_no(values[0]) if len(values) == 1 else None
            if answer is None:
                self.wrong(path, f"'{word.name}' is yes or no", "write yes or no")
                return n.always()
            return n.Is(word.name, (answer,))
        if word.kind != "text":
            self.wrong(path, f"'{word.name}' is a {word.kind}", "compare it with an order instead")
            return n.always()
        for i, item in enumerate(values):
            at = (*path, i) if isinstance(value, list) else path
            if not isinstance(item, str):
                self.wrong(at, f"'{item}' is no text", "put it in quotes")
            elif word.choices and item not in word.choices:
                noun = f"value of '{word.name}'" if word.title.startswith(CLAUSES) else word.title
                self.wrong(at, f"'{item}' is no {noun}", one_of_these(item, word.choices))
        return n.Is(word.name, tuple(str(item) for item in values))

    def where(self, data: Plain, path: DataPath) -> n.Condition:
        """Read a selection of surfaces: attribute to value, list of values, or order."""
        if not isinstance(data, dict):
            self.wrong(path, "a selection is a group of attributes with values")
            return n.always()
        parts: list[n.Condition] = []
        for name, value in data.items():
            at = (*path, name)
            if name == "none_of":
                parts.append(n.Not(self._any_where(value, at)))
                continue
            if name == "any_of":
                parts.append(self._any_where(value, at))
                continue
            word = self._word(name, at, "surface")
            if word is None:
                continue
            if isinstance(value, dict):
                unknown = set(value) - {*ORDERS, *DATE_ORDERS}
                for key in sorted(unknown):
                    self.wrong((*at, key), f"'{key}' is no order", did_you_mean(key, ORDERS))
                dated = [key for key in value if key in DATE_ORDERS]
                parts.extend(self._test(word, key, value[key], (*at, key)) for key in dated)
                parts.extend(self._orders(n.Named(name), value, at, "surface"))
            else:
                parts.append(self._test(word, "is", value, at))
        return parts[0] if len(parts) == 1 else n.AllOf(tuple(parts))

    def _any_where(self, data: Plain, path: DataPath) -> n.Condition:
        items = data if isinstance(data, list) else [data]
        return n.AnyOf(tuple(self.where(item, (*path, i)) for i, item in enumerate(items)))
