"""What changed between two site files of one lot: everything, keyed as drawn.

Surfaces, regions and features are compared by their ground, sums and rules by their numbers, and
all else of the two files value by value, so that nothing that differs goes unsaid.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.units import AREA, Amount, same
from checker.measure.drainage.built import works_of
from checker.papers.file_changes import changed_entries, contents, file_changes
from checker.words.amounts import NOTHING, capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.findings.model import Finding
    from checker.papers.file_changes import FileChange
    from checker.papers.job import Job
    from checker.site.model import Shape, Surface
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
        yield from self.shapes()
        yield from self.lot()
        yield from self.totals()
        yield from self.rules()
        old, new = (job.checked.site for job in (self.earlier, self.later))
        yield from self.values(file_changes(old.document.data, new.document.data))
        yield from self.named_files()

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
        elif not _lies_alike(was.shape, will.shape):
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
            self.figures.add_room(f"{key}.{which}", title, room)
            for which, room in (("was", before), ("will", after))
        ]
        texts.append(self.figures.add(f"{key}.change", title, apart, signed=True))
        if texts[0] != texts[1]:  # what the last digits of a calculation do is no difference
            yield LotChange("", title, *texts)

    def shapes(self) -> Iterator[LotChange]:
        """Features and regions: added, left out, moved."""
        old, new = (job.checked.site for job in (self.earlier, self.later))
        for was, will in ((old.features, new.features), (old.regions, new.regions)):
            before, after = {item.id: item for item in was}, {item.id: item for item in will}
            for name in dict.fromkeys([*after, *before]):
                item, other = after.get(name), before.get(name)
                title = clean((item or other).title)  # type: ignore[union-attr]
                if item is None:
                    yield LotChange("", f"{title}: left out", "drawn", NOTHING, "left out")
                elif other is None:
                    yield LotChange("", f"{title}: added", NOTHING, "drawn", "added")
                elif not _lies_alike(other.shape, item.shape):
                    yield LotChange(
                        "", f"{title}: place or form", "as before", "moved or reshaped", "moved"
                    )

    def values(self, found: Iterable[FileChange]) -> Iterator[LotChange]:
        """What stands otherwise in the file."""
        for item in found:
            key = self.later.keys.letter(item.owner)
            yield LotChange(key, clean(item.what), clean(item.before), clean(item.after), "changed")

    def named_files(self) -> Iterator[LotChange]:
        """The rules, and files that the site file names: whether their content is the same."""
        was, will = (job.checked.ruleset.documents for job in (self.earlier, self.later))
        old, new = ([document.data for document in each.values()] for each in (was, will))
        if old != new:
            yield LotChange("", "Rule set: its text", "as before", "changed", "changed")
        before, after = (contents(job.checked.site) for job in (self.earlier, self.later))
        for name in sorted(set(before) & set(after)):
            if before[name] != after[name]:
                yield LotChange("", f"File {name}", "as before", "changed", "changed")


def _lies_alike(was: Shape, will: Shape) -> bool:
    size = max(was.area, was.length, 1.0)
    return bool(was.hausdorff_distance(will) <= MOVED_FRACTION * size)


def changed_ground(earlier: Job, later: Job) -> tuple[Shape, ...]:
    """The ground of everything drawn that was changed, added or left out, for its clouds."""
    old, new = (job.checked.site.document.data for job in (earlier, later))
    found: list[Shape] = []
    for key in ("surfaces", "features", "regions"):
        ids = changed_entries(old, new, key)
        for job in (later, earlier):
            items = getattr(job.checked.site, key)
            shapes = {item.id: item.shape for item in items if item.id in ids}
            found += shapes.values()
            ids = ids - shapes.keys()
    ids = changed_entries(old, new, "ways_out")
    for job in (later, earlier):
        shapes = {work.id: work.shape for work in works_of(job.survey) if work.id in ids}
        found += shapes.values()
        ids = ids - shapes.keys()
    return tuple(shape for shape in found if not shape.is_empty)
