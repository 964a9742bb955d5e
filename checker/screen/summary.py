"""What a report tells of many lots: counts, room left, the nearest lots, where they are.

Summaries of pieces add up to that of the town, in whatever order the pieces are worked.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.core.records import Struct, field
from checker.screen.changed import MET, ChangedLot, RuleOnLot, changed_lots, farthest
from checker.screen.outlines import boxes_of
from checker.screen.results import NOT_JUDGED, WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.screen.results import JudgedLots
    from checker.screen.variants import Variant

CELLS: Final = 96
"""The map counts lots in so many cells along the longer side of the town."""

BINS: Final = tuple(share / 100 for share in range(-100, 101, 10))
"""The ends of the bins of room left, as shares of the limit; what is beyond goes to the last."""

NEAREST: Final = 20
MOST_PROBLEMS: Final = 100
_OPEN: Final = tuple(WORDS.index(w) for w in ("cannot tell", "unanswered", "not screened"))


class RuleCounts(Struct):
    """How one rule came out.

    Attributes:
        statuses: Lots by status, in the order of `results.WORDS`.
        rooms: Lots by room left, one more than the ends of `BINS`.
        nearest: The lots with the least room, met or not: room as a share, lot, status, measured,
            limit, the powers of their dimension.
        asks: Lots on which it is open, by what must be given or why.
    """

    statuses: list[int]
    rooms: list[int]
    nearest: list[list[Any]] = field(default_factory=list)
    asks: dict[str, int] = field(default_factory=dict)


class VariantCounts(Struct):
    """How one variant came out.

    Attributes:
        verdicts: Lots by their worst status.
        rules: By the id of the rule.
        cells: Lots by their worst status in each cell of the map: cell, then counts.
        changed: Lots that comply under the first variant and not here, and the other way round.
        changed_cells: Lots that no longer comply, now do, and are as before, by cell of the map.
        changed_lots: Of them those farthest beyond their limit.
    """

    verdicts: list[int]
    rules: dict[str, RuleCounts]
    cells: dict[str, list[int]]
    changed: list[int]
    changed_cells: dict[str, list[int]]
    changed_lots: list[ChangedLot]


class Summary(Struct):
    """What a report tells of some lots.

    Attributes:
        lots: How many were read.
        problems: Lots that cannot be judged, by reason.
        problem_lots: The first of them: lot and reason.
        variants: In their order.
    """

    lots: int
    problems: dict[str, int]
    problem_lots: list[list[str]]
    variants: list[VariantCounts]

    def to_bytes(self) -> bytes:
        """As JSON."""
        import msgspec

        return msgspec.json.encode(self, order="deterministic")

    @classmethod
    def from_bytes(cls, raw: bytes) -> Summary:
        """From JSON."""
        data = json.loads(raw)
        variants = [
            VariantCounts(
                **{
                    **own,
                    "rules": {k: RuleCounts(**rule) for k, rule in own["rules"].items()},
                    "changed_lots": [_changed_from(lot) for lot in own["changed_lots"]],
                }
            )
            for own in data.pop("variants")
        ]
        return cls(**data, variants=variants)

    def add(self, other: Summary) -> None:
        """Take in the summary of a later piece."""
        self.lots += other.lots
        for reason, count in other.problems.items():
            self.problems[reason] = self.problems.get(reason, 0) + count
        self.problem_lots = [*self.problem_lots, *other.problem_lots][:MOST_PROBLEMS]
        for own, more in zip(self.variants, other.variants, strict=True):
            _add(own, more)


def _changed_from(data: dict[str, Any]) -> ChangedLot:
    was, now = (RuleOnLot(**data[key]) if data[key] else None for key in ("was", "now"))
    return ChangedLot(**{**data, "was": was, "now": now})


def _add(own: VariantCounts, more: VariantCounts) -> None:
    own.verdicts = _sum(own.verdicts, more.verdicts)
    own.changed = _sum(own.changed, more.changed)
    own.changed_lots = farthest([*own.changed_lots, *more.changed_lots])
    for mine, others in ((own.cells, more.cells), (own.changed_cells, more.changed_cells)):
        for cell, counts in others.items():
            mine[cell] = _sum(mine[cell], counts) if cell in mine else counts
    for name, rule in more.rules.items():
        so_far = own.rules[name]
        so_far.statuses = _sum(so_far.statuses, rule.statuses)
        so_far.rooms = _sum(so_far.rooms, rule.rooms)
        so_far.nearest = _first([*so_far.nearest, *rule.nearest])
        for ask, count in rule.asks.items():
            so_far.asks[ask] = so_far.asks.get(ask, 0) + count


def _sum(first: list[int], second: list[int]) -> list[int]:
    return [a + b for a, b in zip(first, second, strict=True)]


def _first(rows: list[list[Any]]) -> list[list[Any]]:
    return sorted(rows, key=lambda row: (abs(row[0]), row[1]))[:NEAREST]


def summary_of(
    variants: Sequence[Variant], judged: Sequence[JudgedLots], raw: Any, places: Any,
    bounds: tuple[float, float, float, float],
) -> Summary:  # fmt: skip
    """The summary of a piece; see `results.table_of`."""
    problems: dict[str, int] = {}
    listed: list[list[str]] = []
    for name, reason in zip(raw.ids.tolist(), raw.problem.tolist(), strict=True):
        if reason:
            plain = reason.partition("[")[0]
            problems[plain] = problems.get(plain, 0) + 1
            listed.append([name, reason])
    centres = _centres(raw)
    before = _codes(judged[0].worst, places, len(raw.ids))
    found = []
    for _, own in zip(variants, judged, strict=True):
        codes = _codes(own.worst, places, len(raw.ids))
        met = np.isin(judged[0].worst, MET) != np.isin(own.worst, MET)
        worst = (judged[0].worst, own.worst)
        changed = changed_lots(judged[0], own, worst, np.flatnonzero(met))
        found.append(_variant(own, (before, codes), changed, centres, bounds))
    return Summary(len(raw.ids), problems, listed[:MOST_PROBLEMS], found)


def _codes(worst: Any, places: Any, count: int) -> Any:
    found = np.full(count, NOT_JUDGED)
    found[places] = worst
    return found


def _centres(raw: Any) -> Any:
    """The middle of the box of each lot, nan without one."""
    boxes = boxes_of(raw.geometry)
    return np.stack([boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3]], axis=1) / 2


def _variant(
    judged: JudgedLots, worst: tuple[Any, Any], changed: list[ChangedLot], centres: Any,
    bounds: tuple[float, float, float, float],
) -> VariantCounts:  # fmt: skip
    before, codes = worst
    told = codes != NOT_JUDGED
    was_met, is_met = np.isin(before, MET), np.isin(codes, MET)
    worse, better = told & was_met & ~is_met, told & ~was_met & is_met
    return VariantCounts(
        verdicts=np.bincount(codes, minlength=len(WORDS)).tolist(),
        rules={
            rule.id: _rule(judged, outcome)
            for rule, outcome in zip(judged.ruleset.rules, judged.outcomes, strict=True)
        },
        cells=_cells(codes, len(WORDS), centres, bounds),
        changed=[int(worse.sum()), int(better.sum())],
        changed_cells=_cells(np.where(worse, 0, np.where(better, 1, 2)), 3, centres, bounds),
        changed_lots=changed,
    )


def _rule(judged: JudgedLots, outcome: Any) -> RuleCounts:
    shown, count = outcome.shown(), judged.lots.count
    status = np.broadcast_to(outcome.status, count)
    room = np.broadcast_to(shown.room, count)
    known = np.broadcast_to(shown.has, count) & np.isfinite(room)
    bins = np.digitize(np.round(room[known], 9), BINS)
    rows = np.flatnonzero(known)
    rows = rows[np.argsort(np.abs(room[rows]), kind="stable")]
    # All that have as little room as the last of the nearest, so that ties are cut by name.
    if len(rows) > NEAREST:
        rows = rows[np.abs(room[rows]) <= abs(room[rows[NEAREST - 1]])]
    nearest = [
        [
            float(room[i]),
            str(judged.lots.ids[i]),
            WORDS[status[i]],
            *(float(np.broadcast_to(a, count)[i]) for a in (shown.measured, shown.limit)),
            _dimension(judged, int(np.broadcast_to(shown.part, count)[i])),
        ]
        for i in rows
    ]
    return RuleCounts(
        np.bincount(status, minlength=len(WORDS)).tolist(),
        np.bincount(bins, minlength=len(BINS) + 1).tolist(),
        _first(nearest),
        _asks(outcome, status),
    )


def _asks(outcome: Any, status: Any) -> dict[str, int]:
    """Lots on which a rule is open, by what must be given or why."""
    is_open = np.isin(status, _OPEN)
    found: dict[str, int] = {}
    for item, rows in outcome.missing.items():
        count = int((rows & is_open).sum())
        if count:
            found[item.ask] = found.get(item.ask, 0) + count
    return found


def _dimension(judged: JudgedLots, part: int) -> list[int]:
    own = judged.comparisons[part].dimension
    return [own.length, own.time, own.mass, own.money]


def _cells(
    codes: Any, kinds: int, centres: Any, bounds: tuple[float, float, float, float]
) -> dict[str, list[int]]:
    """Lots by code in each cell of the map."""
    low_x, low_y, high_x, high_y = bounds
    side = max(high_x - low_x, high_y - low_y) / CELLS or 1.0
    has = np.isfinite(centres).all(axis=1)
    x = np.clip(((centres[has, 0] - low_x) / side).astype(int), 0, CELLS - 1)
    y = np.clip(((centres[has, 1] - low_y) / side).astype(int), 0, CELLS - 1)
    key = (y * CELLS + x) * kinds + codes[has]
    found: dict[str, list[int]] = {}
    for place, count in zip(*(a.tolist() for a in np.unique(key, return_counts=True)), strict=True):
        cell, code = divmod(place, kinds)
        found.setdefault(str(cell), [0] * kinds)[code] = count
    return found
