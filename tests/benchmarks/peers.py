"""What others would write to measure a county: geopandas, DuckDB, shapely in two processes.

Each takes the same outlines as well-known binary and gives the same areas: of each class on each
lot, where a class of higher rank hides those below it, and the same within each overlay.
"""

from __future__ import annotations

import itertools
import time
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from importlib.util import find_spec
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numpy as np
import shapely

from checker.core.records import Record
from tests.benchmarks.county import MATERIALS, County, binary

CLASSES: Final = len(MATERIALS)
CORES: Final = 2


class Layers(Record, eq=False):
    """A county as Arrow columns of well-known binary.

    Attributes:
        lots: Shape (n,).
        surfaces: Shape (s,).
        ranks: Shape (s,).
        overlays: Shape (20,).
    """

    lots: Any
    surfaces: Any
    ranks: Any
    overlays: Any


class Found(Record, eq=False):
    """What was measured.

    Attributes:
        seconds: By the clock on the wall.
        classes: Rows of lot, class and area, as three arrays.
        zones: Rows of lot, overlay, class and area; the class -1 is the lot itself.
    """

    seconds: float
    classes: tuple[Any, Any, Any]
    zones: tuple[Any, Any, Any, Any]

    def by_class(self, count: int) -> Any:
        """The areas, shape (lots, classes)."""
        lot, rank, area = self.classes
        found = np.bincount(lot * CLASSES + rank, area, minlength=count * CLASSES)
        return found.reshape(count, CLASSES)

    def by_zone(self, count: int) -> Any:
        """The areas within overlays, shape (lots, 20, classes + 1), that of the lot first."""
        lot, zone, rank, area = self.zones
        key = (lot * 20 + zone) * (CLASSES + 1) + rank + 1
        found = np.bincount(key, area, minlength=count * 20 * (CLASSES + 1))
        return found.reshape(count, 20, CLASSES + 1)


def layers_of(drawn: County) -> Layers:
    """The columns of a county."""
    lots, surfaces, overlays = map(binary, (drawn.lots, drawn.surfaces, drawn.overlays))
    return Layers(lots, surfaces, drawn.ranks, overlays)


def by_geopandas(layers: Layers) -> Found:
    """Overlays, dissolved by lot and class, each class less those above it."""
    import geopandas
    import pandas as pd

    before = time.perf_counter()
    lots, surfaces, zones = (
        geopandas.GeoDataFrame(columns, geometry=geopandas.GeoSeries.from_wkb(shapes.to_numpy(
            zero_copy_only=False)))
        for columns, shapes in (
            ({"lot": np.arange(len(layers.lots))}, layers.lots),
            ({"rank": layers.ranks}, layers.surfaces),
            ({"zone": np.arange(len(layers.overlays))}, layers.overlays),
        )
    )  # fmt: skip
    pieces = geopandas.overlay(surfaces, lots, how="intersection", keep_geom_type=True)
    taken: Any = None
    found = []
    for rank in range(CLASSES):
        own = pieces[pieces["rank"] == rank].dissolve(by="lot", as_index=False)
        own = own[["lot", "rank", "geometry"]]
        if taken is None:
            net = own
        else:
            net = geopandas.overlay(own, taken, how="difference", keep_geom_type=True)
        found.append(net)
        taken = net if taken is None else pd.concat([taken, net], ignore_index=True)
    net = pd.concat(found, ignore_index=True)
    inside = geopandas.overlay(net, zones, how="intersection", keep_geom_type=True)
    whole = geopandas.overlay(lots, zones, how="intersection", keep_geom_type=True)
    whole["rank"] = -1
    inside = pd.concat([inside, whole], ignore_index=True)
    return Found(
        classes=(net["lot"].to_numpy(), net["rank"].to_numpy(), net.area.to_numpy()),
        zones=(inside["lot"].to_numpy(), inside["zone"].to_numpy(), inside["rank"].to_numpy(),
               inside.area.to_numpy()),
        seconds=time.perf_counter() - before,
    )  # fmt: skip


_DUCKDB: Final = """
create temp table pieces as select lot, rank, st_intersection(l.g, s.g) g
  from surfaces s join lots l on st_intersects(l.g, s.g);
create temp table classes as select lot, rank, st_union_agg(g) g from pieces group by lot, rank;
create temp table net as
  select c.lot, c.rank, case when h.g is null then c.g else st_difference(c.g, h.g) end g
  from classes c left join (
    select a.lot, a.rank, st_union_agg(b.g) g
    from classes a join classes b on a.lot = b.lot and b.rank < a.rank and st_intersects(a.g, b.g)
    group by a.lot, a.rank) h on c.lot = h.lot and c.rank = h.rank;
create temp table over as
  select lot, zone, whole, case when whole then l else st_intersection(l, z) end g
  from (select lot, zone, l.g l, z.g z, st_contains(z.g, l.g) whole
        from lots l join zones z on st_intersects(l.g, z.g));
"""


def duckdb_with_spatial() -> Any:
    """A base with spatial functions; None where they are not installed.

    They come as a wheel: `pip install duckdb==1.5.5 duckdb-extension-spatial==1.5.5`.
    """
    with suppress(ImportError):
        import duckdb

        base = duckdb.connect(config={"allow_unsigned_extensions": True, "threads": CORES})
        own = find_spec("duckdb_extension_spatial")
        for folder in own.submodule_search_locations or () if own else ():
            for path in Path(folder).rglob(f"v{duckdb.__version__}/*.duckdb_extension"):
                with suppress(duckdb.Error):
                    base.execute(f"load '{path.as_posix()}'")
                    return base
    return None


