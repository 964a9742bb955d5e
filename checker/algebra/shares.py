"""What each surface counts over each spot, once the strips that do not count are taken off."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from checker.algebra import evaluate
from checker.algebra.tables import Joined, Spot, Strip, Trim
from checker.algebra.values import Missing, Quantity
from checker.algebra.weighing import NOTHING, Weighed, chosen, weigh
from checker.core.records import Record, replace
from checker.core.units import RATIO

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from checker.algebra import nodes as n
    from checker.algebra.tables import CountTable
    from checker.algebra.values import Context

FAR_M: Final = 10_000.0
"""A strip wider than this takes all; stands for one whose width nobody knows."""


class CountedShare(Record):
    """What one surface counts over a spot, or over a part of it.

    Attributes:
        of: The surface.
        row: The row of the table that decided; -1 for none.
        area_m2: The area considered.
        low_m2: The least that counts of it.
        high_m2: The most.
        missing: What would narrow that.
        note: Why it counts so, where a need of the row fails.
    """

    of: str
    row: int
    area_m2: float
    low_m2: float
    high_m2: float
    missing: tuple[Missing, ...] = ()
    note: str = ""


def shares(
    table: CountTable,
    spots: Iterable[Spot],
    whole: Callable[[], Iterable[Spot]] | None = None,
) -> Iterator[CountedShare]:
    """What counts over each of some spots; see `count`."""
    held = tuple(spots)  # so that the identity of a layer stays its own
    trims = _Trims(table, held, whole)
    for spot in held:
        weighed = trims.weighed(spot)
        strips = trims.of(spot, weighed)
        if not strips or spot.split is None:
            yield from _shares(table, weighed, spot.area_m2)
            continue
        asked = tuple(dict.fromkeys(m for _, _, size, _ in strips for m in size.missing))
        if all(size.is_certain for _, _, size, _ in strips):
            yield from _split(table, spot, weighed, [(*s[:2], s[2].low_si, s[3]) for s in strips])
            continue
        # Wider strips leave less: the least and the most are counted apart, the area once.
        for share in _split(table, spot, weighed, [(*s[:2], s[2].high_si, s[3]) for s in strips]):
            yield replace(share, high_m2=0.0, missing=(*share.missing, *asked))
        for share in _split(table, spot, weighed, [(*s[:2], s[2].low_si, s[3]) for s in strips]):
            yield replace(share, area_m2=0.0, low_m2=0.0, missing=(*share.missing, *asked))


def _split(
    table: CountTable,
    spot: Spot,
    weighed: Sequence[tuple[Context, Weighed]],
    strips: Sequence[tuple[int, Strip, float, Joined]],
) -> Iterator[CountedShare]:
    """What counts over the parts of a spot: a surface does not where a strip of it lies."""
    assert spot.split is not None
    offset = next(i for i, layer in enumerate(spot.layers) if layer is weighed[0][0])
    cuts = [
        Trim(layer=offset + place, strip=strip, width_m=min(width_m, FAR_M), of=of)
        for place, strip, width_m, of in strips
        if width_m > 0
    ]
    for area_m2, lost in spot.split(cuts):
        here = [
            (layer, replace(item, weight=NOTHING) if offset + place in lost else item)
            for place, (layer, item) in enumerate(weighed)
        ]
        yield from _shares(table, here, area_m2)


def _shares(
    table: CountTable, weighed: Sequence[tuple[Context, Weighed]], area_m2: float
) -> Iterator[CountedShare]:
    for layer, item in chosen(table, weighed):
        yield CountedShare(
            of=layer.surface_id,
            row=item.row,
            area_m2=area_m2,
            low_m2=area_m2 * item.weight.low_si,
            high_m2=area_m2 * item.weight.high_si,
            missing=item.weight.missing,
            note=item.note,
        )


class _Trims:
    """The strips that rows of a table take off, and the land they are taken off.

    Args:
        table: The counting table.
        spots: The spots that are summed.
        whole: Gives all spots of the lot, where those are not all.
    """

    def __init__(
        self,
        table: CountTable,
        spots: Sequence[Spot],
        whole: Callable[[], Iterable[Spot]] | None,
    ) -> None:
        self.table = table
        self._known: dict[int, Weighed] = {}
        self._own = spots
        self._whole = whole
        self._has_any = any(
            row.drop_outer or row.drop_inner or row.least_width for row in table.rows
        )

    def weighed(self, spot: Spot) -> list[tuple[Context, Weighed]]:
        """The surfaces over a spot that the table looks at, each with its weight."""
        layers = spot.layers
        if self.table.levels == "top":
            layers = layers[-1:]
        elif self.table.levels == "ground":
            layers = layers[:1]
        found: list[tuple[Context, Weighed]] = []
        for layer in layers:
            if id(layer) not in self._known:
                self._known[id(layer)] = weigh(self.table, layer)
            found.append((layer, self._known[id(layer)]))
        return found

    def of(
        self, spot: Spot, weighed: Sequence[tuple[Context, Weighed]]
    ) -> list[tuple[int, Strip, Quantity, Joined]]:
        """The strips over a spot: whose, which, how wide, and off what land."""
        if not self._has_any:
            return []
        found: list[tuple[int, Strip, Quantity, Joined]] = []
        for place, (layer, item) in enumerate(weighed):
            for strip, size in self._sizes(layer, item):
                key = self._key(layer, item, strip, size)
                alone = Joined((spot,), (layer.surface_id,))
                of = self._groups(item.row, strip).get(key, alone)
                if strip == "narrow" and not any(other is spot for other in of.spots):
                    of = alone
                found.append((place, strip, size, of))
        return found

    def _sizes(self, layer: Context, item: Weighed) -> Iterator[tuple[Strip, Quantity]]:
        if item.row < 0 or item.weight.high_si <= 0:
            return
        row = self.table.rows[item.row]
        sizes: tuple[tuple[Strip, n.Number | None], ...] = (
            ("outer", row.drop_outer), ("inner", row.drop_inner), ("narrow", row.least_width),
        )  # fmt: skip
        for strip, node in sizes:
            if node is not None:
                yield strip, evaluate.number(node, layer)

    def _key(self, layer: Context, item: Weighed, strip: Strip, size: Quantity) -> object:
        """What surfaces must have in common for their land to be looked at as one."""
        ends = (size.low_si, size.high_si)
        if strip != "narrow":
            return (strip, ends)
        row = self.table.rows[item.row]
        own = layer.surface_id if row.width_of == "surface" else ""
        return (strip, ends, row.width_of, own, item.weight.low_si, item.weight.high_si)

    def _groups(self, row: int, strip: Strip) -> dict[object, Joined]:
        is_part = strip == "narrow" and self.table.rows[row].width_of == "part"
        return self._joined_parts if is_part else self._joined_whole

    @cached_property
    def _joined_parts(self) -> dict[object, Joined]:
        return self._joined(self._own)

    @cached_property
    def _joined_whole(self) -> dict[object, Joined]:
        if self._whole is None:
            return self._joined(self._own)
        every = {id(spot): spot for spot in (*self._whole(), *self._own)}
        return self._joined(tuple(every.values()))

    def _joined(self, spots: Sequence[Spot]) -> dict[object, Joined]:
        groups: dict[object, tuple[list[Spot], dict[str, None]]] = {}
        for spot in spots:
            weighed = self.weighed(spot)
            counted = {id(layer) for layer, _ in chosen(self.table, weighed)}
            for layer, item in weighed:
                for strip, size in self._sizes(layer, item):
                    if strip == "narrow" and id(layer) not in counted:
                        continue
                    key = self._key(layer, item, strip, size)
                    own, ids = groups.setdefault(key, ([], {}))
                    own.append(spot)
                    ids[layer.surface_id] = None
        return {key: Joined(tuple(own), tuple(ids)) for key, (own, ids) in groups.items()}


def weights(table: CountTable, spot: Spot) -> list[tuple[str, int, float, Quantity]]:
    """What counts over one spot alone: the surface, its row (-1 for none), an area, its share."""
    return [
        (share.of, share.row, area_m2, Quantity(low, high, RATIO, share.missing))
        for share in shares(table, (spot,))
        for area_m2 in (share.area_m2 or spot.area_m2,)
        for low, high in ((share.low_m2 / area_m2, share.high_m2 / area_m2),)
    ]
