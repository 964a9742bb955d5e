"""Plain data to number nodes: an amount, a name, or a group of keys with exactly one head."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, cast

from checker.algebra import nodes as n
from checker.algebra.dimensions import Unfitting, dimension_of
from checker.algebra.parse_keys import ORDERS, KeyReader, Plain, Scope
from checker.core.problems import did_you_mean
from checker.core.rounding import RoundingWay
from checker.core.units import RATIO, Amount

if TYPE_CHECKING:
    from datetime import date

    from checker.core.words import DataPath

NUMBER_HEADS: Final = {
    "amount": set[str](),
    "measure": {"state", "in"},
    "percent": {"of"},
    "sum": set[str](),
    "difference": set[str](),
    "product": set[str](),
    "ratio": set[str](),
    "least": set[str](),
    "greatest": set[str](),
    "tiers": {"by"},
    "brackets": {"of"},
    "points": {"by", "between"},
    "limit_of": set[str](),
    "choose": {"otherwise"},
    "by_reading": {"options"},
    "by_date": set[str](),
    "rounded": {"to", "way"},
}
"""The heads of numbers, each with the other keys it takes."""

UNDEFINED: Final = "cannot tell"
"""How a rule set writes a number that its text leaves undefined."""


class Numbers(KeyReader):
    """Reads numbers; conditions inside them are read by the class built on it."""

    def condition(self, data: Plain, path: DataPath, scope: Scope = "lot") -> n.Condition:
        """Read a condition."""
        raise NotImplementedError

    def number(self, data: Plain, path: DataPath, scope: Scope = "lot") -> n.Number:
        """Read a number: an amount, a name, or a group of keys with one head."""
        if isinstance(data, bool) or data is None or isinstance(data, list):
            self.wrong(path, "a number is wanted here", "give an amount, a name or an expression")
            return n.Fixed(Amount(0.0))
        if isinstance(data, int | float):
            return n.Fixed(Amount(float(data)))
        if isinstance(data, str):
            if data == UNDEFINED:
                return n.Choose(())
            if data[:1].isalpha():
                return self._named(data, path, scope)
            return n.Fixed(self._amount(data, path))
        head = self._head(data, path, NUMBER_HEADS, "number")
        if head is None:
            return n.Fixed(Amount(0.0))
        node = self._number_of(head, data, path, scope)
        try:
            dimension_of(node, self.words)
        except Unfitting as unfit:
            self.wrong((*path, head), f"'{head}' {unfit}", "give parts of one kind")
        return node

    def _number_of(
        self, head: str, data: dict[str, Plain], path: DataPath, scope: Scope
    ) -> n.Number:
        inner = data[head]
        at = (*path, head)
        if head == "amount":
            return n.Fixed(self._amount(inner, at))
        if head == "measure":
            return self._named(inner, at, scope, data, path)
        if head == "percent":
            return self._share(data, path, scope)
        if head in {"sum", "product", "least", "greatest"}:
            terms = self._numbers(inner, at, scope)
            if head == "sum":
                return n.Sum(terms)
            if head == "product":
                return n.Product(terms)
            return n.Least(terms) if head == "least" else n.Greatest(terms)
        if head == "difference":
            return self._difference(inner, at, scope)
        if head == "ratio":
            terms = self._numbers(inner, at, scope)
            if len(terms) != 2:
                self.wrong(at, "'ratio' takes two numbers: what is divided, then by what")
                return n.Fixed(Amount(0.0))
            return n.Ratio(terms[0], terms[1])
        if head == "tiers":
            return self._tiers(data, path, scope)
        if head == "brackets":
            return self._brackets(data, path, scope)
        if head == "points":
            return self._points(data, path, scope)
        if head == "limit_of":
            return n.LimitOf(self._rule_id(inner, at))
        if head == "choose":
            return self._choose(data, path, scope)
        if head == "by_reading":
            reading, options = self._options(data, path)
            return n.ByReading(
                reading,
                tuple((key, self.number(value, p, scope)) for key, value, p in options),
            )
        if head == "by_date":
            return self._by_date(inner, at, scope)
        return self._rounded(data, path, scope)

    def _numbers(self, data: Plain, path: DataPath, scope: Scope) -> tuple[n.Number, ...]:
        if not isinstance(data, list) or not data:
            self.wrong(path, "a list of numbers is wanted here")
            return (n.Fixed(Amount(0.0)),)
        return tuple(self.number(item, (*path, i), scope) for i, item in enumerate(data))

    def _named(
        self,
        name: Plain,
        path: DataPath,
        scope: Scope,
        data: dict[str, Plain] | None = None,
        around: DataPath = (),
    ) -> n.Number:
        state, region = "", ""
        if data is not None:
            state, region = (self._text(data, key, around) for key in ("state", "in"))
        word = self._word(name, path, scope)
        if word is None:
            return n.Named(str(name))
        if word.kind != "amount":
            self.wrong(path, f"'{name}' is no amount but a {word.kind}", "use it under 'fact'")
        if state not in {"", "existing", "proposed"}:
            self.wrong((*around, "state"), f"'{state}' is no state", "use existing or proposed")
        elif state and not word.has_states:
            self.wrong((*around, "state"), f"'{name}' is the same in every state", "leave it out")
        if region and region not in self.words.regions:
            self.wrong(
                (*around, "in"),
                f"'{region}' is no region of this rule set",
                did_you_mean(region, self.words.regions),
            )
        elif region and not word.has_regions:
            self.wrong((*around, "in"), f"'{name}' cannot be cut to a region", "leave it out")
        return n.Named(str(name), str(state), str(region))

    def _text(self, data: dict[str, Plain], key: str, path: DataPath) -> str:
        text = data.get(key, "")
        if isinstance(text, str):
            return text
        self.wrong((*path, key), f"'{key}' takes a name")
        return ""

    def _share(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        fraction = self._fraction(data["percent"], (*path, "percent"))
        if "of" not in data:
            return n.Fixed(Amount(fraction, RATIO, "%"))
        return n.Share(fraction, self.number(data["of"], (*path, "of"), scope))

    def _difference(self, data: Plain, path: DataPath, scope: Scope) -> n.Number:
        if not self._keys(data, path, {"take", "less"}, {"stops_at_zero"}):
            return n.Fixed(Amount(0.0))
        return n.Difference(
            self.number(data["take"], (*path, "take"), scope),
            self._numbers(data["less"], (*path, "less"), scope),
            stops_at_zero=self._yes(data.get("stops_at_zero", False), (*path, "stops_at_zero")),
        )

    def _tiers(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        by = self._need_number(data, "by", path, scope)
        rows: list[n.Tier] = []
        for i, row in enumerate(self._rows(data["tiers"], (*path, "tiers"))):
            at = (*path, "tiers", i)
            if not self._keys(row, at, {"value"}, {*ORDERS} - {"equal_to"}):
                continue
            low, low_in = self._end(row, at, "at_least", "more_than")
            high, high_in = self._end(row, at, "at_most", "less_than")
            rows.append(
                n.Tier(self.number(row["value"], (*at, "value"), scope), low, low_in, high, high_in)
            )
        return n.Tiers(by, tuple(rows))

    def _end(
        self, row: dict[str, Plain], at: DataPath, included: str, excluded: str
    ) -> tuple[Amount | None, bool]:
        if included in row and excluded in row:
            self.wrong((*at, excluded), f"'{included}' and '{excluded}' are both given", "keep one")
        for key in (included, excluded):
            if key in row:
                return self._amount(row[key], (*at, key)), key == included
        return None, True

    def _brackets(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        of = self._need_number(data, "of", path, scope)
        rows: list[n.Bracket] = []
        last = 0.0
        items = self._rows(data["brackets"], (*path, "brackets"))
        for i, row in enumerate(items):
            at = (*path, "brackets", i)
            if not self._keys(row, at, {"percent"}, {"up_to"}):
                continue
            up_to = self._amount(row["up_to"], (*at, "up_to")) if "up_to" in row else None
            if up_to is not None and up_to.value_si <= last:
                self.wrong((*at, "up_to"), "the ends of brackets must rise")
            if up_to is None and i != len(items) - 1:
                self.wrong(at, "only the last bracket may have no 'up_to'")
            last = up_to.value_si if up_to else last
            rows.append(n.Bracket(self._fraction(row["percent"], (*at, "percent")), up_to))
        return n.Brackets(of, tuple(rows))

    def _points(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        by = self._need_number(data, "by", path, scope)
        between = data.get("between", "straight line")
        if between not in {"straight line", "lower point", "higher point"}:
            self.wrong(
                (*path, "between"),
                f"'{between}' is no way to go between points",
                "use straight line, lower point or higher point",
            )
            between = "straight line"
        pairs: list[tuple[Amount, Amount]] = []
        for i, pair in enumerate(self._rows(data["points"], (*path, "points"))):
            at = (*path, "points", i)
            if not isinstance(pair, list) or len(pair) != 2:
                self.wrong(at, "a point is a pair: [where, value]")
                continue
            pairs.append((self._amount(pair[0], (*at, 0)), self._amount(pair[1], (*at, 1))))
        if any(b[0].value_si <= a[0].value_si for a, b in pairwise(pairs)):
            self.wrong((*path, "points"), "the points must stand in rising order")
        return n.Points(by, tuple(pairs), between)

    def _choose(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        cases: list[n.Case] = []
        for i, case in enumerate(self._rows(data["choose"], (*path, "choose"))):
            at = (*path, "choose", i)
            if self._keys(case, at, {"when", "value"}, set()):
                cases.append(
                    n.Case(
                        self.condition(case["when"], (*at, "when"), scope),
                        self.number(case["value"], (*at, "value"), scope),
                    )
                )
        otherwise = None
        if "otherwise" in data:
            otherwise = self.number(data["otherwise"], (*path, "otherwise"), scope)
        return n.Choose(tuple(cases), otherwise)

    def _by_date(self, data: Plain, path: DataPath, scope: Scope) -> n.Number:
        values: list[tuple[date, n.Number]] = []
        for i, row in enumerate(self._rows(data, path)):
            at = (*path, i)
            if not self._keys(row, at, {"since", "value"}, set()):
                continue
            day = self._day(row["since"], (*at, "since"))
            values.append((day, self.number(row["value"], (*at, "value"), scope)))
        if any(b[0] <= a[0] for a, b in pairwise(values)):
            self.wrong(path, "the days must stand in rising order")
        return n.ByDate(tuple(values))

    def _rounded(self, data: dict[str, Plain], path: DataPath, scope: Scope) -> n.Number:
        value = self.number(data["rounded"], (*path, "rounded"), scope)
        if "to" not in data or "way" not in data:
            self.wrong(path, "'rounded' needs 'to' (a step) and 'way' (nearest, up or down)")
            return value
        step = self._amount(data["to"], (*path, "to"))
        if step.value_si <= 0:
            self.wrong((*path, "to"), "the step must be more than zero")
            return value
        if data["way"] not in {"nearest", "up", "down"}:
            self.wrong((*path, "way"), f"'{data['way']}' is no way to round", "nearest, up or down")
            return value
        return n.Rounded(value, step, cast("RoundingWay", data["way"]))

    def _need_number(
        self, data: dict[str, Plain], key: str, path: DataPath, scope: Scope
    ) -> n.Number:
        if key not in data:
            self.wrong(path, f"'{key}' is missing", "add it")
            return n.Fixed(Amount(0.0))
        return self.number(data[key], (*path, key), scope)
