"""What is to be built for water, in tables and details: sizes, levels, slopes, as drawn.

The calculations say what these carry; here stands what a contractor sets out and an inspector
measures. A cell that the file does not answer says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, RATIO, Amount
from checker.drawing.detail import WIDTH_MM, detail_svg
from checker.drawing.drain_details import details_of
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.network import inverts
from checker.measure.drainage.planes import planes
from checker.pages.blocks import (
    Block,
    Column,
    Columns,
    Picture,
    Table,
    numbers,
    para,
    part,
    texts_of,
)
from checker.pages.paper import Paper
from checker.papers.drainage_tables import NOT_GIVEN, DrainageTables
from checker.words.amounts import clean
from checker.words.sections import per_cent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.planes import Plane
    from checker.papers.job import Job
    from checker.site.drainage import DrainPipe, Xy


_MOST_CORNERS: Final = 8


def details_paper(job: Job, number: str) -> Paper:
    """The tables and the details, two beside each other."""
    tables = tuple(_Schedules(job).all())
    pictures = [
        Picture(
            svg=detail_svg(detail, job.system),
            file=f"detail-{detail.id}.svg",
            says=f"{detail.title}: "
            + "; ".join([text for _, text in detail.levels] + [text for _, text in detail.notes]),
            caption="",
            name=f"Detail {detail.title}",
            width_in=WIDTH_MM / 25.4,
        )
        for detail in details_of(job)
    ]
    pairs = [pictures[at : at + 2] for at in range(0, len(pictures), 2)]
    drawn: list[Block] = [
        Columns(tuple((picture,) for picture in pair)) if len(pair) > 1 else pair[0]
        for pair in pairs
    ]
    blocks: list[Block] = []
    if tables:
        blocks.append(part("What is built for water", *tables))
    if drawn:
        said = (
            "Drawn to the scale written on each from the site's own numbers. Walls, lids and what "
            "is not given are as the maker or the designer says."
        )
        blocks.append(part("Details", para(said, "fine"), *drawn))
    return Paper(
        id="details",
        number=number,
        title="Drainage schedule and details",
        blocks=tuple(blocks),
        is_empty=not blocks,
    )


class _Schedules:
    def __init__(self, job: Job) -> None:
        self.job = job
        self.tables = DrainageTables(job)
        self.parts = job.checked.site.parts

    def all(self) -> Iterator[Table]:
        if self.parts.get("ways_out"):
            for table in (self.pipes(), self.drains(), self.stores(), self.ends()):
                if table.rows:
                    yield table
        if self.parts.get("panels"):
            yield self.panels()

    def level(self, key: str, level_m: float | None) -> str:
        return NOT_GIVEN if level_m is None else self.tables.level(key, level_m)

    def size(self, key: str, size_m: float | None) -> str:
        if size_m is None:
            return NOT_GIVEN
        title = key.replace(".", " ")
        return self.job.figures.add_size(f"schedule.{key}", title, Amount(size_m, LENGTH))

    def length(self, key: str, length_m: float | None) -> str:
        return NOT_GIVEN if length_m is None else self.tables.figure(key, length_m, LENGTH)

    def pipes(self) -> Table:
        rows = tuple(map(self.pipe, ways_of(self.job.survey).pipes))
        heads = ("Inside", "Length", "Fall", "Upper invert", "Lower invert", "Ground over it")
        columns = (
            Column("Pipe", width=1.1),
            Column("Leads to", width=1.0),
            Column("Material", width=1.4),
            *numbers(*heads),
        )
        return Table("Pipes: sizes, materials, levels", columns, rows)

    def pipe(self, pipe: DrainPipe) -> tuple[str, ...]:
        at = f"schedule.{pipe.id}"
        long = fall = upper = lower = NOT_GIVEN
        try:
            lies = inverts(pipe)
        except NotMeasured:
            pass
        else:
            long = self.length(f"{at}.length", lies.length_m)
            fall = self.tables.figure(f"{at}.fall", lies.slope_fraction, RATIO, "%")
            upper = self.level(f"{at}.upper", lies.upper_m)
            lower = self.level(f"{at}.lower", lies.lower_m)
        return (
            clean(pipe.id),
            clean(pipe.to) or NOT_GIVEN,
            clean(pipe.material) or NOT_GIVEN,
            self.size(f"{pipe.id}.inside", pipe.diameter_m),
            long,
            fall,
            upper,
            lower,
            self.size(f"{pipe.id}.cover", pipe.cover_m),
        )

    def drains(self) -> Table:
        rows = []
        for drain in ways_of(self.job.survey).drains:
            at = drain.id
            if drain.kind == "channel-drain":
                wide = self.size(f"{at}.width", drain.width_m)
                deep = self.size(f"{at}.depth", drain.depth_m)
                slot = self.size(f"{at}.slot", drain.slot_m)
                size = f"{wide} wide, {deep} deep, slot {slot}"
            elif drain.kind == "roof-leader":
                size = f"{self.size(f'{at}.inside', drain.diameter_m)} inside"
            else:
                named = clean(drain.grate.size) if drain.grate else ""
                wide_m = drain.grate.width_m if drain.grate else None
                size = f"grate {named}" if named else self.size(f"{at}.grate", wide_m)
            rim = self.level(f"schedule.{at}.rim", drain.rim_m)
            if drain.kind == "roof-leader" and drain.rim_m is None:
                rim = "at the gutter"
            rows.append(
                (
                    clean(at),
                    drain.kind.replace("-", " "),
                    size,
                    rim,
                    clean(drain.to) or NOT_GIVEN,
                    clean(drain.spills_to) or NOT_GIVEN,
                )
            )
        columns = (
            *texts_of("Drain", "What it is"),
            Column("Size", width=2.0),
            Column("Rim", is_number=True),
            *texts_of("Leads to", "When full, to"),
        )
        return Table("Drains and leaders: sizes, rims", columns, tuple(rows))

    def stores(self) -> Table:
        rows = []
        for pit in ways_of(self.job.survey).pits:
            at = f"schedule.{pit.id}"
            top_m = None
            if pit.bottom_m is not None and pit.depth_m is not None:
                top_m = pit.bottom_m + pit.depth_m
            share = NOT_GIVEN
            if pit.porosity_fraction is not None:
                share = per_cent(pit.porosity_fraction)
            measures = [
                f"{name} {self.size(f'{pit.id}.{name}', value)}"
                for name, value in (
                    ("pit", pit.pit_m), ("chamber", pit.chamber_m),
                    ("stone below", pit.stone_below_m), ("cover", pit.cover_m),
                )
                if value is not None
            ]  # fmt: skip
            outlets = [
                f"{clean(outlet.id)} {self.level(f'{at}.{outlet.id}', outlet.invert_m)}"
                for outlet in pit.outlets
                if outlet.invert_m is not None
            ]
            rows.append(
                (
                    clean(pit.id),
                    pit.kind.replace("-", " "),
                    self.level(f"{at}.bottom", pit.bottom_m),
                    self.level(f"{at}.top", top_m),
                    share,
                    "; ".join(measures)
                    or (f"under {clean(pit.under)}" if pit.under else NOT_GIVEN),
                    "; ".join(outlets) or "none",
                )
            )
        columns = (
            *texts_of("Store", "What it is"),
            *numbers("Bottom", "Top of storage", "Holes"),
            Column("Measures", width=1.8),
            Column("Outlets, inverts", width=1.2),
        )
        return Table("Dry wells and stone: measures, levels", columns, tuple(rows))

    def ends(self) -> Table:
        """Where water ends, and the levels that nothing may rise to."""
        ways = ways_of(self.job.survey)
        rows = [
            (
                clean(end.id),
                end.kind.replace("-", " "),
                self.level(f"schedule.{end.id}", end.level_m),
            )
            for end in ways.outfalls
        ]
        rows += [
            (clean(edge.id), f"overflow edge, onto {edge.onto}",
             self.level(f"schedule.{edge.id}", edge.crest_m))
            for edge in ways.edges
        ]  # fmt: skip
        for name, level_m in (
            ("Lowest floor or sill", ways.lowest_floor_m),
            ("Coping", ways.coping_m),
        ):
            rows.append((name, "to stay dry", self.level(f"schedule.{name}", level_m)))
        columns = (*texts_of("Place"), Column("What it is", width=1.6), *numbers("Level"))
        return Table("Outlets, overflow edges, floor and coping: levels", columns, tuple(rows))

    def panels(self) -> Table:
        """The planes of the paving, with the level at each corner."""
        known, rows = planes(self.job.survey), []
        for panel in panels_of(self.job.survey):
            plane = known[panel.id]
            if isinstance(plane, NotMeasured):
                rows.append(
                    (clean(panel.id), clean(panel.on), NOT_GIVEN, NOT_GIVEN, clean(str(plane)))
                )
                continue
            corners = []
            for index, corner in enumerate(_corners(plane)):
                if plane.level_m is None:
                    continue
                x, y = (self.tables.figure(f"panel.{panel.id}.{index}.{axis}", value, LENGTH)
                        for axis, value in zip("xy", corner, strict=True))  # fmt: skip
                level = self.level(f"panel.{panel.id}.{index}.level", plane.level_at_m(corner))
                corners.append(f"({x}, {y}) {level}")
            key, title = f"schedule.{panel.id}.fall", f"fall of {panel.id}"
            fall = self.job.figures.add(key, title, Amount(plane.pitch_fraction, RATIO, "in/ft"))
            rows.append(
                (
                    clean(panel.id),
                    clean(self.job.keys.named(panel.on)),
                    fall,
                    f"{round(plane.toward_degrees) % 360}°",
                    "; ".join(corners) or NOT_GIVEN,
                )
            )
        columns = (
            *texts_of("Panel", "On"),
            Column("Fall", is_number=True, width=0.8),
            Column("Toward", is_number=True, width=0.6),
            Column("Levels at its corners, by place on the drawing", width=3.4),
        )
        return Table("Planes of the paving", columns, tuple(rows))


def _corners(plane: Plane) -> list[Xy]:
    """The corners of the largest part of a panel, without those that lie on a straight side."""
    import shapely

    largest = max(shapely.get_parts(plane.shape).tolist(), key=lambda part: part.area)
    ring = largest.exterior.simplify(0.001)
    return [(x, y) for x, y, *_ in ring.coords[:-1]][:_MOST_CORNERS]
