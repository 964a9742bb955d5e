"""Counting tables: what each spot of the lot counts toward a measure.

The lot comes as spots that do not overlap. Over each spot lie one or more surfaces (ground, deck,
roof); the first row of the table that fits a surface gives its weight, and the table says which
of the surfaces over one spot counts. A missing attribute widens the counted area to the range it
may have; a row's gate that fails gives the conservative weight.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Literal

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.values import UNCLEAR, Missing, Quantity
from checker.algebra.walk import nodes
from checker.core.records import Record, Struct, field
from checker.core.units import AREA, RATIO, meets, settled

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from checker.algebra.values import Context

Levels = Literal["heaviest", "top", "ground", "sum"]


class CountRow(Record, kw_only=True):
    """One row of a counting table.

    Attributes:
        where: Which surfaces it fits.
        weight: Share of the area that counts, 0 to 1.
        title: What it is, for pages.
        needs: Conditions for this weight.
        otherwise: The weight when a need fails.
        each_over_m2: Items up to this size do not count at all.
        exempt_first_m2: So much of the row's sum is free.
        exempt_up_to: Free while the row's sum is at most this.
        beyond: What counts once that is passed.
        drop_outer_m: An outer strip of this width does not count.
        least_width_m: Parts narrower than this do not count.
        clause: Where it stands in the source.
    """

    where: n.Condition
    weight: n.Number
    otherwise: n.Number
    title: str = ""
    needs: tuple[n.Condition, ...] = ()
    each_over_m2: float | None = None
    exempt_first_m2: float = 0.0
    exempt_up_to: n.Number | None = None
    beyond: Literal["excess", "all"] = "excess"
    drop_outer_m: float = 0.0
    least_width_m: float = 0.0
    clause: str = ""


class CountTable(Record, kw_only=True):
    """A counting table.

    Attributes:
        name: The measure it makes.
        title: What it is, for pages, starting in lower case.
        rows: The first that fits decides.
        otherwise: The weight of what no row fits; None when the text is silent on it.
        levels: Which of several surfaces over one spot counts.
    """

    name: str
    title: str
    rows: tuple[CountRow, ...]
    otherwise: n.Number | None
    levels: Levels = "heaviest"
    clause: str = ""


class Spot(Record):
    """A part of the lot that the same surfaces lie over.

    Attributes:
        area_m2: Its area.
        layers: The scopes of the surfaces over it, the ground first.
        trimmed_m2: Its area without an outer strip ("outer") or without narrow parts ("narrow"),
            by the name of the trim and its width in metres; None where there is no geometry.
    """

    area_m2: float
    layers: tuple[Context, ...]
    trimmed_m2: Callable[[str, float], float] | None = None


class Contribution(Record, kw_only=True):
    """What one surface adds to a measure.

    Attributes:
        of: The surface; empty for an adjustment of a whole row.
        area_m2: The area considered.
        weight: The share that counts.
        counted: What it adds.
        row: Title of the row that decided.
        clause: Where that stands in the source.
    """

    of: str
    area_m2: float
    weight: Quantity
    counted: Quantity
    row: str
    clause: str = ""


class Counted(Record):
    """A counted measure and what it is made of."""

    total: Quantity
    contributions: tuple[Contribution, ...]


class _Tally(Struct):
    """Sum over the spots of one surface that one row decided."""

    area_m2: float = 0.0
    low_m2: float = 0.0
    high_m2: float = 0.0
    missing: dict[Missing, None] = field(default_factory=dict)


class _Weighed(Record):
    row: int
    weight: Quantity
    note: str = ""


def count(table: CountTable, spots: Iterable[Spot], lot: Context) -> Counted:
    """Count a measure over spots.

    Args:
        table: The counting table.
        spots: Parts of the lot that do not overlap.
        lot: The scope of the lot, for exemptions that depend on it.

    Returns:
        The total in m2 as a range, and the contribution of each surface.
    """
    tallies: dict[tuple[str, int, str], _Tally] = defaultdict(_Tally)
    known: dict[int, _Weighed] = {}
    for spot in tuple(spots):  # held, so that the identity of a layer stays its own
        for layer, weighed in _counting(table, spot, known):
            row = table.rows[weighed.row] if weighed.row >= 0 else None
            area_m2 = _trimmed(spot, row)
            tally = tallies[layer.surface_id, weighed.row, weighed.note]
            tally.area_m2 += spot.area_m2
            tally.low_m2 += area_m2 * weighed.weight.low_si
            tally.high_m2 += area_m2 * weighed.weight.high_si
            tally.missing.update(dict.fromkeys(weighed.weight.missing))
    return _summed(table, tallies, lot)


def weights(table: CountTable, spot: Spot) -> list[tuple[str, int, float, Quantity]]:
    """What counts over one spot: the surface, its row (-1 for none), its area and its share."""
    found: list[tuple[str, int, float, Quantity]] = []
    for layer, weighed in _counting(table, spot, {}):
        row = table.rows[weighed.row] if weighed.row >= 0 else None
        found.append((layer.surface_id, weighed.row, _trimmed(spot, row), weighed.weight))
    return found


def _trimmed(spot: Spot, row: CountRow | None) -> float:
    if row is None or spot.trimmed_m2 is None:
        return spot.area_m2
    if row.drop_outer_m:
        return spot.trimmed_m2("outer", row.drop_outer_m)
    if row.least_width_m:
        return spot.trimmed_m2("narrow", row.least_width_m)
    return spot.area_m2


def _counting(
    table: CountTable, spot: Spot, known: dict[int, _Weighed]
) -> list[tuple[Context, _Weighed]]:
    """The layers of a spot that count, each with its weight."""
    layers = spot.layers
    if table.levels == "top":
        layers = layers[-1:]
    elif table.levels == "ground":
        layers = layers[:1]
    weighed: list[tuple[Context, _Weighed]] = []
    for layer in layers:
        if id(layer) not in known:
            known[id(layer)] = _weigh(table, layer)
        weighed.append((layer, known[id(layer)]))
    if table.levels == "sum" or len(weighed) <= 1:
        return weighed
    # Over one spot the heaviest counts: its high end decides who is named, and the low end is
    # the greatest of the low ends, since each of them counts at least that much.
    # Of equals the upper one is named, which is what a person sees from above.
    heaviest = max(
        reversed(weighed), key=lambda pair: (pair[1].weight.high_si, pair[1].weight.low_si)
    )
    low = max(item.weight.low_si for _, item in weighed)
    high = heaviest[1].weight.high_si
    missing = heaviest[1].weight.missing if low < high else ()
    weight = Quantity(low, high, RATIO, missing)
    return [(heaviest[0], _Weighed(heaviest[1].row, weight, heaviest[1].note))]


def _weigh(table: CountTable, layer: Context) -> _Weighed:
    possible: list[Quantity] = []
    missing: list[Missing] = []
    first, note = -1, ""
    for index, row in enumerate(table.rows):
        fits = evaluate.condition(row.where, layer)
        if fits.holds is False:
            continue
        weight, why = _gated(row, layer)
        if UNCLEAR in weight.missing:
            weight = _silent(table, layer)
        possible.append(weight)
        if first < 0:
            first, note = index, why
        if fits.holds:
            break
        missing += fits.missing
    else:
        if table.otherwise is not None:
            possible.append(evaluate.number(table.otherwise, layer))
        else:
            possible.append(_silent(table, layer))
    low = min(item.low_si for item in possible)
    high = max(item.high_si for item in possible)
    asked = (*missing, *(m for item in possible for m in item.missing)) if low < high else ()
    return _Weighed(first, Quantity(max(low, 0.0), min(high, 1.0), RATIO, asked), note)


def _silent(table: CountTable, layer: Context) -> Quantity:
    """The text is silent on this surface: everything from nothing to all may count."""
    material = layer.fact("material")
    ask = layer.missing("material").ask
    if isinstance(material, str):
        ask = f"ask the office how '{material}' counts toward {table.title} ({layer.surface_id})"
    return Quantity(0.0, 1.0, RATIO, (Missing("material", layer.surface_id, ask),))


def _gated(row: CountRow, layer: Context) -> tuple[Quantity, str]:
    weight = evaluate.number(row.weight, layer)
    if not row.needs:
        return weight, ""
    truths = [evaluate.condition(need, layer) for need in row.needs]
    if all(truth.holds for truth in truths):
        return weight, ""
    conservative = evaluate.number(row.otherwise, layer)
    failed = [need for need, truth in zip(row.needs, truths, strict=True) if truth.holds is False]
    if failed:
        return conservative, f"condition not met: {_subjects(failed)}"
    missing = tuple(m for truth in truths if truth.holds is None for m in truth.missing)
    return (
        Quantity(
            min(weight.low_si, conservative.low_si),
            max(weight.high_si, conservative.high_si),
            RATIO,
            tuple(dict.fromkeys((*missing, *weight.missing, *conservative.missing))),
        ),
        "condition not proven",
    )


def _subjects(needs: list[n.Condition]) -> str:
    """What each of some conditions is about, by the first name in it."""
    found: list[str] = []
    for need in needs:
        for node in nodes(need):
            if isinstance(node, n.Named | n.Is | n.Dated):
                found.append(node.name.replace("_", " "))
                break
            if isinstance(node, n.OnFile):
                found.append(f"no {node.document} on file")
                break
    return ", ".join(dict.fromkeys(found))


def _summed(
    table: CountTable, tallies: dict[tuple[str, int, str], _Tally], lot: Context
) -> Counted:
    contributions: list[Contribution] = []
    total_low, total_high = 0.0, 0.0
    missing: dict[Missing, None] = {}
    by_row: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for (of, index, note), tally in tallies.items():
        row = table.rows[index] if index >= 0 else None
        low, high = tally.low_m2, tally.high_m2
        title = row.title if row else "no row of the table fits"
        if row and row.each_over_m2 is not None:
            whole = sum(t.area_m2 for (o, i, _), t in tallies.items() if o == of and i == index)
            if meets(whole, row.each_over_m2, "at most"):
                low = high = 0.0
                note = "small item"  # noqa: PLW2901 - the reason replaces the one before it
        asked = tuple(tally.missing) if low < high else ()
        missing.update(dict.fromkeys(asked))
        total_low += low
        total_high += high
        by_row[index][0] += low
        by_row[index][1] += high
        area_m2 = tally.area_m2
        weight = (
            Quantity(low / area_m2, high / area_m2, RATIO, asked) if area_m2 else Quantity(0, 0)
        )
        contributions.append(
            Contribution(
                of=of,
                area_m2=area_m2,
                weight=weight,
                counted=Quantity(low, high, AREA, asked),
                row=f"{title}; {note}" if note else title,
                clause=row.clause if row else table.clause,
            )
        )
    made_of_m2 = total_high
    for index, (low, high) in by_row.items():
        if index < 0:
            continue
        freed = _freed(table.rows[index], low, high, lot)
        if freed is None:
            continue
        missing.update(dict.fromkeys(freed.counted.missing))
        total_low += freed.counted.low_si
        total_high += freed.counted.high_si
        contributions.append(freed)
    # An exemption is a difference: what rounding leaves of the sum that it is taken off is nothing.
    low, high = (max(settled(end, made_of_m2), 0.0) for end in (total_low, total_high))
    total = Quantity(low, high, AREA, tuple(missing), "", made_of_m2)
    return Counted(total, tuple(contributions))


def _freed(row: CountRow, low: float, high: float, lot: Context) -> Contribution | None:
    """What an exemption of a whole row takes off its sum, as a negative contribution."""
    if row.exempt_first_m2:
        off = sorted((-min(low, row.exempt_first_m2), -min(high, row.exempt_first_m2)))
        return _adjustment(row, Quantity(off[0], off[1], AREA), "the first part is free")
    if row.exempt_up_to is None:
        return None
    cap = evaluate.number(row.exempt_up_to, lot)
    left = [_beyond(low, cap.high_si, row.beyond), _beyond(high, max(cap.low_si, 0.0), row.beyond)]
    off_low, off_high = left[0] - low, left[1] - high
    return _adjustment(
        row, Quantity(off_low, off_high, AREA, cap.missing), "free up to the cap of this row"
    )


def _beyond(total: float, cap: float, beyond: str) -> float:
    if meets(total, cap, "at most"):
        return 0.0
    return total - cap if beyond == "excess" else total


def _adjustment(row: CountRow, counted: Quantity, why: str) -> Contribution | None:
    if counted.low_si == 0 == counted.high_si:
        return None
    weight = Quantity(1.0, 1.0)
    return Contribution(
        of="", area_m2=0.0, weight=weight, counted=counted, row=f"{row.title}; {why}",
        clause=row.clause,
    )  # fmt: skip


def of_surface(contributions: Sequence[Contribution], surface_id: str) -> Quantity:
    """What one surface adds in all."""
    own = [item.counted for item in contributions if item.of == surface_id]
    return Quantity(
        sum(item.low_si for item in own),
        sum(item.high_si for item in own),
        AREA,
        tuple(dict.fromkeys(m for item in own for m in item.missing)),
    )
