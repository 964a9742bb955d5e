"""The finding: one rule judged on one site, with every number and where it comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record, field

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.algebra.counting import Contribution
    from checker.algebra.explain import Step
    from checker.algebra.values import Judged, Missing, Quantity
    from checker.core.problems import Place
    from checker.core.sources import Citation
    from checker.core.units import Amount

Status = Literal[
    "passes",
    "passes with conditions",
    "relief possible",
    "fails",
    "cannot tell",
    "unanswered",
    "does not apply",
    "not in force",
]

STATUSES: Final[tuple[Status, ...]] = (
    "fails",
    "cannot tell",
    "unanswered",
    "relief possible",
    "passes with conditions",
    "passes",
    "does not apply",
    "not in force",
)
"""From what needs attention first to what needs none.

"unanswered": it passes where it is asked at all, and whether it is asked hangs on a question about
the lot. "not in force": no law on the day that counts; a verdict of nothing else is none.
"""

MET: Final = frozenset({"passes", "passes with conditions", "does not apply", "not in force"})
OPEN: Final = frozenset({"cannot tell", "unanswered"})
"""Statuses that wait for an answer."""


def worst_of(statuses: Iterable[Status]) -> Status:
    """The one of several that needs attention first."""
    return min(statuses, key=STATUSES.index)


class ReadingVerdict(Record, kw_only=True):
    """What the verdict is when an unclear clause is read in a given way."""

    reading: str
    option: str
    title: str
    question: str
    status: Status
    is_chosen: bool
    margin: Amount | None = None


class Finding(Record, kw_only=True):
    """One rule judged on one site.

    Attributes:
        rule: Id of the rule.
        title: Its name on pages.
        status: The outcome.
        measured: What is there; the unfavourable end where something is missing.
        limit: What is asked.
        margin: Room left, negative when not met; in the unit of the limit.
        order: The rule's own wording of the comparison.
        parts: Every comparison that took part in the requirement that decided.
        decides: The comparison that decided; None where facts did.
        first: The comparison asked first, where one that the rule allows instead decided.
        says: The rule in English.
        trace: How the measured number and the limit came about.
        contributions: What each surface adds to the measured number.
        citation: Document, section, edition.
        place: File and line of the rule.
        because: For cannot tell and does not apply: why.
        if_unfavourable: For cannot tell: the verdict under the unfavourable assumption.
        missing: What must be given.
        documents: What must be handed in with it.
        band: Words of the rung of the ladder that decided.
        readings: Verdicts under the ways an unclear clause can be read.
        caution: A danger to point out.
        note: Anything the reader should know.
        origin: The model the rule was adopted from.
    """

    rule: str
    title: str
    status: Status
    says: str
    citation: Citation
    place: Place
    measured: Amount | None = None
    limit: Amount | None = None
    margin: Amount | None = None
    order: str = ""
    parts: tuple[Judged, ...] = ()
    decides: Judged | None = None
    first: Judged | None = None
    trace: tuple[Step, ...] = ()
    contributions: tuple[Contribution, ...] = ()
    because: str = ""
    if_unfavourable: Status | None = None
    missing: tuple[Missing, ...] = ()
    documents: tuple[str, ...] = ()
    band: str = ""
    readings: tuple[ReadingVerdict, ...] = ()
    caution: str = ""
    note: str = ""
    origin: str = ""
    remedy_kinds: tuple[str, ...] = ()

    @property
    def is_met(self) -> bool:
        """Whether nothing stands in the way of a permit."""
        return self.status in MET


ResultStatus = Literal["owed", "not owed", "shown", "cannot tell"]


class Consequence(Record, kw_only=True):
    """What follows from a design and is no limit, worked out on one site.

    Attributes:
        result: Its id.
        title: Its name on pages.
        kind: figure, duty, fee, permit or form.
        status: Whether it is owed; a figure is shown.
        amount: How much, a range where something is missing; None for a permit or form.
        says: What follows, in words.
        citation: Document, section, edition.
        place: File and line of the result.
        because: For "cannot tell": what to give; for "not owed": when it would be.
        missing: What must be given.
        documents: What must be handed in.
        trace: How the amount came about.
        parts: Every comparison that took part.
        note: Anything the reader should know.
        origin: The model it was adopted from.
    """

    result: str
    title: str
    kind: str
    status: ResultStatus
    says: str
    citation: Citation
    place: Place
    amount: Quantity | None = None
    because: str = ""
    missing: tuple[Missing, ...] = ()
    documents: tuple[str, ...] = ()
    trace: tuple[Step, ...] = ()
    parts: tuple[Judged, ...] = ()
    note: str = ""
    origin: str = ""


class Verdict(Record, kw_only=True):
    """All findings of a site under a rule set.

    Attributes:
        findings: In the order of the rules.
        results: What follows besides and is no limit, in the order of the rule set.
        counts: Number of findings by status.
        assumed_count: How many things were taken as likely that nobody has confirmed.
    """

    findings: tuple[Finding, ...]
    counts: Mapping[Status, int] = field(default_factory=dict)
    results: tuple[Consequence, ...] = ()
    assumed_count: int = 0

    @property
    def status(self) -> Status:
        """The worst of all findings; "does not apply" when there are no rules.

        What stands on something that nobody has confirmed passes with conditions at best.
        """
        found = worst_of({finding.status for finding in self.findings} or {"does not apply"})
        return "passes with conditions" if found == "passes" and self.assumed_count else found

    @property
    def is_met(self) -> bool:
        """Whether nothing stands in the way of a permit, and some rule has been law at all."""
        is_certain = self.status != "not in force" and not self.assumed_count
        return is_certain and all(item.is_met for item in self.findings)

    @property
    def is_met_as_far_as_told(self) -> bool:
        """The same, where rules that wait for an answer are left aside."""
        told = [item for item in self.findings if item.status not in OPEN]
        return self.status != "not in force" and all(item.is_met for item in told)
