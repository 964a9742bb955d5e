"""Findings as texts: what was found, why, and what to do, each ready to print."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.algebra.nodes import Named
from checker.core.records import Record
from checker.core.showing import LIMIT_WAYS, unit_for
from checker.core.units import AREA, Amount, meets
from checker.findings.model import MET, STATUSES
from checker.findings.subjects import subject_of
from checker.measure.catalogue import LOT_MEASURES, NotMeasured
from checker.words.amounts import (
    NOT_KNOWN,
    NOTHING,
    STRICT,
    capital,
    clean,
    margin_text,
    place_text,
    range_text,
    room_text,
    shown,
    trio_text,
)
from checker.words.coverage import area_decimals
from checker.words.finding_rows import PartRow, ReadingRow, ShareRow
from checker.words.statuses import REMEDY_WORDS, Pair, status_word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.values import Judged, Quantity
    from checker.core.units import System
    from checker.core.words import Subject
    from checker.findings.checked import Checked
    from checker.findings.model import Finding, ReadingVerdict
    from checker.pages.blocks import Chip
    from checker.words.letters import Keys

_MOST_NAMED: Final = 6
"""So many of the things that miss a limit are named in a line."""


class FindingView(Record):
    """One finding, ready to print."""

    id: str
    subject: Subject
    title: str
    status: Chip
    says: str
    citation: str
    stands: str
    origin: str
    measured: str
    order: str
    limit: str
    margin: str
    room: str
    first: str
    alternative: str
    because: tuple[str, ...]
    asks: tuple[str, ...]
    unfavourable: Chip | None
    steps: tuple[Pair, ...]
    parts: tuple[PartRow, ...]
    shares: tuple[ShareRow, ...]
    share_unit: str
    questions: tuple[str, ...]
    readings: tuple[ReadingRow, ...]
    documents: tuple[str, ...]
    band: str
    remedies: tuple[str, ...]
    caution: str
    note: str

    @property
    def numbers(self) -> tuple[str, str, str]:
        """Measured, what is asked, and room left, as every line about the finding says them."""
        return self.measured, f"{self.order} {self.limit}".strip(), self.margin

    @property
    def line(self) -> str:
        """What was found, in half a line; empty where the title says it all."""
        if self.order and (self.measured, self.limit) != (NOT_KNOWN, NOT_KNOWN):
            said = f"{self.measured}, {self.order} {self.limit}"
            said = f"{said} ({self.room})" if self.room not in {"", self.measured} else said
            return f"{self.first}; instead: {self.alternative}: {said}" if self.first else said
        if self.because and not self.is_met:
            return self.because[0].rstrip(".")
        return ""

    @property
    def instead(self) -> str:
        """What was asked first and what decided instead; empty where nothing did."""
        return f"Asked first: {self.first}. Decided by: {self.alternative}." if self.first else ""

    @property
    def do(self) -> str:
        """What to do next, in a sentence; empty where nothing is left to do."""
        handed = f"Hand in: {', '.join(self.documents)}." if self.documents else ""
        if self.is_met:
            return handed
        asked = self.asks or self.questions
        if asked:
            more = f" (and {len(asked) - 1} more)" if len(asked) > 1 else ""
            return _sentence(f"{capital(asked[0]).rstrip('.')}{more}")
        return " ".join((*self.remedies[:2], handed)).strip() or f"Asked: {self.says}"

    @property
    def is_met(self) -> bool:
        """Whether nothing stands in the way of a permit."""
        return self.status.word in MET


def finding_views(checked: Checked, keys: Keys) -> tuple[FindingView, ...]:
    """All findings, those that need attention first, otherwise in the order of the rules."""
    ordered = sorted(checked.verdict.findings, key=lambda item: STATUSES.index(item.status))
    decimals = area_decimals(checked)
    return tuple(_Viewing(finding, checked, keys, decimals).view() for finding in ordered)


class _Viewing:
    def __init__(self, finding: Finding, checked: Checked, keys: Keys, decimals: int) -> None:
        self.finding = finding
        self.decimals = decimals
        self.system: System = checked.system
        self.checked = checked
        self.keys = keys

    def view(self) -> FindingView:
        finding = self.finding
        measured, limit, margin = self.numbers()
        asks = tuple(dict.fromkeys(clean(item.ask) for item in finding.missing))
        unit = unit_for(AREA, self.system)[0]
        return FindingView(
            id=finding.rule,
            subject=subject_of(self.checked.ruleset.rule(finding.rule), self.checked.ruleset),
            title=clean(finding.title),
            status=status_word(finding.status),
            says=clean(finding.says),
            citation=clean(finding.citation),
            stands=place_text(finding.place),
            origin=clean(finding.origin),
            measured=measured,
            order="" if self.is_met_otherwise() else finding.order,
            limit=limit,
            margin=margin,
            room=self.room(margin),
            first=self.first(),
            alternative=self.what_is_measured() if finding.first is not None else "",
            because=self.reasons(asks),
            asks=asks,
            unfavourable=(
                status_word(finding.if_unfavourable) if finding.if_unfavourable else None
            ),
            steps=tuple(
                Pair(capital(clean(step.what)), self.step(step.value)) for step in finding.trace
            ),
            parts=tuple(self.part(part) for part in finding.parts)
            if len(finding.parts) > 1
            else (),
            shares=tuple(self.shares(unit)),
            share_unit=unit,
            questions=tuple(dict.fromkeys(clean(item.question) for item in finding.readings)),
            readings=tuple(self.reading(item) for item in finding.readings),
            documents=tuple(map(clean, finding.documents)),
            band=capital(clean(finding.band)),
            remedies=tuple(self.remedies()),
            caution=clean(finding.caution),
            note=clean(finding.note),
        )

    def numbers(self) -> tuple[str, str, str]:
        """Measured, limit and room left: those of the comparison that decided, where one did."""
        finding, part = self.finding, self.decisive()
        if part is None or self.is_met_otherwise():
            return NOTHING, NOTHING, NOTHING
        if finding.measured is not None and finding.limit is not None:
            is_known = part.measured.is_certain and part.limit.is_certain
            if is_known and finding.margin is not None:
                return self.trio(finding.measured, finding.limit, finding.margin, finding.order)
        margin = NOTHING
        if finding.margin is not None:
            margin = self.margin(finding.margin)
        return self.range_of(part.measured), self.limit_of(part), margin

    def trio(
        self, measured: Amount, limit: Amount, margin: Amount, order: str
    ) -> tuple[str, str, str]:
        """A number, its limit and the room, as the register of figures prints them."""
        return trio_text(measured, limit, margin, self.system, self.decimals, order)

    def margin(self, margin: Amount) -> str:
        """Room left."""
        return margin_text(margin, self.system, self.decimals)

    def range_of(self, value: Quantity) -> str:
        """A number that may be uncertain."""
        return range_text(value, self.system, self.decimals)

    def limit_of(self, part: Judged) -> str:
        """A limit that may be uncertain."""
        return range_text(part.limit, self.system, self.decimals, LIMIT_WAYS[part.order])

    def step(self, value: Quantity) -> str:
        """A step on the way to a number; the limit itself as it is printed beside that."""
        part = self.decisive()
        return self.limit_of(part) if part and value == part.limit else self.range_of(value)

    def reasons(self, asks: tuple[str, ...]) -> tuple[str, ...]:
        """Why, beside what is missing."""
        because = clean(self.finding.because)
        return () if because == "; ".join(asks) else _sentences(because)

    def is_met_otherwise(self) -> bool:
        """Met by a condition that is no comparison, though the comparison beside it is not."""
        part = self.decisive()
        return self.finding.status == "passes" and part is not None and part.holds is not True

    def decisive(self) -> Judged | None:
        """The comparison that decided; None where facts did."""
        return self.finding.decides

    def room(self, margin: str) -> str:
        """The margin in words."""
        finding = self.finding
        if self.is_met_otherwise():
            return "met in another way that the rule allows"
        if finding.margin is None or finding.limit is None:
            return ""
        if margin == NOTHING:
            return "nothing of the kind is near" if finding.margin.value_si > 0 else "never"
        if finding.margin.value_si == 0:
            if finding.order in {"less than", "more than"}:
                return "exactly at the limit, which this rule does not allow"
            return "exactly at the limit, which this rule allows"
        if finding.margin.value_si < 0:
            over = finding.order in {"at most", "less than"}
            said = f"{'over' if over else 'short'} by {margin.removeprefix('−')}"
        else:
            said = f"{room_text(margin, finding.order)} to spare"
        if finding.missing:
            return f"{said}, taking what is missing at its worst"
        if finding.margin.value_si < 0 and finding.status == "passes with conditions":
            return f"{said}, allowed under the conditions below"
        return said

    def first(self) -> str:
        """What was asked first, with its own amount, where an alternative decided."""
        if self.finding.first is None:
            return ""
        row, margin_si = self.part(self.finding.first), self.finding.first.margin_si
        named = f" of {row.of}" if self.finding.first.of else ""
        room = ""
        if margin_si is not None and margin_si < 0 and row.margin != NOTHING:
            over = "over" if self.finding.first.wants_less else "short"
            room = f" ({over} by {row.margin.removeprefix('−')})"
        return f"{row.what}{named}: {row.measured}, {row.order} {row.limit}{room}"

    def part(self, part: Judged) -> PartRow:
        measured, limit, margin = self.range_of(part.measured), self.limit_of(part), NOTHING
        worst_measured, worst_limit = part.worst
        if part.margin_si is not None and worst_limit is not None:
            room = Amount(part.margin_si, worst_limit.dimension, worst_limit.unit)
            margin = self.margin(room)
            if part.measured.is_certain and part.limit.is_certain and worst_measured:
                measured, limit, margin = self.trio(worst_measured, worst_limit, room, part.order)
        return PartRow(
            of=self.keys.named(part.of) if part.of else "The lot",
            what=self.what(part),
            measured=measured,
            order=part.order,
            limit=limit,
            margin=margin,
            holds={True: "✓ holds", False: "✗ does not hold", None: "? cannot tell"}[part.holds],
        )

    def shares(self, unit: str) -> Iterator[ShareRow]:
        places = {surface.id: place for place, surface in enumerate(self.checked.site.surfaces)}
        made_of = self.finding.contributions
        for item in sorted(made_of, key=lambda one: places.get(one.of, len(places))):
            area = shown(Amount(item.area_m2, AREA), self.system, self.decimals)
            yield ShareRow(
                letter=self.keys.letter(item.of),
                surface=self.keys.name(item.of) if item.of else "Exempt part",
                area=area.removesuffix(f" {unit}") if item.of else "",
                factor=self.range_of(item.weight),
                counted=self.range_of(item.counted).removesuffix(f" {unit}"),
                row=clean(item.row),
            )

    def reading(self, item: ReadingVerdict) -> ReadingRow:
        margin = self.margin(item.margin) if item.margin else NOTHING
        answered = item.reading in self.checked.site.readings
        used = "as the site file says" if answered else "assumed until the office answers"
        return ReadingRow(
            reading=clean(item.reading),
            title=clean(item.title),
            status=status_word(item.status),
            margin=margin,
            used=used if item.is_chosen else "",
        )

    def remedies(self) -> Iterator[str]:
        finding = self.finding
        if finding.is_met:
            return
        margin = finding.margin
        if margin is not None and -math.inf < margin.value_si < 0:
            by = self.margin(margin).removeprefix("−")
            less = finding.order in {"at most", "less than"}
            way = "come down" if less else "go up"
            least = "more than" if finding.order in STRICT else "at least"
            ending = " if what is missing is as bad as it can be" if finding.missing else ""
            yield f"{self.what_is_measured()} must {way} by {least} {by}{ending}."
            if names := self.where():
                yield f"Where: {names}."
        kinds = [
            REMEDY_WORDS.get(kind, clean(kind).replace("-", " ")) for kind in finding.remedy_kinds
        ]
        if kinds:
            yield f"Changes that can help: {'; '.join(kinds)}."

    def where(self) -> str:
        """The things that miss the limit, of a measure that is taken over several; else empty."""
        part = self.decisive()
        node = part.node.measured if part is not None and not part.of else None
        word = LOT_MEASURES.get(node.name) if isinstance(node, Named) else None
        limit = self.finding.limit
        if part is None or word is None or word.each is None or limit is None:
            return ""
        try:
            of_each = word.each(self.checked.survey)
        except NotMeasured:
            return ""
        names = [
            self.keys.named(of)
            for of, value_si in of_each.items()
            if not meets(value_si, limit.value_si, part.order)
        ]
        more = len(names) - _MOST_NAMED
        return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")

    def what_is_measured(self) -> str:
        part = self.decisive()
        if part is None:
            return "The measured number"
        return f"{self.what(part)} of {self.keys.named(part.of)}" if part.of else self.what(part)

    def what(self, part: Judged) -> str:
        """The number that a comparison is about."""
        speaker = self.checked.ruleset.speaker(self.system)
        return capital(clean(speaker.number(part.node.measured)))


def _sentence(text: str) -> str:
    return text if text.endswith(("?", ".")) else f"{text}."


def _sentences(because: str) -> tuple[str, ...]:
    return tuple(capital(clean(text)) for text in because.split("; ") if text.strip())
