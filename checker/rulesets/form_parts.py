"""The parts of a rule set that the answers of the form make, with examples and sentences."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from checker.core.records import Record
from checker.rulesets.form_reckon import (
    conditions_said,
    decimal,
    held,
    missed,
    percent,
    readable,
)

if TYPE_CHECKING:
    from checker.rulesets.form import Question
    from checker.rulesets.form_answers import Need, Portion

_FOOT2_M2: Final = Fraction(3048, 10000) ** 2


class Sentence(Record, kw_only=True):
    """What an example says, in plain English, with the key of the question it comes from."""

    of: str
    says: str


class Surfaces:
    """What counts, as a counting table with examples; and what all parts share.

    Args:
        units: "us" or "metric".
        section: Where the law says it.
    """

    def __init__(self, units: str, section: str) -> None:
        self.unit, self.size_m2 = ("m2", Fraction(1)) if units == "metric" else ("sq ft", _FOOT2_M2)
        self.sample, self.lot = (40, 1000) if units == "metric" else (400, 10000)
        self.cite = {"source": "code", "section": section}
        self.sentences: list[Sentence] = []
        self.left_open: list[str] = []
        self.open_keys: list[str] = []
        self.facts_asked: dict[str, Any] = {}
        self.attributes_asked: dict[str, Any] = {}
        self.regions_made: dict[str, Any] = {}
        self.amounts_made: dict[str, Any] = {}
        self.count_rows: list[dict[str, Any]] = []
        self.count_examples: list[dict[str, Any]] = []
        self.rules_made: list[dict[str, Any]] = []
        self.papers_asked: list[dict[str, Any]] = []

    def say(self, of: str, says: str) -> None:
        """Note what an example says."""
        self.sentences.append(Sentence(of=of, says=says))

    def leave_open(self, key: str, what: str) -> None:
        """Note what nobody answered."""
        self.open_keys.append(key)
        self.left_open.append(what)

    def area(self, size: Fraction) -> str:
        """An area as a file has it."""
        return f"{decimal(size)} {self.unit}"

    def shown(self, size: Fraction) -> str:
        """An area as a person reads it."""
        return f"{readable(size)} {self.unit}"

    def size(self, area_m2: float) -> Fraction:
        """An area in the unit of the pages."""
        return (Fraction(area_m2) / self.size_m2).limit_denominator(10**12)

    def surface(self, asked: Question, share: Portion | None) -> None:
        """How much of a surface counts."""
        if share is None:
            row = {"title": asked.ask, "where": {"material": list(asked.materials)}}
            self.count_rows.append(row | {"weight": "cannot tell"})
            self.leave_open(asked.key, f"how {asked.ask} count")
            size = self.area(Fraction(self.sample))
            expect = {"least": f"0 {self.unit}", "most": size}
            note = "nothing or all, the text was not asked"
            self._counted(asked, "nobody said how", {}, expect, note)
            return
        self.count_rows.append(self._row(asked, share))
        if share.each_over:
            self._each(asked, share)
        if share.needs:
            self._gated(asked, share)
        elif not share.each_over:
            self._plain(asked, share.weight)

    def _row(self, asked: Question, share: Portion) -> dict[str, Any]:
        row: dict[str, Any] = {
            "title": asked.ask,
            "where": {"material": list(asked.materials)},
            "weight": percent(share.weight),
            "cite": self.cite,
        }
        if share.each_over:
            row["each_over"] = share.each_over
        if share.needs:
            row["needs"] = [self._need(need) for need in share.needs]
            other = share.otherwise
            row["otherwise"] = "cannot tell" if other is None else percent(other)
        return row

    def _need(self, need: Need) -> dict[str, Any]:
        if need.order:
            return {"value": need.attribute, need.order: need.amount}
        if need.is_own:
            self.attributes_asked[need.attribute] = {
                "kind": "yes or no",
                "title": need.says,
                "ask": f'does the text\'s condition hold: "{need.says}"?',
            }
        return {"fact": need.attribute, "is": need.wanted}

    def _counted(
        self,
        asked: Question,
        name: str,
        given: dict[str, Any],
        expect: dict[str, str],
        note: str,
        size: Fraction | None = None,
    ) -> None:
        area = self.area(Fraction(self.sample) if size is None else size)
        surfaces = [{"material": m, "area": area} | given for m in asked.materials[:1]]
        self.count_examples.append(
            {
                "name": f"{asked.ask}: {name}",
                "source": "hand",
                "given": {"surfaces": surfaces},
                "expect": expect,
                "note": note,
            }
        )

    def _plain(self, asked: Question, weight: Fraction) -> None:
        counts = weight * self.sample
        note = f"{percent(weight)} of {self.sample} = {decimal(counts)}"
        self._counted(asked, "as answered", {}, {"counted": self.area(counts)}, note)
        self.say(asked.key, f"{self._of(asked)} {self._verb(counts)}.")

    def _of(self, asked: Question) -> str:
        return f"{self.shown(Fraction(self.sample))} of {asked.ask}"

    def _verb(self, counts: Fraction | None) -> str:
        if counts is None:
            return "count as the office says"
        return f"count as {self.shown(counts)}" if counts else "do not count"

    def _each(self, asked: Question, share: Portion) -> None:
        edge = self.size(share.each_over_m2)
        met = {need.attribute: held(need) for need in share.needs}
        none = {"counted": f"0 {self.unit}"}
        self._counted(asked, "exactly the size that is free", met, none, "free", edge)
        past = edge + 1
        counts = past * share.weight
        note = f"{percent(share.weight)} of {decimal(past)} = {decimal(counts)}"
        self._counted(
            asked, "one more than is free", met, {"counted": self.area(counts)}, note, past
        )
        self.say(
            asked.key,
            f"One of {asked.ask} of {self.shown(edge)} does not count; one of "
            f"{self.shown(past)} counts as {self.shown(counts)}.",
        )

    def _gated(self, asked: Question, share: Portion) -> None:
        if share.each_over:  # the sample must lie above what is free
            sample = max(Fraction(self.sample), 2 * self.size(share.each_over_m2))
        else:
            sample = Fraction(self.sample)
        met = {need.attribute: held(need) for need in share.needs}
        counts = sample * share.weight
        other = None if share.otherwise is None else sample * share.otherwise
        note = f"{percent(share.weight)} of {decimal(sample)} = {decimal(counts)}"
        expect = {"counted": self.area(counts)}
        self._counted(asked, "every condition just met", met, expect, note, sample)
        low, high = (Fraction(0), sample) if other is None else (other, other)
        for need in share.needs:
            given = met | {need.attribute: missed(need)}
            name = f"not {need.says}"
            self._counted(asked, name, given, self._range(low, high), "the condition fails", sample)
        # Whether a roof stands over a surface follows from what is drawn, so it is never unknown.
        drawn = {name: value for name, value in met.items() if name == "covered"}
        if drawn != met:
            least, most = min(low, counts), max(high, counts)
            told = "nobody knows whether the conditions hold"
            self._counted(asked, "nothing known", drawn, self._range(least, most), told, sample)
        self.say(
            asked.key,
            f"{self.shown(sample)} of {asked.ask} {self._verb(counts)} if "
            f"{conditions_said(share.needs)}; else they {self._verb(other)}.",
        )

    def _range(self, low: Fraction, high: Fraction) -> dict[str, str]:
        if low == high:
            return {"counted": self.area(low)}
        return {"least": self.area(low), "most": self.area(high)}
