"""A check as texts ready to print: every page is made from this and from nothing else.

Rounding and wording happen here and in the modules that this one puts together; the pages that
are written from it only place the texts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.records import Record
from checker.core.showing import show, show_number
from checker.core.units import AREA, LENGTH, Amount
from checker.words.amounts import capital, clean, pair_text, place_text
from checker.words.answer import answer_of
from checker.words.brief import brief_of
from checker.words.cautions import CAUTIONS
from checker.words.findings import FindingView, finding_views
from checker.words.ledger import Ledger, ledgers_of
from checker.words.places import PlanItem, features_of, plan_items
from checker.words.results import ResultView, result_views
from checker.words.statuses import Pair, headline, verdict_word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.sources import Source
    from checker.findings.checked import Checked
    from checker.pages.blocks import Chip
    from checker.rulesets.rules import RuleSet
    from checker.words.answer import FirstPage
    from checker.words.brief import Brief

KINDS: Final = {
    "published": "published law, as far as it was put into the file",
    "invented": "an invented place, for samples and tests only",
    "model": "a model for places to adopt, not law",
}

READINGS: Final = {
    "read": "read",
    "read in part": "read in part",
    "from memory": "from memory: verify before relying on it",
    "second-hand": "second-hand: verify before relying on it",
    "worked by hand": "worked by hand",
    "invented": "invented",
}

VERIFY_ROUNDING: Final = (
    "Figures are rounded for print, half up; the most that is allowed and the room left are "
    "rounded down, the least that must be had up. Every verdict is made from the unrounded "
    "figures. Two that stand beside each other are printed with as many digits as it takes to "
    "tell them apart."
)


class Header(Record):
    """What was judged, and under which rules."""

    title: str
    is_invented: bool
    place: str
    place_kind: str
    is_law: bool
    force: str
    day: str
    verify: str
    checked: str
    note: str


class SourceRow(NamedTuple):
    """A document that the rules cite."""

    document: str
    edition: str
    reading: str
    compared: str
    note: str
    url: str


class LotLine(NamedTuple):
    """One line of the boundary."""

    number: str
    side: str
    label: str
    length: str


class View(Record):
    """Everything that a report says."""

    brief: Brief
    header: Header
    status: Chip
    headline: str
    answer: FirstPage
    findings: tuple[FindingView, ...]
    results: tuple[ResultView, ...]
    plan: tuple[PlanItem, ...]
    others: tuple[Pair, ...]
    ledgers: tuple[Ledger, ...]
    lot: tuple[Pair, ...]
    lot_lines: tuple[LotLine, ...]
    repairs: tuple[Pair, ...]
    assumed: tuple[Pair, ...]
    unread: tuple[Pair, ...]
    facts: tuple[Pair, ...]
    sources: tuple[SourceRow, ...]
    left_out: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def owed(self) -> tuple[ResultView, ...]:
        """What is owed besides, or cannot be told."""
        return tuple(item for item in self.results if item.is_open)


def view_of(checked: Checked, brief: Brief | None = None) -> View:
    """The texts of a check; `brief` where its letters and figures are there already."""
    brief = brief or brief_of(checked)
    keys = brief.keys
    verdict = checked.verdict
    findings = finding_views(checked, keys)
    own = (f"{finding.title}: {finding.caution}" for finding in findings if finding.caution)
    return View(
        brief=brief,
        header=_header(checked),
        status=verdict_word(verdict),
        headline=headline(verdict),
        answer=answer_of(brief, findings),
        findings=findings,
        results=result_views(checked),
        plan=plan_items(checked, keys),
        others=features_of(checked),
        ledgers=ledgers_of(checked, keys),
        lot=tuple(_lot(checked)),
        lot_lines=tuple(_lot_lines(checked)),
        repairs=tuple(
            Pair(place_text(repair.place), capital(clean(repair.says)))
            for repair in checked.site.repairs
        ),
        assumed=tuple(
            Pair(place_text(item.place), f"{clean(item.what)} as {clean(item.taken_as)}")
            for item in checked.site.assumed
        ),
        unread=tuple(
            Pair(place_text(item.place), capital(clean(item.says))) for item in checked.site.unread
        ),
        facts=tuple(_facts(checked)),
        sources=tuple(source_row(source) for source in checked.ruleset.sources.values()),
        left_out=tuple(map(clean, checked.ruleset.left_out)),
        cautions=(*CAUTIONS, *own),
    )


def _header(checked: Checked) -> Header:
    ruleset = checked.ruleset
    force = f"in force since {ruleset.since.isoformat()}"
    if ruleset.until is not None:
        force += f", until {ruleset.until.isoformat()}"
    day = "judged by the newest text in the file"
    if checked.day is not None:
        day = f"judged by the law of {checked.day.isoformat()}"
    return Header(
        title=clean(checked.site.title),
        is_invented=checked.site.is_invented,
        place=clean(ruleset.title),
        place_kind=KINDS[ruleset.kind],
        is_law=ruleset.kind == "published",
        force=force,
        day=day,
        verify=clean(ruleset.verify),
        checked=checked_text(ruleset),
        note=clean(ruleset.note),
    )


def checked_text(ruleset: RuleSet) -> str:
    """That a person has checked a rule set, in a sentence; empty where nobody has."""
    if ruleset.checked is None:
        return ""
    by = clean(ruleset.checked.by)
    return f"These rules were checked against the text by the {by} on {ruleset.checked.date}."


def source_row(source: Source) -> SourceRow:
    """A document with how far it was read."""
    return SourceRow(
        document=clean(source.document),
        edition=clean(source.edition) or "not given",
        reading=READINGS[source.reading],
        compared=clean(source.compared) or "never",
        note=clean(source.note),
        url=clean(source.url),
    )


def _lot(checked: Checked) -> Iterator[Pair]:
    lot, system = checked.site.lot, checked.system
    drawn = Amount(lot.boundary.area, AREA)
    if lot.recorded_area_m2 is None:
        yield Pair("Area as drawn", show(drawn, system))
    else:
        recorded = Amount(lot.recorded_area_m2, AREA)
        texts = pair_text(drawn, recorded, system)
        yield Pair("Area as drawn", texts[0])
        yield Pair("Area by deed or plat", texts[1])
        apart = abs(drawn.value_si - recorded.value_si) / (recorded.value_si or 1.0)
        yield Pair("Difference of the two", f"{show_number(apart * 100, 2)} %")
    yield Pair("Perimeter", show(Amount(lot.edge.length, LENGTH), system))
    closure = lot.closure
    if closure is None:
        return
    yield Pair("Sum of the courses", show(Amount(closure.perimeter_m, LENGTH), system))
    yield Pair("Closing error", show(Amount(closure.error_m, LENGTH), system))
    yield Pair("Precision of the closure", precision_text(closure.precision))
    balance = clean(closure.balance)
    yield Pair("Closing error spread", "not spread" if balance == "none" else f"by {balance}")


def precision_text(precision: float) -> str:
    """The precision of a closure: length of the courses over the closing error."""
    return "exact" if precision == float("inf") else f"1 in {show_number(precision, 0)}"


def _lot_lines(checked: Checked) -> Iterator[LotLine]:
    for line in checked.site.lot.lines:
        yield LotLine(
            number=str(line.number),
            side=clean(line.side),
            label=clean(line.label),
            length=show(Amount(line.line.length, LENGTH), checked.system),
        )


def _facts(checked: Checked) -> Iterator[Pair]:
    site, ruleset = checked.site, checked.ruleset
    for name, word in ruleset.facts.items():
        given = site.facts.get(name)
        text = "not given" if given is None else clean(_yes_or_no(given))
        yield Pair(capital(clean(word.title)), text)
    for question, answer in readings_of(checked):
        yield Pair(f"Reading of an unclear clause: {question}", answer)
    for item in site.on_file:
        said = [clean(item.title), f"for {clean(item.of)}" if item.of else ""]
        said += [f"by {clean(item.by)}" if item.by else "", clean(item.date), clean(item.reference)]
        text = ", ".join(part for part in said if part) or "yes"
        yield Pair(f"On file: {clean(item.document)}", text)
    if site.none_found:
        none = ", ".join(sorted(clean(kind).replace("-", " ") for kind in site.none_found))
        yield Pair("Looked for and not there", none)


def readings_of(checked: Checked) -> Iterator[Pair]:
    """How each unclear clause is read, and who says so."""
    for name, choice in checked.ruleset.readings.items():
        option = checked.sheet.option(name)
        given = name in checked.site.readings
        how = "as the site file says" if given else "assumed, not yet answered"
        title = clean(choice.options.get(option, option))
        yield Pair(clean(choice.question), f"{title} ({how})")


def _yes_or_no(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value
