"""What changed between two site files of one lot: surfaces, areas, rules, facts, keyed as drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.units import AREA, Amount, same
from checker.words.amounts import NOTHING, capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.model import Finding
    from checker.papers.job import Job
    from checker.site.model import Surface
    from checker.words.figures import Figures

MOVED_FRACTION: Final = 1e-6
"""Two shapes of one area that differ by more than this share of it do not lie in one place."""


class LotChange(NamedTuple):
    """One difference; the key is the letter on the later plan, or on the earlier in brackets."""

    key: str
    what: str
    before: str
    after: str
    change: str


def changes(
    earlier: Job, later: Job, names: tuple[str, str], figures: Figures
) -> tuple[LotChange, ...]:
    """Every difference between two jobs.

    Args:
        earlier: The job that is compared with.
        later: The job whose letters are used.
        names: Words for the two in the keys of figures, e.g. ("A", "B").
        figures: Takes in the numbers.
    """
    return tuple(_Comparing(earlier, later, "-".join(names), figures).changes())


class _Comparing:
    def __init__(self, earlier: Job, later: Job, tag: str, figures: Figures) -> None:
        self.earlier = earlier
        self.later = later
        self.tag = tag
        self.figures = figures

    def changes(self) -> Iterator[LotChange]:
        yield from self.surfaces()
        yield from self.lot()
        yield from self.totals()
        yield from self.rules()
        yield from self.facts()

    def pair(self, name: str, title: str, before: Amount, after: Amount) -> tuple[str, str, str]:
        """Texts of two amounts and of their difference."""
        key, figures = f"change.{self.tag}.{name}", self.figures
        figures.add_pair((f"{key}.was", f"{title}, before", before), (f"{key}.will", title, after))
        apart = Amount(after.value_si - before.value_si, after.dimension, after.unit)
        change = figures.add(f"{key}.change", f"{title}, change", apart, signed=True)
        return figures.text(f"{key}.was"), figures.text(f"{key}.will"), change

    def surfaces(self) -> Iterator[LotChange]:
        old = {surface.id: surface for surface in self.earlier.checked.site.surfaces}
        new = {surface.id: surface for surface in self.later.checked.site.surfaces}
        for surface_id in dict.fromkeys([*new, *old]):
            was, will = old.get(surface_id), new.get(surface_id)
            before = self.earlier.keys.letter(surface_id)
            if will is None:
                name = self.earlier.keys.name(surface_id)
                yield LotChange(f"({before})", f"{name}: left out", "drawn", NOTHING, "left out")
                continue
            key, name = self.later.keys.letter(surface_id), self.later.keys.name(surface_id)
            if was is None:
                yield LotChange(key, f"{name}: added", NOTHING, "drawn", "added")
                continue
            if before != key:
                yield LotChange(key, f"{name}: letter", before, key, "renamed")
            yield from self.surface(key, name, was, will)

    def surface(self, key: str, name: str, was: Surface, will: Surface) -> Iterator[LotChange]:
        if was.material.id != will.material.id:
            before, after = clean(was.material.title), clean(will.material.title)
            yield LotChange(key, f"{name}: material", before, after, "changed")
        if was.stage != will.stage:
            yield LotChange(key, f"{name}: stage", was.stage, will.stage, "changed")
        before_m2, after_m2 = was.shape.area, will.shape.area
        if not same(before_m2, after_m2):
            areas = Amount(before_m2, AREA), Amount(after_m2, AREA)
            texts = self.pair(f"{will.id}.area", f"{name}, drawn area", *areas)
            yield LotChange(key, f"{name}: drawn area", *texts)
        elif was.shape.symmetric_difference(will.shape).area > MOVED_FRACTION * after_m2:
            yield LotChange(
                key, f"{name}: place or form", "as before", "moved or reshaped", "moved"
            )

    def lot(self) -> Iterator[LotChange]:
        was = self.earlier.checked.site.lot.boundary.area
        will = self.later.checked.site.lot.boundary.area
        if not same(was, will):
            texts = self.pair("lot", "lot area", Amount(was, AREA), Amount(will, AREA))
            yield LotChange("", "Lot area", *texts)

    def totals(self) -> Iterator[LotChange]:
        for coverage in self.later.coverages:
            others = (item for item in self.earlier.coverages if item.name == coverage.name)
            other = next(others, None)
            if other is None or coverage.missing or other.missing:
                continue
            was, will = other.total_m2("proposed"), coverage.total_m2("proposed")
            if same(was, will):
                continue
            title = f"{clean(coverage.table.title)}, proposed"
            texts = self.pair(coverage.name, title, Amount(was, AREA), Amount(will, AREA))
            yield LotChange("", capital(title), *texts)

    def rules(self) -> Iterator[LotChange]:
        old = {finding.rule: finding for finding in self.earlier.checked.verdict.findings}
        for finding in self.later.checked.verdict.findings:
            was = old.get(finding.rule)
            if was is None:
                continue
            if was.status != finding.status:
                title = f"{clean(finding.title)}: verdict"
                yield LotChange("", title, was.status, finding.status, "changed")
            yield from self.margin(was, finding)

    def margin(self, was: Finding, will: Finding) -> Iterator[LotChange]:
        before, after = was.margin, will.margin
        if before is None or after is None or before.dimension != after.dimension:
            return
        if same(before.value_si, after.value_si):
            return
        key = f"change.{self.tag}.rule.{will.rule}"
        title = f"{clean(will.title)}: room left"
        apart = Amount(after.value_si - before.value_si, after.dimension, after.unit)
        texts = [
            self.figures.add(f"{key}.{which}", title, amount, signed=True)
            for which, amount in (("was", before), ("will", after), ("change", apart))
        ]
        yield LotChange("", title, *texts)

    def facts(self) -> Iterator[LotChange]:
        old, new = self.earlier.checked.site.facts, self.later.checked.site.facts
        for name in dict.fromkeys([*new, *old]):
            before, after = (
                clean(facts[name]) if name in facts else NOTHING for facts in (old, new)
            )
            if before != after:
                yield LotChange("", clean(name).replace("_", " "), before, after, "changed")
