"""Drainage as drawn: planes of paving, drains, pipes, stores, ends, overflow edges, storms.

Only what stands in the file, None or empty where it says nothing; what it carries is worked out in
`measure`. Points are in metres on the drawing, levels in metres above the file's own datum.
"""

from __future__ import annotations

from typing import Literal

from checker.core.problems import Place
from checker.core.records import Record

Xy = tuple[float, float]
"""A point of the drawing, metres."""

DrainKind = Literal["area-drain", "channel-drain", "roof-leader"]
PitKind = Literal["dry-well", "reservoir", "basin", "any-shape"]
StormForm = Literal["nested", "uniform", "type-1", "type-1a", "type-2", "type-3"]


class Panel(Record, kw_only=True):
    """One plane of paving.

    Attributes:
        id: Its name.
        on: The surface it is a part of.
        place: Where the file says so.
        outline: Its corners; empty for the whole surface.
        levels: Spot levels, each a point and its level.
        level_m: One level instead, with `pitch_fraction` and `toward_degrees`.
        at: Where that level holds.
        pitch_fraction: Its fall.
        toward_degrees: Where it falls, clockwise from the top of the drawing.
        toward: The same in words, see `site.aims`; empty where degrees are given.
        drains_to: The drain, store or edge; empty to find it from the fall.
        runoff_fraction: Runoff coefficient.
        concentration_s: Time of concentration.
        concentration_source: Where that time is from.
    """

    id: str
    on: str
    place: Place
    outline: tuple[Xy, ...] = ()
    levels: tuple[tuple[Xy, float], ...] = ()
    level_m: float | None = None
    at: Xy | None = None
    pitch_fraction: float | None = None
    toward_degrees: float | None = None
    toward: str = ""
    drains_to: str = ""
    runoff_fraction: float | None = None
    concentration_s: float | None = None
    concentration_source: str = ""


class SpotLevel(Record, kw_only=True):
    """A level that was measured or is to be built.

    Attributes:
        at: Where.
        level_m: The level.
        what: Of what: ground, lot corner, sill ...
        is_proposed: To be built; measured otherwise.
    """

    at: Xy
    level_m: float
    what: str = "ground"
    is_proposed: bool = False


class DrawnGrate(Record, kw_only=True):
    """The grate of an area drain.

    Attributes:
        size: Its name in the table of stock; empty when it is given by its measures.
        width_m: Across.
        length_m: Along a wall when it stands against one.
        open_m2: Clear area.
        is_against_wall: No water comes from one of its long sides.
    """

    size: str = ""
    width_m: float | None = None
    length_m: float | None = None
    open_m2: float | None = None
    is_against_wall: bool = False


class Drain(Record, kw_only=True):
    """A drain in the surface, or the top of a roof leader.

    Attributes:
        id: Its name.
        kind: What it is.
        place: Where the file says so.
        points: One point, or the line of a channel.
        rim_m: Level of its grate, or of the gutter above a leader.
        to: The pipe or store below.
        spills_to: Where water goes over the surface when it is full.
        spill_depth_m: Water over it before it goes on.
        spill_length_m: Length of the edge over which it goes on.
        clogged_fraction: Share of its opening that is clogged.
        grate: Of an area drain.
        width_m: Inside width of a channel.
        depth_m: Inside depth of a channel.
        fall_fraction: Built-in fall of a channel.
        slot_m: Width of the slot of a channel.
        open_m2: Clear area over a channel.
        of: The roof that a leader drains.
        share_fraction: Share of that roof.
        diameter_m: Inside diameter of a leader.
    """

    id: str
    kind: DrainKind
    place: Place
    points: tuple[Xy, ...] = ()
    rim_m: float | None = None
    to: str = ""
    spills_to: str = ""
    spill_depth_m: float | None = None
    spill_length_m: float | None = None
    clogged_fraction: float | None = None
    grate: DrawnGrate | None = None
    width_m: float | None = None
    depth_m: float | None = None
    fall_fraction: float | None = None
    slot_m: float | None = None
    open_m2: float | None = None
    of: str = ""
    share_fraction: float | None = None
    diameter_m: float | None = None


