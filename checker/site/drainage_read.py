"""The `panels` and `ways_out` of a site file as records, or every problem in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems, did_you_mean
from checker.core.units import AREA, FLOW, SPEED, TIME, VOLUME
from checker.files.shape import check_shape
from checker.site.aims import check_aim
from checker.site.drainage import (
    Drain,
    DrainPipe,
    DrawnGrate,
    DrawnInflow,
    Outfall,
    OverflowEdge,
    Panel,
    Pit,
    PitOutlet,
    PitRow,
    WaysOut,
    Xy,
)
from checker.site.drainage_bounds import check_sizes
from checker.site.drainage_sizes import check_openings
from checker.site.drawn_fields import DrawnFields
from checker.site.ground import FASTEST_DO, FASTEST_SOIL_M_PER_S

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from typing import TypeVar

    from checker.files.source import Document

    T = TypeVar("T")
    At = tuple[str | int, ...]

_DRAIN_KEYS: Final[dict[str, set[str]]] = {
    "area-drain": {"at", "grate"},
    "channel-drain": {"along", "width", "depth", "fall", "slot", "open"},
    "roof-leader": {"at", "of", "share", "diameter"},
}
_PIT_KEYS: Final[dict[str, set[str]]] = {
    "dry-well": {"depth", "porosity", "chamber", "pit", "stone_below", "cover"},
    "reservoir": {"under", "depth", "porosity", "length", "width", "slope"},
    "basin": {"depth", "porosity", "length", "width", "side_slope"},
    "any-shape": {"rows"},
}
LONGEST_PUMPED_S: Final = 7 * 86400.0
"""A pool that is pumped out is empty within a week."""

_INFLOW_KEYS: Final[dict[str, set[str]]] = {
    "off-site": {"area", "runoff", "concentration", "concentration_source"},
    "pumped": {"flow", "duration"},
}
_OUTLET_KEYS: Final[dict[str, set[str]]] = {
    "pipe": {"invert", "diameter"},
    "edge": {"crest", "length"},
}


def read_panels(data: object, document: Document) -> tuple[Panel, ...]:
    """The panels of a site file.

    Args:
        data: What stands under `panels`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return ()
    shaped: list[dict[str, Any]] = check_shape("panels", data, document, ("panels",))
    problems = Problems()
    found = tuple(_panel(item, document, ("panels", i), problems) for i, item in enumerate(shaped))
    _unique(((panel.id, panel.place) for panel in found), "panel", problems)
    surfaces = [item.get("id") for item in document.data.get("surfaces", []) if item]
    for index, panel in enumerate(found):
        if panel.on not in surfaces:
            place = document.place("panels", index, "on")
            says = f"the panel '{panel.id}' lies on '{panel.on}', which is no surface"
            problems.add(place, says, did_you_mean(panel.on, [s for s in surfaces if s]))
    problems.stop_if_any(f"{document.file} cannot be used")
    return found


def _unique(named: Iterable[tuple[str, Any]], noun: str, problems: Problems) -> None:
    seen: set[str] = set()
    for name, place in named:
        if name in seen:
            article = "an" if noun[0] in "aeiou" else "a"
            says = f"{article} {noun} '{name}' is there twice"
            problems.add(place, says, "give each an 'id' of its own")
        seen.add(name)


def _panel(data: Mapping[str, Any], document: Document, at: At, problems: Problems) -> Panel:
    name = data.get("id", data["on"])
    fields = DrawnFields(data, document, at, f"the panel {name}", problems)
    levels = []
    for key, given in data.get("levels", {}).items():
        inner = DrawnFields(
            data["levels"], document, (*at, "levels"), f"the panel {name}", problems
        )
        point = _spot(key, inner)
        level_m = inner.level(given, key)
        if point is not None and level_m is not None:
            levels.append((point, level_m))
    plain = {"level", "at", "pitch", "toward"}
    if "levels" in data and plain & set(data):
        says = f"{fields.owner} has spot levels and {sorted(plain & set(data))} too"
        problems.add(fields.place("levels"), says, "keep one way of saying how it lies")
    toward = data.get("toward")
    if isinstance(toward, str):
        check_aim(toward, document.data, fields.place("toward"), problems)
    return Panel(
        id=name,
        on=data["on"],
        place=document.place(*at),
        outline=fields.points("points"),
        levels=tuple(levels),
        level_m=fields.level_m("level"),
        at=fields.point("at"),
        pitch_fraction=fields.ratio("pitch"),
        toward_degrees=float(toward) if isinstance(toward, int | float) else None,
        toward=toward if isinstance(toward, str) else "",
        drains_to=fields.text("drains_to"),
        runoff_fraction=fields.share_fraction("runoff"),
        concentration_s=fields.size("concentration", TIME),
        concentration_source=fields.text("concentration_source"),
    )


