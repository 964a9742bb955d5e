"""What a check gives back: the site, the rules, the findings, and all they were read from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Problem, Problems, did_you_mean
from checker.core.records import Record, replace
from checker.findings.declared import with_declared
from checker.findings.lots import DrawnLot
from checker.findings.results import results_of
from checker.findings.run import doubted, judge, untold
from checker.rulesets.facts import read_facts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from checker.core.units import System
    from checker.findings.model import Verdict
    from checker.findings.sheet import RuleSheet
    from checker.measure.survey import Survey
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


CHOOSE_LOT: Final = "choose the boundary of the lot under 'lot:'"
"""What is asked for where the drawing does not say which land is judged."""


class Checked(Record, kw_only=True):
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
    sheet: RuleSheet
    survey: Survey
    system: System
    day: date | None

    def stop_without_lot(self) -> None:
        """Stop what would reckon with the rectangle that stands in for a lot.

        Raises:
            BadInput: No boundary is chosen, so that nothing can be told.
        """
        if not self.site.lot.is_chosen:
            document = self.site.document
            problem = Problem(
                document.place("lot"), "cannot tell: no boundary of the lot is chosen", CHOOSE_LOT
            )
            raise BadInput(f"{document.file} cannot be searched for a change", [problem])


def judged(
    site: Site,
    ruleset: RuleSet,
    readings: Mapping[str, str] | None = None,
    only: Sequence[str] = (),
    measured: DrawnLot | None = None,
) -> Checked:
    """Judge a site under a rule set.

    Args:
        site: The lot as drawn.
        ruleset: The rules.
        readings: How unclear clauses are read, over what the site file says.
        only: Judge these rules alone; all when empty.
        measured: The same site under a rule set, whose measures are taken again.

    Raises:
        BadInput: A fact or reading of the site does not fit the rule set.
    """
    problems = Problems()
    facts = read_facts(
        ruleset.facts, site.facts, lambda name: site.document.place("facts", name), problems
    )
    for reading, option in site.readings.items():
        known = ruleset.words.readings.get(reading)
        stands = site.document.place("readings", reading)
        if known is None:
            hint = did_you_mean(reading, ruleset.words.readings)
            if hint.startswith("did you mean"):
                problems.add(stands, f"'{reading}' is no reading of this place", hint)
        elif option not in known:
            hint = did_you_mean(option, known)
            problems.add(stands, f"'{option}' is no option of '{reading}'", hint)
    if site.as_of is not None and not ruleset.is_in_force(site.as_of):
        problems.add(
            site.document.place("date"),
            ruleset.why_not_law(site.as_of),
            "name the rule set that was law on that day, or leave 'date' out",
        )
    site = with_declared(site, ruleset, problems)
    problems.stop_if_any(f"{site.document.file} does not fit {ruleset.title}")
    options = {key: value for key, value in site.readings.items() if key in ruleset.readings}
    first = DrawnLot(site, ruleset, facts) if measured is None else measured.again()
    system = site.system or ruleset.system
    verdict, sheet = judge(ruleset, first, options | dict(readings or {}), site.as_of, system, only)
    if not site.lot.is_chosen:
        verdict = untold(verdict, CHOOSE_LOT)
    elif not only:
        speaker = ruleset.speaker(system)
        verdict = replace(verdict, results=results_of(sheet, options, speaker))
    if site.unread:
        verdict = doubted(verdict, "; ".join(item.says for item in site.unread))
    verdict = replace(verdict, assumed_count=len(site.assumed))
    return Checked(
        site=site,
        ruleset=ruleset,
        verdict=verdict,
        sheet=sheet,
        survey=first.survey,
        system=system,
        day=site.as_of,
    )
