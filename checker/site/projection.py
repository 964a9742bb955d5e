"""Places on the globe, and points of a coordinate reference, as points of a local plan in metres.

Longitude and latitude go through a transverse Mercator projection about a point beside the lot: at
a mile from it lengths are true to three parts in a hundred million (d^2 / 2 R^2), and up is north.
Grid coordinates (state plane and the like) stay as they are; only a grid that stretches lengths is
projected anew.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record
from checker.core.units import UNIT
from checker.site.drawn_layers import counted_from

if TYPE_CHECKING:
    from checker.site.arcs import VertexPath
    from checker.site.clean import Notes
    from checker.site.drawn_layers import DrawnPiece

WIDEST_DEGREES: Final = 1.0
STRETCH_FRACTION: Final = 0.0005
"""Survey grids stretch lengths by up to 1 in 2,500, web maps by 20 % and more (from memory)."""
ORIGIN_DECIMALS: Final = 3
OTHER_FILES: Final = re.compile(r"grids\s*=|init\s*=|PARAMETERFILE|PROJ4_GRIDS", re.IGNORECASE)
"""A reference can name files of shifts or definitions, which the library would open."""


class FileFrame(Record, kw_only=True):
    """What the numbers of a file are.

    Attributes:
        unit: A unit of length, or "degrees".
        size_m: The size of the unit; 1 for degrees.
        crs: The coordinate reference to project from; None when the numbers are a plan.
        is_own: The file itself names the reference.
    """

    unit: str
    size_m: float = 1.0
    crs: Any = None
    is_own: bool = False


def may_be_degrees(low_x: float, low_y: float, high_x: float, high_y: float) -> bool:
    """Whether numbers lie where longitude and latitude lie."""
    return max(abs(low_x), abs(high_x)) <= 180 and max(abs(low_y), abs(high_y)) <= 90


def no_degrees(low_x: float, low_y: float, high_x: float, high_y: float) -> tuple[str, str]:
    """What is wrong with a file that says degrees of numbers that are none, and what to do."""
    says = (
        "its coordinate reference says degrees, but its numbers are none "
        f"({low_x:g} to {high_x:g}, {low_y:g} to {high_y:g})"
    )
    return (
        says,
        "put the reference that its numbers are in into the file, or take the wrong one out",
    )


def pyproj_or_stop(shown: str) -> Any:  # noqa: ANN401 - the module
    """The projection library.

    Raises:
        BadInput: It is not installed.
    """
    try:
        import pyproj
    except ImportError as error:
        do = "install it with: pip install '.[gis]', or give plan coordinates"
        raise BadInput(
            f"{shown} cannot be read",
            [Problem(Place(shown), "needs the library pyproj for longitude and latitude", do)],
        ) from error
    pyproj.network.set_network_enabled(active=False)  # type: ignore[attr-defined]
    return pyproj


def frame_of_crs(text: str, shown: str, centre: tuple[float, float]) -> FileFrame:
    """What a named coordinate reference means for the numbers of a file.

    Args:
        text: As the file names it, e.g. EPSG:2276 or WKT.
        shown: How messages name the file.
        centre: The middle of what the file holds, in its numbers.

    Raises:
        BadInput: The reference is unknown, or its unit is no length.
    """
    pyproj = pyproj_or_stop(shown)
    if OTHER_FILES.search(text):
        raise _unusable(text, shown, centre)
    unit, factors = "", None
    try:
        crs = pyproj.CRS.from_user_input(text)
        if crs.is_geographic:
            return FileFrame(unit="degrees", crs=crs, is_own=True)
        size_m = float(crs.axis_info[0].unit_conversion_factor)
        sizes = {name: UNIT[name].size_si for name in ("m", "ft", "us survey ft")}
        unit = next((n for n, own_m in sizes.items() if math.fabs(own_m - size_m) < 1e-9), "")
        if crs.is_projected:
            globe = pyproj.Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
            factors = pyproj.Proj(crs).get_factors(*globe.transform(*centre))
    except Exception as error:  # a third-party parser on a file of unknown origin
        raise _unusable(text, shown, centre) from error
    if not unit or factors is None:
        raise _unusable(text, shown, centre)
    stretch = max(math.fabs(factors.meridional_scale - 1), math.fabs(factors.parallel_scale - 1))
    if stretch > STRETCH_FRACTION:
        return FileFrame(unit="degrees", crs=crs, is_own=True)
    return FileFrame(unit=unit, size_m=UNIT[unit].size_si)


def is_globe(text: str, shown: str) -> bool:
    """Whether a named coordinate reference gives longitude and latitude; False when unknown."""
    pyproj = pyproj_or_stop(shown)
    try:
        return bool(pyproj.CRS.from_user_input(text).is_geographic)
    except Exception:
        return False


def _unusable(text: str, shown: str, centre: tuple[float, float]) -> BadInput:
    says = f"its coordinate reference '{text[:60]}' cannot be used"
    do = "say 'coordinates: plan' and 'unit:' under 'drawing:', or project the file first"
    if may_be_degrees(*centre, *centre):
        # A plan is no likely answer here: these numbers may be longitude and latitude.
        do = "project the file to a plan, or say under 'drawing:' what its 'coordinates' are"
    return BadInput(f"{shown} cannot be read", [Problem(Place(shown), says, do)])


def to_plan(
    pieces: list[DrawnPiece], frame: FileFrame, origin: list[float] | None, shown: str, notes: Notes
) -> bool:
    """Turn the numbers of pieces into metres of the plan, in place; False after a problem.

    Args:
        pieces: As read from the file.
        frame: What their numbers are.
        origin: What becomes 0, 0: of a plan x and y in its unit; else longitude and latitude
            within a degree of the lot, a point beside it where None.
        shown: How messages name the file.
        notes: Where problems and repairs go.
    """
    place = Place(shown)
    if frame.crs is None:
        for piece in pieces:
            piece.rings = [
                [(x * frame.size_m, y * frame.size_m, bulge) for x, y, bulge in ring]
                for ring in piece.rings
            ]
        if origin is not None:
            counted_from(pieces, origin, frame.size_m)
        return True
    pyproj = pyproj_or_stop(shown)
    _map(pieces, pyproj.Transformer.from_crs(frame.crs, "OGC:CRS84", always_xy=True))
    low_x, low_y, high_x, high_y = bounds(pieces)
    if max(high_x - low_x, high_y - low_y) > WIDEST_DEGREES or not math.isfinite(high_x + high_y):
        says = f"reaches over more than {WIDEST_DEGREES:g} degree, which is no lot"
        do = "keep only the lot and what lies on it"
        if not frame.is_own:
            do += "; if the numbers are a plan, say so with 'coordinates' and 'unit' of the drawing"
        notes.problem(place, says, do)
        return False
    beside = (
        round((low_x + high_x) / 2, ORIGIN_DECIMALS),
        round((low_y + high_y) / 2, ORIGIN_DECIMALS),
    )
    longitude, latitude = origin or beside
    if max(abs(longitude - beside[0]), abs(latitude - beside[1])) > WIDEST_DEGREES:
        says = f"'origin' of the drawing is {longitude:g}, {latitude:g}, far from what it holds"
        do = f"give longitude and latitude beside the lot, such as {beside[0]:g}, {beside[1]:g}"
        notes.problem(place, says, do)
        return False
    plane = (
        f"+proj=tmerc +lat_0={latitude!r} +lon_0={longitude!r} +k=1 +x_0=0 +y_0=0 "
        "+datum=WGS84 +units=m"
    )
    _map(pieces, pyproj.Transformer.from_crs("OGC:CRS84", plane, always_xy=True))
    _, _, high_x, high_y = bounds(pieces)
    if not math.isfinite(high_x + high_y):
        notes.problem(place, "has points that cannot be put on a plan", "check its coordinates")
        return False
    notes.repair(
        place,
        f"longitude and latitude were put on a plan with its origin at {longitude:g}, {latitude:g} "
        "and north up",
    )
    return True


def bounds(pieces: list[DrawnPiece]) -> tuple[float, float, float, float]:
    """The lowest and highest numbers of all pieces."""
    xs = [vertex[0] for piece in pieces for ring in piece.rings for vertex in ring] or [0.0]
    ys = [vertex[1] for piece in pieces for ring in piece.rings for vertex in ring] or [0.0]
    return min(xs), min(ys), max(xs), max(ys)


def _map(pieces: list[DrawnPiece], transformer: Any) -> None:  # noqa: ANN401 - pyproj's own
    for piece in pieces:
        piece.rings = [_mapped(ring, transformer) for ring in piece.rings]


def _mapped(ring: VertexPath, transformer: Any) -> VertexPath:  # noqa: ANN401 - pyproj's own
    xs, ys = transformer.transform([v[0] for v in ring], [v[1] for v in ring])
    return [(float(x), float(y), vertex[2]) for x, y, vertex in zip(xs, ys, ring, strict=True)]
