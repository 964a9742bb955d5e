"""Why nothing that may change is enough: the smallest set of rules in conflict, in words."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.constrain import Reader
from checker.algebra.constrain_terms import NotLinear
from checker.algebra.explain import Speaker
from checker.algebra.linear import Linear, Rows
from checker.algebra.walk import nodes
from checker.core.showing import show
from checker.core.units import AREA, Amount
from checker.solve.optimum import solve
from checker.solve.options import Conflict
from checker.solve.solver import as_mapping, least

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

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
    if len(found) == 1:
        says, short = _alone(program, found[0])
    else:
        speaker = Speaker(program.checked.ruleset.words, program.checked.system)
        rules = [program.checked.ruleset.rule(rule) for rule in found]
        each = "; ".join(f"{rule.title}: {speaker.condition(rule.require)}" for rule in rules)
        says, short = f"these rules cannot be met together: {each}", None
    return Conflict(key=key, title=title, rules=found, says=says, short=short)


def _smallest(program: Program, said: Sequence[str]) -> tuple[str, ...]:
    for count in (1, 2) if len(said) <= FEW else (1,):
        for rules in combinations(said, count):
            if _is_in_conflict(program, rules):
                return rules
    kept = list(said)
    for rule in said:
        rest = [other for other in kept if other != rule]
        if _is_in_conflict(program, rest):
            kept = rest
    return tuple(kept)


def _is_in_conflict(program: Program, rules: Iterable[str]) -> bool:
    without = frozenset(program.said) - frozenset(rules)
    return solve(program, (), without).status == "infeasible"


def _alone(program: Program, rule_id: str) -> tuple[str, Amount | None]:
    """One rule that is missed whatever changes: by how much at best, and what stands alone."""
    rule = program.checked.ruleset.rule(rule_id)
    system = program.checked.system
    worst: tuple[float, Measures, n.Compare, float] | None = None
    for measures in program.measures:
        for node in nodes(rule.require):
            if not isinstance(node, n.Compare):
                continue
            missed = _missed(program, measures, node)
            if missed is not None and (worst is None or missed[0] > worst[0]):
                worst = (missed[0], measures, node, missed[1])
    title = f"'{rule.title}'"
    if worst is None or worst[0] <= 0:
        return f"{title} cannot be met by any change that is allowed", None
    short_si, measures, node, limit_si = worst
    kept = program.goal.reserve
    room = f" less the reserve of {show(kept, system)}" if kept is not None else ""
    short, limit = Amount(short_si, AREA), Amount(limit_si, AREA)
    alone = _standing_alone(program, measures, node, limit_si)
    if alone is not None:
        names, over = alone
        is_are = "exceeds" if len(names) == 1 else "exceed"
        return (
            f"the {Speaker.joined(names)} alone {is_are} the limit of {title}, "
            f"{show(limit, system)}{room}, by {show(Amount(over, AREA), system)}"
        ), short
    side = "over" if node.order in {"at most", "less than"} else "short of"
    return (
        f"after every change that is allowed the design is still {show(short, system)} {side} "
        f"the limit of {title}, {show(limit, system)}{room}"
    ), short


def _missed(program: Program, measures: Measures, node: n.Compare) -> tuple[float, float] | None:
    """The least by which a comparison of areas can be missed, and its limit then."""
    rows = Rows(list(program.rows.variables), [r for r in program.rows.rows if not r.rule])
    reader = Reader(rows, measures, measures.sheet)
    upper = node.order in {"at most", "less than"}
    try:
        measured = reader.number(node.measured, "over" if upper else "under")
        limit = reader.number(node.limit, "under" if upper else "over")
    except NotLinear:
        return None
    if measured.is_constant and limit.is_constant:
        return None
    left = measured.plus(limit, -1.0) if upper else limit.plus(measured, -1.0)
    left = left.plus(program.reserve(node, limit))
    found = least(rows, left)
    if found.status != "optimal":
        return None
    return found.objective, limit.value(as_mapping(found.values))


def _standing_alone(
    program: Program, measures: Measures, node: n.Compare, limit_si: float
) -> tuple[list[str], float] | None:
    """The fewest surfaces that may not change and are too much by themselves."""
    if not isinstance(node.measured, n.Named) or node.order not in {"at most", "less than"}:
        return None
    kept = program.reserve(node, Linear(limit_si))
    allowed = limit_si - (kept if isinstance(kept, float) else kept.constant)
    counted = measures.counted_alone(node.measured)
    titles = {s.id: s.title[0].lower() + s.title[1:] for s in program.checked.site.surfaces}
    names: list[str] = []
    sum_m2 = 0.0
    for surface_id, area_m2 in sorted(counted.items(), key=lambda item: (-item[1], item[0])):
        names.append(titles.get(surface_id, surface_id))
        sum_m2 += area_m2
        if sum_m2 > allowed * (1 + 1e-9):
            return names, sum_m2 - allowed
    return None
