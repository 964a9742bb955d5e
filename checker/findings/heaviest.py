"""Which of several materials counts most in a place: what is taken where a name does not say."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from checker.algebra.scopes import AttributeValue, SurfaceScope
from checker.algebra.shares import weights
from checker.algebra.tables import Spot
from checker.core.words import NO_WORK, WAS, WORK
from checker.files.source import read_text
from checker.findings.lots import DrawnLot
from checker.findings.sheet import RuleSheet
from checker.rulesets.levels import GOOD, Wants
from checker.site import scaffold
from checker.site.materials import UNKNOWN, materials
from checker.site.read import site_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.algebra.tables import CountTable
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


class Heaviest:
    """Chooses materials by what they count at worst.

    Args:
        ruleset: The place.
        site: A lot on which nothing is drawn.
    """

    def __init__(self, ruleset: RuleSet, site: Site) -> None:
        self._sheet = RuleSheet(ruleset, DrawnLot(site, ruleset, {}))
        wants = Wants({r.id: r for r in ruleset.rules}, ruleset.amounts, ruleset.counts).found
        self._asked = [
            (ruleset.counts[name], sense) for name, senses in wants.items() for sense in senses
        ]

    def of(self, names: Sequence[str]) -> str:
        """The material that no table favours over another one; `unknown` where tables disagree.

        Of equals the first is taken. Where the place counts nothing it is the first, too.
        """
        worst = {name: [self._at_worst(name, *asked) for asked in self._asked] for name in names}
        for name in names:
            if all(
                own >= other
                for rival in names
                for own, other in zip(worst[name], worst[rival], strict=True)
            ):
                return name
        return UNKNOWN.id

    def _at_worst(self, name: str, table: CountTable, sense: int) -> float:
        """How much a surface of a material speaks against a design, by one table."""
        facts: dict[str, AttributeValue] = {
            "material": name, "nature": materials()[name].nature, "stage": "existing", WAS: name,
            WORK: NO_WORK, "covered": False, "inside": frozenset[str](), "over": frozenset[str](),
        }  # fmt: skip
        spot = Spot(1.0, (SurfaceScope("", facts, self._sheet, self._sheet.ruleset.words),))
        found = [weight for _, _, _, weight in weights(table, spot)]
        if sense == GOOD:
            return -min((weight.low_si for weight in found), default=0.0)
        return max((weight.high_si for weight in found), default=0.0)


def heaviest_in(ruleset: RuleSet) -> Callable[[Sequence[str]], str]:
    """What chooses the material that counts most in a place."""
    text = scaffold.empty_site("Nothing drawn", ruleset.id, "ft")
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    return Heaviest(ruleset, site).of
