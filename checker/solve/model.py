"""The cuttings in the place of areas: a program in which only what can be built is chosen from.

Each area of a part is the sum of what the chosen cuttings take of it, so the area is put into the
rows as that sum. Cuttings that count the same are kept once, and a cutting that another one of the
same land beats in every aim and every row is left out: no best choice is lost by either.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.algebra.linear import Linear, Rows
from checker.core.records import Struct, replace
from checker.solve.dominance import unbeaten
from checker.solve.table import SolverRow, SolverTable, SolverTerms, table_of, terms_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.solve.changes import Becomes
    from checker.solve.cuttings import Array, Cuttings
    from checker.solve.program import Program
    from checker.solve.solver import Solution

_HAIR: Final = 1e-10
_FEW: Final = 20_000
_SEED: Final = 7


class ChangeModel(Struct):
    """What is handed to the solver.

    Attributes:
        table: The switches of the cuttings first, then every other variable.
        aims: The expressions that are least, the first one first.
        cuttings: The cutting of each switch.
        others: The number in the program of each other variable.
    """

    table: SolverTable
    aims: list[SolverTerms]
    cuttings: Array
    others: list[int]


def values_of(cuttings: Cuttings, *, counts_savings: bool) -> dict[str, Array]:
    """By aim, the worth of each cutting: cents, pieces, area changed and deck lost in m2."""
    units, count = cuttings.land.units, len(cuttings)
    widest = max((len(unit.ways) for unit in units), default=1)
    priced = np.zeros((len(units), widest), dtype=np.int64)
    gives_up = np.zeros((len(units), widest), dtype=bool)
    alike: dict[object, tuple[int, Becomes]] = {}
    for number, unit in enumerate(units):
        for index, way in enumerate(unit.ways[1:], 1):
            alike.setdefault(_prices(way), (len(alike) + 1, way))
            priced[number, index] = alike[_prices(way)][0]
            gives_up[number, index] = unit.ways[0].is_paved and not way.is_paved
    prices = dict(alike.values())
    cents = np.zeros((count, 2), dtype=np.int64)
    lost_m2 = np.zeros((count, 2))
    for place in (0, 1):
        at = cuttings.unit, cuttings.ways[:, place]
        lost_m2[:, place] = np.where(gives_up[at], cuttings.areas_m2[:, place], 0.0)
        for key, own in grouped(priced[at]):
            if key:
                areas_m2, is_share = cuttings.areas_m2[own, place], cuttings.kind[own] > 0
                built_m2 = cuttings.built_m2[own, place]
                cents[own, place] = prices[key].cents_each(areas_m2, built_m2, is_share)
    spent = cents if counts_savings else np.maximum(cents, 0)
    return {
        "cost": spent.sum(axis=1).astype(float),
        "area": cuttings.areas_m2.sum(axis=1),
        "lost deck": lost_m2.sum(axis=1),
        # A band of all of a surface is simpler to build than one of a part of it.
        "pieces": (cuttings.areas_m2 > 0).sum(axis=1) + (cuttings.kind > 0).astype(float),
    }


def _prices(way: Becomes) -> object:
    return way.spent, way.built, way.spared


class ModelMaker:
    """Makes models of a program; see `ChangeModel`."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.cuttings = program.ground.cuttings
        self.worth = values_of(self.cuttings, counts_savings=program.goal.counts_savings)
        piece, part, way, area_m2 = self.cuttings.entries
        cutting = piece // 2
        self._areas = _by_key(_alone(program, part, way), cutting, area_m2)
        self._shared = [
            (index, place, number)
            for index, item in enumerate(program.parts)
            if len(item.units) > 1
            for place, number in enumerate(item.units)
        ]
        self._of_part = (part, way, cutting, area_m2)
        self._last: tuple[object, Array] = (None, None)

    def model(self, rows: Rows, aims: Sequence[str | Linear]) -> ChangeModel:
        """The model of some rows over the program's areas, and of what is least."""
        count = len(self.cuttings)
        given = [(row.terms, row.low, row.high) for row in rows.rows if row.terms]
        given += list(self._ties())
        spread = [self._spread(terms) for terms, _, _ in given]
        worths = [self._worth(aim) for aim in aims]
        key = (tuple(map(id, rows.rows)), len(self.program.forbidden))
        if all(isinstance(aim, str) for aim in aims):
            # What is best by any aim is kept, so that one round serves every option.
            if self._last[0] != key:
                ends = [(low, high) for _, low, high in given]
                every = [self._worth(aim) for aim in self.worth]
                self._last = key, self._kept(spread, ends, every)
            kept = self._last[1]
        else:
            kept = self._kept(spread, [(low, high) for _, low, high in given], worths)
        place = np.full(count, -1, dtype=np.int64)
        place[kept] = np.arange(len(kept))
        others = sorted(set(range(len(rows.variables))) - set(self._areas))
        number = {key: len(kept) + index for index, key in enumerate(others)}
        found = table_of(Rows([rows.variables[key] for key in others]))
        found.low = np.concatenate([np.zeros(len(kept)), found.low])
        found.high = np.concatenate([np.ones(len(kept)), found.high])
        found.is_whole = np.concatenate([np.ones(len(kept), dtype=bool), found.is_whole])
        found.rows += self._choose_one(kept, place)
        for (cols, values, rest), (_, low, high) in zip(spread, given, strict=True):
            own = place[cols]
            on = own >= 0
            found.rows.append(SolverRow(_terms(own[on], values[on], rest, number), low, high))
        none = terms_of(Linear())
        found.rows += [SolverRow(none, row.low, row.high) for row in rows.rows if not row.terms]
        objectives: list[SolverTerms] = []
        for by_cutting, rest, constant in worths:
            own_worth = by_cutting[kept]
            counts = np.flatnonzero(own_worth)
            objectives.append(_terms(counts, own_worth[counts], rest, number, constant))
        return ChangeModel(found, objectives, kept, others)

    def meeting(self, rows: Rows) -> Array | None:
        """Whether each cutting by itself meets the rows, and last, whether no change does.

        None where other variables have a part in them.
        """
        found = np.ones(len(self.cuttings) + 1, dtype=bool)
        for row in rows.rows:
            cols, values, rest = self._spread(row.terms)
            if rest:
                return None
            sums = np.zeros(len(found))
            sums[cols] = values
            slack = _HAIR * max([1.0, *(abs(e) for e in (row.low, row.high) if math.isfinite(e))])
            found &= (sums >= row.low - slack) & (sums <= row.high + slack)
        for chosen in self.program.forbidden:
            found[chosen] = False
        return found

    def by_cutting(self, part: Linear) -> Array:
        """What each cutting adds to an expression of areas that belong to one unit each."""
        found = np.zeros(len(self.cuttings))
        cols, values, _ = self._spread(part.terms)
        found[cols] = values
        return found

    def of_ways(self, fits: Callable[[Becomes], bool]) -> Array:
        """The area that each cutting turns into something of a kind, m2."""
        found = np.zeros(len(self.cuttings))
        for number, unit in enumerate(self.cuttings.land.units):
            own = np.flatnonzero(self.cuttings.unit == number)
            is_such = np.array([not way.is_kept and fits(way) for way in unit.ways])
            picked = is_such[self.cuttings.ways[own]]
            found[own] = (self.cuttings.areas_m2[own] * picked).sum(axis=1)
        return found

    def in_areas(self, model: ChangeModel, found: Solution, count: int) -> Solution:
        """A solution of a model in the variables of the program it was made from."""
        values = np.zeros(count)
        kept = len(model.cuttings)
        on = np.zeros(len(self.cuttings))
        on[model.cuttings] = found.values[:kept]
        for key, (cols, areas_m2) in self._areas.items():
            values[key] = float(on[cols] @ areas_m2)
        values[model.others] = found.values[kept:]
        return replace(found, values=values)

    def _ties(self) -> list[tuple[dict[int, float], float, float]]:
        """Where units lie over each other: each takes its share of every combination.

        The cuttings are named by numbers below zero, since they are no variables of the program.
        """
        program, found = self.program, []
        part, way, cutting, area_m2 = self._of_part
        for index, place, number in self._shared:
            item, amounts = program.parts[index], program.amounts[index]
            for which in range(1, len(program.land.units[number].ways)):
                terms = {
                    key: 1.0
                    for combo, amount in amounts.items()
                    if item.combos[combo][place] == which
                    for key in amount.terms
                }
                own = (part == index) & (way == which) & (self.cuttings.unit[cutting] == number)
                for key, taken in zip(cutting[own].tolist(), area_m2[own].tolist(), strict=True):
                    terms[-1 - key] = terms.get(-1 - key, 0.0) - taken
                found.append((terms, 0.0, 0.0))
            if place == 0:
                whole = {key: 1.0 for amount in amounts.values() for key in amount.terms}
                found.append((whole, -math.inf, item.area_m2))
        return found

    def _spread(self, terms: Any) -> tuple[Array, Array, dict[int, float]]:  # noqa: ANN401 - a mapping
        """The terms of a row by cutting, and those of variables that are no areas of one unit."""
        cols: list[Array] = []
        values: list[Array] = []
        rest: dict[int, float] = {}
        for key, times in terms.items():
            if key < 0:
                cols.append(np.array([-1 - key]))
                values.append(np.array([times]))
            elif key in self._areas:
                own, areas_m2 = self._areas[key]
                cols.append(own)
                values.append(areas_m2 * times)
            else:
                rest[key] = times
        if not cols:
            return np.zeros(0, dtype=np.int64), np.zeros(0), rest
        if len(cols) == 1:
            return cols[0], values[0], rest
        every = np.concatenate(cols)
        is_in = np.zeros(len(self.cuttings), dtype=bool)
        is_in[every] = True
        own = np.flatnonzero(is_in)
        return own, np.bincount(every, np.concatenate(values))[own], rest

    def _worth(self, aim: str | Linear) -> tuple[Array, dict[int, float], float]:
        if isinstance(aim, str):
            return self.worth[aim], {}, 0.0
        cols, values, rest = self._spread(aim.terms)
        found = np.zeros(len(self.cuttings))
        found[cols] = values
        return found, rest, aim.constant

    def _choose_one(self, kept: Array, place: Array) -> Iterator[SolverRow]:
        """At most one cutting of a unit, or one of each kind of its land."""
        unit, kind = self.cuttings.unit[kept], self.cuttings.kind[kept]
        groups = dict(grouped(unit * 100 + kind))
        kinds: dict[int, list[int]] = {}
        for key in groups:
            kinds.setdefault(key // 100, []).append(key % 100)
        for number, own in kinds.items():
            together = groups.get(number * 100, np.zeros(0, dtype=np.int64))
            for which in [k for k in own if k] or [0]:
                members = (
                    np.concatenate([together, groups[number * 100 + which]]) if which else together
                )
                yield SolverRow(SolverTerms(members, np.ones(len(members))), -math.inf, 1.0)
        for chosen in self.program.forbidden:
            # Another cutting must come, or one of these must go.
            on = place[chosen]
            if (on >= 0).all():
                times = np.full(len(kept), -1.0)
                times[on] = 1.0
                yield SolverRow(
                    SolverTerms(np.arange(len(kept)), times), -math.inf, len(chosen) - 1.0
                )

    def _kept(
        self,
        spread: Sequence[tuple[Array, Array, dict[int, float]]],
        ends: Sequence[tuple[float, float]],
        worths: Sequence[tuple[Array, dict[int, float], float]],
    ) -> Array:
        """The cuttings that no other one equals or beats."""
        count = len(self.cuttings)
        forbidden = (
            np.unique(np.concatenate(self.program.forbidden)) if self.program.forbidden else None
        )
        land = self.cuttings.unit * 100 + self.cuttings.kind
        random = np.random.default_rng(_SEED)
        marks = [land.astype(float)]
        for _ in range(2):
            mark = np.zeros(count)
            for cols, values, _ in spread:
                mark[cols] += np.round(values, 7) * random.uniform(1, 2)
            for by_cutting, _, _ in worths:
                mark += np.round(by_cutting, 7) * random.uniform(1, 2)
            marks.append(np.round(mark, 6))
        if forbidden is not None and count <= _FEW:
            return np.arange(count)
        order = np.lexsort(marks)
        is_new = np.zeros(count, dtype=bool)
        is_new[:1] = True
        for mark in marks:
            is_new[1:] |= np.diff(mark[order]) != 0
        first = order[is_new]
        kept = np.sort(first)
        if forbidden is not None:
            return np.union1d(kept, forbidden)
        return self._unbeaten(kept, land, spread, ends, worths)

    def _unbeaten(
        self,
        kept: Array,
        land: Array,
        spread: Sequence[tuple[Array, Array, dict[int, float]]],
        ends: Sequence[tuple[float, float]],
        worths: Sequence[tuple[Array, dict[int, float], float]],
    ) -> Array:
        place = np.full(len(land), -1, dtype=np.int64)
        place[kept] = np.arange(len(kept))
        _, group = np.unique(land[kept], return_inverse=True)
        columns = [by_cutting[kept] for by_cutting, _, _ in worths]
        # Few rows touch a piece of land: those of each stand in the first of the further columns.
        more: list[Array] = []
        used = np.zeros(len(kept), dtype=np.int64)
        for (cols, values, _), (low, high) in zip(spread, ends, strict=True):
            is_kept = place[cols] >= 0
            own, parts = place[cols][is_kept], values[is_kept]
            touched = np.unique(group[own])
            for sign in [s for s, end in ((1.0, high), (-1.0, low)) if math.isfinite(end)]:
                for which, members in grouped(used[group[own]]):
                    more += [np.zeros(len(kept)) for _ in range(which + 1 - len(more))]
                    more[which][own[members]] = sign * parts[members]
                used[touched] += 1
        return kept[unbeaten(np.stack([*columns, *more], axis=1), group)]


def _terms(
    cols: Array,
    times: Array,
    rest: Mapping[int, float],
    number: Mapping[int, int],
    constant: float = 0.0,
) -> SolverTerms:
    """Terms of switches, and of other variables under their numbers in the model."""
    others = terms_of(Linear(constant, {number[key]: c for key, c in rest.items()}))
    return SolverTerms(
        np.concatenate([cols, others.variables]), np.concatenate([times, others.times]), constant
    )


def maker_of(program: Program) -> ModelMaker:
    """What puts cuttings in the place of areas in a program; made once for each."""
    if "maker" not in program.kept:
        program.kept["maker"] = ModelMaker(program)
    found: ModelMaker = program.kept["maker"]
    return found


def _alone(program: Program, part: Array, way: Array) -> list[int]:
    """The variable of each area that belongs to one unit alone; -1 for others."""
    widest = max((len(unit.ways) for unit in program.land.units), default=1)
    table = np.full((len(program.parts), widest), -1, dtype=np.int64)
    for (index, which), key in program.alone.items():
        table[index, which] = key
    found: list[int] = table[part, way].tolist()
    return found


def _by_key(keys: list[int], cutting: Array, area_m2: Array) -> dict[int, tuple[Array, Array]]:
    """For each variable that is an area of one unit: the cuttings that take of it, and how much."""
    groups = grouped(np.array(keys, dtype=np.int64))
    return {key: (cutting[own], area_m2[own]) for key, own in groups if key >= 0}


def grouped(keys: Array) -> list[tuple[int, Array]]:
    """The places of each key, in their order; the keys from the smallest up."""
    if not len(keys):
        return []
    order = np.argsort(keys, kind="stable")
    found, starts = np.unique(keys[order], return_index=True)
    return list(zip(found.tolist(), np.split(order, starts[1:]), strict=True))
