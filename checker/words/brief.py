"""What every paper about one lot reads: the check, the letters of its surfaces, its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.findings.coverage_lines import counted_in, coverages
from checker.findings.limits import limits_of
from checker.findings.subjects import subject_of
from checker.words.coverage import add_coverage, area_decimals, worksheet_lines
from checker.words.figures import Figures
from checker.words.letters import Keys
from checker.words.limits import add_finding, add_limit

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.core.words import Subject
    from checker.findings.checked import Checked
    from checker.findings.coverage import Coverage
    from checker.measure.survey import Survey
    from checker.words.coverage import WorksheetLine


class Brief(Record, kw_only=True):
    """What the papers of one check read.

    Attributes:
        checked: The site, judged.
        keys: Letters and names of the surfaces, as on the plan.
        figures: Every number with its one text.
        coverages: Coverage worksheets, the one that rules compare first.
    """

    checked: Checked
    keys: Keys
    figures: Figures
    coverages: tuple[Coverage, ...]

    @property
    def survey(self) -> Survey:
        """The site, measured."""
        return self.checked.survey

    @property
    def system(self) -> System:
        """The units of the pages."""
        return self.checked.system

    def subject(self, rule: str) -> Subject:
        """What a rule is about."""
        return subject_of(self.checked.ruleset.rule(rule), self.checked.ruleset)

    def lines(self, coverage: Coverage) -> tuple[WorksheetLine, ...]:
        """The lines of a worksheet in its own order, with their words."""
        return tuple(worksheet_lines(coverage, self.checked, self.keys))


def brief_of(checked: Checked, earlier: Keys | None = None) -> Brief:
    """The brief of a check, with the figures of its worksheets and rules.

    Args:
        checked: The site, judged.
        earlier: The letters of an earlier revision, which stay with their surfaces.
    """
    keys, figures = Keys(checked.site, earlier), Figures(checked.system, area_decimals(checked))
    used = [name for finding in checked.verdict.findings for name in counted_in(finding, checked)]
    names = list(dict.fromkeys([*used, *checked.ruleset.counts]))
    found = tuple(sorted(coverages(checked), key=lambda coverage: names.index(coverage.name)))
    for coverage in found:
        add_coverage(figures, coverage, keys)
        for limit in limits_of(coverage, checked):
            add_limit(figures, coverage.name, limit)
    for finding in checked.verdict.findings:
        add_finding(figures, finding)
    return Brief(checked=checked, keys=keys, figures=figures, coverages=found)
