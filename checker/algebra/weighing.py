"""What a surface counts by a table, and which of the surfaces over one spot counts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.values import UNCLEAR, Missing, Quantity
from checker.algebra.walk import nodes
from checker.core.records import Record
from checker.core.units import RATIO

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.algebra.tables import CountRow, CountTable
    from checker.algebra.values import Context


class Weighed(Record):
    """What one surface counts per area: the row that decided (-1 for none), its share, and why."""

    row: int
    weight: Quantity
    note: str = ""


NOTHING: Final = Quantity(0.0, 0.0, RATIO)
"""The weight of a surface where a strip of it lies that does not count."""


def weigh(table: CountTable, layer: Context) -> Weighed:
    """The share of a surface's area that counts, by the first row of a table that fits it."""
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
    return Weighed(first, Quantity(max(low, 0.0), min(high, 1.0), RATIO, asked), note)


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


def chosen(
    table: CountTable, weighed: Sequence[tuple[Context, Weighed]]
) -> list[tuple[Context, Weighed]]:
    """Those of the surfaces over a spot that count, each with its weight."""
    if table.levels == "sum" or len(weighed) <= 1:
        return list(weighed)
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
    return [(heaviest[0], Weighed(heaviest[1].row, weight, heaviest[1].note))]
