"""Limits of the lot and its yards, ways out and papers, from the answers of the form."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from checker.rulesets.form_answers import slug
from checker.rulesets.form_parts import Surfaces
from checker.rulesets.form_reckon import decimal, example, limited, stepped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.rulesets.form_answers import Cap, CapBySize, Yard

_WAYS_CAUTION: Final = "A deck with a single drain floods the house when leaves cover it."
_REMEDIES: Final = ["swap-to-permeable", "remove-paving"]


class FormParts(Surfaces):
    """All parts of one rule set, as they are made."""

    def data(self) -> dict[str, Any]:
        """All parts under the keys of a rule-set file."""
        cover = {
            "title": "cover that counts",
            "cite": self.cite,
            "otherwise": "cannot tell",
            "rows": self.count_rows,
            "examples": self.count_examples,
        }
        named = {
            "facts": self.facts_asked,
            "attributes": self.attributes_asked,
            "regions": self.regions_made,
            "counts": {"cover": cover},
            "amounts": self.amounts_made,
            "rules": self.rules_made,
        }
        found = {key: value for key, value in named.items() if value or key == "rules"}
        return found | ({"submission": {"items": self.papers_asked}} if self.papers_asked else {})

    def limit(self, steps: Sequence[CapBySize] | None, base: str | None) -> None:
        """How much of the lot may count."""
        if steps == ():
            return
        rule: dict[str, Any] = {"id": "lot-cover", "title": "Cover of the lot", "cite": self.cite}
        if steps is None:
            self.leave_open("most", "how much of a lot may be covered")
            ask = "the most that the office allows to be covered on this lot, as an area"
            self.facts_asked["most_cover"] = {"kind": "amount", "dimension": "area", "ask": ask}
            limit: Any = "most_cover"
        else:
            land = self._land(base, is_share=any(step.limit.share is not None for step in steps))
            limit = stepped(steps, land)
        rule["require"] = {"measure": "cover", "at_most": limit}
        rule["remedies"] = _REMEDIES
        if steps is None:
            rule["examples"] = self._unlimited()
        else:
            rule["examples"] = [
                made for lot in self._lots(steps) for made in self._lot_examples(steps, base, lot)
            ]
        self.rules_made.append(rule)

    def _land(self, base: str | None, *, is_share: bool) -> str:
        """The name of what the limit is a share of."""
        if not is_share or base == "":
            return "lot_area"
        if base is None:
            self.leave_open("of", "whether the limit is a share of the lot or of a part of it")
            ask = "the area that the limit is a share of: the lot, or what the office takes off it"
            self.facts_asked["counted_land"] = {"kind": "amount", "dimension": "area", "ask": ask}
            return "counted_land"
        self.regions_made["taken-off"] = {"title": f"{base} on the lot", "kind": base}
        less = {"take": "lot_area", "less": [{"measure": "lot_area", "in": "taken-off"}]}
        title = f"lot area less what is {base}"
        is_ = {"difference": less | {"stops_at_zero": True}}
        self.amounts_made["counted_land"] = {"title": title, "is": is_, "cite": self.cite}
        return "counted_land"

    def _unlimited(self) -> list[dict[str, Any]]:
        limit = self.area(Fraction(self.lot, 2))
        at = {"most_cover": limit, "cover": limit}
        return [
            example("nobody asked", {"cover": limit}, {"status": "cannot tell"}, ""),
            example("at what the office said", at, {"status": "passes", "limit": limit}, ""),
        ]

    def _lots(self, steps: Sequence[CapBySize]) -> list[Fraction]:
        """Lots to try: at each size and between, on both sides of where lesser and greater meet."""
        found: set[Fraction] = set()
        low = Fraction(0)
        for step in steps:
            high = self.size(step.up_to_m2) if step.up_to else None
            if len(steps) == 1:
                found.add(Fraction(self.lot))
            elif high is None:
                found.add(low * 2)
            else:
                found.add(high)
                found.add((low + high) / 2)
            if step.limit.share and step.limit.area:
                meet = self.size(step.limit.area_m2) / step.limit.share
                found |= {
                    Fraction(round(lot))
                    for lot in (meet / 2, meet * 2)
                    if lot > low and (high is None or lot < high) and round(lot) > low
                }
            low = high or low
        return sorted(lot for lot in found if lot > 0)

    def _allowed(
        self, steps: Sequence[CapBySize], lot: Fraction, land: Fraction
    ) -> Fraction | None:
        """What a lot may have, reckoned from the answer; None for one of no step."""
        for step in steps:
            size = self.size(step.up_to_m2)
            if not step.up_to or lot < size or (lot == size and step.is_included):
                return self._limit(step.limit, land)
        return None

    def _limit(self, limit: Cap, land: Fraction) -> Fraction:
        area = self.size(limit.area_m2)
        if limit.share is None:
            return area
        share = limit.share * land
        if not limit.takes:
            return share
        return min(share, area) if limit.takes == "least" else max(share, area)

    def _lot_examples(
        self, steps: Sequence[CapBySize], base: str | None, lot: Fraction
    ) -> list[dict[str, Any]]:
        has_share = any(step.limit.share is not None for step in steps)
        off = lot / 10 if base and has_share else Fraction(0)
        allowed = self._allowed(steps, lot, lot - off)
        given = {"lot_area": self.area(lot)}
        says = f"A lot of {self.shown(lot)}"
        if base and has_share:
            given["lot_area in taken-off"] = self.area(off)
            says += f" with {self.shown(off)} of {base} on it"
        elif base is None and has_share:
            given["counted_land"] = self.area(lot)
            says += ", all of which the limit is a share of,"
        name = f"a lot of {self.shown(lot)}"
        if allowed is None:
            self.say("most", f"{says} has no limit that the answer names.")
            one = given | {"cover": f"1 {self.unit}"}
            return [example(name, one, {"status": "cannot tell"}, "no size of the answer fits")]
        self.say(
            "most",
            f"{says} may have {self.shown(allowed)}; {self.shown(allowed + 1)} is too much.",
        )
        return self._pair(name, given, "cover", allowed)

    def _pair(
        self, name: str, given: dict[str, str], measure: str, allowed: Fraction
    ) -> list[dict[str, Any]]:
        limit = self.area(allowed)
        at = {"status": "passes", "limit": limit, "margin": f"0 {self.unit}"}
        past = {"status": "fails", "margin": f"-1 {self.unit}"}
        more = self.area(allowed + 1)
        note = f"{decimal(allowed)} - {decimal(allowed + 1)} = -1"
        return [
            example(f"{name}, at the limit", given | {measure: limit}, at, ""),
            example(f"{name}, past the limit", given | {measure: more}, past, note),
        ]

    def yards(self, yards: Sequence[Yard] | None) -> None:
        """Yards with limits of their own."""
        if yards is None:
            self.leave_open("yards", "whether yards have limits of their own")
            ask = "is every limit met that the text sets for a single yard? (nobody read it)"
            self._asked("yard-cover", "Cover of the yards", "yard_limits_met", ask)
        for yard in yards or ():
            self._yard(yard)

    def _asked(self, rule: str, title: str, fact: str, ask: str) -> None:
        """A rule that nobody read: the person who checks a lot is asked."""
        self.facts_asked[fact] = {"kind": "yes or no", "ask": ask}
        examples = [
            example("the office says it is met", {fact: True}, {"status": "passes"}, ""),
            example("it is not met", {fact: False}, {"status": "fails"}, ""),
        ]
        require = {"fact": fact, "is": True}
        made = {"id": rule, "title": title, "cite": self.cite, "require": require}
        self.rules_made.append(made | {"examples": examples})

    def _yard(self, yard: Yard) -> None:
        region = f"{yard.side}-yard"
        depth = {"depth": yard.depth} if yard.depth else {}
        kind = "required " if yard.depth else ""
        title = f"{kind}{yard.side} yard"
        self.regions_made[region] = {"title": title, "yard": yard.side} | depth
        land = {"measure": "lot_area", "in": region}
        limit = limited(yard.limit, land)
        size = Fraction(self.lot, 5)
        allowed = self._limit(yard.limit, size)
        given = {f"lot_area in {region}": self.area(size)}
        self.rules_made.append(
            {
                "id": f"{region}-cover",
                "title": f"Cover of the {title}",
                "cite": self.cite,
                "require": {"measure": "cover", "in": region, "at_most": limit},
                "remedies": _REMEDIES,
                "examples": self._pair(
                    f"a yard of {self.shown(size)}", given, f"cover in {region}", allowed
                ),
            }
        )
        deep = f", {yard.depth} deep," if yard.depth else ", up to the house,"
        self.say(
            "yards",
            f"A {yard.side} yard{deep} of {self.shown(size)} may have {self.shown(allowed)}; "
            f"{self.shown(allowed + 1)} is too much.",
        )

    def ways_out(self, count: int | None) -> None:
        """Redundancy of overflow."""
        if count is None:
            self.leave_open("ways_out", "how many ways out water from a deck must have")
            ask = "has water from the deck as many ways out as the text asks? (nobody read it)"
            self._asked("ways-out", "Ways out for water", "ways_out_met", ask)
        if not count:
            return
        measure = "independent_ways_out"
        passes, fails = {"status": "passes", "margin": 0}, {"status": "fails", "margin": -1}
        self.rules_made.append(
            {
                "id": "ways-out",
                "title": "Ways out for water that share nothing",
                "cite": self.cite,
                "require": {"measure": measure, "at_least": count},
                "caution": _WAYS_CAUTION,
                "examples": [
                    example("as many as asked", {measure: count}, passes, ""),
                    example(
                        "one too few", {measure: count - 1}, fails, f"{count - 1} - {count} = -1"
                    ),
                    example("nothing drawn", {}, {"status": "cannot tell"}, ""),
                ],
            }
        )
        self.say(
            "ways_out", f"A deck with {count} separate ways out passes; with {count - 1} it fails."
        )

    def papers(self, papers: Sequence[str] | None) -> None:
        """What is to be handed in."""
        if papers is None:
            self.leave_open("papers", "which papers are to be handed in")
        for paper in papers or ():
            self.papers_asked.append({"document": slug(paper), "title": paper, "cite": self.cite})
            self.say("papers", f"Handed in with every application: {paper}.")
