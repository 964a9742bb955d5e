"""Why nothing that may change is enough: the smallest set of rules in conflict, in words."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.constrain import Reader
from checker.algebra.constrain_terms import NotLinear
from checker.algebra.dimensions import dimension_of
from checker.algebra.explain import Speaker
from checker.algebra.linear import Linear, Rows
from checker.algebra.walk import nodes
from checker.core.records import Record, replace
from checker.core.showing import LIMIT_WAYS, show
from checker.core.units import AREA, Amount
from checker.site.model import REST
from checker.solve.optimum import solve, solve_rows
from checker.solve.options import Conflict
from checker.solve.solver import as_mapping

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.rulesets.rules import Rule
    from checker.solve.measures import Measures
    from checker.solve.options import Key
    from checker.solve.program import Program

FEW: Final = 12
"""Up to so many rules every pair is tried before rules are struck out one by one."""


def conflict_of(program: Program, key: Key, title: str) -> Conflict:
    """The smallest set of rules that no change meets together.

    Single rules are tried first, then pairs, then rules are struck out one by one as long as the
    rest is still in conflict; so no rule of the set can be left out.
    """
    said = tuple(program.said)
    found = _smallest(program, said)
    says, short = _said(program, found)
    sized = [program.inexact[rule] for rule in found if rule in program.inexact]
    if sized:
        # A piece may lie where all of its surface does not.
        sized.append(
            "its pieces were taken to lie where all of their surface does; draw the part that may "
            "change as a surface of its own to have it looked at"
        )
    says = "; ".join((says, *sized, *program.coarseness))
    return Conflict(key=key, title=title, rules=found, says=says, short=short)


def _said(program: Program, found: Sequence[str]) -> tuple[str, Amount | None]:
    """A conflict in words, and by how much a single rule is missed."""
    if len(found) == 1:
        return _alone(program, found[0])
    speaker = program.checked.ruleset.speaker(program.checked.system)
    rules = [program.checked.ruleset.rule(rule) for rule in found]
    each = "; ".join(f"{rule.title}: {speaker.condition(rule.require)}" for rule in rules)
    return f"these rules cannot be met together: {each}", None


def beyond_mending(program: Program, found: Conflict) -> tuple[Conflict, ...]:
    """The rules that fail today and that no change meets unless it breaks one that is met today.

    Args:
        program: What was searched in vain.
        found: The conflict in which the search ended.
    """
    untold = {f.rule for f in program.checked.verdict.findings if f.missing}
    failing = [rule for rule in program.said if rule in program.unmet and rule not in untold]
    met = [rule for rule in program.said if rule not in program.unmet]
    if _is_in_conflict(program, met):
        # Such as stand too near their limits for the reserve: then by itself alone.
        met = []
    near = program.up_close
    beyond: list[Conflict] = []
    for rule in failing:
        if not _is_in_conflict(program, (rule, *met)):
            continue
        if near is not None and not _is_in_conflict(near, (rule, *met)):
            continue
        rules = _smallest(program, (rule, *met), [rule])
        says, short = _said(program, rules)
        beyond.append(replace(found, rules=rules, says=says, short=short))
    return tuple(beyond)


def stuck_conflict(program: Program, key: Key, title: str) -> Conflict | None:
    """A rule that nothing moves and that is not met under some of the scenarios only."""
    first = program.scenarios[0].title
    apart = {item.rule for item in program.stuck if item.scenario in {"", first}}
    for item in program.stuck:
        if item.rule not in apart:
            rule = program.checked.ruleset.rule(item.rule)
            says = f"no surface that may change can move '{rule.title}', which is not met if "
            return Conflict(key=key, title=title, rules=(rule.id,), says=says + item.scenario)
    return None


def _smallest(program: Program, said: Sequence[str], sure: Sequence[str] = ()) -> tuple[str, ...]:
    """The smallest set of some rules that are in conflict, of which some are sure to be in it."""
    rest = [rule for rule in said if rule not in sure]
    for count in (1, 2) if len(said) <= FEW else (1,):
        for others in combinations(rest, count - len(sure)):
            if _is_in_conflict(program, (*sure, *others)):
                return (*sure, *others)
    kept = list(said)
    for rule in rest:
        fewer = [other for other in kept if other != rule]
        if _is_in_conflict(program, fewer):
            kept = fewer
    return tuple(kept)


def _is_in_conflict(program: Program, rules: Iterable[str]) -> bool:
    without = frozenset(program.said) - frozenset(rules)
    return solve(program, (), without).status == "infeasible"


class _Missed(Record):
    """A comparison that no change meets: by how much at best, and what its limit is then."""

    short_si: float
    limit_si: float
    measures: Measures
    node: n.Compare
    measured: n.Number


def _alone(program: Program, rule_id: str) -> tuple[str, Amount | None]:
    """One rule that is missed whatever changes: by how much at best, and what stands alone."""
    rule = program.checked.ruleset.rule(rule_id)
    system = program.checked.system
    missed = _nearest(program, rule)
    title = f"'{rule.title}'"
    if missed is None:
        return f"{title} cannot be met by any change that is allowed", None
    kept = program.goal.reserve
    room = f" less the reserve of {show(kept, system)}" if kept is not None else ""
    dimension = dimension_of(missed.measured, program.checked.ruleset.words) or AREA
    short, limit = Amount(missed.short_si, dimension), Amount(missed.limit_si, dimension)
    way = LIMIT_WAYS[missed.node.order]
    alone = _standing_alone(program, missed)
    if alone is not None:
        names, over = alone
        is_are = "exceeds" if len(names) == 1 else "exceed"
        return (
            f"the {Speaker.joined(names)} alone {is_are} the limit of {title}, "
            f"{show(limit, system, way=way)}{room}, by {show(Amount(over, AREA), system, way='up')}"
        ), short
    side = "over" if missed.node.order in {"at most", "less than"} else "short of"
    return (
        f"after every change that is allowed the design is still {show(short, system, way='up')} "
        f"{side} the limit of {title}, {show(limit, system, way=way)}{room}"
    ), short


def _nearest(program: Program, rule: Rule) -> _Missed | None:
    """Of the ways to meet a rule, plainly or with conditions, the one that is missed least."""
    ways = [rule.require]
    if program.goal.accepts_conditions:
        bands = [band for band in rule.or_else if band.outcome == "passes with conditions"]
        ways += [band.require for band in bands]
    found: list[_Missed] = []
    for way in ways:
        parts = [part for part in nodes(way) if isinstance(part, n.Condition)]
        if not all(isinstance(part, n.Compare | n.AllOf) for part in parts):
            return None
        missed = [
            item
            for measures in program.measures
            for part in parts
            if isinstance(part, n.Compare)
            for item in [_missed(program, measures, part)]
            if item is not None and item.short_si > 0
        ]
        found += [max(missed, key=lambda item: item.short_si)] if missed else []
    return min(found, key=lambda item: item.short_si, default=None)


def _missed(program: Program, measures: Measures, node: n.Compare) -> _Missed | None:
    """The least by which a comparison can be missed, and its limit then."""
    rows = Rows(list(program.rows.variables), [r for r in program.rows.rows if not r.rule])
    reader = Reader(rows, measures, measures.sheet)
    is_upper = node.order in {"at most", "less than"}
    try:
        sides = reader.sides(node, "over" if is_upper else "under", None)
    except NotLinear:
        return None
    if sides is None:
        return None
    measured, _ = reader.cleared(node.measured)
    left = sides[0] if is_upper else sides[0].scaled(-1.0)
    aim = left.plus(program.reserve(measured, node.order, sides[1]))
    found = solve_rows(program, rows, aim)
    if found.status != "optimal":
        return None
    limit_si = sides[1].value(as_mapping(found.values))
    return _Missed(found.objective, limit_si, measures, node, measured)


def _standing_alone(program: Program, missed: _Missed) -> tuple[list[str], float] | None:
    """The fewest surfaces that may not change and are too much by themselves."""
    measured, order = missed.measured, missed.node.order
    if not isinstance(measured, n.Named) or order not in {"at most", "less than"}:
        return None
    kept = program.reserve(measured, order, Linear(missed.limit_si))
    allowed = missed.limit_si - (kept if isinstance(kept, float) else kept.constant)
    counted = missed.measures.counted_alone(measured)
    titles = {s.id: s.title[0].lower() + s.title[1:] for s in program.checked.site.surfaces}
    titles[REST] = "rest of the lot"
    names: list[str] = []
    sum_m2 = 0.0
    for surface_id, area_m2 in sorted(counted.items(), key=lambda item: (-item[1], item[0])):
        names.append(titles.get(surface_id, surface_id))
        sum_m2 += area_m2
        if sum_m2 > allowed * (1 + 1e-9):
            return names, sum_m2 - allowed
    return None
