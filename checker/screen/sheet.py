"""The scope of many lots: looks every name of a rule set up once, for all of them.

What `findings.sheet.RuleSheet` is to one lot. What one of its readings finds that hangs neither on
supposed answers nor on readings of clauses is shared with the others.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.algebra import nodes as n
from checker.algebra.values import Missing, Quantity
from checker.core.problems import Place, Problems
from checker.core.records import Record
from checker.core.units import AREA, LENGTH
from checker.findings.answers import reached_from
from checker.measure.catalogue import LOT_MEASURES
from checker.rulesets.facts import read_fact
from checker.screen.columns import (
    NO,
    YES,
    Codes,
    NumberColumn,
    any_of,
    codes_of,
    column_of,
    number_for_all,
    numbers,
    unknown,
    unread,
    where,
    within,
)
from checker.screen.counting import count
from checker.screen.ground import is_of_sorts
from checker.screen.layers import SurfaceRows
from checker.screen.places import on_their_lot
from checker.screen.probe import WHERE_IT_LIES
from checker.screen.reading import condition, each, nothing_of, number
from checker.screen.truths import Truths, truths_where

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from checker.core.units import Amount, Dimension, Order
    from checker.rulesets.rules import Rule, RuleSet
    from checker.screen.columns import Gaps
    from checker.screen.ground import SortedGround

OUTSIDE = "drawn area beyond the lot line is not measured by a screening"


class ComparisonKind(Record):
    """A comparison that verdicts may hang on.

    Attributes:
        order: The rule's own wording.
        dimension: The kind of its numbers.
    """

    order: Order
    dimension: Dimension


class TownSheet:
    """Looks names up for one rule set on some lots.

    Args:
        ground: The lots, sorted for the rule set.
        options: How unclear clauses are read, by reading id.
        day: The day whose law counts; None for the newest.
        answers: Answers to open questions that are supposed, over what the lots say.
        like: Another sheet of the same ground, with which is shared what is alike.

    Attributes:
        comparisons: Those met so far, by number.
        facts: What columns say, by fact.
        alike: Counts that hang neither on answers nor on readings.
    """

    def __init__(
        self,
        ground: SortedGround,
        options: Mapping[str, str],
        day: date | None = None,
        answers: Mapping[str, str | bool | date] | None = None,
        like: TownSheet | None = None,
    ) -> None:
        self.ground = ground
        self.ruleset: RuleSet = ground.ruleset
        defaults = {reading.id: reading.default for reading in self.ruleset.readings.values()}
        self._options = defaults | dict(options)
        self._day = day
        self._answers = dict(answers or {})
        self.comparisons: list[ComparisonKind] = [] if like is None else like.comparisons
        self.facts: dict[str, Codes | NumberColumn | None] = {} if like is None else like.facts
        self.alike: dict[n.Named, NumberColumn] = {} if like is None else like.alike
        self._numbers: dict[n.Named, NumberColumn] = {}
        self._outcomes: dict[str, Truths] = {}
        self._limits: dict[str, NumberColumn] = {}
        self._busy: list[str] = []

    def supposing(
        self, answers: Mapping[str, str | bool | date], options: Mapping[str, str] | None = None
    ) -> TownSheet:
        """The same lots with answers to open questions, and clauses read in a given way."""
        return TownSheet(
            self.ground,
            self._options | dict(options or {}),
            self._day,
            self._answers | dict(answers),
            self,
        )

    @property
    def day(self) -> date | None:
        """The day whose law counts."""
        return self._day

    @property
    def count(self) -> int:
        """How many lots."""
        return self.ground.lots.count

    def part(self, order: Order, measured: NumberColumn, limit: NumberColumn) -> int:
        """The number of a comparison, by which its order and dimension are found again."""
        kind = limit.dimension if limit.dimension.length or limit.dimension.money else None
        own = ComparisonKind(order, kind or measured.dimension)
        if own not in self.comparisons:
            self.comparisons.append(own)
        return self.comparisons.index(own)

    def number(self, named: n.Named) -> NumberColumn:
        """A measure, fact, defined amount or counted measure."""
        if named not in self._numbers:
            self._numbers[named] = self._look_up(named)
        return self._numbers[named]

    def _look_up(self, named: n.Named) -> NumberColumn:
        if named.name in LOT_MEASURES:
            return self._measure(named)
        if named.name in self.ruleset.counts:
            return self._counted(named)
        if named.name in self.ruleset.amounts:
            if named.name in self._busy:
                ask = f"'{named.name}' depends on itself: correct the rule set"
                return unknown({Missing(named.name, "", ask): np.asarray(YES)})
            self._busy.append(named.name)
            try:
                return number(self.ruleset.amounts[named.name], self)
            finally:
                self._busy.pop()
        found = self._fact(named.name)
        if isinstance(found, NumberColumn):
            return found
        word = self.ruleset.words.lot[named.name]
        lacks = self.ground.probe.sheet.missing(named.name, named.region)
        return unknown({lacks: np.asarray(YES)}, word.dimension)

    def _measure(self, named: n.Named) -> NumberColumn:
        """A measure of the lot, of the whole or of a region of it."""
        lots, word = self.ground.lots, LOT_MEASURES[named.name]
        if named.name == "lot_area" and named.region:
            region = self.ground.region(named.region)
            area_m2 = lots.by_lot(np.where(region.spots, lots.spot_area_m2, 0.0))
            gaps = {Missing(named.name, gap.of, gap.ask): own for gap, own in region.gaps.items()}
            return _but_for(numbers(area_m2, AREA), gaps)
        if named.name == "lot_area":
            return numbers(lots.area_m2, AREA)
        if named.name == "work_area":
            return number_for_all(0.0, AREA)
        if named.name == "undrawn_area":
            is_bare = lots.spot_layers[:, 0] < 0
            return numbers(lots.by_lot(np.where(is_bare, lots.spot_area_m2, 0.0)), AREA)
        if named.name == "frontage" and lots.fronts is not None:
            length_m = shapely.length(lots.fronts.sides.lines["front"]) * lots.size_m
            known = np.where(np.isnan(length_m), 0.0, length_m)
            return _but_for(numbers(known, LENGTH), lots.fronts.lacks("front", named.name))
        if named.name == "outside_area":
            return unknown({unread(OUTSIDE): np.asarray(YES)}, AREA)
        found = self.ground.probe.lot_measure(named.name)
        bare = self.ground.probe.without_surfaces.lot_measure(named.name)
        if found != bare:
            return self._by_what_is_there(named.name, word.dimension, bare)
        if named.name == "recorded_lot_area" and lots.recorded_m2 is not None:
            known = ~np.isnan(lots.recorded_m2)
            assert isinstance(found, Missing)
            return _where_known(numbers(np.where(known, lots.recorded_m2, 0.0), AREA), known, found)
        return _column(named.name, found, word.dimension)

    def _by_what_is_there(self, name: str, dimension: Dimension, bare: object) -> NumberColumn:
        """A measure that hangs on which sorts of surface are on a lot."""
        lots, probe = self.ground.lots, self.ground.probe
        column = _column(name, bare, dimension)
        for sort in range(len(lots.town.classes)):
            found = probe.with_sort(sort).lot_measure(name)
            if found == bare:
                continue
            if isinstance(found, Quantity):  # a number may hang on where things lie
                found = unread(f"{LOT_MEASURES[name].title} is not measured here")
            own = on_their_lot(lots, np.flatnonzero(lots.surface_class == sort))
            has = np.bincount(lots.surface_lot[own], minlength=lots.count) > 0
            column = where(has, _column(name, found, dimension), column)
        return column

    def _counted(self, named: n.Named) -> NumberColumn:
        """What a counting table makes; shared where neither answers nor readings matter to it."""
        table = self.ruleset.counts[named.name]
        plain = n.Named(named.name, "", named.region)
        if plain in self.alike:
            return self.alike[plain]
        if named.region:
            region = self.ground.region(named.region)
            found = count(table, self.ground, self, region.spots)
            found = _but_for(found, region.gaps)
        else:
            found = count(table, self.ground, self, None)
        tree = list(reached_from([tuple(table.rows), table.otherwise], self.ruleset))
        hangs = n.ByReading | n.ReadingCondition | n.Is | n.Dated | n.Passes | n.LimitOf
        surface = self.ruleset.words.surface
        if not any(
            isinstance(node, hangs) and getattr(node, "name", "") not in surface for node in tree
        ):
            self.alike[plain] = found
        return found

    def fact(self, name: str) -> Codes:
        """A text, yes-or-no or date."""
        if name in self._answers:
            return Codes((self._answers[name],), np.asarray(0), Missing(name, "", ""))
        lacks = self.ground.probe.sheet.missing(name)
        if name in LOT_MEASURES:
            found = self.ground.probe.lot_measure(name)
            if isinstance(found, str | bool):
                return Codes((found,), np.asarray(0), lacks)
            return Codes((), np.asarray(-1), lacks)
        own = self._fact(name)
        return own if isinstance(own, Codes) else Codes((), np.asarray(-1), lacks)

    def _fact(self, name: str) -> Codes | NumberColumn | None:
        """What columns say of a fact, by the kind that the rule set gives it."""
        if name not in self.facts:
            self.facts[name] = self._read(name)
        return self.facts[name]

    def _read(self, name: str) -> Codes | NumberColumn | None:
        word, given = self.ruleset.facts.get(name), self.ground.lots.given.get(name)
        if word is None or given is None:
            return None
        problems = Problems()
        values = [read_fact(word, value, Place(""), problems) for value in given.values]
        lacks = self.ground.probe.sheet.missing(name)
        if word.kind != "amount":
            codes = codes_of(values, lacks)  # type: ignore[arg-type]
            index = np.append(codes.index, -1)[given.index]
            return Codes(codes.values, index, lacks)
        known: list[Amount | None] = values  # type: ignore[assignment]
        ends = np.array([*(np.nan if v is None else v.value_si for v in known), np.nan])
        value = ends[given.index]
        column = numbers(np.where(np.isnan(value), 0.0, value), word.dimension)
        return _where_known(column, ~np.isnan(value), lacks)

    def each(self, where: n.Condition, require: n.Condition) -> Truths:
        """Whether every surface that one condition selects meets another."""
        lots, ground = self.ground.lots, self.ground
        seen = ground.surface_scope
        rows = np.flatnonzero(seen >= 0)
        # In the order of the layers, in which the surfaces of a single lot stand in its file.
        rows = rows[np.lexsort((lots.surface_place[rows], lots.surface_lot[rows]))]
        if not len(rows):
            return nothing_of(self.count)
        of = lots.surface_lot[rows]
        names = frozenset(self.ruleset.words.surface) - {"area"} - WHERE_IT_LIES
        if is_of_sorts([where, require], names):
            sorts, which = np.unique(seen[rows], return_inverse=True)
            scopes = SurfaceRows(self, ground, sorts)
            selected = condition(where, scopes).take(which)
            met = condition(require, scopes).take(which)
        else:
            scopes = SurfaceRows(self, ground, seen[rows], of, rows)
            selected, met = condition(where, scopes), condition(require, scopes)
        return each(selected, met, of, self.count)

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists for every lot."""
        return document in self.ground.lots.town.on_file

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""
        return self._options[reading]

    def outcome(self, rule: str) -> Truths:
        """Whether another rule passes, with or without conditions."""
        if rule not in self._outcomes:
            if rule in self._busy:
                return self._asks(f"the rule '{rule}' depends on itself: correct the rule set")
            self._busy.append(rule)
            try:
                self._outcomes[rule] = self._judge(self.ruleset.rule(rule))
            finally:
                self._busy.pop()
        return self._outcomes[rule]

    @staticmethod
    def _asks(ask: str) -> Truths:
        return Truths(
            holds=np.asarray(-1, np.int8), missing={Missing("", "", ask): np.asarray(YES)}
        )

    def _judge(self, rule: Rule) -> Truths:
        applies = condition(rule.applies, self)
        met = condition(rule.require, self)
        for band in rule.or_else:
            if band.outcome == "passes with conditions":
                other = condition(band.require, self)
                met = truths_where(np.asarray(met.holds == 0), other, met)
        source = rule.citation.source
        found = Truths(
            holds=met.holds,
            missing=met.missing,
            decides=met.decides,
            is_vacuous=NO,
            because=met.because,
            has_unmet=met.has_unmet,
        )
        if source.is_remembered:
            found = self._asks(source.ask)
        is_open = np.asarray((applies.holds == -1) & (met.holds != 1))
        if is_open.any():
            gaps = dict(applies.missing)
            waits = Truths(holds=np.asarray(-1, np.int8), missing={**gaps, **met.missing})
            found = truths_where(is_open, waits, found)
        not_asked = np.asarray(applies.holds == 0)
        spared = Truths(holds=np.asarray(1, np.int8))
        return truths_where(not_asked, spared, found) if not_asked.any() else found

    def limit_of(self, rule: str) -> NumberColumn:
        """The limit that another rule sets: of its first comparison with the lot."""
        if rule not in self._limits:
            if rule in self._busy:
                ask = f"the limit of '{rule}' depends on itself: correct the rule set"
                return unknown({Missing("", "", ask): np.asarray(YES)})
            self._busy.append(rule)
            try:
                self._limits[rule] = self._first_limit(rule)
            finally:
                self._busy.pop()
        return self._limits[rule]

    def _first_limit(self, rule: str) -> NumberColumn:
        """Of the comparisons with the lot that take part in a rule the first, as it is written."""
        queue: list[Any] = [self.ruleset.rule(rule).require]
        while queue:
            match queue.pop(0):
                case n.Compare(limit=limit):
                    return number(limit, self)
                case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
                    queue = [*parts, *queue]
                case n.Not(part=part):
                    queue = [part, *queue]
                case n.ReadingCondition(reading=reading, options=options):
                    queue = [dict(options)[self.option(reading)], *queue]
                case n.Passes(rule=other):
                    why = f"the limit of '{rule}' hangs on how '{other}' comes out"
                    return unknown({unread(why): np.asarray(YES)})
                case _:
                    pass
        ask = f"the rule '{rule}' sets no limit of its own"
        return unknown({Missing("", "", ask): np.asarray(YES)})


def _column(name: str, found: object, dimension: Dimension) -> NumberColumn:
    """What a probe measured, for all lots."""
    if isinstance(found, Quantity):
        return column_of(found)
    lacks = found if isinstance(found, Missing) else Missing(name, "", "")
    return unknown({lacks: np.asarray(YES)}, dimension)


def _where_known(column: NumberColumn, is_known: Any, gap: Missing) -> NumberColumn:
    """A column of which some rows are missing."""
    return _but_for(column, {gap: ~np.asarray(is_known)})


def _but_for(column: NumberColumn, gaps: Gaps) -> NumberColumn:
    """A column of which nothing is known where something is missing."""
    lacking = any_of(gaps.values())
    if not lacking.any():
        return column
    return where(lacking, unknown(within(gaps, lacking), column.dimension), column)
