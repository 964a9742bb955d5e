"""Times a screening beside what others would write for its areas, in one run; ratios count.

`python -m tests.benchmarks.screen` draws an invented county of 4,000 lots with eight surfaces each
and twenty overlays, and measures what each class covers on each lot and in each overlay, where a
class hides those below it: by a screening, from well-known binary and from lists of corners as
Arrow keeps them, by overlays of geopandas, by the spatial functions of DuckDB, and by array
functions of shapely in two processes. All of them must find the same areas, to 1e-6 of the whole.
A number after it is that of the lots, up to 100,000; geopandas is then timed on the first 4,000.
Times are those of the clock on the wall, on two cores; the first three use both.

DuckDB's spatial functions come as a wheel: `pip install duckdb==1.5.5
duckdb-extension-spatial==1.5.5`; geopandas by its own name. What is not there is left out.

`python -m tests.benchmarks.screen whole 100000` times the whole command from the shell: start-up,
layers, verdicts under two limits, table, report and map. `python -m tests.benchmarks.screen growth
10000 100000` shows lots a second and the largest memory, one process for each size.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import numpy as np
import pyarrow as pa
import shapely

from checker import api
from checker.core.records import replace
from checker.screen.areas import measured
from checker.screen.ground import SortedGround
from checker.screen.lots import OverlayLand, SurfaceClass, Town
from checker.screen.members import TownLayers
from checker.screen.outlines import Outlines, over
from checker.screen.piece import judged_under
from checker.screen.probe import Probe
from checker.site.materials import materials
from tests.benchmarks.county import MATERIALS, County, county, lists, write_county
from tests.benchmarks.peers import CORES, Found, by_duckdb, by_geopandas, by_shapely, layers_of

PLACE: Final = "reed-mere"
AGAIN: Final = (sys.executable, "-m", "tests.benchmarks.screen")
FOOT_M: Final = 0.3048
FEW: Final = 4_000
"""So many lots geopandas is timed on."""

LOTS_A_PIECE: Final = 2_500


def by_screening(drawn: County, columns: tuple[Any, Any, Any], *, judge: bool) -> Found:
    """The areas of pieces of the county, and the verdicts of a rule set.

    Args:
        drawn: The county.
        columns: Lots, surfaces and overlays as a layer keeps them.
        judge: Judge the lots too.
    """
    kinds = materials()
    ordered = [replace(kinds[name], level="ground", precedence=-i)
               for i, name in enumerate(MATERIALS)]  # fmt: skip
    lands = tuple(OverlayLand("id", f"zone-{place}") for place in range(len(drawn.overlays)))
    town = Town(
        classes=[SurfaceClass(material=own, attributes={}) for own in ordered],
        lands=lands, rest_of_lot=kinds["lawn"], unit="ft",
    )  # fmt: skip
    ruleset = api.load_ruleset(PLACE)
    before = time.perf_counter()
    lots, surfaces, overlays = map(Outlines, columns)
    pieces = np.array_split(np.arange(len(lots)), -(-len(lots) // LOTS_A_PIECE))
    boxes = np.stack([_round(lots.boxes[rows]) for rows in pieces])
    piece, row = over(Outlines(shapes=shapely.box(*boxes.T)), surfaces)

    def worked(place: int) -> tuple[Any, Any]:
        own = np.sort(row[piece == place])
        layers = TownLayers(
            ids=pieces[place].astype(str), lots=Outlines(columns[0].take(pa.array(pieces[place]))),
            surfaces=Outlines(columns[1].take(pa.array(own))), surface_class=drawn.ranks[own],
            overlays=overlays.shapes, overlay_land=np.int64(1) << np.arange(len(lands)),
            size_m=FOOT_M, given={},
        )  # fmt: skip
        found = measured(town, layers)
        if judge:
            judged_under(SortedGround(found, ruleset, Probe(town, ruleset)), None)
        return _areas(found, pieces[place][0])

    with ThreadPoolExecutor(CORES) as pool:
        several = list(pool.map(worked, range(len(pieces))))
    classes, zones = (
        tuple(np.concatenate(own) for own in zip(*one, strict=True))
        for one in zip(*several, strict=True)
    )
    seconds = time.perf_counter() - before
    return Found(seconds=seconds, classes=classes, zones=zones)  # type: ignore[arg-type]


def _round(boxes: Any) -> Any:
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def _areas(found: Any, begin: int) -> tuple[Any, Any]:
    """Rows of lot, class and area, and of lot, overlay, class and area, square feet."""
    area = found.spot_area_m2 / FOOT_M**2
    ground = found.spot_layers[:, 0]
    rank = np.where(ground >= 0, found.surface_class[ground], -1)
    lot, is_covered = found.spot_lot + begin, rank >= 0
    rows, zones = [], []
    for place in range(len(found.town.lands)):
        inside = np.flatnonzero(found.spot_marks >> place & 1)
        rows.append(inside)
        zones.append(np.full(len(inside), place))
    row, zone = np.concatenate(rows), np.concatenate(zones)
    covered = row[rank[row] >= 0], zone[rank[row] >= 0]
    return (lot[is_covered], rank[is_covered], area[is_covered]), (
        np.concatenate([lot[row], lot[covered[0]]]),
        np.concatenate([zone, covered[1]]),
        np.concatenate([np.full(len(row), -1), rank[covered[0]]]),
        np.concatenate([area[row], area[covered[0]]]),
    )


def compare(count: int) -> None:
    """Print the times of all, and how often a screening goes into them."""
    drawn = county(count)
    layers = layers_of(drawn)
    binary = layers.lots, layers.surfaces, layers.overlays
    native = lists(drawn.lots), lists(drawn.surfaces), lists(drawn.overlays)
    small = county(20)
    few = layers_of(small)
    for columns in ((few.lots, few.surfaces, few.overlays),
                    (lists(small.lots), lists(small.surfaces), lists(small.overlays))):  # fmt: skip
        by_screening(small, columns, judge=True)  # the compiler's first time is no part of it
    # The best of three, as others at the machine only ever add.
    own = {
        name: min((by_screening(drawn, columns, judge=judge) for _ in range(3)), key=_seconds)
        for name, columns, judge in (
            ("from binary", binary, False), ("from lists", native, False),
            ("from binary, verdicts too", binary, True),
            ("from lists, verdicts too", native, True),
        )
    }  # fmt: skip
    held = own["from binary"].by_class(count), own["from binary"].by_zone(count)
    for name, found in own.items():
        _hold(found, held, drawn)
        print(f"screening {name:32} {_speed(found, count)}")
    first, second = (count / own[name].seconds for name in ("from binary", "from lists"))
    peers = [("DuckDB spatial", by_duckdb, count), ("shapely in two processes", by_shapely, count)]
    if find_spec("geopandas"):
        peers.append(("geopandas overlay", by_geopandas, min(count, FEW)))
    for name, run, most in peers:
        other = drawn if most == count else county(most)
        peer = run(layers_of(other))
        if peer is None:
            print(f"{name}: not installed")
            continue
        if most != count:
            again = layers_of(other)
            same = by_screening(other, (again.lots, again.surfaces, again.overlays), judge=False)
            _hold(peer, (same.by_class(most), same.by_zone(most)), other)
        else:
            _hold(peer, held, drawn)
        speed = most / peer.seconds
        print(f"{name:42} {_speed(peer, most)}; binary {first / speed:6.1f} x, lists "
              f"{second / speed:6.1f} x")  # fmt: skip


def _seconds(found: Found) -> float:
    return found.seconds


def _speed(found: Found, count: int) -> str:
    return f"{count:7,} lots {found.seconds:8.2f} s {count / found.seconds:10,.0f} lots/s"


def _hold(found: Found, held: tuple[Any, Any], drawn: County) -> None:
    """Areas are the same, lot by lot and in all, to 1e-6 of the lots."""
    count, size = len(drawn.lots), shapely.area(drawn.lots)
    for own, other in zip((found.by_class(count), found.by_zone(count)), held, strict=True):
        apart = np.abs(own - other).reshape(count, -1)
        assert (apart.max(axis=1) <= 1e-6 * size).all(), apart.max()
        assert abs(own.sum() - other.sum()) <= 1e-6 * other.sum()


def whole(count: int) -> None:
    """Time the whole command twice: the map of who is affected by another limit."""
    with tempfile.TemporaryDirectory() as folder:
        write_county(Path(folder), count)
        line = [sys.executable, "-m", "checker", "screen", f"{folder}/town.yaml", "--out",
                f"{folder}/judged.parquet", "--report", f"{folder}/report",
                "--limit", "cover-share=28%"]  # fmt: skip
        for _ in range(2):
            before = time.perf_counter()
            subprocess.run(line, check=True, stdout=subprocess.DEVNULL)
            seconds = time.perf_counter() - before
            used = resource.getrusage(resource.RUSAGE_CHILDREN)
            print(f"{count:,} lots from the shell: {seconds:.1f} s; processor so far "
                  f"{used.ru_utime + used.ru_stime:.1f} s")  # fmt: skip


def growth(sizes: list[int]) -> None:
    for count in sizes:
        subprocess.run([*AGAIN, "one", str(count)], check=True)


def one(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        # The drawing of the county is no part of the largest memory: it is another process's.
        draw = f"from tests.benchmarks.county import *; write_county(Path({folder!r}), {count})"
        subprocess.run([sys.executable, "-c", draw], check=True)
        subprocess.run([*AGAIN, "run", f"{folder}/town.yaml", str(count)], check=True)


def screened(town: Path, count: int) -> None:
    before = time.perf_counter()
    api.screen(town, town.with_name("out.parquet"), workers=CORES)
    seconds = time.perf_counter() - before
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    used = time.process_time()
    print(
        f"{count:10,} lots {seconds:8.1f} s {count / seconds:8,.0f} lots/s; {used:,.1f} s of "
        f"processor; largest memory {memory_mb:,.0f} MB"
    )


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["growth", *sizes]:
            growth([int(size) for size in sizes])
        case ["one", count]:
            one(int(count))
        case ["run", town, count]:
            screened(Path(town), int(count))
        case ["whole", count]:
            whole(int(count))
        case [] | [_]:
            compare(int(sys.argv[1]) if len(sys.argv) > 1 else FEW)
        case _:
            print(__doc__)