class DrainPipe(Record, kw_only=True):
    """A pipe.

    Attributes:
        id: Its name.
        place: Where the file says so.
        to: What its lower end leads to.
        diameter_m: Inside diameter.
        material: A row of the table of roughness.
        roughness_coefficient: Manning's n given instead.
        points: Its line.
        length_m: Its length, that of the line when not given.
        upper_m: Invert at the upper end.
        lower_m: Invert at the lower end.
        slope_fraction: Given instead of one invert.
        cover_m: Least ground over its top.
        bend_loss: Sum of the loss coefficients of bends and fittings; None takes those of its line.
        cleanouts: Where it can be opened along its line.
    """

    id: str
    place: Place
    to: str = ""
    diameter_m: float | None = None
    material: str = ""
    roughness_coefficient: float | None = None
    points: tuple[Xy, ...] = ()
    length_m: float | None = None
    upper_m: float | None = None
    lower_m: float | None = None
    slope_fraction: float | None = None
    cover_m: float | None = None
    bend_loss: float | None = None
    cleanouts: tuple[Xy, ...] = ()


class PitOutlet(Record, kw_only=True):
    """A way out of a store besides the soil: a round mouth, or an edge."""

    id: str
    kind: Literal["pipe", "edge"]
    place: Place
    invert_m: float | None = None
    diameter_m: float | None = None
    crest_m: float | None = None
    length_m: float | None = None
    to: str = ""


class PitRow(Record, kw_only=True):
    """A row of a store of any shape: a level with what lies below it."""

    level_m: float
    stored_m3: float
    base_m2: float
    walls_m2: float


class Pit(Record, kw_only=True):
    """A dry well, a stone reservoir, or a store of any shape.

    Attributes:
        id: Its name.
        kind: What it is.
        place: Where the file says so.
        at: Where it lies.
        under: The surface that a reservoir lies below.
        bottom_m: Level of its base, the lowest point of a sloped one.
        bottom_is_of_section: The file says none: it is where the section above it ends.
        depth_m: Depth of what stores water.
        porosity_fraction: Holes per volume of its stone.
        length_m: Of a reservoir, along its fall.
        width_m: Of a reservoir.
        slope_fraction: Fall of its base.
        side_slope_ratio: Of a basin, run of its sides over their rise.
        chamber_m: Inside diameter of the chamber of a dry well.
        pit_m: Diameter of its pit.
        stone_below_m: Stone below its chamber.
        cover_m: Ground over a dry well.
        rows: Of a store of any shape.
        base_counts: Water soaks through the base.
        walls_count: Water soaks through the walls.
        rate_m_per_s: Measured rate at its base; the ground's without.
        outlets: Ways out besides the soil.
        rim_m: Level of the open surface above it; None when it is buried.
        spills_to: Where water goes from that surface.
        spill_length_m: Length of the edge over which it goes.
        surface_rate_m_per_s: Rate at which the surface takes water.
        cover_porosity_fraction: Holes per volume between the stone and the surface; None takes
            those of the bedding and joints of its section, or none.
    """

    id: str
    kind: PitKind
    place: Place
    at: Xy | None = None
    under: str = ""
    bottom_m: float | None = None
    bottom_is_of_section: bool = False
    depth_m: float | None = None
    porosity_fraction: float | None = None
    length_m: float | None = None
    width_m: float | None = None
    slope_fraction: float | None = None
    side_slope_ratio: float | None = None
    chamber_m: float | None = None
    pit_m: float | None = None
    stone_below_m: float | None = None
    cover_m: float | None = None
    rows: tuple[PitRow, ...] = ()
    base_counts: bool = True
    walls_count: bool = True
    rate_m_per_s: float | None = None
    outlets: tuple[PitOutlet, ...] = ()
    rim_m: float | None = None
    spills_to: str = ""
    spill_length_m: float | None = None
    surface_rate_m_per_s: float | None = None
    cover_porosity_fraction: float | None = None


