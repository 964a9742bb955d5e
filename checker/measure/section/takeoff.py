"""The take-off: what each surface needs in place, what to bring, and what to order in all.

Amounts that rest on porosity, specific gravity or an allowance are spans from least to most. The
order is made from the usual amount and rounded up to what one truck, pallet or roll holds.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

import shapely

from checker.core.formula import OutOfRange, lack_text
from checker.core.records import Record
from checker.core.units import AREA, LENGTH, MASS, RATIO, VOLUME, Amount, Dimension, same
from checker.courses.tables import allowances
from checker.courses.takeoff import (
    Span,
    course_volume_m3,
    fabric_area_m2,
    joint_volume_m3,
    loose_volume_m3,
    pipe_length_m,
    stone_mass_kg,
    units_count,
)
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, BedCourse, bed_of
from checker.measure.section.courses import depth_m

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.model import Shape, Surface

Ordered = Literal[
    "stone", "joint-stone", "units", "fabric", "grid", "liner", "pipe", "edge", "spoil", "piece",
    "removal", "debris", "concrete", "joints", "channel", "storm-pipe", "topsoil", "seed",
    "surface",
]  # fmt: skip

POROSITY_EITHER_WAY: Final = 0.03
"""A stated porosity is taken to be this uncertain, a choice of this program."""

DENSE: Final = frozenset({"dense-base", "concrete-sand"})


class TakeOffItem(Record, kw_only=True):
    """One line of the take-off.

    Attributes:
        surface: Id of the surface it is for.
        section: Id of its section.
        key: What it is, the same on every surface, e.g. "stone 57".
        title: Its name on pages.
        ordered: By what it is ordered.
        in_place: Amount in place, without allowances.
        needed: Least, usual and most to bring, in SI.
        dimension: Of what is needed.
        note: How the span came about, or what is missing.
    """

    surface: str
    section: str
    key: str
    title: str
    ordered: Ordered
    in_place: Amount
    needed: Span
    dimension: Dimension
    note: str = ""


class Gap(Record, kw_only=True):
    """A line that cannot be worked out, with what to give."""

    surface: str
    title: str
    ask: str


class TakeOff(Record, kw_only=True):
    """All lines, surface by surface, and what could not be worked out."""

    items: tuple[TakeOffItem, ...]
    gaps: tuple[Gap, ...]


def take_off(survey: Survey) -> TakeOff:
    """The take-off of every surface that is new or rebuilt and has a section.

    Areas are those of the drawing with every spot counted once.

    Raises:
        BadInput: The sections of the site have problems.
    """
    spans = allowances(table("allowances").rows, table("allowances").columns)
    items: list[TakeOffItem] = []
    gaps: list[Gap] = []
    visible = survey.partition("proposed").visible
    for surface in survey.site.surfaces:
        bed = bed_of(survey, surface)
        shape = visible.get(surface.id)
        if bed is None or surface.stage not in {"proposed", "replaced"} or not shape:
            continue
        one = _Surface(surface, bed, shape, spans)
        for title, work in one.lines():
            try:
                items += work
            except (NotMeasured, OutOfRange) as lacks:
                ask = lack_text(lacks, survey.site.own_system)
                gaps.append(Gap(surface=surface.id, title=title, ask=ask))
    return TakeOff(items=tuple(items), gaps=tuple(gaps))


class _Surface:
    """The lines of one surface."""

    def __init__(self, surface: Surface, bed: Bed, shape: Shape, spans: dict[str, Span]) -> None:
        self.surface = surface
        self.bed = bed
        self.shape = shape
        self.area_m2 = float(shape.area)
        self.spans = spans

    def lines(self) -> Iterator[tuple[str, Iterator[TakeOffItem]]]:
        """Each line with its title; reading a line may raise `NotMeasured`."""
        for layer in self.bed.layers:
            kind = layer.course.kind
            if kind == "unit":
                yield layer.course.title, self.units(layer)
            elif kind == "joint":
                yield layer.course.title, self.joint(layer)
            elif layer in self.bed.stones:
                yield layer.course.title, self.stone(layer)
            elif kind in {"fabric", "grid", "liner"}:
                yield layer.course.title, self.sheet(layer)
        if self.bed.section.pipe is not None:
            yield "Perforated pipe", self.pipe()
        if self.bed.section.well_count:
            yield "Observation well", self.well()
        if self.bed.section.edge:
            yield "Edge restraint", self.edge()
        yield "Excavation", self.dig()

    def item(
        self, key: str, title: str, ordered: Ordered, in_place: Amount, needed: Span, note: str
    ) -> TakeOffItem:
        is_mass = ordered in {"stone", "joint-stone"}
        return TakeOffItem(
            surface=self.surface.id,
            section=self.bed.section.id,
            key=key,
            title=title,
            ordered=ordered,
            in_place=in_place,
            needed=needed,
            dimension=MASS if is_mass else in_place.dimension,
            note=note,
        )

    def plus(self, amount: float, allowance: str) -> Span:
        share = self.spans[allowance]
        return Span(
            amount * (1 + share.least), amount * (1 + share.usual), amount * (1 + share.most)
        )

    def units(self, layer: BedCourse) -> Iterator[TakeOffItem]:
        thickness_m = self.bed.need(layer.course.thickness_m, "thickness", layer)
        waste = self.spans["cutting waste"]
        note = f"with {waste.least:.0%} to {waste.most:.0%} for cuts and breakage"
        joint = self.bed.section.first("joint")
        course = layer.course
        if course.length_m and course.width_m:
            gap_m = (joint.width_m or 0.0) if joint else 0.0
            each_m2 = (course.length_m + gap_m) * (course.width_m + gap_m)
            note = f"about {units_count(self.area_m2, each_m2, waste.usual):,} units; {note}"
        in_place = Amount(self.area_m2, AREA)
        needed = self.plus(self.area_m2, "cutting waste")
        size = f"{thickness_m * 1000:.0f} mm"
        title = f"{course.title}, {size}"
        yield self.item(f"units {size}", title, "units", in_place, needed, note)

    def joint(self, layer: BedCourse) -> Iterator[TakeOffItem]:
        unit = self.bed.section.first("unit")
        depth = layer.course.thickness_m or (unit.thickness_m if unit else None)
        volume_m3 = joint_volume_m3(
            self.area_m2,
            self.bed.need(layer.course.open_fraction, "open_share", layer),
            self.bed.need(depth, "thickness", layer),
        )
        yield self.mass(layer, volume_m3, "joint-stone", "joint stone")

    def stone(self, layer: BedCourse) -> Iterator[TakeOffItem]:
        thickness_m = self.bed.need(layer.course.thickness_m, "thickness", layer)
        yield self.mass(layer, course_volume_m3(self.area_m2, thickness_m), "stone", "stone")

    def mass(self, layer: BedCourse, volume_m3: float, ordered: Ordered, word: str) -> TakeOffItem:
        if not layer.course.stone:
            self.bed.need(None, "stone", layer)
        is_dense = layer.course.stone in DENSE
        porosity = self.spans[f"porosity of {'dense' if is_dense else 'open-graded'} stone"]
        stated = layer.porosity_fraction
        if stated is not None:
            porosity = Span(
                max(0.0, stated - POROSITY_EITHER_WAY), stated, stated + POROSITY_EITHER_WAY
            )
        gravity = self.spans["specific gravity"]
        if layer.course.specific_gravity_ratio is not None:
            known = layer.course.specific_gravity_ratio
            gravity = Span(known, known, known)
        mass = stone_mass_kg(volume_m3, porosity, gravity)
        extra = self.spans["dense stone" if is_dense else "open-graded stone"]
        needed = Span(
            mass.least * (1 + extra.least),
            mass.usual * (1 + extra.usual),
            mass.most * (1 + extra.most),
        )
        note = (
            f"porosity {porosity.least:.0%} to {porosity.most:.0%}, specific gravity "
            f"{gravity.least:.2f} to {gravity.most:.2f}, {extra.least:.0%} to {extra.most:.0%} "
            "for compaction and loss"
        )
        return self.item(
            f"{word} {layer.course.stone}",
            f"{layer.course.title}, No. {layer.course.stone}"
            if layer.course.stone[0].isdigit()
            else f"{layer.course.title}, {layer.course.stone}",
            ordered,
            Amount(volume_m3, VOLUME),
            needed,
            note,
        )

    def sheet(self, layer: BedCourse) -> Iterator[TakeOffItem]:
        sheet = layer.course.sheet
        assert sheet is not None
        lap_m = self.bed.need(sheet.lap_m, "lap", layer)
        if layer.course.kind == "liner" and "base" not in sheet.covers:
            raise NotMeasured(f"the {layer.name} covers {sheet.covers} alone: measure it up")
        roll_m = self.bed.need(sheet.roll_width_m, "roll_width", layer)
        if roll_m <= lap_m:
            raise NotMeasured(f"the lap of the {layer.name} is as wide as its roll")
        up_m = sheet.turn_up_m or 0.0
        box = self.shape.minimum_rotated_rectangle
        if isinstance(box, shapely.Polygon) and same(float(box.area), self.area_m2):
            sides = [math.dist(a, b) for a, b in pairwise(list(box.exterior.coords)[:3])]
            needed_m2 = fabric_area_m2(
                sides[0], sides[1], roll_width_m=roll_m, lap_m=lap_m, turn_up_m=up_m
            )
            note = "strips over the rectangle, with laps and turned-up sides"
        else:
            flat_m2 = self.area_m2 + up_m * float(self.shape.length)
            needed_m2 = flat_m2 * roll_m / (roll_m - lap_m)
            note = "by area with laps and turned-up sides; lay out the strips before ordering"
        kind = layer.course.kind
        ordered: Ordered = "grid" if kind == "grid" else "liner" if kind == "liner" else "fabric"
        title = layer.course.title
        key = f"{kind} {sheet.weave} {title.lower()}".replace("  ", " ")
        needed = Span(needed_m2, needed_m2, needed_m2)
        in_place = Amount(self.area_m2, AREA)
        yield self.item(key, title, ordered, in_place, needed, note)

    def pipe(self) -> Iterator[TakeOffItem]:
        pipe = self.bed.section.pipe
        assert pipe is not None
        if pipe.length_m is None:
            raise NotMeasured(f"give 'length' of the pipe of {self.bed.section.id}")
        share = self.spans["pipe"]
        needed = Span(
            *(pipe_length_m(pipe.length_m, s) for s in (share.least, share.usual, share.most))
        )
        size = f"{pipe.diameter_m * 1000:.0f}"
        note = f"with {share.least:.0%} to {share.most:.0%} for cuts and joints"
        in_place = Amount(pipe.length_m, LENGTH)
        yield self.item(f"pipe {size}", "Perforated pipe", "pipe", in_place, needed, note)
        fittings = 1 + (self.bed.section.well_count or 0)
        note = "an end cap, and a tee to each observation well"
        yield self.pieces(f"pipe fittings {size}", "Pipe fittings", fittings, note)

    def pieces(self, key: str, title: str, count: int, note: str) -> TakeOffItem:
        exact = Span(float(count), float(count), float(count))
        return self.item(key, title, "piece", Amount(float(count), RATIO), exact, note)

    def well(self) -> Iterator[TakeOffItem]:
        count = self.bed.section.well_count or 0
        yield self.pieces("observation well", "Observation well with cap", count, "")

    def edge(self) -> Iterator[TakeOffItem]:
        length_m = self.bed.section.edge_length_m
        note = ""
        if length_m is None:
            length_m, note = float(self.shape.length), "the whole outline, as no length is given"
        exact = Span(length_m, length_m, length_m)
        title = self.bed.section.edge.capitalize()
        key = f"edge {self.bed.section.edge}"
        yield self.item(key, title, "edge", Amount(length_m, LENGTH), exact, note)

    def dig(self) -> Iterator[TakeOffItem]:
        bank_m3 = course_volume_m3(self.area_m2, depth_m(self.bed))
        soil = self.bed.ground.soil.texture
        kind = next((word for word in ("clay", "sand") if word in soil), "common earth")
        swell = self.spans[f"swell of {kind}"]
        needed = Span(
            *(loose_volume_m3(bank_m3, s) for s in (swell.least, swell.usual, swell.most))
        )
        note = (
            f"from the finished surface down, swelling {swell.least:.0%} to {swell.most:.0%} "
            f"({kind}); add what lies higher, and what old paving is removed"
        )
        yield self.item("spoil", "Excavation", "spoil", Amount(bank_m3, VOLUME), needed, note)
