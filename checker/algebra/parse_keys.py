"""What the parsers of numbers and conditions share: keys, names, amounts, days."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Final, Literal

from checker.core.answers import day_hint, day_of, yes_or_no
from checker.core.problems import did_you_mean
from checker.core.units import (
    RATIO,
    Amount,
    Order,
    UnreadableAmount,
    currency_of,
    read_amount,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.algebra import nodes as n
    from checker.algebra.vocabulary import Vocabulary
    from checker.core.problems import Place, Problems
    from checker.core.words import DataPath, Word

Plain = Any
"""Data as a file gives it: dicts, lists, texts, numbers, booleans, None."""

Scope = Literal["lot", "surface"]

ORDERS: Final[dict[str, Order]] = {
    "at_most": "at most",
    "at_least": "at least",
    "less_than": "less than",
    "more_than": "more than",
    "equal_to": "equal to",
}
DATE_ORDERS: Final[dict[str, n.DateOrder]] = {
    "before": "before",
    "on_or_before": "on or before",
    "after": "after",
    "on_or_after": "on or after",
}


class KeyReader:
    """Reads keys, names, amounts and days of one file.

    Args:
        words: The names that may be used.
        place: Gives the place of a path in the file.
        problems: Collects what is wrong; a node with a problem still parses to something.

    Attributes:
        later: Names that the file defines farther down, which may not be used yet.
        currency: What the file counts money in.
    """

    def __init__(self, words: Vocabulary, place: Callable[..., Place], problems: Problems) -> None:
        self.words = words
        self.place = place
        self.problems = problems
        self.later: frozenset[str] = frozenset()
        self.currency = "$"

    def wrong(self, path: DataPath, says: str, do: str = "") -> None:
        """Note a problem at a path; the key that it stands under is named."""
        key = next((part for part in reversed(path) if isinstance(part, str)), "")
        is_said = not key or f"'{key}'" in says
        self.problems.add(self.place(*path), says if is_said else f"'{key}': {says}", do)

    def _head(
        self, data: Plain, path: DataPath, heads: dict[str, set[str]], what: str
    ) -> str | None:
        if not isinstance(data, dict):
            self.wrong(path, f"a {what} is wanted here", f"a group with one of: {', '.join(heads)}")
            return None
        found = [key for key in heads if key in data]
        if what == "number" and "measure" in found and len(found) > 1:
            found.remove("measure")
        if len(found) != 1:
            if found:
                self.wrong(path, f"a {what} with both '{found[0]}' and '{found[1]}'", "keep one")
                return None
            given = next(iter(data), "")
            self.wrong(
                (*path, given) if given else path,
                f"no {what} starts with '{given}'",
                did_you_mean(given, heads),
            )
            return None
        head = found[0]
        for key in data:
            if key != head and key not in heads[head]:
                self.wrong(
                    (*path, key),
                    f"'{key}' is not a key beside '{head}'",
                    did_you_mean(key, heads[head]) if heads[head] else "remove it",
                )
        return head

    def _keys(self, data: Plain, path: DataPath, needed: set[str], allowed: set[str]) -> bool:
        if not isinstance(data, dict):
            self.wrong(path, f"a group with {', '.join(sorted(needed))} is wanted here")
            return False
        for key in sorted(needed - set(data)):
            self.wrong(path, f"'{key}' is missing", "add it")
        for key in data:
            if key not in needed | allowed:
                self.wrong(
                    (*path, key), f"'{key}' is not known here", did_you_mean(key, needed | allowed)
                )
        return needed <= set(data)

    def _rows(self, data: Plain, path: DataPath) -> list[Plain]:
        if not isinstance(data, list) or not data:
            self.wrong(path, "a list of rows is wanted here")
            return []
        return data

    def _options(
        self, data: dict[str, Plain], path: DataPath
    ) -> tuple[str, list[tuple[str, Plain, DataPath]]]:
        reading = data["by_reading"]
        known = self.words.readings.get(reading) if isinstance(reading, str) else None
        if known is None:
            self.wrong(
                (*path, "by_reading"),
                f"'{reading}' is no reading of this rule set",
                did_you_mean(reading, self.words.readings),
            )
            return "", []
        options = data.get("options")
        if not isinstance(options, dict):
            self.wrong(path, "'options' is missing", f"give one for each of: {', '.join(known)}")
            return "", []
        for key in options:
            if key not in known:
                self.wrong(
                    (*path, "options", key),
                    f"'{key}' is no option of '{reading}'",
                    did_you_mean(key, known),
                )
        for key in known:
            if key not in options:
                self.wrong(
                    (*path, "options"), f"the option '{key}' of '{reading}' is missing", "add it"
                )
        return reading, [(key, value, (*path, "options", key)) for key, value in options.items()]

    def _rule_id(self, data: Plain, path: DataPath) -> str:
        if data not in self.words.rules:
            self.wrong(
                path, f"'{data}' is no rule of this set", did_you_mean(data, self.words.rules)
            )
        return str(data)

    def _yes(self, data: Plain, path: DataPath) -> bool:
        answer = yes_or_no(data)
        if answer is not None:
            return answer
        self.wrong(path, f"'{data}' is neither yes nor no")
        return False

    def _day(self, data: Plain, path: DataPath) -> date:
        day = day_of(data)
        if day is None:
            self.wrong(path, f"'{data}' is no day", day_hint(data))
            return date(1, 1, 1)
        return day

    def _amount(self, data: Plain, path: DataPath) -> Amount:
        try:
            read = read_amount(data)
        except UnreadableAmount as error:
            self.wrong(path, str(error), "write a number and its unit, e.g. 5,000 sq ft")
            return Amount(0.0)
        if currency_of(read) not in {"", self.currency}:
            says = f"'{data}' is in {currency_of(read)}, and this file counts in {self.currency}"
            self.wrong(path, says, f"say 'currency: {currency_of(read)}' at the top, or correct it")
        return read

    def _fraction(self, data: Plain, path: DataPath) -> float:
        """A per cent number (45), or a share with its sign (45 %), as a fraction."""
        read = (
            Amount(float(data))
            if isinstance(data, int | float) and not isinstance(data, bool)
            else self._amount(data, path)
        )
        if read.dimension != RATIO:
            self.wrong(path, f"'{data}' is no share", "give a number of per cent")
        if read.unit == "%":
            return read.value_si
        per_cent = read.value_si
        if 0 < abs(per_cent) < 1:
            says = f"'{data}' here is {data} of one per cent"
            meant = f"{per_cent * 100:.10g}"
            self.wrong(path, says, f"write {meant}, or '{data} %' if so little is meant")
        elif abs(per_cent) > 100:
            says = f"'{data}' per cent is more than the whole"
            self.wrong(path, says, f"write '{data} %' if that is meant")
        return per_cent / 100

    def _word(self, name: Plain, path: DataPath, scope: Scope) -> Word | None:
        known: dict[str, Word] = dict(self.words.lot)
        if scope == "surface":
            known |= dict(self.words.surface)
        if not isinstance(name, str):
            self.wrong(path, "a name is wanted here", "write the name of a measure or fact")
            return None
        if name not in known:
            hint = did_you_mean(name, known)
            if scope == "lot" and name in self.words.surface:
                hint = "it belongs to a surface: use it under 'for_each' or in a counting table"
            if name in self.later:
                hint = "an amount may use only amounts that stand above it: move that one up"
            self.wrong(path, f"'{name}' is not a known name", hint)
            return None
        return known[name]
