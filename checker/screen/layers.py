"""The scopes of many surfaces as one context: their attributes first, then their lots."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from checker.algebra.values import Quantity, certain
from checker.core.units import AREA, Amount
from checker.screen import places
from checker.screen.columns import (
    YES,
    Codes,
    NumberColumn,
    codes_of,
    column_of,
    kind_of,
    numbers,
    unknown,
    unread,
    where,
)
from checker.screen.probe import SOME, WHERE_IT_LIES
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from numpy.typing import NDArray

    from checker.algebra import nodes as n
    from checker.algebra.scopes import SurfaceScope
    from checker.algebra.values import Missing
    from checker.core.units import Order
    from checker.screen.ground import SortedGround
    from checker.screen.reading import TownScope
    from checker.screen.truths import Truths


class SurfaceRows:
    """One row for each of some surfaces over spots.

    Args:
        lot: The scope of the lots.
        ground: What lies where.
        scope: The scope of each row, as a place in `ground.kinds.scopes`.
        of: The lot of each row; None where rows are sorts, which ask nothing of their lot.
        surface: The surface of each row, as a place among those of the lots, -1 for the rest of
            the lot; None where rows are sorts.
    """

    def __init__(
        self,
        lot: TownScope,
        ground: SortedGround,
        scope: NDArray[np.intp],
        of: NDArray[np.intp] | None = None,
        surface: NDArray[np.intp] | None = None,
    ) -> None:
        self._lot = lot
        self._ground = ground
        self._of = of
        self._surface = surface
        self._used, self._index = np.unique(scope, return_inverse=True)
        self._scopes: Sequence[SurfaceScope] = [ground.kinds.scopes[i] for i in self._used]

    @property
    def rows(self) -> int:
        """How many there are."""
        return len(self._index)

    @property
    def day(self) -> date | None:
        """The day whose law counts."""
        return self._lot.day

    def number(self, named: n.Named) -> NumberColumn:
        """An attribute that is an amount, else the lot's."""
        word = self._ground.ruleset.words.surface.get(named.name)
        if word is None:
            assert self._of is not None, "a sort asks nothing of its lot"
            return self._lot.number(named).take(self._of)
        if named.name == "area":
            return self._area()
        found = [self._amount(scope, named.name) for scope in self._scopes]
        column = _stacked(found, self._index)
        lies = self._lies(named.name)
        if lies.any():
            column = where(lies[self._index], self._measured(named.name), column)
        return column

    def _area(self) -> NumberColumn:
        assert self._surface is not None, "a sort has no area"
        visible = np.append(self._ground.lots.visible_m2, np.nan)[self._surface]
        known = numbers(np.where(np.isnan(visible), 0.0, visible), AREA)
        gaps = [scope for scope in self._scopes if scope.surface_id == REST]
        if not gaps:
            return known
        lacks = unknown({gaps[0].missing("area"): np.asarray(YES)}, AREA)
        return where(self._surface < 0, lacks, known)

    def _lies(self, name: str) -> Any:
        """The scopes whose answer hangs on where each surface lies."""
        if name not in WHERE_IT_LIES or not places.is_measured(name, self._ground.lots):
            return np.zeros(len(self._scopes), bool)
        return np.array([not self._ground.probe.gives(scope, name) for scope in self._scopes])

    def _measured(self, name: str) -> NumberColumn:
        """A measure of where each surface lies."""
        lots = self._ground.lots
        if self._surface is None or lots.drawn is None:
            word = self._ground.ruleset.words.surface[name]
            return unknown({unread(f"{word.title} is not measured here"): np.asarray(YES)},
                           word.dimension)  # fmt: skip
        return places.measured(name, lots, self._surface)

    def _amount(self, scope: SurfaceScope, name: str) -> NumberColumn:
        probe = self._ground.probe
        found = probe.attribute(scope, name)
        if isinstance(found, Amount):
            found = certain(found)
        if isinstance(found, Quantity):
            return column_of(found)
        word = self._ground.ruleset.words.surface[name]
        return unknown({probe.missing(scope, name): np.asarray(YES)}, word.dimension)

    def fact(self, name: str) -> Codes:
        """A text, yes-or-no, date or set of the surface, else of its lot."""
        if name not in self._ground.ruleset.words.surface:
            assert self._of is not None, "a sort asks nothing of its lot"
            found = self._lot.fact(name)
            index = found.index
            return Codes(
                found.values, index if np.ndim(index) == 0 else index[self._of], found.lacks
            )
        probe = self._ground.probe
        values: list[Any] = []
        lacks: Missing | None = None
        for place, scope in zip(self._used, self._scopes, strict=True):
            if name == "inside":
                value: Any = self._ground.kinds.inside[place]
            else:
                value = probe.attribute(scope, name)
            values.append(None if isinstance(value, Amount | Quantity) else value)
            if values[-1] is None and (lacks is None or lacks.of != SOME):
                lacks = probe.missing(scope, name)
        if name == "inside" and self._ground.inside_gap is not None:
            lacks = self._ground.inside_gap
        codes = codes_of(values, lacks or self._scopes[0].missing(name))
        found = Codes(codes.values, codes.index[self._index], codes.lacks)
        lies = self._lies(name)
        return self._told(name, found, lies[self._index]) if lies.any() else found

    def _told(self, name: str, given: Codes, lies: Any) -> Codes:
        """What layers give of some surfaces, and of the others what is so where they lie."""
        lots = self._ground.lots
        assert self._surface is not None, "a sort lies nowhere"
        is_so = places.told(name, lots, self._surface)
        values = (*given.values, False, True)
        index = np.where(lies, len(given.values) + is_so.astype(np.intp), given.index)
        return Codes(values, index, given.lacks)

    def each(self, where: n.Condition, require: n.Condition) -> Truths:
        """What the lot says of all its surfaces."""
        assert self._of is not None, "a sort asks nothing of its lot"
        return self._lot.each(where, require).take(self._of)

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists for all of them."""
        return self._lot.is_on_file(document)

    def outcome(self, rule: str) -> Truths:
        """Whether another rule passes."""
        assert self._of is not None, "a sort asks nothing of its lot"
        return self._lot.outcome(rule).take(self._of)

    def limit_of(self, rule: str) -> NumberColumn:
        """The limit that another rule sets."""
        assert self._of is not None, "a sort asks nothing of its lot"
        return self._lot.limit_of(rule).take(self._of)

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""
        return self._lot.option(reading)

    def part(self, order: Order, measured: NumberColumn, limit: NumberColumn) -> int:
        """The number of a comparison."""
        return self._lot.part(order, measured, limit)


def _stacked(found: Sequence[NumberColumn], index: NDArray[np.intp]) -> NumberColumn:
    """A column of rows of one each, gathered by an index."""
    gaps: dict[Missing, Any] = {}
    for place, column in enumerate(found):
        for item in column.missing:
            gaps.setdefault(item, np.zeros(len(found), bool))[place] = True
    dimension, _ = kind_of(found)
    return NumberColumn(
        np.array([column.low for column in found])[index],
        np.array([column.high for column in found])[index],
        dimension,
        {item: mask[index] for item, mask in gaps.items()},
        np.array([column.made_of for column in found])[index],
    )
