"""Draws the layers of Fallow Reach, an invented town of 2,000 lots by a mere.

`python samples/fallow-reach/make.py FOLDER` writes lots, surfaces and the shoreline as GeoParquet,
with the town file beside them. The same number of lots gives the same bytes.
"""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from random import Random
from typing import Any, Final

import pyarrow as pa
import pyarrow.parquet
import shapely
from shapely import affinity

HERE: Final = Path(__file__).parent
WIDE_M: Final = 24.0
DEEP_M: Final = 42.0
STREET_M: Final = 15.0
IN_A_ROW: Final = 50


def made(count: int, random: Random) -> dict[str, dict[str, list[Any]]]:
    """The columns of every layer, the shapes under `geometry`."""
    lots: dict[str, list[Any]] = {"lot": [], "width": [], "geometry": []}
    surfaces: dict[str, list[Any]] = {"kind": [], "built": [], "geometry": []}
    for number in range(count):
        row, column = divmod(number, IN_A_ROW)
        x, y = column * WIDE_M, row * (DEEP_M + STREET_M)
        lean = random.uniform(-1.0, 1.0)
        lot = shapely.Polygon(
            [(x, y), (x + WIDE_M, y), (x + WIDE_M + lean, y + DEEP_M), (x + lean, y + DEEP_M)]
        )
        lots["lot"].append(f"{row + 1}-{column + 1}")
        lots["width"].append(WIDE_M if random.random() < 0.97 else None)
        lots["geometry"].append(lot)
        for kind, shape in _drawn(x, y, random):
            surfaces["kind"].append(kind)
            surfaces["built"].append(_built(kind, random))
            surfaces["geometry"].append(shape)
    # One outline that crosses itself, as town layers have them: its lot is told of, not mended.
    surfaces["kind"].append("terrace")
    surfaces["built"].append("2021-05-01")
    surfaces["geometry"].append(shapely.Polygon([(3, 30), (9, 36), (9, 30), (3, 36)]))
    return {"lots": lots, "surfaces": surfaces, "shoreline": _shoreline(random)}


def _drawn(x: float, y: float, random: Random) -> list[tuple[str, Any]]:
    """What lies on one lot: each house is its owner's."""
    size = random.choice([0.8, 1.0, 1.0, 1.2, 1.45])
    left, front = x + random.uniform(2, 5), y + random.uniform(6, 9)
    wide, deep = 10.5 * size, 9.0 * size
    found = [("house", shapely.box(left, front, left + wide, front + deep))]
    right = left + wide
    if random.random() < 0.7:
        found.append(("garage", shapely.box(right - 1, front - 2, right + 5, front + 4)))
    kind = "parking" if random.random() < 0.15 else "drive"
    broad = random.choice([3.0, 3.2, 5.5])
    found.append((kind, shapely.box(right, y - 2, right + broad, front + random.uniform(0, 6))))
    found.append(("walk", shapely.box(left + 3, y - 1, left + 4.3, front)))
    back = front + deep
    if random.random() < 0.75:
        kind = random.choice(["terrace", "pavers", "pavers"])
        found.append((kind, shapely.box(left, back - 0.3, left + 7 * size, back + 4.5)))
    if random.random() < 0.35:
        found.append(("deck", shapely.box(left + 5, back - 0.2, left + 10, back + 4)))
    if random.random() < 0.2:
        round_ = affinity.scale(shapely.Point(left + 6, back + 9).buffer(1, quad_segs=8), 4, 2.6)
        ring = affinity.scale(round_, 1.45, 1.5)
        found += [("pavers", ring), ("pool", round_)]
    if random.random() < 0.25:
        found.append(("hedge", shapely.box(x + 0.2, y + 20, x + 1, y + 40)))
    turn = random.uniform(-2, 2)
    return [(kind, _rounded(affinity.rotate(shape, turn, (left, front)))) for kind, shape in found]


def _rounded(shape: Any) -> Any:  # noqa: ANN401 - a polygon
    return shapely.transform(shape, lambda points: points.round(2))


def _built(kind: str, random: Random) -> str | None:
    if kind != "deck" or random.random() < 0.1:
        return None
    return f"{random.randrange(1998, 2025)}-06-01"


def _shoreline(random: Random) -> dict[str, list[Any]]:
    points = [
        (x, -60 + 45 * random.uniform(-1, 1)) for x in range(-100, int(IN_A_ROW * WIDE_M) + 200, 60)
    ]
    return {"name": ["the mere"], "geometry": [shapely.LineString(points)]}


def written(folder: Path, count: int) -> None:
    """Write the layers and the town file into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, columns in made(count, Random(7)).items():
        shapes = columns.pop("geometry")
        table = pa.table(columns).append_column("geometry", pa.array(shapely.to_wkb(shapes)))
        own = {"encoding": "WKB", "geometry_types": [], "crs": None}
        geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": own}}
        table = table.replace_schema_metadata({"geo": json.dumps(geo)})
        pyarrow.parquet.write_table(table, folder / f"{name}.parquet", compression="zstd")
    if folder.resolve() != HERE.resolve():
        shutil.copyfile(HERE / "town.yaml", folder / "town.yaml")


if __name__ == "__main__":
    written(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 2000)
