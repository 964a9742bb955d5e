"""What an example expects: amounts to the digit, as an office printed them, or within a bound."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record
from checker.core.showing import show
from checker.core.units import RATIO, Amount, UnreadableAmount, article, meets, read_amount, same

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.rulesets.rules import Example

_KEYS: Final = frozenset({"amount", "within", "digits", "rounded"})
_WAYS: Final = ("nearest", "up", "down")


class Mismatch(Record):
    """Something that an example expects and that did not come out."""

    what: str
    expected: str
    found: str

    def __str__(self) -> str:
        return f"{self.what}: expected {self.expected}, found {self.found}"


class Expected(Record):
    """An amount that must come out.

    Attributes:
        amount: The number.
        below_si: How far the true number may lie below it; 0 for none.
        above_si: How far it may lie above.
        says: How far it goes, in words; empty for exact.
    """

    amount: Amount
    below_si: float = 0.0
    above_si: float = 0.0
    says: str = ""

    def agrees(self, found: Amount) -> bool:
        """Whether a number that came out is the one expected."""
        if found.dimension != self.amount.dimension:
            return False
        if not self.below_si and not self.above_si:
            tiny = abs(found.value_si - self.amount.value_si) < 1e-9
            return tiny or same(found.value_si, self.amount.value_si)
        low = self.amount.value_si - self.below_si
        high = self.amount.value_si + self.above_si
        return meets(found.value_si, low, "at least") and meets(found.value_si, high, "at most")

    def text(self, system: System) -> str:
        """The number with all its digits, and how far it goes."""
        return plain(self.amount, system) + (f" ({self.says})" if self.says else "")


def read_expected(value: object, example: Example, at: tuple[str | int, ...]) -> Expected | None:
    """An amount as an example writes it; None where it cannot be read.

    Plain (`825 sq ft`) it must come out exactly. As a group, `{amount: 825 sq ft, digits: as
    printed}` takes what rounds to it in its last digit, with `rounded: up` or `down` where the
    office rounds so; `{amount: 32.6 L, within: 0.05 L}` (or a bare share, 1e-6) takes what is near.

    Raises:
        BadInput: It cannot be read.
    """
    problems = Problems()
    found = _read(value, example, ("expect", *at), problems)
    problems.stop_if_any("an example cannot be read")
    return found


def _read(
    value: object, example: Example, at: tuple[str | int, ...], problems: Problems
) -> Expected | None:
    def wrong(path: tuple[str | int, ...], says: str, do: str = "") -> None:
        problems.add(example.document.place(*example.path, *at, *path), says, do)

    group: dict[str, Any] = value if isinstance(value, dict) else {"amount": value}
    for key in group:
        if key not in _KEYS:
            wrong((key,), f"'{key}' is not a key of an amount", did_you_mean(key, _KEYS))
    try:
        amount = read_amount(group.get("amount"))
    except UnreadableAmount as error:
        wrong(("amount",), str(error))
        return None
    if "digits" in group and "within" in group:
        wrong(("within",), "'digits' and 'within' are both given", "keep one")
    if "within" in group:
        return _within(amount, group["within"], wrong)
    if "digits" in group:
        return _as_printed(amount, group, wrong)
    if "rounded" in group:
        wrong(("rounded",), "'rounded' is for printed digits", "add 'digits: as printed'")
    return Expected(amount)


def _as_printed(amount: Amount, group: dict[str, Any], wrong: Any) -> Expected:  # noqa: ANN401 - a function
    if group["digits"] != "as printed":
        wrong(("digits",), f"'{group['digits']}' says nothing of digits", "write: as printed")
    way = str(group.get("rounded", "nearest"))
    if way not in _WAYS:
        wrong(("rounded",), f"'{way}' is no way to round", did_you_mean(way, _WAYS))
    step_si = _last_digit_si(str(group["amount"]), amount)
    below, above = {"up": (1.0, 0.0), "down": (0.0, 1.0)}.get(way, (0.5, 0.5))
    return Expected(amount, below * step_si, above * step_si, f"{way} in the last digit printed")


def _within(amount: Amount, given: object, wrong: Any) -> Expected:  # noqa: ANN401 - a function
    try:
        near = read_amount(given)
    except UnreadableAmount as error:
        wrong(("within",), str(error))
        return Expected(amount)
    if near.dimension == RATIO and near.unit in {"", "%"} and amount.dimension != RATIO:
        bound = abs(amount.value_si) * near.value_si
    elif near.dimension == amount.dimension:
        bound = near.value_si
    else:
        wrong(
            ("within",),
            f"'{given}' is {article(near.dimension.name)}",
            "give the unit of the amount",
        )
        return Expected(amount)
    if bound < 0:
        wrong(("within",), f"'{given}' is below zero", "give it without a minus sign")
    return Expected(amount, abs(bound), abs(bound), f"within {given}")


def _last_digit_si(text: str, amount: Amount) -> float:
    """The size of the last digit that a number was printed with, in SI."""
    match = re.search(r"\d[\d,]*(?:\.(?P<decimals>\d+))?", text)
    places = len(match["decimals"] or "") if match else 0
    one_si = abs(read_amount(f"1 {amount.unit}").value_si) if amount.unit else 1.0
    return float(one_si * 10.0**-places)


def amount_differences(
    what: str, expected: Expected, found: Amount | None, system: System
) -> Iterator[Mismatch]:
    """How an amount that came out differs from the one expected."""
    if found is None:
        yield Mismatch(what, expected.text(system), "nothing certain")
    elif not expected.agrees(found):
        alike = expected.amount.dimension == found.dimension
        shown = Amount(
            found.value_si, found.dimension, expected.amount.unit if alike else found.unit
        )
        yield Mismatch(what, expected.text(system), plain(shown, system))


def plain(amount: Amount, system: System) -> str:
    """All digits, since a difference may lie far behind the point."""
    if amount.unit:
        return f"{amount.to(amount.unit):,.10g} {amount.unit}"
    return show(amount, system, decimals=6)