class Outfall(Record, kw_only=True):
    """A lawful end of a pipe.

    Attributes:
        id: Its name.
        kind: What it is.
        place: Where the file says so.
        at: Where it lies.
        level_m: Level of the water that it leads into, of the free end, or of the lid of a pop-up.
        limit_m3_per_s: Most that it lets out.
        loss: Sum of the loss coefficients of its riser and lid.
    """

    id: str
    kind: Literal["pop-up", "daylight", "sewer", "curb"]
    place: Place
    at: Xy | None = None
    level_m: float | None = None
    limit_m3_per_s: float | None = None
    loss: float | None = None


class OverflowEdge(Record, kw_only=True):
    """An edge over which water may leave the paving.

    Attributes:
        id: Its name.
        place: Where the file says so.
        points: Its line.
        onto: What lies beyond.
        crest_m: Its lowest level.
        existing_m3_per_s: Flow over it before the work, in the design storm.
    """

    id: str
    place: Place
    points: tuple[Xy, ...]
    onto: Literal["own land", "street", "neighbour", "house", "pool"]
    crest_m: float | None = None
    existing_m3_per_s: float | None = None


class DrawnInflow(Record, kw_only=True):
    """Water that no surface of the lot sheds.

    Attributes:
        id: Its name.
        kind: Off land that is not drawn, or pumped.
        place: Where the file says so.
        to: Where it comes to.
        area_m2: Of the land.
        runoff_fraction: Runoff coefficient of the land.
        concentration_s: Time of concentration of the land.
        concentration_source: Where that time is from.
        flow_m3_per_s: What is pumped.
        duration_s: How long the pump runs.
    """

    id: str
    kind: Literal["off-site", "pumped"]
    place: Place
    to: str
    area_m2: float | None = None
    runoff_fraction: float | None = None
    concentration_s: float | None = None
    concentration_source: str = ""
    flow_m3_per_s: float | None = None
    duration_s: float | None = None


class WaysOut(Record, kw_only=True):
    """Everything that takes water.

    Attributes:
        inflows: Water that no surface of the lot sheds.
        drains: Drains in the surface and roof leaders.
        pipes: Pipes.
        pits: Stores.
        outfalls: Lawful ends.
        edges: Overflow edges.
        lowest_floor_m: Lowest floor or door sill.
        coping_m: Lowest level of the coping.
        clogged_fraction: Share of each opening that is clogged where a drain does not say.
    """

    inflows: tuple[DrawnInflow, ...] = ()
    drains: tuple[Drain, ...] = ()
    pipes: tuple[DrainPipe, ...] = ()
    pits: tuple[Pit, ...] = ()
    outfalls: tuple[Outfall, ...] = ()
    edges: tuple[OverflowEdge, ...] = ()
    lowest_floor_m: float | None = None
    coping_m: float | None = None
    clogged_fraction: float = 0.5


class StormAsked(Record, kw_only=True):
    """A storm as the file asks for it.

    Attributes:
        place: Where the file says so.
        return_period_years: For the rain table.
        duration_s: Its duration; 24 hours for the storm types.
        form: How it falls in time.
        depth_m: Its depth, instead of the rain table.
        fallen: Typed: times and the depth fallen until then.
    """

    place: Place
    return_period_years: float | None = None
    duration_s: float | None = None
    form: StormForm = "nested"
    depth_m: float | None = None
    fallen: tuple[tuple[float, float], ...] = ()


class Storms(Record, kw_only=True):
    """The rain to design with.

    Attributes:
        table: Path of the rain table, from the folder of the site file; empty without one.
        origin: Where the table is from, as the file says; empty when only the table does.
        place: Where the file names it.
        step_s: Time step of the calculation.
        design: What the drains must take.
        rare: What may overflow, and where.
    """

    table: str = ""
    origin: str = ""
    place: Place = Place("")
    step_s: float = 60.0
    design: StormAsked | None = None
    rare: StormAsked | None = None
