"""What evaluation gives back: numbers that may be uncertain, and truths that may be unknown.

A missing fact never becomes a guess. It widens a number to the range it may lie in, and the
verdict is "cannot tell" unless it is the same over the whole range.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Protocol

from checker.core.records import Record, replace
from checker.core.units import RATIO, Amount, Dimension, Order, meets, same

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from checker.algebra import nodes as n


class Missing(Record, order=True):
    """Something that must be given, or is undefined, before a rule can be judged.

    Attributes:
        name: The measure, fact or attribute; empty for an undefined number.
        of: The surface that lacks it; empty for the lot.
        ask: What to do, e.g. "give 'gap' of west-deck".
    """

    name: str
    of: str
    ask: str


UNCLEAR: Final = Missing("", "", "the rule leaves this undefined: ask the office")
"""What an undefined number lacks."""


class Quantity(Record):
    """A number in SI that lies between two ends; certain when they are equal.

    Sums and differences take every pair of ends that may go together; see `Ends` for areas whose
    ends go together one by one.

    Attributes:
        low_si: The least it can be; -inf when nothing is known.
        high_si: The most it can be.
        dimension: Its kind.
        missing: What would narrow it.
        unit: The unit it should be shown in; empty for the system's own.
        made_of_si: The largest number it was made from, where that is more than it is itself;
            what rounding can have left in it is a share of this.
    """

    low_si: float
    high_si: float
    dimension: Dimension = RATIO
    missing: tuple[Missing, ...] = ()
    unit: str = ""
    made_of_si: float = 0.0

    @property
    def least_si(self) -> float:
        """How much it is at least, whatever its sign, >= 0; zero where no end is known."""
        ends = (abs(end) for end in (self.low_si, self.high_si) if math.isfinite(end))
        return min(ends, default=0.0)

    @property
    def size_si(self) -> float:
        """What its tolerance is a share of: itself or what it was made from, >= 0.

        Of a range the lesser end, since a wide range must not make a comparison generous.
        """
        return max(self.made_of_si, self.least_si)

    @property
    def is_certain(self) -> bool:
        """Whether it is one number."""
        return same(self.low_si, self.high_si, self.made_of_si)

    @property
    def is_bounded(self) -> bool:
        """Whether anything at all is known of it from both sides."""
        return math.isfinite(self.low_si) and math.isfinite(self.high_si)

    def end(self, *, high: bool) -> Amount | None:
        """One end as an amount; None when that end is not known.

        An infinite number is known where both ends are it: the distance to what is not there.
        """
        value = self.high_si if high else self.low_si
        is_known = math.isfinite(value) or self.low_si == self.high_si
        return Amount(value, self.dimension, self.unit) if is_known else None


def certain(amount: Amount) -> Quantity:
    """A number that is known."""
    return Quantity(amount.value_si, amount.value_si, amount.dimension, (), amount.unit)


def unknown(missing: Iterable[Missing], dimension: Dimension = RATIO) -> Quantity:
    """A number of which nothing is known."""
    return Quantity(-math.inf, math.inf, dimension, tuple(missing))


class Judged(Record, kw_only=True):
    """One comparison with its three numbers.

    Attributes:
        measured: What is there.
        order: The rule's own wording.
        limit: What is asked.
        holds: True, False, or None when it cannot be told.
        node: The comparison itself.
        of: The surface it is about; empty for the lot.
    """

    measured: Quantity
    order: Order
    limit: Quantity
    holds: bool | None
    node: n.Compare
    of: str = ""

    @property
    def wants_less(self) -> bool:
        """Whether a smaller measured number is better."""
        return self.order in {"at most", "less than"}

    @property
    def size_si(self) -> float:
        """What the tolerance of the comparison is a share of, beside the two ends compared."""
        return max(self.measured.made_of_si, self.limit.made_of_si)

    @property
    def worst(self) -> tuple[Amount | None, Amount | None]:
        """Measured and limit under the unfavourable assumption; one amount where they are."""
        measured = self.measured.end(high=self.wants_less)
        limit = self.limit.end(high=not self.wants_less)
        if measured and limit and same(measured.value_si, limit.value_si, self.size_si):
            measured = Amount(limit.value_si, measured.dimension, measured.unit)
        return measured, limit

    @property
    def margin_si(self) -> float | None:
        """Room left under the unfavourable assumption; negative when not met."""
        measured, limit = self.worst
        if measured is None or limit is None:
            return None
        room = limit.value_si - measured.value_si
        return room if self.wants_less or room == 0 else -room

    @property
    def room(self) -> float:
        """The margin as a share of the limit, to hold comparisons against each other."""
        margin_si, (_, limit) = self.margin_si, self.worst
        if margin_si is None or limit is None:
            return math.inf
        return margin_si / (abs(limit.value_si) or self.size_si or 1.0)


def least_room(rooms: Sequence[float]) -> int:
    """The place of the least of several rooms; the first of equals, in the order of the text.

    Rooms that differ by rounding alone are equal, so that two ways to the same areas name the same
    comparison.
    """
    least = min(rooms)
    return next(i for i, room in enumerate(rooms) if same(room, least, 1.0))


class Unmet(Record):
    """A condition that is no comparison and that stands in the way.

    Attributes:
        node: What was asked.
        given: The fact, for a condition on a fact; None otherwise.
        of: The surface it is about; empty for the lot.
        is_excluded: The rule asks that the condition does not hold, and it does.
    """

    node: n.Is | n.Dated | n.OnFile | n.Passes
    given: str | bool | date | frozenset[str] | None = None
    of: str = ""
    is_excluded: bool = False


class Truth(Record, kw_only=True):
    """Whether a condition holds.

    Attributes:
        holds: True, False, or None when it cannot be told.
        missing: What must be given to tell, or what was not needed in the end.
        parts: Every comparison that took part.
        decides: The comparisons that it hangs on: each of these bears the answer, and one that
            facts have ruled out does not.
        is_vacuous: It holds only because there is nothing it speaks of.
        because: The conditions other than comparisons for which it does not hold.
    """

    holds: bool | None
    missing: tuple[Missing, ...] = ()
    parts: tuple[Judged, ...] = ()
    decides: tuple[Judged, ...] = ()
    is_vacuous: bool = False
    because: tuple[Unmet, ...] = ()

    @property
    def governing(self) -> Judged | None:
        """Of the comparisons that it hangs on the one with the least room; None without any."""
        if not self.decides:
            return None
        return self.decides[least_room([part.room for part in self.decides])]


class Context(Protocol):
    """Where evaluation looks names up: the sheet of a lot, or one surface before it."""

    @property
    def day(self) -> date | None:
        """The day whose law counts; None for the newest."""

    @property
    def surface_id(self) -> str:
        """The surface whose scope this is; empty for the lot."""

    def number(self, named: n.Named) -> Quantity:
        """A measure, fact or attribute that is an amount."""

    def fact(self, name: str) -> str | bool | date | frozenset[str] | None:
        """A text, yes-or-no or date; None when it is missing."""

    def missing(self, name: str) -> Missing:
        """What to ask for when a fact is missing."""

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface of the design."""

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists (for this surface, or for all)."""

    def outcome(self, rule: str) -> Truth:
        """Whether another rule of the set passes."""

    def limit_of(self, rule: str) -> Quantity:
        """The limit that another rule sets."""

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""


NEGATED: Final[dict[Order, Order]] = {
    "at most": "more than",
    "at least": "less than",
    "less than": "at least",
    "more than": "at most",
}
"""The order that holds exactly where another does not; "equal to" has none."""


def paired(measured: Quantity, limit: Quantity) -> tuple[Quantity, Quantity]:
    """Two numbers that are compared, in one dimension and to be shown in one unit."""
    if measured.dimension != limit.dimension:
        # Only what is wholly unknown has another dimension than what it is held against.
        kind = limit.dimension if measured.dimension == RATIO else measured.dimension
        measured, limit = replace(measured, dimension=kind), replace(limit, dimension=kind)
    unit = limit.unit or (measured.unit if measured.dimension == RATIO else "")
    return replace(measured, unit=unit or measured.unit), replace(limit, unit=unit)


def compare(measured: Quantity, order: Order, limit: Quantity) -> bool | None:
    """Compare two uncertain numbers: the same answer over the whole range, or None.

    A number without end meets no limit from below, and no limit without end is ever met.
    """
    size = max(measured.made_of_si, limit.made_of_si)
    if order == "equal to":
        if measured.is_certain and limit.is_certain and measured.is_bounded:
            return meets(measured.low_si, limit.low_si, order, size)
        below = meets(measured.high_si, limit.low_si, "less than", size)
        above = meets(measured.low_si, limit.high_si, "more than", size)
        return False if below or above else None
    less = order in {"at most", "less than"}
    worst = (measured.high_si, limit.low_si) if less else (measured.low_si, limit.high_si)
    best = (measured.low_si, limit.high_si) if less else (measured.high_si, limit.low_si)
    if math.isfinite(worst[1]) and meets(*worst, order, size):
        return True
    return None if meets(*best, order, size) else False
