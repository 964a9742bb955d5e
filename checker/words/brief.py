"""What every paper about one lot reads: the check, the letters of its surfaces, its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.words.figures import Figures
from checker.words.letters import Keys

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.measure.survey import Survey


class Brief(Record, kw_only=True):
    """What the papers of one check read.

    Attributes:
        checked: The site, judged.
        keys: Letters and names of the surfaces, as on the plan.
        figures: Every number with its one text.
    """

    checked: Checked
    keys: Keys
    figures: Figures

    @property
    def survey(self) -> Survey:
        """The site, measured."""
        return self.checked.survey

    @property
    def system(self) -> System:
        """The units of the pages."""
        return self.checked.system


def brief_of(checked: Checked) -> Brief:
    """The brief of a check, its figures still to be taken in."""
    return Brief(checked=checked, keys=Keys(checked.site), figures=Figures(checked.system))