def _spot(key: str, fields: DrawnFields) -> Xy | None:
    parts = key.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        place = fields.document.key_place(*fields.at, key)
        fields.problems.add(place, f"'{key}' is no point", 'write x and y, such as "10,20"')
        return None
    return fields.xy([x, y])


def read_ways_out(data: object, document: Document) -> WaysOut:
    """The ways out of a site file.

    Args:
        data: What stands under `ways_out`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return WaysOut()
    at: At = ("ways_out",)
    shaped: dict[str, Any] = check_shape("ways_out", data, document, at)
    problems = Problems()

    def each(group: str, read: Callable[[DrawnFields], T]) -> tuple[T, ...]:
        return tuple(
            read(DrawnFields(item, document, (*at, group, i), item["id"], problems))
            for i, item in enumerate(shaped.get(group, []))
        )

    fields = DrawnFields(shaped, document, at, "the ways out", problems)
    clogged = fields.share_fraction("clogged")
    found = WaysOut(
        inflows=each("inflows", _inflow),
        drains=each("inlets", _drain),
        pipes=each("pipes", _pipe),
        pits=each("stores", _pit),
        outfalls=each("outlets", _outfall),
        edges=each("overflow_edges", _edge),
        lowest_floor_m=fields.level_m("lowest_floor"),
        coping_m=fields.level_m("coping"),
        clogged_fraction=0.5 if clogged is None else clogged,
    )
    groups = (
        found.inflows, found.drains, found.pipes, found.pits, found.outfalls, found.edges,
    )  # fmt: skip
    _unique(((item.id, item.place) for group in groups for item in group), "way out", problems)
    problems.stop_if_any(f"{document.file} cannot be used")
    return found


def _inflow(fields: DrawnFields) -> DrawnInflow:
    data = fields.data
    fields.only(data["kind"], _INFLOW_KEYS)
    check_sizes(fields, "inflows")
    fields.above_zero("area", "flow", "duration")
    duration_s = fields.size("duration", TIME)
    fields.at_most("duration", duration_s, LONGEST_PUMPED_S, "give how long the pump runs at once")
    return DrawnInflow(
        id=data["id"],
        kind=data["kind"],
        place=fields.document.place(*fields.at),
        to=fields.text("to"),
        area_m2=fields.size("area", AREA),
        runoff_fraction=fields.share_fraction("runoff"),
        concentration_s=fields.size("concentration", TIME),
        concentration_source=fields.text("concentration_source"),
        flow_m3_per_s=fields.size("flow", FLOW),
        duration_s=duration_s,
    )


def _drain(fields: DrawnFields) -> Drain:
    data = fields.data
    fields.only(data["kind"], _DRAIN_KEYS)
    check_sizes(fields, "inlets")
    fields.above_zero("width", "depth", "slot", "diameter", "spill_length", "open")
    grate = None
    if "grate" in data:
        inner = DrawnFields(
            data["grate"], fields.document, (*fields.at, "grate"), fields.owner, fields.problems
        )
        inner.above_zero("width", "length", "open")
        grate = DrawnGrate(
            size=inner.text("size"),
            width_m=inner.length_m("width"),
            length_m=inner.length_m("length"),
            open_m2=inner.size("open", AREA),
            is_against_wall=inner.text("against") == "wall",
        )
    point = fields.point("at")
    found = Drain(
        id=data["id"],
        kind=data["kind"],
        place=fields.document.place(*fields.at),
        points=(point,) if point is not None else fields.points("along"),
        rim_m=fields.level_m("rim"),
        to=fields.text("to"),
        spills_to=fields.text("spills_to"),
        spill_depth_m=fields.length_m("spill_depth"),
        spill_length_m=fields.length_m("spill_length"),
        clogged_fraction=fields.share_fraction("clogged"),
        grate=grate,
        width_m=fields.length_m("width"),
        depth_m=fields.length_m("depth"),
        fall_fraction=fields.ratio("fall"),
        slot_m=fields.length_m("slot"),
        open_m2=fields.size("open", AREA),
        of=fields.text("of"),
        share_fraction=fields.share_fraction("share"),
        diameter_m=fields.length_m("diameter"),
    )
    check_openings(found, fields)
    return found


def _pipe(fields: DrawnFields) -> DrainPipe:
    data = fields.data
    check_sizes(fields, "pipes")
    fields.above_zero("diameter", "length")
    given = [key for key in ("upper", "lower", "slope") if key in data]
    if len(given) == 3:
        says = f"{fields.owner} has two inverts and a slope"
        fields.problems.add(fields.place("slope"), says, "leave one of the three out")
    roughness = data.get("roughness")
    if roughness is not None and not 0.005 <= roughness <= 0.5:
        says = f"{fields.what('roughness')} is {roughness:g}"
        fields.problems.add(fields.place("roughness"), says, "give Manning's n, 0.009 to 0.025")
    return DrainPipe(
        id=data["id"],
        place=fields.document.place(*fields.at),
        to=fields.text("to"),
        diameter_m=fields.length_m("diameter"),
        material=fields.text("material"),
        roughness_coefficient=roughness,
        points=fields.points("along"),
        length_m=fields.length_m("length"),
        upper_m=fields.level_m("upper"),
        lower_m=fields.level_m("lower"),
        slope_fraction=fields.ratio("slope"),
        cover_m=fields.length_m("cover"),
        bend_loss=_loss(fields, "bend_loss"),
        cleanouts=fields.points("cleanouts"),
    )


def _pit(fields: DrawnFields) -> Pit:
    data = fields.data
    fields.only(data["kind"], _PIT_KEYS)
    check_sizes(fields, "stores")
    fields.above_zero("depth", "length", "width", "pit", "spill_length", "porosity")

    def inner(key: str, *more: str | int) -> DrawnFields:
        part = data.get(key, {}) if not more else data[key][more[0]]
        at = (*fields.at, key, *more)
        return DrawnFields(part, fields.document, at, fields.owner, fields.problems)

    soil = inner("soil")
    base, walls = soil.yes("base"), soil.yes("walls")
    outlets = [_pit_outlet(inner("outlets", i)) for i in range(len(data.get("outlets", ())))]
    _unique(((o.id, o.place) for o in outlets), f"outlet of {data['id']}", fields.problems)
    rows = [_pit_row(inner("rows", i)) for i in range(len(data.get("rows", ())))]
    soil.at_most("rate", soil.size("rate", SPEED), FASTEST_SOIL_M_PER_S, FASTEST_DO)
    holes = fields.share_fraction("cover_porosity")
    fields.at_most("cover_porosity", holes, 0.5, "give that of bedding and joints, 0 to 50 %")
    return Pit(
        id=data["id"],
        kind=data["kind"],
        place=fields.document.place(*fields.at),
        at=fields.point("at"),
        under=fields.text("under"),
        bottom_m=fields.level_m("bottom"),
        depth_m=fields.length_m("depth"),
        porosity_fraction=fields.share_fraction("porosity"),
        length_m=fields.length_m("length"),
        width_m=fields.length_m("width"),
        slope_fraction=fields.ratio("slope"),
        side_slope_ratio=fields.ratio("side_slope"),
        chamber_m=fields.length_m("chamber"),
        pit_m=fields.length_m("pit"),
        stone_below_m=fields.length_m("stone_below"),
        cover_m=fields.length_m("cover"),
        rows=tuple(row for row in rows if row is not None),
        base_counts=base if base is not None else True,
        walls_count=walls if walls is not None else True,
        rate_m_per_s=soil.size("rate", SPEED),
        outlets=tuple(outlets),
        rim_m=fields.level_m("rim"),
        spills_to=fields.text("spills_to"),
        spill_length_m=fields.length_m("spill_length"),
        surface_rate_m_per_s=fields.size("surface_rate", SPEED),
        cover_porosity_fraction=fields.share_fraction("cover_porosity"),
    )


def _pit_outlet(fields: DrawnFields) -> PitOutlet:
    data = fields.data
    fields.only(data["kind"], _OUTLET_KEYS)
    check_sizes(fields, "outlets")
    fields.above_zero("diameter", "length")
    return PitOutlet(
        id=data["id"],
        kind=data["kind"],
        place=fields.document.place(*fields.at),
        invert_m=fields.level_m("invert"),
        diameter_m=fields.length_m("diameter"),
        crest_m=fields.level_m("crest"),
        length_m=fields.length_m("length"),
        to=fields.text("to"),
    )


def _pit_row(fields: DrawnFields) -> PitRow | None:
    level_m, stored_m3 = fields.level_m("level"), fields.size("stored", VOLUME)
    if level_m is None or stored_m3 is None:
        return None
    return PitRow(
        level_m=level_m,
        stored_m3=stored_m3,
        base_m2=fields.size("base", AREA) or 0.0,
        walls_m2=fields.size("walls", AREA) or 0.0,
    )


def _outfall(fields: DrawnFields) -> Outfall:
    return Outfall(
        id=fields.data["id"],
        kind=fields.data["kind"],
        place=fields.document.place(*fields.at),
        at=fields.point("at"),
        level_m=fields.level_m("level"),
        limit_m3_per_s=fields.size("limit", FLOW),
        loss=_loss(fields, "loss"),
    )


def _loss(fields: DrawnFields, key: str) -> float | None:
    """A sum of loss coefficients."""
    loss = fields.data.get(key)
    if loss is not None and not 0 <= loss <= 100:
        says = f"{fields.what(key)} is {loss:g}"
        fields.problems.add(fields.place(key), says, "give a sum of loss coefficients, 0 to 100")
    return loss


def _edge(fields: DrawnFields) -> OverflowEdge:
    return OverflowEdge(
        id=fields.data["id"],
        place=fields.document.place(*fields.at),
        points=fields.points("along"),
        onto=fields.data["onto"],
        crest_m=fields.level_m("crest"),
        existing_m3_per_s=fields.size("existing_flow", FLOW),
    )
