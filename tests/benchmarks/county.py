"""An invented county for benchmarks: lots in rows, eight surfaces on each, twenty overlays.

Neighbours share their corners; houses, drives and decks overlap, and some reach over a lot line;
ten watersheds share curved lines of up to 2,500 corners, ten strips along shores have up to 5,000.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import numpy as np
import shapely

from checker.core.records import Record

MATERIALS: Final = (
    "roof", "pool-water", "concrete-slab", "asphalt", "stone-slab", "sand-set-pavers", "wood-deck",
    "gravel", "permeable-paving",
)  # fmt: skip
"""The classes of surface, in the order of precedence where they overlap in a comparison."""

WIDE_FT: Final = 80.0
DEEP_FT: Final = 140.0
ROAD_FT: Final = 50.0
CORNER_FT: Final = (2_000_000.0, 600_000.0)
MARGIN_FT: Final = 200.0


class County(Record, eq=False):
    """A drawn county, in feet.

    Attributes:
        lots: Shape (n,).
        surfaces: Shape (s,), in no order.
        ranks: The class of each as a place in `MATERIALS`, shape (s,).
        overlays: Shape (20,): watersheds, then strips along shores.
    """

    lots: Any
    surfaces: Any
    ranks: Any
    overlays: Any


class _Yard:
    """Draws surfaces at the same place of every lot, give or take."""

    def __init__(self, rng: Any, count: int) -> None:
        self.rng, self.count = rng, count
        self.across = int(np.ceil(np.sqrt(count)))
        row, column = np.divmod(np.arange(count), self.across)
        self.origin = np.stack(
            [CORNER_FT[0] + column * WIDE_FT, CORNER_FT[1] + row * (DEEP_FT + ROAD_FT)], axis=-1
        )
        self.shapes: list[Any] = []
        self.ranks: list[Any] = []

    def uniform(self, low: float, high: float) -> Any:
        """A number for each lot."""
        return self.rng.uniform(low, high, self.count)

    def some(self, share: float) -> Any:
        """Some of the lots."""
        return self.rng.random(self.count) < share

    def add(self, material: Any, points: Any, on: Any) -> None:
        """Draw a surface on some lots; points from the corner of each, shape (n, k, 2)."""
        drawn = np.round(points[on] + self.origin[on][:, None, :], 2)
        self.shapes.append(shapely.polygons(drawn))
        names = np.broadcast_to(material, self.count)[on]
        self.ranks.append(np.array([MATERIALS.index(name) for name in names], np.int64))

    def box(self, left: Any, foot: Any, wide: Any, deep: Any, turn: Any = 0.0) -> Any:
        """Rectangles, turned about their first corner."""
        none = np.zeros(self.count)
        x = np.stack([none, wide + none, wide + none, none], -1)
        y = np.stack([none, none, deep + none, deep + none], -1)
        cos, sin = np.cos(turn + none)[:, None], np.sin(turn + none)[:, None]
        return np.stack(
            [x * cos - y * sin + np.reshape(left, (-1, 1)),
             x * sin + y * cos + np.reshape(foot, (-1, 1))], -1,
        )  # fmt: skip

    @staticmethod
    def round(x: Any, y: Any, wide: Any, deep: Any, corners: int) -> Any:
        """Ellipses."""
        turn = np.arange(corners) * 2 * np.pi / corners
        px = x[:, None] + wide[:, None] * np.cos(turn)
        return np.stack([px, y[:, None] + deep[:, None] * np.sin(turn)], -1)

    @staticmethod
    def strip(x: Any, y: Any, half: float) -> Any:
        """Strips along lines upwards, x and y of shape (n, k)."""
        left, right = np.stack([x - half, y], -1), np.stack([x + half, y], -1)
        return np.concatenate([left, right[:, ::-1]], 1)


def county(count: int) -> County:
    """Draw a county of so many lots."""
    rng = np.random.default_rng(1)
    yard = _Yard(rng, count)
    lots = _lots(rng, count, yard.across)
    _buildings(yard)
    _garden(yard)
    surfaces, ranks = np.concatenate(yard.shapes), np.concatenate(yard.ranks)
    order = rng.permutation(len(surfaces))  # layers are not in the order of lots
    surfaces, ranks = surfaces[order], ranks[order]
    sound = shapely.is_valid(surfaces)
    rows = -(-count // yard.across)
    overlays = _overlays(rng, yard.across * WIDE_FT, rows * (DEEP_FT + ROAD_FT))
    return County(lots, surfaces[sound], ranks[sound], overlays)


def _lots(rng: Any, count: int, across: int) -> Any:
    """Lots of five corners, which neighbours share."""
    rows = -(-count // across)
    column, row = np.arange(across + 1) * WIDE_FT, np.arange(rows)[:, None] * (DEEP_FT + ROAD_FT)
    lean_x, lean_y = (rng.uniform(-own, own, (rows, 2, across + 1)) for own in (6, 4))
    x = CORNER_FT[0] + column + lean_x
    y = CORNER_FT[1] + row[:, None] + np.array([[0.0], [DEEP_FT]]) + lean_y
    points = np.stack([x, y], -1)
    front, back = points[:, 0], points[:, 1]
    middle = (front[:, :-1] + front[:, 1:]) / 2
    middle[..., 1] -= rng.uniform(-2, 6, (rows, across))
    rings = np.stack([front[:, :-1], middle, front[:, 1:], back[:, 1:], back[:, :-1]], 2)
    return shapely.polygons(np.round(rings.reshape(-1, 5, 2)[:count], 2))


def _buildings(yard: _Yard) -> None:
    uniform, every = yard.uniform, np.ones(yard.count, bool)
    x, y, wide, deep = uniform(14, 20), uniform(32, 40), uniform(34, 46), uniform(24, 34)
    notch, wing = uniform(8, 14), uniform(6, 12)
    house = [(0, 0), (wide, 0), (wide, deep), (wide - notch, deep), (wide - notch, deep + wing),
             (4, deep + wing), (4, deep), (0, deep)]  # fmt: skip
    yard.add("roof", np.stack([np.stack([x + px, y + py], -1) for px, py in house], 1), every)
    garage = x + wide - 6
    yard.add("roof", yard.box(garage, y - 8, uniform(16, 20), uniform(20, 26)), yard.some(0.7))
    drive = np.where(yard.some(0.12), garage + uniform(8, 16), garage + uniform(0, 2))
    paved = yard.box(drive, uniform(-14, -8), uniform(12, 18), y + uniform(6, 12),
                     uniform(-0.03, 0.03))  # fmt: skip
    kind = np.where(yard.some(0.5), "concrete-slab", "asphalt")
    yard.add(kind, paved, yard.some(0.95))
    along = np.linspace(0, 1, 10)
    bend = x[:, None] + 8 + np.sin(along * 3)[None, :] * uniform(4, 14)[:, None]
    walk = yard.strip(bend, -8 + along[None, :] * (y + 12)[:, None], 2)
    yard.add("concrete-slab", walk, yard.some(0.9))
    rear = y + deep + wing
    kinds = np.array(["stone-slab", "sand-set-pavers", "permeable-paving"])
    patio = yard.box(x + uniform(0, 10), rear - 3, uniform(14, 30), uniform(10, 16),
                     uniform(-0.1, 0.1))  # fmt: skip
    yard.add(kinds[yard.rng.integers(0, 3, yard.count)], patio, yard.some(0.7))
    deck = yard.box(x + uniform(6, 16), y + deep - 2, uniform(12, 20), uniform(10, 18))
    yard.add("wood-deck", deck, yard.some(0.4))
    pad = yard.box(x - 3, y + uniform(4, 10), uniform(3, 5), uniform(3, 5))
    yard.add("concrete-slab", pad, yard.some(0.6))
    steps = yard.box(x + uniform(10, 20), rear - 2, uniform(4, 8), uniform(3, 5))
    yard.add("stone-slab", steps, yard.some(0.5))


def _garden(yard: _Yard) -> None:
    uniform = yard.uniform
    has_pool, fine = yard.some(0.4), yard.some(0.5)
    x, y, wide, deep = uniform(30, 50), uniform(100, 116), uniform(10, 16), uniform(6, 10)
    for corners, on in ((24, has_pool & fine), (40, has_pool & ~fine)):
        yard.add("pool-water", yard.round(x, y, wide, deep, corners), on)
        around = yard.round(x + uniform(-3, 3), y + uniform(-2, 2), wide + 6, deep + 5, corners)
        yard.add("sand-set-pavers", around, on)
    left = np.where(yard.some(0.1), WIDE_FT - 4, uniform(50, 64))
    foot = np.where(yard.some(0.06), DEEP_FT - 4, uniform(112, 124))
    wide, deep = uniform(8, 12), uniform(8, 14)
    yard.add("roof", yard.box(left, foot, wide, deep), yard.some(0.6))
    yard.add("gravel", yard.box(left - 2, foot - 2, wide + 4, deep + 4), yard.some(0.5))
    along = np.linspace(0, 1, 10)
    bend = 6 + np.sin(along * 5)[None, :] * uniform(1, 5)[:, None]
    path = yard.strip(bend, 30 + along[None, :] * uniform(60, 115)[:, None], 1.5)
    yard.add("gravel", path, yard.some(0.4))


def _overlays(rng: Any, wide: float, deep: float) -> Any:
    """Watersheds side by side, and strips along shores across them."""
    low = np.array(CORNER_FT) - MARGIN_FT
    span = np.array([wide, deep]) + 2 * MARGIN_FT

    def waves(corners: int, height: float) -> tuple[Any, Any]:
        along, found = np.linspace(0, 1, corners), np.zeros(corners)
        for often in (1, 2, 3, 7, 13, 29):
            found += rng.normal() * np.sin(2 * np.pi * often * along + rng.uniform(0, 6)) / often
        return along, height * found

    found = []
    before = np.array([low, [low[0], low[1] + span[1]]])
    for place in range(1, 11):
        along, off = waves(int(rng.uniform(250, 2500)), span[0] * 0.012)
        line = np.stack([low[0] + span[0] * place / 10 + off, low[1] + along * span[1]], -1)
        if place == 10:
            line = low + span * np.array([[1, 0], [1, 1]])
        found.append(shapely.polygons(np.round(np.concatenate([before, line[::-1]]), 2)))
        before = line
    for place in range(10):
        along, off = waves(int(rng.uniform(400, 3600)), span[1] * 0.03)
        line = np.stack([low[0] + along * span[0], low[1] + span[1] * (place + 0.5) / 10 + off], -1)
        shore = shapely.linestrings(line)
        strip = shapely.buffer(shore, rng.uniform(120, 250), quad_segs=2)
        while shapely.get_num_coordinates(strip) > 5000:
            strip = shapely.simplify(strip, 0.2 + rng.random())
        found.append(strip)
    return shapely.make_valid(np.array(found, object))


def write_county(folder: Path, count: int, *, as_lists: bool = False) -> Path:
    """Write a county as GeoParquet with its town file; outlines binary or as lists of corners."""
    import pyarrow as pa
    import pyarrow.parquet

    drawn = county(count)
    names = np.array(MATERIALS)
    own_column = lists if as_lists else binary
    tables = {
        "lots": pa.table({"lot": np.arange(count), "geometry": own_column(drawn.lots)}),
        "surfaces": pa.table(
            {"kind": names[drawn.ranks], "geometry": own_column(drawn.surfaces)}
        ),
        "overlays": pa.table(
            {"name": [f"zone-{place}" for place in range(20)],
             "geometry": binary(drawn.overlays)}
        ),
    }  # fmt: skip
    for name, table in tables.items():
        is_list = as_lists and name != "overlays"
        column: dict[str, Any] = {"encoding": "polygon" if is_list else "WKB", "crs": None}
        column["geometry_types"] = []
        geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": column}}
        own = table.replace_schema_metadata({"geo": json.dumps(geo)})
        pyarrow.parquet.write_table(own, folder / f"{name}.parquet", row_group_size=65_536)
    town = folder / "town.yaml"
    values = ", ".join(f"{material}: {material}" for material in MATERIALS)
    purposes = ", ".join(
        f"{material}: {'dwelling' if material == 'roof' else 'drive'}" for material in MATERIALS
    )
    town.write_text(
        "format: town/1\ntitle: Invented county\ninvented: true\nplace: reed-mere\nunit: ft\n"
        "rest_of_lot: lawn\nnone_found: [shoreline]\nfacts: {lot_width: 80 ft}\n"
        "lots: {file: lots.parquet, id: lot}\nsurfaces:\n  - file: surfaces.parquet\n"
        f"    material: {{column: kind, values: {{{values}}}}}\n"
        f"    attributes:\n      purpose: {{column: kind, values: {{{purposes}}}}}\n"
        "      placed_on: 1990-01-01\n"
        "overlays:\n  - {file: overlays.parquet, id: {column: name}}\n",
        encoding="utf-8",
    )
    return town


def binary(shapes: Any) -> Any:
    """Outlines as well-known binary."""
    import pyarrow as pa

    return pa.array(shapely.to_wkb(shapes), pa.binary())


def lists(shapes: Any) -> Any:
    """Outlines as lists of corners, as GeoArrow lays polygons out."""
    import pyarrow as pa

    _, points, (rings, outlines) = shapely.to_ragged_array(shapes)
    corners = pa.StructArray.from_arrays(
        [pa.array(np.ascontiguousarray(own)) for own in points.T], ["x", "y"]
    )
    ring = pa.ListArray.from_arrays(pa.array(rings, pa.int32()), corners)
    return pa.ListArray.from_arrays(pa.array(outlines, pa.int32()), ring)
