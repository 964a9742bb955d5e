"""The coverage worksheet as plain numbers: what each surface counts today and after the work.

Every number is kept at both of its ends, since an attribute that nobody gave makes a range; the
low ends and the high ends each add up by themselves. For every line, at either end::

    proposed = existing - removed - converted from + converted to + new

Every page and every document takes its numbers from here, so that one number cannot read
differently in two of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.algebra.counting import Counted
    from checker.algebra.tables import CountTable
    from checker.algebra.values import Quantity
    from checker.site.model import Material, State

MOVES: Final = ("existing", "removed", "converted_from", "converted_to", "new", "proposed")
NOT_DRAWN: Final = "Not drawn"
EXEMPT: Final = "Exempt"
"""Groups of what no material of the drawing gives a group."""


class Ends(NamedTuple):
    """An area at its low and its high end, square metres: two sums kept side by side.

    Unlike a `Quantity` it is taken end from end, since what is open is open in every sum alike:
    of what counts 2 to 4 today and 3 to 5 after the work, 1 is new, not -1 to 3.
    """

    low_m2: float = 0.0
    high_m2: float = 0.0

    def plus(self, other: Ends, times: float = 1.0) -> Ends:
        """The sum with another area, taken so many times."""
        return Ends(self.low_m2 + times * other.low_m2, self.high_m2 + times * other.high_m2)

    def above_zero(self) -> Ends:
        """Each end, or zero where it is below."""
        return Ends(max(self.low_m2, 0.0), max(self.high_m2, 0.0))

    def in_order(self) -> Ends:
        """The ends, the smaller one first."""
        return Ends(min(self), max(self))


def sum_of(many: Iterable[Ends]) -> Ends:
    """The sum of the low ends and of the high ends."""
    low_m2 = high_m2 = 0.0
    for ends in many:
        low_m2, high_m2 = low_m2 + ends.low_m2, high_m2 + ends.high_m2
    return Ends(low_m2, high_m2)


class CountLine(Record):
    """What one surface, or a part of it that another row decides, counts in a state of the lot.

    Attributes:
        of: The surface; the rest of the lot, or empty for an exemption of a whole row.
        group: The heading it is listed under.
        material: What it is made of in this state; None where the drawing does not say.
        drawn_m2: As drawn; None on all but the first line of a surface, and for an exemption.
        taken_m2: Overlaps given away and parts outside the lot; on the first line too.
        used_m2: What is left.
        weight: The share that counts; None where nothing is left to count.
        counted: What counts.
        row: The row of the counting table that decided.
        clause: Where that stands.
    """

    of: str
    group: str
    material: Material | None
    drawn_m2: float | None
    taken_m2: float
    used_m2: float
    weight: Quantity | None
    counted: Ends
    row: str
    clause: str
    asks: tuple[str, ...] = ()


class Moves(NamedTuple):
    """Six areas of which the last is made of the others: see the top of this module."""

    existing: Ends = Ends()
    removed: Ends = Ends()
    converted_from: Ends = Ends()
    converted_to: Ends = Ends()
    new: Ends = Ends()
    proposed: Ends = Ends()

    @property
    def net(self) -> Ends:
        """What comes on balance; the smaller end first."""
        return self.proposed.plus(self.existing, -1.0).in_order()


def sum_of_moves(many: Iterable[Moves]) -> Moves:
    """The sum of each of the six."""
    return Moves(*map(sum_of, zip(*many, strict=True)))


class MoveLine(Record):
    """How what a surface, or a part of it, counts changes from today to after the work.

    Attributes:
        of: The surface; the rest of the lot, or empty for an exemption of a whole row.
        group: The heading it is listed under.
        stage: existing, removed, proposed or replaced.
        was: What counts of it today; None where it is not there.
        will: What counts of it after the work; None where it is not there any more.
        moves: The six areas.
    """

    of: str
    group: str
    stage: str
    was: CountLine | None
    will: CountLine | None
    moves: Moves

    @property
    def shown(self) -> CountLine:
        """The line after the work, or today's of what goes."""
        line = self.will or self.was
        assert line is not None
        return line

    @property
    def asks(self) -> tuple[str, ...]:
        """What must be given to settle it."""
        return tuple(dict.fromkeys(ask for x in (self.was, self.will) if x for ask in x.asks))

    @property
    def counts(self) -> bool:
        """Whether anything of it is counted in either state."""
        return any(line is not None and line.weight is not None for line in (self.was, self.will))


class Coverage(Record):
    """The worksheet of one counting table.

    Attributes:
        table: The counting table.
        lot_m2: Area of the lot.
        wants_less: Rules want it small, so that the high end is the unfavourable one.
        counted: Today and after the work; empty where it cannot be counted.
        states: The lines of either state, by group.
        lines: From today to after the work, in the order of the drawing.
        missing: Why it cannot be counted; empty when it can.
    """

    table: CountTable
    lot_m2: float
    wants_less: bool
    counted: Mapping[State, Counted]
    states: Mapping[State, tuple[CountLine, ...]]
    lines: tuple[MoveLine, ...]
    missing: str = ""

    @property
    def name(self) -> str:
        """The measure."""
        return self.table.name

    @property
    def total(self) -> Moves:
        """The sums over all lines."""
        return sum_of_moves(line.moves for line in self.lines) if self.lines else Moves()

    @property
    def groups(self) -> dict[str, tuple[MoveLine, ...]]:
        """Lines by group, groups in the order of their first line."""
        found: dict[str, tuple[MoveLine, ...]] = {}
        for line in self.lines:
            found[line.group] = (*found.get(line.group, ()), line)
        return found

    def worst_m2(self, ends: Ends) -> float:
        """The unfavourable end."""
        return ends.high_m2 if self.wants_less else ends.low_m2

    def factor(self, line: CountLine | None) -> float | None:
        """The unfavourable share that counts; None where nothing is there to count."""
        if line is None or line.weight is None or not line.of:
            return None
        return line.weight.high_si if self.wants_less else line.weight.low_si

    def total_m2(self, what: str) -> float:
        """The unfavourable end of a sum, named as in `MOVES`."""
        ends: Ends = getattr(self.total, what)
        return self.worst_m2(ends)

    def best_m2(self, ends: Ends) -> float:
        """What it is when all that is open turns out well."""
        return ends.low_m2 if self.wants_less else ends.high_m2
