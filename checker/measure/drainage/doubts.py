"""What a drawing leaves in doubt: it is reckoned on one reading, and no rule is judged by that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.as_drawn import at_odds
from checker.measure.drainage.ends import closed_ends
from checker.measure.drainage.network import lids_in_doubt
from checker.measure.drainage.pit_places import misplaced
from checker.measure.drainage.sheds import sheds

if TYPE_CHECKING:
    from checker.measure.survey import Survey


def doubts(survey: Survey) -> tuple[str, ...]:
    """What the flows hang on and the file does not settle, each with what to mend."""

    def find(_data: object, _document: object) -> tuple[str, ...]:
        lids = (f"{lid.says}; {lid.do}" for lid in lids_in_doubt(survey))
        ways = (shed.doubt for shed in sheds(survey) if shed.doubt)
        drawn = (*misplaced(survey), *at_odds(survey), *closed_ends(survey))
        return (*lids, *drawn, *dict.fromkeys(ways))

    return survey.part("doubts", find)


def hold_to_what_is_sure(survey: Survey) -> None:
    """Refuse a verdict on flows while they hang on what is in doubt.

    Raises:
        NotMeasured: Something is.
    """
    if found := doubts(survey):
        raise NotMeasured("; ".join(found))