def by_duckdb(layers: Layers) -> Found | None:
    """The same as queries, on both cores; None where spatial functions are not there."""
    import pyarrow as pa

    base = duckdb_with_spatial()
    if base is None:
        return None
    given = {
        "lots": {"lot": np.arange(len(layers.lots)), "w": layers.lots},
        "surfaces": {"rank": layers.ranks, "w": layers.surfaces},
        "zones": {"zone": np.arange(len(layers.overlays)), "w": layers.overlays},
    }
    for name, columns in given.items():
        base.register(f"{name}_given", pa.table(columns))
    before = time.perf_counter()
    for name in given:
        base.execute(
            f"create temp table {name} as select * exclude w, st_geomfromwkb(w) g from {name}_given"
        )
    base.execute(_DUCKDB)
    net = base.execute("select lot, rank, st_area(g) a from net").fetchnumpy()
    inside = base.execute(
        "select lot, zone, -1 as rank, st_area(g) a from over union all "
        "select lot, zone, rank, st_area(case when whole then n.g else st_intersection(n.g, o.g) "
        "end) from net n join over o using (lot)"
    ).fetchnumpy()
    return Found(
        classes=(net["lot"], net["rank"], net["a"]),
        zones=(inside["lot"], inside["zone"], inside["rank"], inside["a"]),
        seconds=time.perf_counter() - before,
    )


def by_shapely(layers: Layers) -> Found:
    """Array functions of shapely, half of the lots in each of two processes."""
    count = len(layers.lots)
    ends = np.linspace(0, count, CORES + 1).astype(int)
    with ProcessPoolExecutor(CORES, mp_context=get_context("spawn")) as pool:
        for _ in pool.map(abs, range(CORES * 4)):  # processes are started before the clock
            pass
        before = time.perf_counter()
        shares = [(layers, int(a), int(b)) for a, b in itertools.pairwise(ends)]
        found = list(pool.map(_by_shapely, shares))
        classes, zones = (
            tuple(np.concatenate(own) for own in zip(*several, strict=True))
            for several in zip(*found, strict=True)
        )
        seconds = time.perf_counter() - before
    return Found(seconds=seconds, classes=classes, zones=zones)  # type: ignore[arg-type]


def _by_shapely(share: tuple[Layers, int, int]) -> tuple[Any, Any]:
    layers, begin, end = share
    lots, surfaces, overlays = (
        shapely.from_wkb(own.to_numpy(zero_copy_only=False))
        for own in (layers.lots[begin:end], layers.surfaces, layers.overlays)
    )
    tree = shapely.STRtree(lots)
    surface, lot = tree.query(surfaces, predicate="intersects")
    shapely.prepare(lots)
    parts = surfaces[surface]
    over = ~shapely.covers(lots[lot], parts)
    parts[over] = shapely.intersection(lots[lot[over]], parts[over])
    key, classes = _joined(lot * CLASSES + layers.ranks[surface], parts)
    lot, rank = np.divmod(key, CLASSES)
    net = classes.copy()
    above = np.full(len(lots), shapely.Polygon())
    for own in range(CLASSES):
        rows = np.flatnonzero(rank == own)
        hidden = above[lot[rows]]
        cut = shapely.intersects(net[rows], hidden)
        net[rows[cut]] = shapely.difference(net[rows[cut]], hidden[cut])
        above[lot[rows]] = shapely.union(hidden, net[rows])
    area = shapely.area(net)
    shapely.prepare(overlays)
    zone, of = tree.query(overlays, predicate="intersects")
    is_whole = shapely.contains(overlays[zone], lots[of])
    local = lots[of]
    local[~is_whole] = shapely.intersection(lots[of[~is_whole]], overlays[zone[~is_whole]])
    own_area = shapely.area(local)
    first = np.searchsorted(lot, np.arange(len(lots) + 1))  # `lot` ascends
    several = np.diff(first)[of]
    pair = np.repeat(np.arange(len(of)), several)
    piece = np.arange(len(pair)) - np.repeat(np.cumsum(several) - several, several)
    piece += first[of[pair]]
    inside = area[piece]
    cut = ~is_whole[pair]
    inside[cut] = shapely.area(shapely.intersection(net[piece[cut]], local[pair[cut]]))
    zones = (
        np.concatenate([of, of[pair]]) + begin,
        np.concatenate([zone, zone[pair]]),
        np.concatenate([np.full(len(of), -1), rank[piece]]),
        np.concatenate([own_area, inside]),
    )
    return (lot + begin, rank, area), zones


def _joined(key: Any, parts: Any) -> tuple[Any, Any]:
    """The union of the parts of each key, and the keys, ascending."""
    order = np.argsort(key, kind="stable")
    known, first, several = np.unique(key[order], return_index=True, return_counts=True)
    found = parts[order[first]]
    for most in np.unique(several[several > 1]):
        rows = np.flatnonzero(several == most)
        places = first[rows][:, None] + np.arange(most)
        found[rows] = shapely.union_all(parts[order[places]], axis=1)
    return known, found
