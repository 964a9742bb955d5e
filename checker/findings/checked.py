"""What a check gives back: the site, the rules, the findings, and all they were read from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import record

if TYPE_CHECKING:
    from datetime import date

    from checker.core.units import System
    from checker.findings.model import Verdict
    from checker.findings.sheet import Sheet
    from checker.measure.survey import Survey
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


@record(kw_only=True)
class Checked:
    """A site judged under a rule set.

    Attributes:
        site: The lot as drawn.
        ruleset: The rules.
        verdict: A finding per rule.
        sheet: Every number that was looked up.
        survey: The measured drawing: partition, ledger, regions.
        system: The units for pages.
        day: The day whose law counts; None for the newest.
    """

    site: Site
    ruleset: RuleSet
    verdict: Verdict
    sheet: Sheet
    survey: Survey
    system: System
    day: date | None
