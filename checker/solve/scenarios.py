"""Ways in which the rules may be read: each is held against the same drawing at once."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.scopes import SurfaceScope
from checker.algebra.shares import weights
from checker.algebra.tables import CountRow, CountTable, Spot
from checker.algebra.walk import nodes
from checker.core.records import Record, field, replace
from checker.core.units import RATIO, Amount
from checker.core.words import WAS, WAS_NOTHING
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.algebra.scopes import AttributeValue
    from checker.algebra.values import Context
    from checker.algebra.vocabulary import Vocabulary
    from checker.findings.checked import Checked
    from checker.rulesets.rules import RuleSet

MOST: Final = 64
"""More ways to read the unclear clauses than this are not multiplied out."""


class Scenario(Record, kw_only=True):
    """One way in which the rules may be read.

    Attributes:
        title: What is assumed, as a clause; empty for the rules as they are.
        ruleset: The rules; its counting tables may differ from those of the place.
        readings: How unclear clauses are read, by reading id.
    """

    title: str
    ruleset: RuleSet
    readings: Mapping[str, str] = field(default_factory=dict)


def as_read(checked: Checked) -> Scenario:
    """The rules as the site file says they are read, and by their defaults where it is silent."""
    ruleset = checked.ruleset
    defaults = {key: choice.default for key, choice in ruleset.readings.items()}
    given = {key: value for key, value in checked.site.readings.items() if key in defaults}
    open_ones = [
        f"{key}: {defaults[key]}" for key in sorted(readings_used(ruleset)) if key not in given
    ]
    title = f"the office reads {', '.join(open_ones)}" if open_ones else ""
    return Scenario(title=title, ruleset=ruleset, readings=defaults | given)


def every_reading(checked: Checked) -> tuple[Scenario, ...]:
    """Every way to read the unclear clauses, the answered ones included.

    Beyond `MOST` combinations each clause is varied alone.
    """
    base = as_read(checked)
    used = sorted(readings_used(checked.ruleset))
    choices = [list(checked.ruleset.readings[key].options) for key in used]
    count = 1
    for options in choices:
        count *= len(options)
    if count <= MOST:
        ways: Iterable[dict[str, str]] = (
            dict(zip(used, picked, strict=True)) for picked in product(*choices)
        )
    else:
        ways = (
            {key: option} for key, options in zip(used, choices, strict=True) for option in options
        )
    return tuple(
        Scenario(
            title=", ".join(f"{key}: {option}" for key, option in way.items()),
            ruleset=checked.ruleset,
            readings={**base.readings, **way},
        )
        for way in ways
    )


def readings_used(ruleset: RuleSet) -> set[str]:
    """The unclear clauses that a rule, an amount or a counting table of the set depends on."""
    trees: list[object] = [tuple(ruleset.amounts.values())]
    trees += [
        (rule.require, rule.applies, *(b.require for b in rule.or_else)) for rule in ruleset.rules
    ]
    trees += [(table.rows, table.otherwise) for table in ruleset.counts.values()]
    return {
        node.reading
        for tree in trees
        for node in nodes(tree)
        if isinstance(node, n.ByReading | n.ReadingCondition)
    }


def without_credit(scenario: Scenario, lot: Context) -> Scenario:
    """The same rules with permeable paving counted as if nothing were proven."""
    return counted_as(scenario, lot, PERMEABLE, None, "permeable paving gets no credit")


PERMEABLE: Final = tuple(
    material.id
    for material in materials().values()
    if material.nature == "porous" and material.level == "ground" and material.hatch == "permeable"
)
"""Paving that is built to let water through."""

DECKS: Final = ("wood-deck", "composite-deck")


def counted_as(
    scenario: Scenario, lot: Context, surfaces: tuple[str, ...], weight: float | None, title: str
) -> Scenario:
    """The same rules with some materials counted at another weight toward cover.

    Args:
        scenario: The rules.
        lot: The scope of the lot.
        surfaces: Ids of the materials.
        weight: Share of their area that counts, 0 to 1; None for the weight that each row gives
            when its conditions are not proven.
        title: What is assumed.

    Returns:
        The scenario with every counting table of cover changed; other tables stay.
    """
    words = scenario.ruleset.words
    tables = {
        name: _with_weight(table, surfaces, weight) if _is_cover(table, lot, words) else table
        for name, table in scenario.ruleset.counts.items()
    }
    titles = [text for text in (scenario.title, title) if text]
    return Scenario(
        title="; ".join(titles),
        ruleset=replace(scenario.ruleset, counts=tables),
        readings=scenario.readings,
    )


def _with_weight(table: CountTable, surfaces: tuple[str, ...], weight: float | None) -> CountTable:
    where = n.Is("material", surfaces)
    if weight is not None:
        share = n.Fixed(Amount(weight, RATIO, "%"))
        row = CountRow(where=where, weight=share, otherwise=share, title="as assumed")
        return replace(table, rows=(row, *table.rows))
    # Each row keeps its place; before it stands one for these materials at its lesser credit.
    rows: list[CountRow] = []
    for row in table.rows:
        both = n.AllOf((where, row.where))
        rows += [replace(row, where=both, weight=row.otherwise, needs=()), row]
    return replace(table, rows=tuple(rows))


def _is_cover(table: CountTable, lot: Context, words: Vocabulary) -> bool:
    """Whether a table counts paving: a slab in full and lawn not at all."""
    return _most(table, "concrete-slab", lot, words) == 1 and _most(table, "lawn", lot, words) == 0


def _most(table: CountTable, material: str, lot: Context, words: Vocabulary) -> float:
    """The most that a plain patio of a material counts."""
    facts: dict[str, AttributeValue] = {
        "material": material, "nature": materials()[material].nature, "stage": "proposed",
        WAS: WAS_NOTHING,
        "purpose": "patio", "use": "pedestrian", "covered": False, "inside": frozenset[str](),
        "over": frozenset[str](),
    }  # fmt: skip
    spot = Spot(1.0, (SurfaceScope("", facts, lot, words),))
    return max(weight.high_si for _, _, _, weight in weights(table, spot))
