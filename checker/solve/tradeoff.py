"""What each step down in counted cover takes: in permeable paving, and in money."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.constrain import Reader
from checker.algebra.constrain_terms import NotLinear
from checker.algebra.evaluate import as_amount, number
from checker.algebra.explain import Speaker
from checker.algebra.linear import Linear, Rows
from checker.algebra.walk import nodes
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.solve.optimum import changed, objective
from checker.solve.program import Program
from checker.solve.scenarios import PERMEABLE, as_read
from checker.solve.solver import as_mapping, least

if TYPE_CHECKING:
    from checker.rulesets.rules import Rule
    from checker.solve.measures import Measures
    from checker.solve.options import Options

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
    program = Program(checked, options.goal, options.costs, [as_read(checked)])
    measures = program.measures[0]
    node = _limited(program, measures)
    rows = Rows(list(program.rows.variables), [r for r in program.rows.rows if not r.rule])
    cover = Reader(rows, measures, measures.sheet).number(node.measured, "over")
    limit = as_amount(number(node.limit, checked.sheet))
    assert limit is not None
    today_m2 = cover.value(dict.fromkeys(range(len(rows.variables)), 0.0))
    speaker = Speaker(checked.ruleset.words, checked.system)
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
                try:
                    measures.measure(
                        node.measured, "over", Reader(Rows(), measures, measures.sheet)
                    )
                except NotLinear:
                    continue
                return node
    raise NoTradeOff("no rule limits an area that the surfaces which may change can move")


def _curve(
    program: Program, rows: Rows, cover: Linear, today_m2: float, *, only_permeable: bool
) -> tuple[ChartPoint, ...]:
    permeable = _changed(program, permeable=True)
    held = Rows(list(rows.variables), list(rows.rows))
    if only_permeable:
        held.between(0.0, _changed(program, permeable=False), 0.0)
    lowest = least(held, cover)
    if lowest.status != "optimal" or lowest.objective >= today_m2 - 1e-6:
        return ()
    aim = permeable if only_permeable else objective(program, "cost")
    points: list[ChartPoint] = []
    for step in range(STEPS + 1):
        target_m2 = today_m2 + (lowest.objective - today_m2) * step / STEPS
        asked = Rows(list(held.variables), list(held.rows))
        asked.not_above(cover.plus(-target_m2 - 1e-9))
        found = least(asked, aim)
        if found.status != "optimal":
            continue
        values = as_mapping(found.values)
        points.append(
            ChartPoint(
                cover_m2=cover.value(values),
                permeable_m2=permeable.value(values),
                cents=objective(program, "cost").value(values),
            )
        )
    return tuple(points)


def _changed(program: Program, *, permeable: bool) -> Linear:
    """The area that becomes permeable paving, or the area that becomes anything else."""
    found = Linear()
    for index, unit in enumerate(program.land.units):
        for way_number, way in enumerate(unit.ways):
            is_permeable = way.material is not None and way.material.id in PERMEABLE
            if not way.is_kept and is_permeable is permeable:
                found = found.plus(changed(program, index, way_number))
    return found
