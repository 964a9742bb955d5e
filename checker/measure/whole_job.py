"""The rest of the order of a job: what comes out, slabs, drains and dry wells, restored ground.

The take-off of drawn sections stands in `measure.section.takeoff`. Here a thickness that nobody has
measured is a span from a table, and says so; what cannot be told is a gap with what to give.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, LENGTH, MASS, RATIO, VOLUME, Amount, Dimension
from checker.courses.tables import allowances, cell_si
from checker.courses.takeoff import Span, course_volume_m3, loose_volume_m3, stone_mass_kg
from checker.files.tables import table
from checker.measure.arrangement import SLIVER_M2
from checker.measure.section.takeoff import Gap, Ordered, TakeOff, TakeOffItem, take_off
from checker.measure.works import DISTURBANCE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe, Pit, WaysOut
    from checker.site.model import Shape, Surface

DRAINAGE: Final = "drainage"
RESTORATION: Final = "restored ground"
"""What stands for the surface in lines that are of no surface."""

_NOT_PAVED: Final = frozenset({"open", "water"})
_FROM_TABLE: Final = "thickness from the table '{}', as nobody has measured it"


def whole_job(survey: Survey) -> TakeOff:
    """Every line of the job in the order of the work, and what could not be worked out.

    Raises:
        BadInput: The sections or the drainage of the site have problems.
    """
    paving = take_off(survey)
    job = _Job(survey)
    done = {item.surface for item in paving.items} | {gap.surface for gap in paving.gaps}
    items = [*job.demolition(), *paving.items]
    for surface in survey.site.surfaces:
        if surface.stage in {"proposed", "replaced"} and surface.id not in done:
            items += job.without_section(surface)
    items += [*job.drainage(), *job.restoration()]
    return TakeOff(items=tuple(items), gaps=(*paving.gaps, *job.gaps))


class _Job:
    def __init__(self, survey: Survey) -> None:
        self.survey = survey
        self.spans = allowances(table("allowances").rows, table("allowances").columns)
        self.before = survey.partition("existing").visible
        self.after = survey.partition("proposed").visible
        self.gaps: list[Gap] = []

    def item(  # noqa: PLR0913 - one line, each part of it by name
        self,
        of: str,
        title: str,
        ordered: Ordered,
        in_place: Amount,
        needed: Span,
        note: str = "",
        dimension: Dimension | None = None,
    ) -> TakeOffItem:
        return TakeOffItem(
            surface=of,
            section="",
            key=f"{ordered} {title}",
            title=title,
            ordered=ordered,
            in_place=in_place,
            needed=needed,
            dimension=dimension or in_place.dimension,
            note=note,
        )

    def gap(self, of: str, title: str, ask: str) -> None:
        self.gaps.append(Gap(surface=of, title=title, ask=ask))

    # What comes out

    def coming_out(self, surface: Surface) -> Shape | None:
        """What of an existing surface is broken out: all of it, or what new work lies on."""
        before = self.before.get(surface.id)
        if before is None or surface.was.nature in _NOT_PAVED or surface.stage == "proposed":
            return None
        if surface.stage in {"removed", "replaced"}:
            return before
        after = self.after.get(surface.id)
        lost = before if after is None else before.difference(after)
        return lost if lost.area > SLIVER_M2 and surface.was.level == "ground" else None

    def demolition(self) -> Iterator[TakeOffItem]:
        depths = table("demolition-depths")
        for surface in self.survey.site.surfaces:
            shape = self.coming_out(surface)
            if shape is None or shape.area <= SLIVER_M2:
                continue
            area_m2 = float(shape.area)
            what = surface.was.title
            area = Amount(area_m2, AREA)
            whole = Span(area_m2, area_m2, area_m2)
            title = f"Break out: {what[:1].lower()}{what[1:]}"
            yield self.item(surface.id, title, "removal", area, whole)
            row = next((r for r in depths.rows if r["material"] == surface.was.id), None)
            if row is None:
                self.gap(surface.id, "Haul-off", f"measure up what the {what.lower()} amounts to")
                continue
            depth = _span(row, depths.columns)
            swell = self.spans["swell of broken paving"]
            least, usual, most = (
                loose_volume_m3(course_volume_m3(area_m2, deep), more)
                for deep, more in (
                    (depth.least, swell.least), (depth.usual, swell.usual), (depth.most, swell.most)
                )
            )  # fmt: skip
            solid = Amount(course_volume_m3(area_m2, depth.usual), VOLUME)
            note = (
                f"swelling {swell.least:.0%} to {swell.most:.0%}; {_FROM_TABLE.format(depths.id)}"
            )
            needed = Span(least, usual, most)
            yield self.item(surface.id, "Haul-off of broken paving", "debris", solid, needed, note)

    # New work without a section

    def without_section(self, surface: Surface) -> Iterator[TakeOffItem]:
        shape = self.after.get(surface.id)
        if shape is None or shape.is_empty or surface.material.nature in _NOT_PAVED:
            return
        area_m2 = float(shape.area)
        area = Amount(area_m2, AREA)
        courses = [
            row for row in table("slab-courses").rows if row["material"] == surface.material.id
        ]
        whole = Span(area_m2, area_m2, area_m2)
        yield self.item(surface.id, surface.material.title, "surface", area, whole)
        if not courses and surface.material.level == "ground":
            ask = "draw its section and name it with 'section' at the surface"
            self.gap(surface.id, "Courses, edge and excavation", ask)
        deep = [
            _span(row, table("slab-courses").columns)
            for row in courses
            if row["course"] in {"slab", "base"}
        ]
        if deep:
            yield self.dig(surface, area_m2, sum(span.usual for span in deep))
        for row in courses:
            span = _span(row, table("slab-courses").columns)
            yield from self.course(surface, shape, str(row["course"]), span)

    def dig(self, surface: Surface, area_m2: float, depth_m: float) -> TakeOffItem:
        """Digging for a slab and its base, by the usual thickness of both."""
        bank_m3 = course_volume_m3(area_m2, depth_m)
        swell = self.spans["swell of common earth"]
        loose = Span(*(loose_volume_m3(bank_m3, s) for s in (swell.least, swell.usual, swell.most)))
        note = (
            f"slab and base, swelling {swell.least:.0%} to {swell.most:.0%}; add what lies higher; "
            "less where old paving came out"
        )
        return self.item(surface.id, "Excavation", "spoil", Amount(bank_m3, VOLUME), loose, note)

    def course(
        self, surface: Surface, shape: Shape, course: str, span: Span
    ) -> Iterator[TakeOffItem]:
        note = _FROM_TABLE.format("slab-courses")
        area_m2 = float(shape.area)
        if course == "joints":
            lengths = [joints_m(shape, apart) for apart in (span.most, span.usual, span.least)]
            in_place = Amount(lengths[1], LENGTH)
            said = "both ways, at the distance of the table 'slab-courses'"
            yield self.item(surface.id, "Control joints", "joints", in_place, Span(*lengths), said)
            return
        volumes = [course_volume_m3(area_m2, deep) for deep in (span.least, span.usual, span.most)]
        in_place = Amount(volumes[1], VOLUME)
        if course == "slab":
            more = self.spans["concrete"]
            shares = (more.least, more.usual, more.most)
            needed = Span(*(v * (1 + share) for v, share in zip(volumes, shares, strict=True)))
            note = f"with {more.least:.0%} to {more.most:.0%} for loss; {note}"
            yield self.item(surface.id, "Concrete", "concrete", in_place, needed, note)
            forms_m = float(shape.length)
            forms = Span(forms_m, forms_m, forms_m)
            length = Amount(forms_m, LENGTH)
            yield self.item(surface.id, "Edge forms of the slab", "joints", length, forms)
            return
        porosity = self.spans["porosity of dense stone"]
        gravity, more = self.spans["specific gravity"], self.spans["dense stone"]
        low, usual, high = (stone_mass_kg(volume, porosity, gravity) for volume in volumes)
        needed = Span(
            low.least * (1 + more.least),
            usual.usual * (1 + more.usual),
            high.most * (1 + more.most),
        )
        note = f"with {more.least:.0%} to {more.most:.0%} for compaction and loss; {note}"
        title = "Base of the slab, dense stone"
        yield self.item(surface.id, title, "stone", in_place, needed, note, MASS)

    # Drains, pipes, dry wells

    def drainage(self) -> Iterator[TakeOffItem]:
        if "ways_out" not in self.survey.site.parts:
            return
        from checker.measure.drainage.drawn import ways_of

        ways = ways_of(self.survey)
        yield from self.drains(ways)
        for pipe in ways.pipes:
            yield from self.pipe(pipe)
        for pit in ways.pits:
            if pit.kind == "dry-well":
                yield from self.dry_well(pit)
        yield from self.pieces("Outlet", len(ways.outfalls))

    def pieces(self, title: str, count: int, note: str = "") -> Iterator[TakeOffItem]:
        if count:
            exact = Span(float(count), float(count), float(count))
            amount = Amount(float(count), RATIO)
            yield self.item(DRAINAGE, title, "piece", amount, exact, note)

    def drains(self, ways: WaysOut) -> Iterator[TakeOffItem]:
        sizes: dict[str, int] = {}
        for drain in ways.drains:
            if drain.kind == "area-drain":
                size = drain.grate.size if drain.grate and drain.grate.size else "size not given"
                sizes[size] = sizes.get(size, 0) + 1
            elif drain.kind == "channel-drain":
                long_m = sum(math.dist(a, b) for a, b in pairwise(drain.points))
                exact = Span(long_m, long_m, long_m)
                length = Amount(long_m, LENGTH)
                yield self.item(DRAINAGE, "Channel drain with grate", "channel", length, exact)
        for size, count in sizes.items():
            yield from self.pieces(f"Area drain, {size}", count)
        leaders = sum(1 for drain in ways.drains if drain.kind == "roof-leader")
        yield from self.pieces("Roof leader connection", leaders)

    def pipe(self, pipe: DrainPipe) -> Iterator[TakeOffItem]:
        long_m = pipe.length_m
        if long_m is None and len(pipe.points) > 1:
            long_m = sum(math.dist(a, b) for a, b in pairwise(pipe.points))
        if long_m is None:
            self.gap(DRAINAGE, f"Pipe {pipe.id}", "give its 'length' or its points")
            return
        share = self.spans["pipe"]
        needed = Span(*(long_m * (1 + s) for s in (share.least, share.usual, share.most)))
        size = "" if pipe.diameter_m is None else f", {_inside(pipe.diameter_m, self.survey)}"
        note = f"with {share.least:.0%} to {share.most:.0%} for cuts and joints"
        title = f"Drain pipe{size}"
        length = Amount(long_m, LENGTH)
        yield self.item(DRAINAGE, title, "storm-pipe", length, needed, note)
        bends = max(0, len(pipe.points) - 2)
        said = "a connection at both ends of each pipe, and its bends"
        yield from self.pieces("Pipe fittings", bends + 2, said)

    def dry_well(self, pit: Pit) -> Iterator[TakeOffItem]:
        yield from self.pieces("Dry well chamber with cover", 1)
        deep_m, wide_m, chamber_m = pit.depth_m, pit.pit_m, pit.chamber_m
        if deep_m is None or wide_m is None or chamber_m is None:
            self.gap(
                DRAINAGE, f"Stone and digging of {pit.id}", "give 'depth', 'pit' and 'chamber'"
            )
            return
        below_m = pit.stone_below_m or 0.0
        hole_m2 = math.pi / 4 * wide_m**2
        stone_m3 = hole_m2 * (deep_m + below_m) - math.pi / 4 * chamber_m**2 * deep_m
        porosity, gravity = (
            self.spans["porosity of open-graded stone"],
            self.spans["specific gravity"],
        )
        more = self.spans["open-graded stone"]
        mass = stone_mass_kg(stone_m3, porosity, gravity)
        needed = Span(
            mass.least * (1 + more.least),
            mass.usual * (1 + more.usual),
            mass.most * (1 + more.most),
        )
        volume = Amount(stone_m3, VOLUME)
        note = f"round and below the chamber, {more.least:.0%} to {more.most:.0%} for loss"
        yield self.item(DRAINAGE, "Stone round dry wells", "stone", volume, needed, note, MASS)
        dug_m3 = hole_m2 * (deep_m + below_m + (pit.cover_m or 0.0))
        swell = self.spans["swell of common earth"]
        loose = Span(*(loose_volume_m3(dug_m3, s) for s in (swell.least, swell.usual, swell.most)))
        bank = Amount(dug_m3, VOLUME)
        said = f"swelling {swell.least:.0%} to {swell.most:.0%}; shored as the code asks"
        yield self.item(DRAINAGE, "Digging of dry wells", "spoil", bank, loose, said)

    # Ground that is put right again

    def restoration(self) -> Iterator[TakeOffItem]:
        import shapely

        site = self.survey.site
        if all(surface.stage == "existing" for surface in site.surfaces):
            return
        bare = [shape for s in site.surfaces if (shape := self.coming_out(s)) is not None]
        drawn = [region.shape for region in site.regions if region.id == DISTURBANCE]
        covered = [
            self.after[s.id]
            for s in site.surfaces
            if s.id in self.after and s.material.nature != "open"
        ]
        left = shapely.union_all([*bare, *drawn]).difference(shapely.union_all(covered))
        left = left.intersection(site.lot.boundary)
        if not drawn:
            ask = f"draw the limit of disturbance under 'regions' with id '{DISTURBANCE}'"
            self.gap(RESTORATION, "Ground beside the work", ask)
        if left.area <= SLIVER_M2:
            return
        area_m2 = float(left.area)
        rows = table("slab-courses")
        row = next(r for r in rows.rows if r["course"] == "topsoil")
        deep = _span(row, rows.columns)
        volumes = [course_volume_m3(area_m2, d) for d in (deep.least, deep.usual, deep.most)]
        note = f"depth from the table '{rows.id}'"
        volume = Amount(volumes[1], VOLUME)
        yield self.item(RESTORATION, "Topsoil", "topsoil", volume, Span(*volumes), note)
        whole = Span(area_m2, area_m2, area_m2)
        area = Amount(area_m2, AREA)
        yield self.item(RESTORATION, "Seed or sod", "seed", area, whole)


def joints_m(shape: Shape, apart_m: float) -> float:
    """Length of the joints that cut a slab into fields no wider than this, both ways, metres.

    Of a shape that fills its rectangle in part, the share of it that it fills.
    """
    box = shape.minimum_rotated_rectangle
    if box.geom_type != "Polygon" or box.area == 0:
        return 0.0
    one, other = (math.dist(a, b) for a, b in pairwise(list(box.exterior.coords)[:3]))
    fields = [math.ceil(side / apart_m - 1e-9) for side in (one, other)]
    length = (fields[0] - 1) * other + (fields[1] - 1) * one
    return float(length * shape.area / box.area)


def _inside(diameter_m: float, survey: Survey) -> str:
    is_us = survey.site.own_system == "us"
    return f"{diameter_m / 0.0254:.3g} in" if is_us else f"{diameter_m * 1000:.0f} mm"


def _span(row: object, columns: object) -> Span:
    ends = [cell_si(row, key, columns) for key in ("least", "usual", "most")]  # type: ignore[arg-type]
    least, usual, most = (end or 0.0 for end in ends)
    return Span(least, usual, most)
