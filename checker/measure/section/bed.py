"""A drawn section with what its stone means: bands, curves, grain sizes, porosity."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from checker.core.formula import OutOfRange
from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record
from checker.core.words import CourseKind
from checker.courses.filters import Grains, GrainSpan, grain_span
from checker.courses.gradation import BadCurve, SieveBand, SieveCurve
from checker.courses.tables import bands, sieve_openings_m
from checker.courses.voids import VoidMixUp, stated_porosity_fraction
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.site.ground import Ground, read_ground
from checker.site.section import STONE_KINDS, Course, PavementSection
from checker.site.section_read import read_sections

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.core.problems import Place
    from checker.files.source import Document
    from checker.measure.survey import Survey
    from checker.site.model import Surface


@cache
def sieve_openings() -> dict[str, float]:
    """The opening of each sieve by name, metres."""
    found = table("sieves")
    return sieve_openings_m(found.rows, found.columns)


@cache
def stone_sizes() -> dict[str, SieveBand]:
    """The stone sizes of the table by name."""
    return bands(table("stone-sizes").rows, sieve_openings())


class BedCourse(Record, kw_only=True):
    """One course with what is known of its stone.

    Attributes:
        course: As drawn.
        band: The limits of its stone size; None when no size is named.
        curve: A submitted sieve test; None without one.
        span: Its grain sizes; None when neither is known.
        porosity_fraction: Holes per volume in place; None when not said.
    """

    course: Course
    band: SieveBand | None = None
    curve: SieveCurve | None = None
    span: GrainSpan | None = None
    porosity_fraction: float | None = None

    @property
    def name(self) -> str:
        """How a message calls it."""
        return self.course.title.lower()


class Bed(Record, kw_only=True):
    """A section with what its stone and the ground below it mean.

    Attributes:
        section: As drawn.
        layers: Its courses from the top down.
        ground: What is known below.
        soil: Grain sizes of the soil; None when not known.
        surround: Grain sizes of the stone right round the pipe; None without a pipe.
    """

    section: PavementSection
    layers: tuple[BedCourse, ...]
    ground: Ground
    soil: GrainSpan | None = None
    surround: GrainSpan | None = None

    def of(self, *kinds: CourseKind) -> tuple[BedCourse, ...]:
        """The layers of some kinds, from the top down."""
        return tuple(layer for layer in self.layers if layer.course.kind in kinds)

    @property
    def is_lined(self) -> bool:
        """A liner lies below the stone; one at the sides alone leaves the base open."""
        return any(
            layer.course.sheet is None or "base" in layer.course.sheet.covers
            for layer in self.of("liner")
        )

    @property
    def stones(self) -> tuple[BedCourse, ...]:
        """The courses of stone or sand under the units, from the top down."""
        return self.of(*STONE_KINDS)

    @property
    def reservoir(self) -> tuple[BedCourse, ...]:
        """The courses that may store water: the stone below the bedding."""
        return tuple(layer for layer in self.stones if layer.course.kind != "bedding")

    def need(self, value: float | None, key: str, layer: BedCourse | None = None) -> float:
        """A value that a measure cannot do without.

        Raises:
            NotMeasured: It is None; says which key to give.
        """
        if value is None:
            owner = f"the {layer.name} of {self.section.id}" if layer else self.section.id
            raise NotMeasured(f"give '{key}' of {owner}")
        return value

    def thickness_m(self, layers: Iterable[BedCourse]) -> float:
        """The sum of the thicknesses of some layers, 0 for none.

        Raises:
            NotMeasured: One of them has no thickness.
        """
        return sum(self.need(layer.course.thickness_m, "thickness", layer) for layer in layers)


def beds(survey: Survey) -> dict[str, Bed]:
    """The beds of all sections of a site, by id; read once per survey.

    Raises:
        BadInput: Sections or ground have problems.
    """
    ground = survey.part("ground", read_ground)
    return survey.part(
        "sections",
        lambda data, document: _resolved(read_sections(data, document), ground, document),
    )


def check_sections(survey: Survey) -> None:
    """Read all sections and the ground, whether or not a rule asks for them.

    Raises:
        BadInput: They have problems, or a surface names a section that is not there.
    """
    beds(survey)
    for surface in survey.site.surfaces:
        bed_of(survey, surface)


def bed_of(survey: Survey, surface: Surface) -> Bed | None:
    """The bed below a surface; None when it names no section.

    Raises:
        BadInput: It names one that is not there.
    """
    if not surface.section:
        return None
    known = beds(survey)
    if surface.section not in known:
        problems = Problems()
        says = f"{surface.id} names the section '{surface.section}', which is not there"
        problems.add(surface.place, says, did_you_mean(surface.section, known))
        problems.stop_if_any(f"{surface.place.file} cannot be used")
    return known[surface.section]


def need_bed(survey: Survey, surface: Surface) -> Bed:
    """The bed below a surface.

    Raises:
        NotMeasured: It names no section.
    """
    found = bed_of(survey, surface)
    if found is None:
        raise NotMeasured("name its pavement section: 'section'")
    return found


def _resolved(
    sections: dict[str, PavementSection], ground: Ground, document: Document
) -> dict[str, Bed]:
    problems = Problems()
    soil = _soil(ground, document, problems)
    found = {name: make_bed(item, ground, soil, problems) for name, item in sections.items()}
    problems.stop_if_any(f"{document.file} cannot be used")
    return found


def make_bed(
    section: PavementSection, ground: Ground, soil: GrainSpan | None, problems: Problems
) -> Bed:
    """A section with its stone looked up; what cannot be is a problem."""
    layers = tuple(_layer(course, problems) for course in section.courses)
    surround = None
    if section.pipe is not None:
        below = [layer.span for layer in layers if layer.course.kind in STONE_KINDS]
        band = _band(section.pipe.stone, section.pipe.place, problems)
        surround = grain_span(band) if band else (below[-1] if below else None)
    return Bed(section=section, layers=layers, ground=ground, soil=soil, surround=surround)


def _band(stone: str, place: Place, problems: Problems) -> SieveBand | None:
    if not stone:
        return None
    found = stone_sizes().get(stone)
    if found is None:
        says = f"there is no stone size '{stone}'"
        problems.add(place, says, did_you_mean(stone, stone_sizes()))
    return found


def _layer(course: Course, problems: Problems) -> BedCourse:
    band = _band(course.stone, course.place, problems)
    curve = _curve(course.sieves, course.place, problems)
    material = curve or band
    return BedCourse(
        course=course,
        band=band,
        curve=curve,
        span=grain_span(material) if material is not None else None,
        porosity_fraction=_porosity(course, problems),
    )


def _curve(
    sieves: tuple[tuple[str, float], ...], place: Place, problems: Problems
) -> SieveCurve | None:
    if not sieves:
        return None
    pairs: list[tuple[float, float]] = []
    for name, share in sieves:
        opening_m = sieve_openings().get(name)
        if opening_m is None:
            says = f"'{name}' is no sieve of the table"
            problems.add(place, says, did_you_mean(name, sieve_openings()))
        else:
            pairs.append((opening_m, share))
    if len(pairs) < len(sieves):
        return None
    try:
        return SieveCurve.of(pairs)
    except BadCurve as wrong:
        problems.add(place, str(wrong), "check the sieve test")
        return None


def _porosity(course: Course, problems: Problems) -> float | None:
    try:
        return stated_porosity_fraction(course.porosity_fraction, course.void_ratio)
    except (VoidMixUp, OutOfRange) as wrong:
        problems.add(course.place, str(wrong))
        return None


def _soil(ground: Ground, document: Document, problems: Problems) -> GrainSpan | None:
    soil = ground.soil
    curve = _curve(soil.sieves, document.place("ground", "soil", "sieves"), problems)
    if curve is not None:
        return grain_span(curve)
    grains = Grains(d15_m=soil.d15_m, d50_m=soil.d50_m, d85_m=soil.d85_m)
    if grains == Grains(d15_m=None, d50_m=None, d85_m=None):
        return None
    return grain_span(grains)
