"""A synthetic county for benchmarks: lots in rows, about eight surfaces on each."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import numpy as np
import shapely

KINDS: Final = {
    "house": "roof",
    "garage": "roof",
    "drive": "concrete-drive",
    "walk": "concrete-slab",
    "pavers": "sand-set-pavers",
    "pool": "pool-water",
    "deck": "wood-deck",
    "pad": "gravel",
}
WIDE_M: Final = 24.0
DEEP_M: Final = 42.0
ROAD_M: Final = 15.0


def county(count: int) -> Any:
    """Lots, surfaces and the kind of each, in metres far from the origin."""
    rng = np.random.default_rng(1)
    across = int(np.ceil(np.sqrt(count)))
    x = 600_000 + (np.arange(count) % across) * WIDE_M
    y = 180_000 + (np.arange(count) // across) * (DEEP_M + ROAD_M)
    lean = rng.uniform(-1, 1, count)
    corners = [(x, y), (x + WIDE_M, y), (x + WIDE_M + lean, y + DEEP_M), (x + lean, y + DEEP_M)]
    lots = shapely.polygons(np.round(np.stack([np.stack(c, -1) for c in corners], 1), 2))
    shapes: list[Any] = []
    kinds: list[Any] = []

    def add(kind: str, share: float, left: Any, foot: Any, wide: Any, deep: Any) -> None:
        rows = rng.random(count) < share
        box = [(left, foot), (left + wide, foot), (left + wide, foot + deep), (left, foot + deep)]
        turn = rng.uniform(-0.06, 0.06, count)
        ring = np.stack([np.stack([px * np.cos(turn) - py * np.sin(turn),
                                   px * np.sin(turn) + py * np.cos(turn)], -1)
                         for px, py in box], 1)  # fmt: skip
        ring = np.round(ring + np.stack([x, y], -1)[:, None, :], 2)[rows]
        shapes.append(shapely.polygons(ring))
        kinds.append(np.full(rows.sum(), list(KINDS).index(kind)))

    def uniform(low: float, high: float) -> Any:
        return rng.uniform(low, high, count)

    left, foot, wide, deep = uniform(3, 5), uniform(7, 10), uniform(9, 13), uniform(8, 11)
    add("house", 1.0, left, foot, wide, deep)
    add("garage", 0.7, left + wide - 1, foot - 2, uniform(5, 6), uniform(6, 7))
    add("drive", 0.95, left + wide, uniform(-3, -1), uniform(3, 5.5), foot + uniform(0, 3))
    add("walk", 0.9, left + 2, uniform(-2, 0), uniform(1.2, 1.5), foot)
    add("pavers", 0.8, left, foot + deep - 0.3, uniform(5, 9), uniform(3, 5))
    add("deck", 0.5, left + 2, foot + deep - 0.2, uniform(3, 6), uniform(3, 5))
    add("pad", 0.9, uniform(15, 18), uniform(34, 37), uniform(2, 4), uniform(2, 4))
    add("pad", 0.6, left - 1, foot + 2, uniform(1, 1.5), uniform(1, 1.5))
    rows = rng.random(count) < 0.4
    turns = np.arange(32) * 2 * np.pi / 32
    for kind, grown in (("pavers", 1.5), ("pool", 1.0)):
        px = (x + 9)[rows, None] + 4 * grown * np.cos(turns)
        py = (y + 31)[rows, None] + 2.5 * grown * np.sin(turns)
        shapes.append(shapely.polygons(np.round(np.stack([px, py], -1), 2)))
        kinds.append(np.full(rows.sum(), list(KINDS).index(kind)))
    drawn, kind_of = np.concatenate(shapes), np.concatenate(kinds)
    order = rng.permutation(len(drawn))
    return lots, drawn[order], kind_of[order]


def write_county(folder: Path, count: int) -> Path:
    """Write a county as GeoParquet with its town file."""
    import pyarrow as pa
    import pyarrow.parquet

    lots, surfaces, kinds = county(count)
    names = np.array(list(KINDS))
    tables = {
        "lots": pa.table({"lot": np.arange(count), "geometry": _binary(lots)}),
        "surfaces": pa.table({"kind": names[kinds], "geometry": _binary(surfaces)}),
    }
    column: dict[str, Any] = {"encoding": "WKB", "geometry_types": [], "crs": None}
    geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": column}}
    for name, table in tables.items():
        own = table.replace_schema_metadata({"geo": json.dumps(geo)})
        pyarrow.parquet.write_table(own, folder / f"{name}.parquet", row_group_size=65_536)
    town = folder / "town.yaml"
    values = ", ".join(f"{kind}: {material}" for kind, material in KINDS.items())
    town.write_text(
        "format: town/1\ntitle: Synthetic county\nplace: mill-weir\nunit: m\nrest_of_lot: lawn\n"
        "lots: {file: lots.parquet, id: lot}\nsurfaces:\n  - file: surfaces.parquet\n"
        f"    material: {{column: kind, values: {{{values}}}}}\n",
        encoding="utf-8",
    )
    return town


def _binary(shapes: Any) -> Any:
    import pyarrow as pa

    return pa.array(shapely.to_wkb(shapes), pa.binary())
