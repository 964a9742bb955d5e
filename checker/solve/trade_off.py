"""What each step down in counted cover takes: in permeable paving, and in money."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from checker.algebra import nodes as n
from checker.algebra.constrain import Reader
from checker.algebra.constrain_terms import NotLinear
from checker.algebra.evaluate import as_amount, number
from checker.algebra.linear import Linear, Rows
from checker.algebra.walk import nodes
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.solve.model import maker_of
from checker.solve.scenarios import PERMEABLE

if TYPE_CHECKING:
    from checker.rulesets.rules import Rule
    from checker.solve.cuttings import Array
    from checker.solve.measures import Measures
    from checker.solve.options import Options
    from checker.solve.program import Program

STEPS: Final = 12


class NoTradeOff(CheckerError):
    """No rule limits an area that the open surfaces can move."""


class ChartPoint(Record, kw_only=True):
    """A design on the chart.

    Attributes:
        title: Its name; empty for a point of a curve.
        cover_m2: What it counts.
        permeable_m2: New permeable paving in it.
        cents: What it costs beyond the design.
    """

    cover_m2: float
    permeable_m2: float
    cents: float
    title: str = ""


class TradeOff(Record, kw_only=True):
    """The data of the chart.

    Attributes:
        measure: Title of the counted measure.
        limit_m2: What the rule allows.
        today: The design as it is.
        by_permeable: The least permeable paving for each cover, by converting alone.
        by_cost: The least cost for each cover, by any change that is allowed.
        options: The options as drawn.
    """

    measure: str
    limit_m2: float
    today: ChartPoint
    by_permeable: tuple[ChartPoint, ...]
    by_cost: tuple[ChartPoint, ...]
    options: tuple[ChartPoint, ...]


def trade_off(options: Options) -> TradeOff:
    """The trade-off at the first rule that limits counted cover and is not met, else the first.

    Raises:
        NoTradeOff: No rule limits an area that the open surfaces can move.
        NoSolver: HiGHS is not installed.
    """
    checked = options.checked
    program = options.program
    measures = program.measures[0]
    node = _limited(program, measures)
    rows = Rows(list(program.rows.variables), [r for r in program.rows.rows if not r.rule])
    cover = Reader(rows, measures, measures.sheet).number(node.measured, "over")
    limit = as_amount(number(node.limit, checked.sheet))
    assert limit is not None
    today_m2 = number(node.measured, measures.sheet).high_si
    speaker = checked.ruleset.speaker(checked.system)
    return TradeOff(
        measure=speaker.number(node.measured).removeprefix("the "),
        limit_m2=limit.value_si,
        today=ChartPoint(cover_m2=today_m2, permeable_m2=0.0, cents=0.0, title="as designed"),
        by_permeable=_curve(program, rows, cover, today_m2, only_permeable=True),
        by_cost=_curve(program, rows, cover, today_m2, only_permeable=False),
        options=tuple(
            ChartPoint(
                cover_m2=number(node.measured, option.after.sheet).high_si,
                permeable_m2=option.permeable_m2,
                cents=float(option.cents),
                title=option.title,
            )
            for option in options.options
            if option.pieces and not option.same_as
        ),
    )


def _limited(program: Program, measures: Measures) -> n.Compare:
    """The comparison that the chart is about."""
    met = {finding.rule: finding.is_met for finding in program.checked.verdict.findings}
    rules: list[Rule] = sorted(
        (rule for rule in program.rules if rule.id in program.said),
        key=lambda rule: met.get(rule.id, True),
    )
    for rule in rules:
        for node in nodes(rule.require):
            if (
                isinstance(node, n.Compare)
                and node.order == "at most"
                and isinstance(node.measured, n.Named)
                and measures.varies(node.measured)
                and as_amount(number(node.limit, measures.sheet)) is not None
            ):
                # Exemptions add variables and rows: to a copy.
                rows = Rows(list(program.rows.variables))
                try:
                    measures.measure(node.measured, "over", Reader(rows, measures, measures.sheet))
                except NotLinear:
                    continue
                return node
    raise NoTradeOff("no rule limits an area that the surfaces which may change can move")


def _curve(
    program: Program, rows: Rows, cover: Linear, today_m2: float, *, only_permeable: bool
) -> tuple[ChartPoint, ...]:
    """Designs that nothing with as little cover beats, from today's cover down to the least.

    Along the lower hull of what the cuttings cost and take off the cover, each further step is the
    cheapest that is left; so every design at a corner of it is the best one for its own cover.
    Only where the cover is no plain sum of areas is there no such curve.
    """
    maker = maker_of(program)
    worth = maker.worth
    ways = maker.cuttings.ways
    permeable_m2 = maker.of_ways(
        lambda way: way.material is not None and way.material.id in PERMEABLE
    )
    model = maker.model(Rows(list(rows.variables), []), [cover])
    if (model.aims[0].variables >= len(model.cuttings)).any():
        return ()
    gain = -maker.by_cutting(cover)
    aim = permeable_m2 if only_permeable else worth["cost"]
    allowed = (maker.cuttings.kind == 0) & (ways[:, 0] > 0)
    if only_permeable:
        allowed &= np.isclose(permeable_m2, worth["area"])
    steps: list[tuple[float, float, float, float]] = []
    for unit in range(len(program.land.units)):
        own = np.flatnonzero(allowed & (maker.cuttings.unit == unit) & (gain > 1e-9))
        path = [-1, *hull(gain[own], aim[own], own)]
        for low, high in pairwise(path):
            before = (0.0, 0.0, 0.0, 0.0)
            if low >= 0:
                before = (aim[low], gain[low], permeable_m2[low], worth["cost"][low])
            now = (aim[high], gain[high], permeable_m2[high], worth["cost"][high])
            rise, off_m2, more_m2, cents = (b - a for a, b in zip(before, now, strict=True))
            steps.append((rise / off_m2, off_m2, more_m2, cents))
    if not steps:
        return ()
    table = np.array(sorted(steps))
    taken = np.cumsum(table[:, 1:], axis=0)
    wanted = taken[-1, 0] * np.arange(1, STEPS + 1) / STEPS
    corners = np.unique(np.searchsorted(taken[:, 0], wanted * (1 - 1e-12)))
    return (
        ChartPoint(cover_m2=today_m2, permeable_m2=0.0, cents=0.0),
        *(
            ChartPoint(
                cover_m2=today_m2 - float(taken[at, 0]),
                permeable_m2=float(taken[at, 1]),
                cents=float(taken[at, 2]),
            )
            for at in corners
        ),
    )


def hull(gains: Array, costs: Array, numbers: Array) -> list[int]:
    """The numbers at the corners of the lower hull of cost over gain, the smallest gain first.

    The hull starts at no gain for no cost.
    """
    order = np.lexsort((costs, gains))
    found: list[tuple[float, float, int]] = [(0.0, 0.0, -1)]
    for at in order:
        gain, cost = float(gains[at]), float(costs[at])
        while len(found) > 1 and (
            gain - found[-1][0] < 1e-9
            or (cost - found[-2][1]) * (found[-1][0] - found[-2][0])
            <= (found[-1][1] - found[-2][1]) * (gain - found[-2][0])
        ):
            if gain - found[-1][0] < 1e-9 and cost >= found[-1][1]:
                break
            found.pop()
        else:
            found.append((gain, cost, int(numbers[at])))
    return [number for _, _, number in found[1:]]
