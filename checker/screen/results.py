"""The table of a screening: a row for each lot, with columns for each rule."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.core.records import Record
from checker.core.showing import unit_for
from checker.core.units import AREA, RATIO, UNIT
from checker.findings.model import STATUSES
from checker.screen.outcomes import NOT_SCREENED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.core.units import Dimension, System
    from checker.rulesets.rules import RuleSet
    from checker.screen.lots import Lots
    from checker.screen.outcomes import Outcomes
    from checker.screen.sheet import ComparisonKind
    from checker.screen.variants import Variant

WORDS: Final = (*STATUSES, "not screened", "not judged")
"""Every word that may stand for a verdict; "not judged": a layer is at fault."""

NOT_JUDGED: Final = NOT_SCREENED + 1


class JudgedLots(Record, eq=False):
    """Some lots under a rule set.

    Attributes:
        outcomes: Of each rule, in the order of the rule set.
        comparisons: What verdicts hang on, by number.
    """

    ruleset: RuleSet
    lots: Lots
    outcomes: tuple[Outcomes, ...]
    comparisons: tuple[ComparisonKind, ...]

    @property
    def worst(self) -> Any:
        """For each lot the verdict that needs attention first."""
        found = np.full(self.lots.count, STATUSES.index("does not apply"))
        # What is not screened needs attention after what cannot be told, before what passes.
        rank = np.array([*range(2), *range(2, len(STATUSES)), 2.5])
        for outcome in self.outcomes:
            found = np.where(rank[outcome.status] < rank[found], outcome.status, found)
        return found


def unit_of(dimension: Dimension, system: System) -> str:
    """The unit in which the numbers of a dimension stand in the table: "" for a share."""
    return "" if dimension == RATIO else unit_for(dimension, system)[0]


def table_of(
    variants: Sequence[Variant], judged: Sequence[JudgedLots], raw: Any, places: Any
) -> Any:
    """The table of some lots.

    Args:
        variants: What they were judged under.
        judged: The verdicts under each.
        raw: All lots that were read, judged or not.
        places: Where the lots that were judged stand among them.
    """
    import pyarrow as pa

    count = len(raw.ids)
    lot_m2 = _spread(judged[0].lots.area_m2, places, count)
    unit = unit_of(AREA, judged[0].ruleset.system)
    columns: dict[str, Any] = {
        "lot": pa.array(raw.ids, pa.string()),
        f"lot area, {unit}": pa.array(lot_m2 / UNIT[unit].size_si, from_pandas=True),
    }
    for variant, own in zip(variants, judged, strict=True):
        begins = f"{variant.key} " if variant.key else ""
        columns[f"{begins}verdict"] = _words(own.worst, places, count)
        for rule, outcome in zip(own.ruleset.rules, own.outcomes, strict=True):
            name = f"{begins}{rule.id}"
            columns[f"{name} status"] = _words(outcome.status, places, count)
            columns |= _numbers(name, own, outcome, places, count)
    columns["problem"] = pa.array([text or None for text in raw.problem], pa.string())
    columns["geometry"] = raw.geometry
    return pa.table(columns)


def _words(codes: Any, places: Any, count: int) -> Any:
    import pyarrow as pa

    found = np.full(count, NOT_JUDGED, np.int8)
    found[places] = codes
    return pa.DictionaryArray.from_arrays(pa.array(found), pa.array(WORDS, pa.string()))


def _numbers(
    name: str, judged: JudgedLots, outcome: Outcomes, places: Any, count: int
) -> dict[str, Any]:
    """Measured, limit and room of a rule, with their unit: that of the comparison of each lot."""
    import pyarrow as pa

    shown = outcome.shown()
    system, lots = judged.ruleset.system, judged.lots.count
    has = np.broadcast_to(shown.has, lots)
    part = np.where(has, np.broadcast_to(shown.part, lots), -1)
    units = [unit_of(own.dimension, system) for own in judged.comparisons]
    sizes = np.array([*(UNIT[unit].size_si for unit in units), np.nan])
    found: dict[str, Any] = {}
    for word, values in (
        ("measured", shown.measured), ("limit", shown.limit), ("room", shown.margin),
    ):  # fmt: skip
        own = np.where(has, values, np.nan) / sizes[part]
        spread = _spread(own, places, count)
        # A distance to what is not there has no end; a column of numbers has no word for it.
        spread = np.where(np.isinf(spread), np.nan, spread)
        found[f"{name} {word}"] = pa.array(spread, from_pandas=True)
    known = sorted({units[i] for i in np.unique(part) if i >= 0} - {""})
    index = np.array([*(known.index(u) if u in known else -1 for u in units), -1])
    unit = np.full(count, -1)
    unit[places] = index[part]
    found[f"{name} unit"] = pa.array([known[i] if i >= 0 else None for i in unit], pa.string())
    return found


def _spread(values: Any, places: Any, count: int) -> Any:
    found = np.full(count, np.nan)
    found[places] = values
    return found
