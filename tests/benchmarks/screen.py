"""Times a screening beside what others would write for its areas, in one run; ratios count.

`python -m tests.benchmarks.screen 2000` draws a county of 2,000 lots with about seven surfaces
each, and measures what they cover three ways: by a screening, by overlays of geopandas, and by the
spatial functions of DuckDB where they can be loaded. Verdicts are part of the screening's time
alone. Times are of one processor, so that others at the machine matter less.

`python -m tests.benchmarks.screen growth 10000 100000` shows lots a second and the largest memory
of a screening from files to the table, one process for each size.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from checker import api
from checker.screen.areas import measured
from checker.screen.ground import SortedGround
from checker.screen.lots import SurfaceClass, Town
from checker.screen.members import TownLayers
from checker.screen.outlines import Outlines
from checker.screen.piece import judged_under
from checker.screen.probe import Probe
from checker.site.materials import materials
from tests.benchmarks.county import KINDS, county, write_county

PLACE = "mill-weir"
AGAIN = (sys.executable, "-m", "tests.benchmarks.screen")


def by_screening(drawn: Any) -> tuple[float, float]:
    """Seconds, and the covered area as a check."""
    import pyarrow as pa

    lots, surfaces, kinds = drawn
    sorts = [SurfaceClass(material=materials()[name], attributes={}) for name in KINDS.values()]
    town = Town(classes=sorts, rest_of_lot=materials()["lawn"], unit="m")
    binary = pa.array(shapely.to_wkb(surfaces), pa.large_binary())
    ruleset = api.load_ruleset(PLACE)
    before = time.process_time()
    layers = TownLayers(
        ids=np.arange(len(lots)).astype(str),
        lots=lots,
        surfaces=Outlines(binary),
        surface_class=kinds,
        overlays=np.zeros(0, object),
        overlay_land=np.zeros(0, np.int64),
        size_m=1.0,
        given={},
    )
    several = measured(town, layers)
    judged_under(SortedGround(several, ruleset, Probe(town, ruleset)), None)
    seconds = time.process_time() - before
    bare = (several.spot_layers < 0).all(axis=1)
    return seconds, float(several.spot_area_m2[~bare].sum())


def by_geopandas(drawn: Any) -> tuple[float, float]:
    """What a user of geopandas would write: overlay, dissolve by lot."""
    import geopandas

    lots, surfaces, kinds = drawn
    before = time.process_time()
    one = geopandas.GeoDataFrame({"lot": np.arange(len(lots))}, geometry=lots)
    other = geopandas.GeoDataFrame({"kind": kinds}, geometry=surfaces)
    pieces = geopandas.overlay(other, one, how="intersection", keep_geom_type=True)
    covered = pieces.dissolve(by="lot")["geometry"].area
    return time.process_time() - before, float(covered.sum())


def by_duckdb(drawn: Any) -> tuple[float, float] | None:
    """The same as a query; None where its spatial functions cannot be loaded."""
    import duckdb
    import pyarrow as pa

    base = duckdb.connect()
    try:
        base.execute("load spatial")
    except duckdb.Error:
        return None
    lots, surfaces, _ = drawn
    one = pa.table({"lot": np.arange(len(lots)), "w": pa.array(shapely.to_wkb(lots), pa.binary())})
    other = pa.table({"w": pa.array(shapely.to_wkb(surfaces), pa.binary())})
    base.register("one", one)
    base.register("other", other)
    before = time.process_time()
    found = base.execute(
        "with l as (select lot, st_geomfromwkb(w) g from one), "
        "s as (select st_geomfromwkb(w) g from other), "
        "p as (select lot, st_intersection(l.g, s.g) g from l join s on st_intersects(l.g, s.g)) "
        "select sum(st_area(u)) from (select st_union_agg(g) u from p group by lot)"
    ).fetchone()
    return time.process_time() - before, float(found[0]) if found else 0.0


def compare(count: int) -> None:
    drawn = county(count)
    by_screening(county(50))  # the compiler's first time is no part of it
    own, covered = by_screening(drawn)
    print(f"screening, verdicts too   {own:8.2f} s  {count / own:10,.0f} lots/s")
    for name, run in (("geopandas overlay", by_geopandas), ("DuckDB spatial", by_duckdb)):
        other = run(drawn)
        if other is None:
            print(f"{name}: cannot be loaded here")
            continue
        seconds, area = other
        assert abs(area - covered) <= 1e-6 * covered, (area, covered)
        ratio = seconds / own
        print(f"{name:25} {seconds:8.2f} s  {count / seconds:10,.0f} lots/s  {ratio:6.1f} x")


def growth(sizes: list[int]) -> None:
    for count in sizes:
        subprocess.run([*AGAIN, "one", str(count)], check=True)


def one(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        town = write_county(Path(folder), count)
        # The drawing of the county is no part of the largest memory: it is another process's.
        line = [*AGAIN, "run", town.as_posix(), str(count)]
        subprocess.run(line, check=True)


def screened(town: Path, count: int) -> None:
    before = time.perf_counter()
    api.screen(town, town.with_name("out.parquet"), workers=2)
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
        case [count]:
            compare(int(count))
        case _:
            print(__doc__)
